from __future__ import annotations

import io
import json
import logging

import pytest

from cds.service.log import Forward, new_log, place_of

CANARY = "canary-value-4711"


def lines(stream: io.StringIO) -> list[dict[str, object]]:
    return [json.loads(line) for line in stream.getvalue().splitlines()]


def test_a_line_is_one_json_object_with_level_and_time() -> None:
    stream = io.StringIO()
    new_log(stream=stream, product="p").info("request", status=200)
    (line,) = lines(stream)
    assert line["event"] == "request"
    assert line["level"] == "info"
    assert line["status"] == 200
    assert line["product"] == "p"
    assert str(line["timestamp"]).endswith("Z")


@pytest.mark.parametrize(
    ("level", "events"), [("debug", 4), ("info", 3), ("warning", 2), ("error", 1)]
)
def test_less_than_the_level_is_not_written(level: str, events: int) -> None:
    stream = io.StringIO()
    log = new_log(level, stream)
    for name in ("debug", "info", "warning", "error"):
        getattr(log, name)("x")
    assert len(lines(stream)) == events


def test_an_object_that_is_no_json_is_named_by_type_only() -> None:
    stream = io.StringIO()
    new_log(stream=stream).info("x", thing=ValueError(CANARY))
    assert lines(stream)[0]["thing"] == "ValueError"


def raised() -> ValueError:
    try:
        raise ValueError(CANARY)
    except ValueError as error:
        return error


def test_a_place_is_file_line_and_function() -> None:
    found = place_of(raised())
    assert found.startswith("test_log.py:")
    assert found.endswith(" raised")
    assert place_of(ValueError(CANARY)) == "unknown"


def test_a_library_is_quoted_without_its_arguments_and_its_error_without_text() -> None:
    stream = io.StringIO()
    logger = logging.Logger("some.library")
    logger.addHandler(Forward(new_log(stream=stream)))
    logger.warning("could not read %s", CANARY)
    logger.error("failed", exc_info=raised())
    logger.critical(ValueError(CANARY))
    first, second, third = lines(stream)
    assert first["message"] == "could not read %s"
    assert first["level"] == "warning"
    assert second["error"] == "ValueError"
    assert str(second["at"]).startswith("test_log.py:")
    assert "message" not in third
    assert CANARY not in stream.getvalue()
