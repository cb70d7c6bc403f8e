"""The container files fit their schema and the tree. No engine builds or runs them here."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest
import yaml

from cds.settings import DEFAULT_PORT, VARIABLES
from tests.support.optional import ROOT

DOCKERFILE = (ROOT / "Dockerfile").read_text(encoding="utf-8")
COMPOSE = (ROOT / "docker-compose.yml").read_text(encoding="utf-8")
LAST_STAGE = DOCKERFILE[DOCKERFILE.rindex("\nFROM ") :]


def check_schema(text: str, folder: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [
            *(sys.executable, "-m", "check_jsonschema"),
            *("--builtin-schema", "vendor.compose-spec", "--default-filetype", "yaml", "-"),
        ],
        input=text,
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )


def test_compose_fits_the_published_schema() -> None:
    found = check_schema(COMPOSE, str(ROOT))
    assert found.returncode == 0, found.stdout + found.stderr


def test_the_schema_sees_a_mistake() -> None:
    assert check_schema(COMPOSE.replace("read_only:", "readonly:"), str(ROOT)).returncode == 1


def test_the_service_is_published_on_this_machine_only_and_has_no_rights() -> None:
    service = yaml.safe_load(COMPOSE)["services"]["service"]
    assert service["ports"] == [f"127.0.0.1:{DEFAULT_PORT}:{DEFAULT_PORT}"]
    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert "/health/live" in service["healthcheck"]["test"][-1]


@pytest.mark.parametrize("text", [DOCKERFILE, COMPOSE], ids=["Dockerfile", "compose"])
def test_only_settings_that_exist_are_named(text: str) -> None:
    named = set(re.findall(r"FEATHEREDGE_[A-Z_]+", text))
    assert named
    assert named <= VARIABLES.keys()


def test_the_image_does_not_run_as_root() -> None:
    users = re.findall(r"^USER (\S+)$", LAST_STAGE, re.MULTILINE)
    assert users
    assert not re.match(r"(0|root)\b", users[-1])
    assert "/health/live" in LAST_STAGE


def test_everything_copied_into_the_image_is_there_and_not_ignored() -> None:
    shown = {
        line.removeprefix("!")
        for line in (ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines()
        if line.startswith("!")
    }
    copied: set[str] = set()
    for sources in re.findall(r"^COPY (?!--from)(.+) \S+$", DOCKERFILE, re.MULTILINE):
        copied |= {source.rstrip("/") for source in sources.split()}
    assert copied == shown
    assert [name for name in sorted(copied) if not (ROOT / name).exists()] == []
