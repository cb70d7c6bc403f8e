"""Information with its weaknesses; points of consent wherever thrust is reached."""

from __future__ import annotations

from typing import Any

import pytest

from cds.explain.information import PREFIX, TITLES
from cds.features.information import FIGURES
from cds.rulebook.book import Phase
from cds.vocabulary.advice import Advice, Information
from cds.vocabulary.reading import read_case
from tests.support.fixtures import Fixture, base, decider, folder, laid_over

CONSENT = [
    "consent-after-effects", "consent-alternative", "consent-ladder-untested",
    "consent-serious-harm", "consent-stop-any-time",
]  # fmt: skip
SCORES = {
    "fear_avoidance_work", "fear_avoidance_activity", "hip_internal_rotation", "disability_index",
    "roland_morris", "risk_questionnaire_total", "loose_joint_answers",
    *(f"disability_section_{number}" for number in range(1, 11)),
}  # fmt: skip


def advice(name: str, **answers: Any) -> Advice:
    shipped = decider()
    case = laid_over(base(name), {"answers": answers})
    return shipped.decide(read_case(shipped.vocabulary, case))


def entry(found: Advice, key: str) -> Information:
    return next(entry for entry in found["information"] if entry["id"] == PREFIX + key)


FIVE: dict[str, Any] = {"duration_days": 15, "fear_avoidance_work": 18, "hip_internal_rotation": 36}


def test_every_figure_has_a_title_and_words_of_the_book() -> None:
    assert set(TITLES) == set(FIGURES)
    texts = decider().program.texts
    assert {PREFIX + key for key in FIGURES} == {name for name in texts if name.startswith(PREFIX)}


def test_a_probability_names_its_prior_and_its_weaknesses() -> None:
    found = entry(advice("first-visit", **FIVE), "flynn")
    assert found["values"]["items"] == "5"
    assert found["values"]["probability_percent"] == "95.2"
    assert found["values"]["likelihood_ratio"] == "24.38"
    assert found["values"]["prior_percent"] == "45.1"
    assert found["prior"].startswith("45.1 %, the derivation study, Flynn 2002")
    assert "5 of 5 items hold" in found["text"] and "from a prior of 45.1 %" in found["text"]
    said = found["weaknesses"][0]
    assert "One false positive" in said and "no better than chance" in said.replace("\n", " ")
    assert "fear_avoidance_work" in found["inputs"] and found["evidence"]


def test_the_two_fracture_counts_keep_their_own_priors() -> None:
    found = advice("first-visit", steroid_use="systemic", new_trauma="major")
    one, other = entry(found, "henschke"), entry(found, "downie")
    assert one["values"]["items"] == other["values"]["items"] == "2"
    assert one["prior"].startswith("0.5 %") and one["values"]["probability_percent"] == "7.2"
    assert "prior" not in other and "probability_percent" not in other["values"]


def test_a_change_is_said_in_its_direction() -> None:
    history = [{"value": 30, "observed": "2026-10-30"}, {"value": 44, "observed": "2026-11-20"}]
    text = entry(advice("first-visit", disability_index=history), "disability")["text"]
    assert "14 points worse than at the first" in text and "judged worse" in text


def test_nothing_recorded_shows_nothing() -> None:
    assert advice("first-visit")["information"] == []


@pytest.mark.parametrize("name", sorted(SCORES))
def test_no_judge_rule_opens_anything_by_a_score(name: str) -> None:
    """Only next steps may look at function; none writes a target, an indication or progress."""
    for rule in decider().program.rules.values():
        if rule.phase is Phase.PREPARE or name not in repr(rule.when):
            continue
        for write in rule.then:
            assert write.conclusion not in ("target", "indication")
            assert write.value != "progress"


@pytest.mark.parametrize("name", ["first-visit", "third-visit", "sixth-visit"])
def test_scores_change_no_path_and_ask_nothing(name: str) -> None:
    plain = advice(name)
    scored = advice(name, **{key: FIVE[key] for key in list(FIVE)[1:]}, roland_morris=9)
    for key in ("headline", "status", "care_today", "referrals", "path", "limits", "next_step"):
        assert scored[key] == plain[key]  # type: ignore[literal-required]
    assert scored["information"] and plain["information"] != scored["information"]
    owed = {question["finding"] for question in plain["open_questions"] if question["owed"]}
    assert not SCORES & owed


@pytest.mark.parametrize("fixture", folder("cases"), ids=lambda fixture: fixture.name)
def test_points_of_consent_exactly_where_thrust_is_reached(fixture: Fixture) -> None:
    shipped = decider(fixture.policy)
    found = shipped.decide(read_case(shipped.vocabulary, fixture.case))
    points = [point["id"] for point in found["consent_points"]]
    assert points == (CONSENT if found["path"]["up_to"]["now"] == "thrust" else [])


def test_points_of_consent_carry_the_figures_and_their_disagreement() -> None:
    said = " ".join(point["text"] for point in advice("sixth-visit")["consent_points"])
    for part in (
        "41 %", "22 %", "0.13 %", "0.007", "1 per 1 million", "1 in 3.7 million",
        "1 in 100 million", "24 to 48 hours", "disagree", "found no difference",
        "found thrust better", "No trial tests this ladder", "stop it at any time",
    ):  # fmt: skip
        assert part in said, part
    assert any(
        "from memory" in e for p in advice("sixth-visit")["consent_points"] for e in p["evidence"]
    )
