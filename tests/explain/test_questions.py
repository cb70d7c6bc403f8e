"""Open questions: which are asked, in what order, and what they could change."""

from collections.abc import Mapping

from cds.explain.effects import Effects
from cds.explain.questions import open_questions
from cds.rulebook.program import Program
from cds.vocabulary.advice import OpenQuestion
from cds.vocabulary.values import Input, Missing
from tests.explain.seen import presences, rule, see
from tests.support.tiny import no, tiny, yes


def asked(
    program: Program, values: dict[str, Input] | None = None, *levels: str,
    missing: Mapping[str, Missing] | None = None,
) -> list[OpenQuestion]:  # fmt: skip
    """The questions, with every finding that has no value as not asked."""
    seen = see(program, values, *levels)
    lacking = {n: Missing.NOT_ASKED for n in program.findings if n not in (values or {})}
    for name in [n for n in lacking if n.startswith("segment.")]:
        del lacking[name]
        grounded = (f"{name}@{level}" for level in levels)
        lacking |= {n: Missing.NOT_ASKED for n in grounded if n not in (values or {})}
    return open_questions(
        program,
        seen.readings,
        Effects(program),
        seen.run.node_state,
        {**lacking, **(missing or {})},
    )


def names(questions: list[OpenQuestion]) -> list[str]:
    return [q["finding"] + (f"@{q['level']}" if "level" in q else "") for q in questions]


def when(finding: str) -> str:
    return f"{{finding: {finding}, is: yes}}"


EXTRA = presences("a", "b", "c", "d", "e")


def test_worst_urgency_then_care_then_lowest_limit_then_number_of_rules() -> None:
    rules = (
        rule("r1", when("e"), "{referral: {to: clinic, urgency: urgent}}")
        + rule("r2", when("d"), "{care_today: no_hands_on}")
        + rule("r3", when("c"), "{limit: {mobilization: grade_1}}", basis="precaution")
        + rule("r4", when("b"), "{limit: {mobilization: grade_3}}", basis="precaution")
        + rule("r5", when("numb"), "{limit: {mobilization: grade_3}}", basis="precaution")
        + rule("r6", f"{{all: [{when('numb')}]}}", "{limit: {mobilization: grade_3}}",
               basis="precaution")
        + rule("r7", when("a"), "{referral: {to: hospital, urgency: emergency}}")
        + rule("r8", when("fall"), "{concern: {fracture: some}}")
    )  # fmt: skip
    assert names(asked(tiny(rules, EXTRA))) == ["a", "e", "d", "c", "numb", "b", "fall"]


def test_equal_questions_stand_in_the_order_of_the_book() -> None:
    rules = "".join(
        rule(f"r-{n}", when(n), "{limit: {thrust: barred}}", basis="precaution") for n in "dbca"
    )
    assert names(asked(tiny(rules, EXTRA))) == ["a", "b", "c", "d"]


def test_a_question_says_what_it_could_bring_and_for_which_rules() -> None:
    rules = rule(
        "r1", when("numb"),
        "{referral: {to: hospital, urgency: same_day}, care_today: no_hands_on,"
        " limit: {hands_on: barred}}",
        "{limit: {hands_on: barred}}", basis="contraindication",
    )  # fmt: skip
    rules += rule("r2", when("numb"), "{limit: {mobilization: grade_2}}", basis="precaution")
    question = asked(tiny(rules))[0]
    assert question == {
        "finding": "numb", "ask": "Numb?", "reason": "not_asked", "alone": True,
        "owed": True, "holds_hands_on": True, "rules": ["r1", "r2"],
        "could": {"referral": "same_day", "care_today": "no_hands_on", "limit": "barred"},
    }  # fmt: skip


def test_a_partial_limit_is_said_to_be_lower() -> None:
    rules = rule("r1", when("fall"), "{limit: {mobilization: grade_2}}", basis="precaution")
    assert asked(tiny(rules))[0]["could"] == {"limit": "lower"}


def test_holding_hands_on_takes_all_families_or_care_itself() -> None:
    def holds(then: str, hold: str) -> bool:
        rules = rule("r1", when("numb"), then, hold, basis="precaution")
        return asked(tiny(rules))[0]["holds_hands_on"]

    everything = "{limit: {hands_on: barred}}"
    assert holds(everything, everything)
    assert holds("{care_today: no_hands_on}", "{care_today: no_hands_on}")
    assert not holds("{care_today: no_hands_on}", "{care_today: with_precautions}")
    assert not holds(everything, "{limit: {thrust: barred, mobilization: barred}}")
    assert not holds(everything, "{limit: {thrust: barred, mobilization: barred, "
                                 "muscle_energy: low_force}}")  # fmt: skip
    assert not holds(everything, "nothing")


def test_what_cannot_change_anything_is_not_asked() -> None:
    lower = rule("low", when("fall"), "{limit: {mobilization: barred}}", basis="precaution")
    higher = rule("high", when("numb"), "{limit: {mobilization: grade_2}}", basis="precaution")
    program = tiny(lower + higher)
    assert set(names(asked(program))) == {"fall", "numb"}
    assert names(asked(program, {"fall": yes()})) == []
    assert names(asked(program, {"fall": no()})) == ["numb"]


def test_a_limit_that_would_be_the_same_is_not_asked_for() -> None:
    rules = "".join(
        rule(f"r-{name}", when(name), "{limit: {mobilization: grade_2}}", basis="precaution")
        for name in ("fall", "numb")
    )
    assert names(asked(tiny(rules), {"fall": yes()})) == []
    stops = "".join(
        rule(f"r-{name}", when(name), "{care_today: with_precautions}") for name in ("fall", "numb")
    )
    assert names(asked(tiny(stops), {"fall": yes()})) == []


def test_a_question_that_could_only_permit_is_asked() -> None:
    worth = rule("worth", when("fall"), "{target: thrust}")
    assert names(asked(tiny(worth))) == ["fall"]
    already = rule("already", when("numb"), "{target: thrust}")
    assert names(asked(tiny(worth + already), {"numb": yes()})) == []


def test_a_decided_branch_is_not_asked() -> None:
    rules = rule("both", f"{{all: [{when('a')}, {when('b')}]}}", "{care_today: no_hands_on}")
    program = tiny(rules, EXTRA)
    assert names(asked(program)) == ["a", "b"]
    assert names(asked(program, {"a": yes()})) == ["b"]
    assert names(asked(program, {"a": no()})) == []


def test_prepare_rules_ask_nothing() -> None:
    texts = 'texts: {note: {say: "Mind.", evidence: [{common_practice: x}]}}\n'
    rules = rule("says", when("fall"), "{cautions: [note]}", phase="prepare")
    assert asked(tiny(rules, texts)) == []


def test_what_matters_only_through_another_rule_is_asked() -> None:
    book = "conclusions: {weak: {title: Weak, combine: flag, careful: more}}\n"
    rules = rule("weak", when("fall"), "{weak: true}") + rule(
        "stops", "{conclusion: weak, holds: true}", "{care_today: no_hands_on}"
    )
    questions = asked(tiny(rules, book))
    assert names(questions) == ["fall"]
    assert questions[0]["could"] == {"care_today": "no_hands_on"}
    assert questions[0]["rules"] == ["weak"]


def test_whether_it_applies_is_asked_first() -> None:
    """Down to the first of several findings that stand on each other."""
    extra = presences(
        "a", "b", "c",
        b="applies_when: {finding: a, is: yes}", c="applies_when: {finding: b, is: yes}",
    )  # fmt: skip
    program = tiny(rule("r1", when("c"), "{care_today: no_hands_on}"), extra)
    assert names(asked(program)) == ["a"]
    assert names(asked(program, {"a": yes()})) == ["b"]
    assert names(asked(program, {"a": yes(), "b": yes()})) == ["c"]


def test_the_reason_for_missing_is_kept() -> None:
    program = tiny(rule("r1", when("numb"), "{care_today: no_hands_on}"))
    for reason in (Missing.DECLINED, Missing.STALE, Missing.CONFLICTING):
        assert asked(program, missing={"numb": reason})[0]["reason"] == reason.value


def test_a_level_s_question_is_asked_at_its_level() -> None:
    program = tiny(
        rule("each", "{finding: segment.provocation, is: local}",
             "{segment.limit: {thrust: barred}}", for_each="segment", basis="precaution")
    )  # fmt: skip
    questions = asked(program, None, "L4", "L5")
    assert names(questions) == ["segment.provocation@L4", "segment.provocation@L5"]
    assert questions[0]["level"] == "L4"


def test_a_feature_is_asked_by_the_findings_it_reads_or_as_a_record() -> None:
    """A course that was not sent cannot be asked of the patient: it is to be recorded."""
    program = tiny(
        rule("late", "{feature: session_number, at_least: 5}", "{care_today: with_precautions}")
    )
    question = asked(program)[0]
    assert question["finding"] == "session_number"
    assert question["ask"].startswith("Record: ")
    assert not question["alone"]


def test_a_block_is_named() -> None:
    extra = "blocks: {both: {ask: Any?, findings: [a]}}\n" + presences("a", a="block: both")
    program = tiny(rule("r1", when("a"), "{care_today: no_hands_on}"), extra)
    question = asked(program)[0]
    assert (question["block"], question["alone"]) == ("both", False)
