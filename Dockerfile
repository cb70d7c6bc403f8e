# Not run: this file was written and checked by reading only; no container engine was at hand.
# The image holds the service and its rule book, nothing of the tests or the build.
ARG PYTHON=3.12-slim

FROM python:${PYTHON} AS build
ENV PIP_NO_CACHE_DIR=1 PIP_DISABLE_PIP_VERSION_CHECK=1 PIP_ROOT_USER_ACTION=ignore
WORKDIR /build
RUN python -m venv /app && python -m venv /tools
# Dependencies first: this layer changes only with the lock.
COPY requirements/ requirements/
RUN /app/bin/python -m pip install --no-deps --require-hashes -r requirements/runtime.txt \
 && /tools/bin/python -m pip install --no-deps --require-hashes -r requirements/build.txt
COPY pyproject.toml LICENSE ./
COPY cds/ cds/
COPY rules/ rules/
COPY fixtures/ fixtures/
RUN /tools/bin/python -m hatchling build --target wheel --directory wheel \
 && /app/bin/python -m pip install --no-deps --no-index wheel/*.whl \
 && /app/bin/python -m compileall -q /app \
 && /app/bin/featheredge vet

FROM python:${PYTHON}
LABEL org.opencontainers.image.title="featheredge" \
      org.opencontainers.image.licenses="Apache-2.0"
RUN useradd --system --uid 10001 --no-create-home --shell /usr/sbin/nologin featheredge
COPY --from=build /app /app
# Nothing is written at run time: the file system may be mounted read-only.
ENV PATH=/app/bin:$PATH PYTHONDONTWRITEBYTECODE=1 PYTHONUNBUFFERED=1 \
    FEATHEREDGE_HOST=0.0.0.0 FEATHEREDGE_PORT=8642
# Inside a container every address is needed. Who may reach it is decided where its port is published:
# whoever does so says FEATHEREDGE_GUARDED=yes, else the service refuses to start.
USER 10001:10001
EXPOSE 8642
STOPSIGNAL SIGTERM
HEALTHCHECK --interval=30s --timeout=3s --start-period=10s --retries=3 \
    CMD ["python", "-c", "import os, urllib.request as r; r.urlopen('http://127.0.0.1:' + os.environ['FEATHEREDGE_PORT'] + '/health/live', timeout=2).close()"]
CMD ["featheredge", "serve"]
