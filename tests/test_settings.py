"""Settings come from the environment; everything wrong is refused at once, with its name."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path

import pytest

from cds.settings import (
    VARIABLES,
    RulesNotFoundError,
    Settings,
    SettingsError,
    find_rules,
    read_settings,
)


def refused(environ: dict[str, str]) -> list[str | None]:
    with pytest.raises(SettingsError) as caught:
        read_settings(environ)
    return [problem.pointer for problem in caught.value.problems]


def test_the_defaults_listen_on_this_machine_only() -> None:
    assert read_settings({}) == Settings(
        rules=None, host="127.0.0.1", port=8642, max_body=262_144, log_level="info"
    )


def test_every_setting_is_read(tmp_path: Path) -> None:
    environ = {
        "FEATHEREDGE_RULES": str(tmp_path),
        "FEATHEREDGE_HOST": "::1",
        "FEATHEREDGE_PORT": "0",
        "FEATHEREDGE_MAX_BODY": "65536",
        "FEATHEREDGE_LOG_LEVEL": "Debug",
        "FEATHEREDGE_GUARDED": "Yes",
    }
    assert environ.keys() == VARIABLES.keys()
    assert len(fields(Settings)) == len(VARIABLES)
    assert read_settings(environ) == Settings(tmp_path, "::1", 0, 65_536, "debug", True)


def test_an_empty_value_counts_as_absent() -> None:
    assert read_settings(dict.fromkeys(VARIABLES, " ")) == Settings()


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("RULES", "no/such/folder"),
        ("GUARDED", "1"),
        ("GUARDED", "true"),
        ("HOST", "two words"),
        ("HOST", "127.0.0"),
        ("HOST", "256.1.1.1"),
        ("HOST", "-name"),
        ("HOST", "name\nname"),
        ("PORT", "65536"),
        ("PORT", "-1"),
        ("PORT", "8_642"),
        ("PORT", "86.42"),
        ("PORT", "٨٦٤٢"),
        ("MAX_BODY", "1023"),
        ("MAX_BODY", "256K"),
        ("MAX_BODY", "16777217"),
        ("LOG_LEVEL", "loud"),
    ],
)
def test_a_wrong_value_is_refused_by_name(name: str, value: str) -> None:
    assert refused({f"FEATHEREDGE_{name}": value}) == [f"/FEATHEREDGE_{name}"]


@pytest.mark.parametrize("value", ["0.0.0.0", "localhost", "a-b.example", "::"])
def test_hosts_that_are_taken(value: str) -> None:
    assert read_settings({"FEATHEREDGE_HOST": value}).host == value


def test_everything_wrong_is_reported_at_once() -> None:
    environ = {"FEATHEREDGE_PORT": "x", "FEATHEREDGE_HOST": "?", "FEATHEREDGE_LOG_LEVELS": "info"}
    assert refused(environ) == [
        "/FEATHEREDGE_HOST",
        "/FEATHEREDGE_LOG_LEVELS",
        "/FEATHEREDGE_PORT",
    ]


@pytest.mark.parametrize("name", ["RULE", "PORTS", "MAXBODY", "LOGLEVEL"])
def test_a_misspelt_name_is_refused_with_the_right_one(name: str) -> None:
    with pytest.raises(SettingsError) as caught:
        read_settings({f"FEATHEREDGE_{name}": "1"})
    (problem,) = caught.value.problems
    assert re.fullmatch(r"did you mean FEATHEREDGE_[A-Z_]+\?", problem.help or "")


@pytest.mark.parametrize(
    "name", ["FEATHEREDGE_REQUIRE", "FEATHEREDGE_EXTERNAL", "FEATHEREDGE_SERVICE_HOST", "PORT"]
)
def test_other_names_are_left_alone(name: str) -> None:
    assert read_settings({name: "anything"}) == Settings()


def test_a_port_set_by_service_links_says_so() -> None:
    with pytest.raises(SettingsError) as caught:
        read_settings({"FEATHEREDGE_PORT": "tcp://127.0.0.1:8642"})
    assert "service links" in (caught.value.problems[0].help or "")


def test_the_error_reads_as_one_line() -> None:
    with pytest.raises(SettingsError, match=r"FEATHEREDGE_PORT must be a whole number"):
        read_settings({"FEATHEREDGE_PORT": "x"})


class TestFindRules:
    def test_the_chosen_folder_wins(self, tmp_path: Path) -> None:
        (tmp_path / "cds/_rules").mkdir(parents=True)
        assert find_rules(tmp_path / "mine", tmp_path / "cds") == tmp_path / "mine"

    def test_the_packaged_rules_come_before_the_checkout(self, tmp_path: Path) -> None:
        (tmp_path / "cds/_rules").mkdir(parents=True)
        (tmp_path / "rules").mkdir()
        assert find_rules(None, tmp_path / "cds") == tmp_path / "cds/_rules"

    def test_a_checkout_uses_the_folder_beside_the_package(self, tmp_path: Path) -> None:
        (tmp_path / "rules").mkdir()
        assert find_rules(None, tmp_path / "cds") == tmp_path / "rules"

    def test_none_at_all_is_an_error_that_says_what_to_do(self, tmp_path: Path) -> None:
        with pytest.raises(RulesNotFoundError, match="FEATHEREDGE_RULES"):
            find_rules(None, tmp_path / "cds")

    def test_the_settings_find_their_rules(self, tmp_path: Path) -> None:
        assert Settings(rules=tmp_path).rules_folder() == tmp_path
