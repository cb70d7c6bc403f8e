"""`featheredge serve`: the HTTP door on the loopback address.

Nobody is asked for credentials yet, so an address that others can reach is refused, unless the
settings say that something in front keeps others out (a container's published port, a proxy).
"""

from __future__ import annotations

import ipaddress
import logging
import sys
from pathlib import Path

import uvicorn

from cds.api.app import create_app
from cds.cli import exits
from cds.problems import RuleBookError
from cds.service.log import Forward, Log, new_log
from cds.service.wiring import build_service
from cds.settings import RulesNotFoundError, Settings
from cds.web.pages import router
from cds.web.problem_page import problem_page
from cds.web.site import Site

LIBRARIES = ("uvicorn", "uvicorn.error", "uvicorn.access", "uvicorn.asgi", "asyncio")


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach the address. Names other than `localhost` are not
    resolved: what they mean may change.
    """
    if host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def run(settings: Settings, rules: Path, host: str | None, port: int | None) -> int:
    """Serve until told to stop; returns an exit code of `cds.cli.exits`.

    `host` and `port` None: as the settings say.
    """
    host = settings.host if host is None else host
    port = settings.port if port is None else port
    if not is_loopback(host) and not settings.guarded:
        print(
            f"{host} can be reached from other machines, and this version asks nobody for "
            "credentials: it serves on 127.0.0.1 only. Where a proxy or a container's published "
            "port keeps others out, say so with FEATHEREDGE_GUARDED=yes.",
            file=sys.stderr,
        )
        return exits.USAGE
    if not 0 <= port <= 65_535:
        print(f"{port} is not a port: 0 to 65535", file=sys.stderr)
        return exits.USAGE
    try:
        service = build_service(settings, rules)
    except RulesNotFoundError as error:
        print(error, file=sys.stderr)
        return exits.NO_RULES
    except RuleBookError as error:
        print(
            f"The rule book at {rules} does not load: {error}. "
            f"`featheredge vet --rules {rules}` shows them.",
            file=sys.stderr,
        )
        return exits.NO_RULES
    log = new_log(settings.log_level)
    _forward(log)
    site = Site()
    app = create_app(
        service,
        max_body=settings.max_body,
        log=log,
        beside=[router(site)],
        for_people=problem_page(site),
    )
    server = uvicorn.Server(
        uvicorn.Config(
            app,
            host=host,
            port=port,
            access_log=False,  # the application writes its own line, without the path as sent
            log_config=None,
            server_header=False,
            ws="none",
            timeout_graceful_shutdown=5,
        )
    )
    log.info("serving", edition=service.digest, host=host, port=port)
    try:
        server.run()
    except SystemExit:  # how the server says that it could not bind
        print(f"Cannot listen on {host} port {port}.", file=sys.stderr)
        return exits.USAGE
    log.info("stopped", edition=service.digest)
    return exits.OK


def _forward(log: Log) -> None:
    """What the server's library says goes to the same log, its arguments left out."""
    for name in LIBRARIES:
        logger = logging.getLogger(name)
        logger.handlers = [Forward(log)]
        logger.propagate = False
        logger.setLevel(logging.WARNING)
