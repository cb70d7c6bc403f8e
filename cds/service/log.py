"""Log lines: one JSON object each, with request id and edition, never a value of a case.

What may be logged is what callers name here as keywords: routes as templates, status, counts,
codes, types of exceptions and the place in our code. Bodies, paths as sent, query values, texts of
exceptions and messages of libraries with their arguments are never handed over.
"""

from __future__ import annotations

import logging
import sys
import traceback
from typing import Any, TextIO

import orjson
import structlog

LEVELS = {"debug": 10, "info": 20, "warning": 30, "error": 40}

Log = Any
"""A bound structlog logger: `info`, `warning`, `error` with an event's name and keywords."""


def new_log(level: str = "info", stream: TextIO | None = None, **always: str) -> Log:
    """A logger of its own (nothing global is configured) that writes JSON lines to `stream`.

    `stream` is standard error unless given; `always` stands in every line.
    """
    return structlog.wrap_logger(
        structlog.PrintLogger(stream or sys.stderr),
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.JSONRenderer(serializer=_dumps),
        ],
        wrapper_class=structlog.make_filtering_bound_logger(LEVELS[level]),
    ).bind(**always)


def _dumps(line: dict[str, Any], **_: Any) -> str:
    return orjson.dumps(line, default=lambda value: type(value).__name__).decode()


def place_of(error: BaseException) -> str:
    """Where an exception arose: `file.py:12 function`, the innermost frame. Holds no values."""
    frames = traceback.extract_tb(error.__traceback__)
    if not frames:
        return "unknown"
    last = frames[-1]
    return f"{last.filename.rpartition('/')[2]}:{last.lineno} {last.name}"


class Forward(logging.Handler):
    """Passes lines of the standard library's logging on to `log`, without their arguments.

    A library's message is only known to hold no case value as the template it is in its source.
    """

    def __init__(self, log: Log) -> None:
        super().__init__()
        self.log = log

    def emit(self, record: logging.LogRecord) -> None:
        """One line of a library."""
        found: dict[str, str] = {"library": record.name}
        if isinstance(record.msg, str):
            found["message"] = record.msg
        if record.exc_info and record.exc_info[1] is not None:
            found["error"] = type(record.exc_info[1]).__name__
            found["at"] = place_of(record.exc_info[1])
        name = {10: "debug", 20: "info", 30: "warning"}.get(record.levelno, "error")
        getattr(self.log, name)("library", **found)
