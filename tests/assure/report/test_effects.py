from __future__ import annotations

import pytest

from cds.assure.report.effects import LONG, chosen, effects
from cds.assure.report.terms import terms_of
from cds.rulebook.book import Write
from tests.assure.report.support import small, terms, text
from tests.support.shipped import shipped_service

THRUST = small().ladder.family("thrust").title
MOBILIZATION = small().ladder.family("mobilization").title


@pytest.mark.parametrize(
    ("write", "shown"),
    [
        (Write("care_today", "no_hands_on"), "No hands-on care today."),
        (Write("care_today", "with_precautions"), "Care today goes on with precautions."),
        (Write("care_today", "proceed"), "Care may proceed today."),
        (
            Write("referral", "emergency", "emergency_department", within="at once"),
            "Refer to Emergency department: emergency, at once.",
        ),
        (
            Write("referral", "same_day", "general_practice"),
            "Refer to General practice: same day.",
        ),
        (Write("concern", "some", "fracture"), "Concern, Vertebral fracture: some."),
        (Write("next_step", "refer_back"), "Next step of the course: refer back."),
        (Write("next_step", "re_examine"), "Next step of the course: re-examine."),
        (
            Write("target", "thrust", reach="segment"),
            f"What may be aimed for at this level: up to {small().ladder.rungs[-1].title}.",
        ),
        (
            Write("indication", "yes", "thrust", "segment"),
            f"{THRUST} is indicated at this level.",
        ),
        (Write("irritable", "yes"), "The book concludes: Easily stirred up."),
        (Write("stage", "early"), "Stage of the episode: early."),
        (Write("limit", "barred", "thrust"), f"Barred: {THRUST}."),
        (
            Write("limit", "barred", "thrust", "adjacent"),
            f"Barred at the levels directly above and below: {THRUST}.",
        ),
        (Write("limit", "allowed", "thrust"), f"{THRUST} is not limited."),
        (Write("cautions", "mind-the-side"), "Caution: Mind the side side."),
        (
            Write("exercises", "press-up", reach="segment"),
            "Home exercise at this level: Press-up lying face down.",
        ),
        (Write("cards", "flexed-side-lying"), "Technique card: Flexed side lying."),
    ],
)
def test_each_kind_of_conclusion(write: Write, shown: str) -> None:
    (found,) = effects(terms(), [write])
    assert text(found) == shown


def test_a_limit_is_said_as_the_highest_rung_it_leaves() -> None:
    (found,) = effects(terms(), [Write("limit", "grade_2", "mobilization", "segment")])
    family = {limit: rung for rung, limit in small().ladder.family("mobilization").rungs}
    most = terms().rung(family["grade_2"])
    assert text(found) == f"{MOBILIZATION} at this level: no higher than {most}."


def test_all_hands_on_families_together_are_one_phrase() -> None:
    rule = small().rules["cauda-equina"]
    shown = [text(found) for found in effects(terms(), rule.then)]
    assert shown == [
        "No hands-on care today.",
        "Refer to Emergency department: emergency, at once.",
        "Concern, Cauda equina syndrome: emergency.",
        "Barred: every hands-on technique.",
    ]
    some = effects(terms(), [w for w in rule.holds if w.key != "thrust"])
    assert "every hands-on" not in text(some[0])


def test_long_texts_are_cut_at_a_word_and_linked_to_the_whole() -> None:
    program = shipped_service().program
    name = max(program.texts, key=lambda text_id: len(program.texts[text_id].say))
    (found,) = effects(terms_of(program), [Write("safety_net", name)])
    said = text(found).partition(": ")[2]
    assert said.endswith(" …")
    assert len(said) <= LONG + 2
    assert program.texts[name].say.startswith(said.removesuffix(" …"))
    assert f'href="#text-{name}"' in found


def test_nothing_concluded_is_nothing_said() -> None:
    assert effects(terms(), []) == []


def test_the_name_of_what_is_chosen() -> None:
    assert (
        chosen(terms(), "press-up") == '<a href="#exercise-press-up">Press-up lying face down</a>'
    )
    assert 'href="#card-flexed-side-lying"' in chosen(terms(), "flexed-side-lying")
    assert 'href="#text-mind-the-side"' in chosen(terms(), "mind-the-side")
