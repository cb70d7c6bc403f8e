from __future__ import annotations

import io
import re
from functools import cache
from typing import Any

import pytest
from rich.cells import cell_len
from rich.console import Console

from cds.cli.render import render
from cds.explain.compact import compact
from cds.vocabulary.advice import Advice
from tests.support.shipped import demo, shipped_service

NOTHING = {"case": {"as_of": "2026-11-20", "moment": "before_session"}}
STOPPED = {"case": {**NOTHING["case"], "answers": {"bladder_function": "retention"}}}
CASES = {
    "first": demo("first_visit"),
    "sixth": demo("sixth_visit"),
    "nothing": NOTHING,
    "stopped": STOPPED,
}


@cache
def advice(name: str) -> Advice:
    return shipped_service().advise(CASES[name], full=True)["advice"]


def shown(name: str, width: int, terminal: bool = False, short: bool = False) -> str:
    out = io.StringIO()
    how: Any = {"force_terminal": True, "color_system": "standard"} if terminal else {}
    console = Console(file=out, width=width, highlight=False, **how)
    found = advice(name)
    render(compact(found) if short else found, console)
    return out.getvalue()


@pytest.mark.parametrize("width", [80, 120])
@pytest.mark.parametrize("name", CASES)
def test_no_line_is_wider_than_the_terminal(name: str, width: int) -> None:
    longest = max(shown(name, width).splitlines(), key=cell_len)
    assert cell_len(longest) <= width, longest


@pytest.mark.parametrize("name", CASES)
def test_plain_text_when_piped_and_the_same_words_at_a_terminal(name: str) -> None:
    plain, coloured = shown(name, 80), shown(name, 80, terminal=True)
    assert "\x1b" not in plain
    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain


@pytest.mark.parametrize("name", CASES)
def test_the_decision_stands_in_the_first_lines(name: str) -> None:
    head = " ".join(shown(name, 80).splitlines()[:4])
    assert " ".join(advice(name)["headline"]["text"].split()[:6]) in head


def test_every_step_of_the_chain_is_shown() -> None:
    text = " ".join(shown("sixth", 80).split())
    for step in advice("sixth")["chain"]["steps"]:
        assert f"[{step['rule']}]" in text


def test_every_card_of_today_is_shown_with_its_stop_signs() -> None:
    text = " ".join(shown("sixth", 80).split())
    cards = [card for segment in advice("sixth")["segments"] for card in segment["cards"]]
    assert cards
    for card in cards:
        assert card["title"] in text
        assert card["effort"] in text


def test_what_stops_is_said_and_no_technique_is_shown() -> None:
    text = shown("stopped", 80)
    assert "STOPPED" in text
    assert "\nTECHNIQUE" not in text
    assert "emergency" in text


def test_the_compact_form_can_be_shown_too() -> None:
    assert "ASK FIRST" in shown("nothing", 80, short=True)


@pytest.mark.parametrize("name", CASES)
def test_nobody_is_told_that_it_is_safe(name: str) -> None:
    text = shown(name, 80).lower()
    for word in (" safe ", " safe.", "cleared", "compliant", "red flags negative"):
        assert word not in text
