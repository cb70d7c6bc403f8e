"""A missing part is skipped with its reason, and fails where it was promised."""

from __future__ import annotations

import pytest

from tests.support import optional


def outcome(part: str, environ: dict[str, str]) -> tuple[str, str]:
    try:
        optional.require(part, environ)
    except pytest.skip.Exception as found:
        return "skipped", str(found)
    except pytest.fail.Exception as found:
        return "failed", str(found)
    return "went on", ""


@pytest.fixture(autouse=True)
def probes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(optional.PROBES, "there", lambda: None)
    monkeypatch.setitem(optional.PROBES, "gone", lambda: "nobody brought it")


def test_a_present_part_lets_the_test_go_on() -> None:
    assert outcome("there", {"FEATHEREDGE_REQUIRE": "there"}) == ("went on", "")


def test_a_missing_part_is_skipped_with_its_reason() -> None:
    assert outcome("gone", {}) == ("skipped", "gone: nobody brought it")


@pytest.mark.parametrize("listed", ["gone", "there, gone", "a_future_part,gone,"])
def test_a_missing_part_that_was_promised_fails(listed: str) -> None:
    kind, message = outcome("gone", {"FEATHEREDGE_REQUIRE": listed})
    assert kind == "failed"
    assert "nobody brought it" in message


def test_a_name_that_contains_the_part_does_not_promise_it() -> None:
    assert outcome("gone", {"FEATHEREDGE_REQUIRE": "gone_too"})[0] == "skipped"


def test_unknown_names_in_the_list_are_let_pass() -> None:
    assert optional.required({"FEATHEREDGE_REQUIRE": " durable ,next_year,,"}) == {
        "durable",
        "next_year",
    }


def test_a_part_without_a_probe_is_a_mistake_of_the_test() -> None:
    with pytest.raises(KeyError):
        optional.require("unheard_of", {})


def test_the_environment_says_where_external_data_lies(tmp_path: object) -> None:
    found = optional.external_folder({"FEATHEREDGE_EXTERNAL": str(tmp_path)})
    assert str(found) == str(tmp_path)


def test_external_data_lies_beside_the_project_otherwise() -> None:
    assert optional.external_folder({}) == (optional.ROOT.parent / "shared/external")
