"""Cards as an advice shows them: cues in a session, and no gap where only side-lying is barred.

Breathing cue, 30 oscillations, holds of 30 s and stepping back when guarding rises are habits of
the trade (common practice); the doses that an osteopathic teaching page gives are held to it in
`test_card_completeness`, where it is also decided which rungs stay without a card.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from cds.vocabulary.advice import Advice
from cds.vocabulary.reading import read_case
from tests.support.fixtures import base, decider, folder, laid_over
from tests.support.runner import case_of

EVEN = {"flexion": "symmetric", "neutral": "symmetric", "extension": "symmetric"}
PAIN = {"provocation": "concordant", "mobility": "stiff"}
FREE = {"active_side_bending": "none", "active_rotation": "none"}
HIP = {"hip_replacement": "under_precautions"}


def level(name: str, prominent: dict[str, str], **more: str) -> dict[str, Any]:
    return {"level": name, "prominent": prominent, "answers": PAIN | more}


def sides(flexion: str, neutral: str, extension: str) -> dict[str, str]:
    words = {"0": "symmetric", "L": "left", "R": "right"}
    return {
        "flexion": words[flexion], "neutral": words[neutral], "extension": words[extension],
    }  # fmt: skip


def advise(segments: list[dict[str, Any]], **answers: str) -> Advice:
    deciding = decider()
    given = [{"level": s["level"], "rung": "mobilization_4", "side": "left"} for s in segments]
    data = laid_over(
        base("sixth-visit"),
        {"answers": answers, "segments": segments, "course": {"last": {"given": given}}},
    )
    return deciding.decide(read_case(deciding.vocabulary, data))


CASES: dict[str, tuple[list[dict[str, Any]], dict[str, str], set[str]]] = {
    "flexed": ([level("L5", sides("0", "L", "L"))], {}, set()),
    "extended": (
        [level("L5", sides("R", "R", "0"))],
        {"active_flexion": "limited", "active_side_bending": "left", "active_rotation": "left"},
        {"mobilization_4"},  # sitting ends at grade III
    ),
    "group": (
        [level(name, sides("0", "L", "0")) for name in ("L3", "L4", "L5")],
        {"active_side_bending": "left", "active_rotation": "right"},
        set(),
    ),
    "bilateral flexed": (
        [level("L5", EVEN, sagittal_motion="extension")],
        FREE | {"active_extension": "limited", "active_flexion": "full"},
        set(),
    ),
    "bilateral extended": (
        [level("L5", EVEN, sagittal_motion="flexion")],
        FREE | {"active_extension": "full", "active_flexion": "limited"},
        {"mobilization_3", "mobilization_4"},  # knees to the chest, not with a new hip
    ),
    "indeterminate": ([level("L5", sides("0", "L", "0"))], {}, set()),
    "both in one facet": (
        [level("L5", sides("L", "0", "R"))],
        {"active_flexion": "limited", "active_side_bending": "both", "active_rotation": "both"},
        set(),
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_with_side_lying_barred_only_decided_rungs_lack_a_card(name: str) -> None:
    segments, answers, lacking = CASES[name]
    advice = advise(segments, **answers, **HIP)
    treated = [s for s in advice["segments"] if s["treat_today"]]
    assert treated
    for segment in treated:
        assert {entry["rung"] for entry in segment["without_card"]} == lacking
        assert all("lying on the side" in entry["reason"] for entry in segment["without_card"])
        assert not any("lying" in c["position"].lower() and "side" in c["position"].lower()
                       for c in segment["cards"] + segment["alternatives"])  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_with_every_position_open_no_rung_lacks_a_card(name: str) -> None:
    segments, answers, _ = CASES[name]
    for segment in advise(segments, **answers)["segments"]:
        assert segment["without_card"] == []
        steps = [step["rung"] for step in segment["path"]["steps"]]
        shown = {rung for card in segment["cards"] for rung in card["rungs"]}
        assert shown == (set(steps) if segment["treat_today"] else set())


def test_an_advice_in_session_carries_every_cue() -> None:
    """Guarding at each grade, breath, count of oscillations, holds, stop signs, what to do then."""
    fixture = next(f for f in folder("cases") if f.name == "session-easing-goes-on")
    advice = decider(fixture.policy).decide(case_of(fixture))
    (segment,) = advice["segments"]
    gates = {step["rung"]: " ".join(step["gate"]) for step in segment["path"]["steps"]}
    assert set(gates) == {"mobilization_3", "mobilization_4", "thrust"}
    for gate in gates.values():
        assert re.search("Guarding the same or less", gate)
        assert "back to muscle energy technique" in gate
        assert re.search("breath", gate)
    cards = {card["id"]: card for card in segment["cards"]}
    dose = cards["flexed-mobilization"]["dose"]
    assert "30 oscillations" in dose["mobilization_3"]
    assert "up to 30 s" in dose["mobilization_3_hold"] and "out-breath" in dose["breathing"]
    assert "mobilization_2" not in dose  # below where the session stands: not shown again
    for card in cards.values():
        assert len(card["stop"]) >= 4 and card["if_not_tolerated"]
    said = " ".join(entry["text"] for entry in advice["cautions"])
    for cue in ("breathe out", "Guarding up means down at once", "30 oscillations", "refer as an"):
        assert cue in said
