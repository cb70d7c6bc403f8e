# Everything a person or CI does with this checkout. Needs make and Python 3.11 or newer; the rest is
# set up in .venv by the first target that wants it.
.DEFAULT_GOAL := help
SHELL := /bin/sh

PY := .venv/bin/python
READY := .venv/ready
WORKERS ?= auto
export PYTHON

.PHONY: help
help: ## Show this list
	@awk -F ':.*## ' '/^[a-z-]+:.*## /{printf "  make %-12s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

.PHONY: setup
setup: $(READY) ## Create .venv and install the locked packages
$(READY): tools/setup.sh pyproject.toml requirements/dev.txt requirements/durable.txt
	@tools/setup.sh
	@touch $@

.PHONY: demo
demo: $(READY) ## Show two advices over HTTP: a first and a sixth visit, both invented
	@$(PY) -m cds.cli.demo

.PHONY: serve
serve: $(READY) ## Serve on 127.0.0.1:8642 (FEATHEREDGE_HOST and FEATHEREDGE_PORT change it)
	@.venv/bin/featheredge serve

.PHONY: test
test: lint types pytest vet ## Run every check of the fast tier: style, layers, types, tests, rule book

.PHONY: lint
lint: $(READY) ## Check style, formatting and layers
	$(PY) -m ruff check
	$(PY) -m ruff format --check
	.venv/bin/lint-imports --no-cache

.PHONY: format
format: $(READY) ## Format the code and mend what can be mended without thinking
	$(PY) -m ruff check --fix
	$(PY) -m ruff format

.PHONY: types
types: $(READY) ## Check types (mypy --strict)
	$(PY) -m mypy --strict cds

.PHONY: pytest
pytest: $(READY) ## Run the tests of the fast tier
	$(PY) -m pytest -q -n $(WORKERS)

.PHONY: test-long
test-long: $(READY) ## Run the tests that take minutes or build something
	$(PY) -m pytest -q -m long

.PHONY: vet
vet: $(READY) ## Check the shipped rule book
	.venv/bin/featheredge vet

.PHONY: openapi
openapi: $(READY) ## Write the published contract again
	$(PY) -m cds.api.openapi openapi/featheredge.json

.PHONY: wheel
wheel: $(READY) ## Build the wheel, rule book included, into dist/
	@rm -rf dist
	$(PY) -m hatchling build --target wheel --directory dist

.PHONY: bench
bench: $(READY) ## Time what the project promises to be quick
	@set -e; for file in tests/bench/bench_*.py; do \
	  test -f "$$file" || { echo "no benchmark is written yet" >&2; exit 1; }; \
	  $(PY) "$$file"; done

.PHONY: burden
burden: $(READY) ## Count what the rule book asks and how often it interrupts (minutes)
	$(PY) -m cds.assure.burden tests/bench/burden.md

# The lock names no host: hashes say what may be installed, not from where.
COMPILE = .venv/bin/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes \
  --no-emit-index-url --no-emit-find-links --custom-compile-command "make lock" $(UPGRADE)

.PHONY: lock
lock: $(READY) ## Lock the packages again, with hashes (UPGRADE=--upgrade takes newer versions)
	$(PY) -m pip install --quiet --no-deps --require-hashes -r requirements/lock.txt
	$(COMPILE) pyproject.toml -o requirements/runtime.txt
	$(COMPILE) pyproject.toml --group dev -c requirements/runtime.txt -o requirements/dev.txt
	$(PY) -c 'import tomllib; part = tomllib.load(open("pyproject.toml", "rb"))["project"]; \
	  print(*part["optional-dependencies"]["durable"], sep="\n")' | \
	  $(COMPILE) - -c requirements/dev.txt -o requirements/durable.txt
	$(COMPILE) --group build -c requirements/dev.txt -o requirements/build.txt
	$(COMPILE) --group lock -o requirements/lock.txt

.PHONY: clean
clean: ## Remove everything that was built or cached here, .venv included
	rm -rf .venv dist build .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
