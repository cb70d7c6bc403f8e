"""Inflammatory back pain through the shipped rules: every combination of both published lists.

ASAS experts: Sieper 2009, Ann Rheum Dis 68:784 (read): four of five, in back pain of over three
months. Referral: NICE NG65 (read): begun before 45, over three months, four of nine; with exactly
three a blood test first. Expected values are counted here, by hand from the text, not by the rules.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from itertools import product

import pytest

from cds.features.compute import inputs
from cds.vocabulary.ageing import stand
from cds.vocabulary.inputs import Inputs
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Amount, Choice, Input
from tests.support.expected import differences
from tests.support.fixtures import base, decider

FIVE = "inflammatory-four-of-five"
NINE = "inflammatory-four-of-nine"
THREE = "inflammatory-three-of-nine"
ALL = (FIVE, NINE, THREE)

# Sieper 2009: age at onset < 40, insidious, better with exercise, no better with rest, night pain
# with improvement on getting up (read).
ASAS: dict[str, tuple[Input, Input]] = {
    "onset_age": (Amount(39, 39), Amount(40, 40)),
    "onset": (Choice(("insidious",)), Choice(("gradual_known_cause",))),
    "better_with_exercise": (Choice(("yes",)), Choice(("no",))),
    "no_better_with_rest": (Choice(("yes",)), Choice(("no",))),
    "night_pain_better_up": (Choice(("yes",)), Choice(("no",))),
}

# NICE NG65: onset < 35, waking in the second half of the night, buttock pain, better with movement,
# better within 48 h of an anti-inflammatory, first-degree relative, arthritis, enthesitis,
# psoriasis (read).
NG65: dict[str, tuple[Input, Input]] = {
    "onset_age": (Amount(34, 34), Amount(35, 35)),
    **{
        name: (Choice(("yes",)), Choice(("no",)))
        for name in (
            "wakes_second_half", "buttock_pain", "better_with_exercise", "better_with_nsaid",
            "family_spondyloarthritis", "arthritis_ever", "enthesitis", "psoriasis",
        )
    },
}  # fmt: skip

YES, NO, UNKNOWN = True, False, None


@cache
def ordinary() -> Inputs:
    """A whole first visit in the 91st day of pain, no item of either list."""
    deciding = decider()
    data = base("first-visit")
    data["answers"] = data["answers"] | {"duration_days": 91, "onset_age": 60}
    data["blocks"] = data["blocks"] | {"inflammatory_items": "none_of_these"}
    case = read_case(deciding.vocabulary, data)
    return inputs(deciding.program, case, stand(deciding.vocabulary, case))


def judged(changes: Mapping[str, Input | None]) -> dict[str, str]:
    """Fired, open or quiet, for the three rules, with some inputs changed; None takes one away."""
    deciding = decider()
    start = ordinary()
    values = {**start.values, **changes}
    known = {name: value for name, value in values.items() if value is not None}
    outcome = deciding.chainer.start(Inputs(known, start.levels)).outcome()
    found = dict.fromkeys(ALL, "quiet")
    for state, numbers in (("fired", outcome.fired), ("open", outcome.open)):
        for number in numbers:
            rule = deciding.program.instances[number].rule
            if rule in found:
                found[rule] = state
    return found


def answered(
    items: Mapping[str, tuple[Input, Input]], answers: Sequence[bool | None]
) -> dict[str, Input | None]:
    return {
        name: None if answer is UNKNOWN else values[0 if answer else 1]
        for (name, values), answer in zip(items.items(), answers, strict=True)
    }


def at_least(number: int, answers: Sequence[bool | None]) -> str:
    """What a count of at least `number` is while some answers are missing."""
    sure = answers.count(YES)
    if sure >= number:
        return "fired"
    return "open" if sure + answers.count(UNKNOWN) >= number else "quiet"


def exactly(number: int, answers: Sequence[bool | None]) -> str:
    sure, open_ = answers.count(YES), answers.count(UNKNOWN)
    if sure > number or sure + open_ < number:
        return "quiet"
    return "open" if open_ else "fired"


def test_nothing_is_said_of_the_ordinary_visit() -> None:
    assert judged({}) == dict.fromkeys(ALL, "quiet")


def test_all_32_combinations_of_the_experts_five() -> None:
    seen = 0
    for answers in product((YES, NO), repeat=5):
        wanted = "fired" if answers.count(YES) >= 4 else "quiet"
        assert judged(answered(ASAS, answers))[FIVE] == wanted, answers
        seen += 1
    assert seen == 32


def test_the_five_with_answers_missing() -> None:
    """All 243 of yes, no and unknown: three yes and one unknown stay open, never positive."""
    states = {
        answers: judged(answered(ASAS, answers))[FIVE]
        for answers in product((YES, NO, UNKNOWN), repeat=5)
    }
    assert {answers: at_least(4, answers) for answers in states} == states
    assert states[(YES, YES, YES, UNKNOWN, NO)] == "open"
    assert states[(YES, YES, UNKNOWN, NO, NO)] == "quiet"


def test_all_512_combinations_of_the_nine() -> None:
    seen = 0
    for answers in product((YES, NO), repeat=9):
        number = answers.count(YES)
        found = judged(answered(NG65, answers))
        assert found[NINE] == ("fired" if number >= 4 else "quiet"), answers
        assert found[THREE] == ("fired" if number == 3 else "quiet"), answers
        seen += 1
    assert seen == 512


@pytest.mark.parametrize("missing", range(1, 9))
def test_the_nine_with_one_answer_missing(missing: int) -> None:
    """Each item but the onset in turn, over all 256 of the others."""
    for others in product((YES, NO), repeat=8):
        answers = (*others[:missing], UNKNOWN, *others[missing:])
        found = judged(answered(NG65, answers))
        assert found[NINE] == at_least(4, answers), answers
        assert found[THREE] == exactly(3, answers), answers


@pytest.mark.parametrize("count", range(10))
def test_without_an_age_at_onset_the_nine_decide_nothing(count: int) -> None:
    """It is an item and the way in: no number of others fires; two others leave nothing open."""
    others = [YES] * min(count, 8) + [NO] * (8 - min(count, 8))
    found = judged(answered(NG65, (UNKNOWN, *others)))
    most = others.count(YES) + 1
    assert found[NINE] == ("open" if most >= 4 else "quiet")
    assert found[THREE] == ("open" if others.count(YES) in (2, 3) else "quiet")


@pytest.mark.parametrize(("age", "state"), [(44, "fired"), (45, "quiet")])
def test_the_nine_need_an_onset_before_45(age: int, state: str) -> None:
    eight = answered(NG65, (NO, *[YES] * 8)) | {"onset_age": Amount(age, age)}
    assert judged(eight)[NINE] == state


@pytest.mark.parametrize(("days", "state"), [(90, "quiet"), (91, "fired"), (None, "open")])
def test_both_lists_need_more_than_three_months(days: int | None, state: str) -> None:
    """Three months taken as 90 days (common practice)."""
    lasted: Input | None = None if days is None else Amount(days, days)
    five = answered(ASAS, [YES] * 5) | {"duration_days": lasted}
    nine = answered(NG65, [YES] * 9) | {"duration_days": lasted}
    assert judged(five)[FIVE] == state
    assert judged(nine)[NINE] == state


def test_a_known_inflammatory_joint_disease_counts_as_arthritis() -> None:
    """Common practice: what was told elsewhere is not lost when the item says no."""
    three = answered(NG65, (NO, YES, YES, YES, NO, NO, NO, NO, NO))
    known: Input = Choice(("quiet",))
    assert judged(three)[THREE] == "fired"
    assert judged(three | {"inflammatory_arthritis": known})[NINE] == "fired"


BOTH = NG65 | ASAS


@pytest.mark.parametrize("name", BOTH)
def test_no_single_sign_decides_either_way(name: str) -> None:
    """One item alone fires nothing; one "no" among all the others ends neither list."""
    yes, no = BOTH[name]
    assert judged({name: yes}) == dict.fromkeys(ALL, "quiet")
    rest = answered(NG65, [YES] * 9) | answered(ASAS, [YES] * 5)
    found = judged(rest | {name: no})
    assert (found[FIVE], found[NINE]) == ("fired", "fired")


@pytest.mark.parametrize(
    ("answers", "referral"),
    [
        ({"onset_age": 30, "onset": "insidious", "better_with_exercise": "yes",
          "no_better_with_rest": "yes"}, {"rheumatology": "routine"}),
        ({"onset_age": 40, "wakes_second_half": "yes", "buttock_pain": "yes", "enthesitis": "yes",
          "psoriasis": "yes"}, {"rheumatology": "routine"}),
        ({"onset_age": 40, "wakes_second_half": "yes", "buttock_pain": "yes",
          "psoriasis": "yes"}, {"physician": "routine"}),
    ],
)  # fmt: skip
def test_a_positive_list_is_a_routine_referral_and_care_goes_on(
    answers: Mapping[str, object], referral: Mapping[str, str]
) -> None:
    deciding = decider()
    data = base("first-visit")
    data["answers"] = data["answers"] | {"duration_days": 120} | answers
    data["blocks"] = data["blocks"] | {"inflammatory_items": "none_of_these"}
    advice = deciding.decide(read_case(deciding.vocabulary, data))
    wanted = {"headline": "hands_on", "care_today": "with_precautions", "referrals": referral}
    assert differences(deciding.program, advice, wanted) == []
