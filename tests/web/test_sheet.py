from __future__ import annotations

from dataclasses import replace

from cds.vocabulary.model import LEVELS, Scope
from cds.web.sheet import BlockAsked, Question, level_questions, level_rows, parts, question
from tests.support.shipped import shipped_service

PROGRAM = shipped_service().program


def questions() -> list[Question]:
    found: list[Question] = []
    for part in parts(PROGRAM):
        for entry in part.asks:
            found += entry.questions if isinstance(entry, BlockAsked) else [entry]
    return found


def test_every_finding_can_be_recorded_in_exactly_one_place() -> None:
    asked = [q.finding for q in questions()] + [f.name for f in level_questions(PROGRAM)]
    assert sorted(asked) == sorted(PROGRAM.findings)


def test_the_visit_goes_as_the_rule_book_orders_it() -> None:
    assert [part.id for part in parts(PROGRAM)] == [part.id for part in PROGRAM.visit]
    order = [part.id for part in parts(PROGRAM)]
    assert order.index("course") < order.index("history") < order.index("screening_alone")
    assert order.index("screening_blocks") < order.index("examination") < order.index("levels")
    assert order.index("levels") < order.index("consent")


def test_what_is_asked_alone_is_in_no_block_and_a_block_is_whole() -> None:
    blocks = [e for part in parts(PROGRAM) for e in part.asks if isinstance(e, BlockAsked)]
    assert {b.block for b in blocks} == set(PROGRAM.blocks)
    for block in blocks:
        assert tuple(q.finding for q in block.questions) == PROGRAM.blocks[block.block].findings
        assert not [q.finding for q in block.questions if q.alone]
    alone = {n for n, f in PROGRAM.findings.items() if f.ask_alone}
    single = {e.finding for part in parts(PROGRAM) for e in part.asks if isinstance(e, Question)}
    assert alone and alone <= single


def test_without_a_visit_everything_is_asked_in_one_part_and_the_sheets_own_follow() -> None:
    found = parts(replace(PROGRAM, visit=()))
    assert [part.id for part in found] == ["also", "course", "levels", "consent"]
    asked = [e for e in found[0].asks if isinstance(e, Question)]
    blocks = [e for e in found[0].asks if isinstance(e, BlockAsked)]
    count = len(asked) + sum(len(b.questions) for b in blocks)
    assert count == sum(f.scope is Scope.CASE for f in PROGRAM.findings.values())


def test_a_question_keeps_the_words_of_the_book() -> None:
    for name, finding in PROGRAM.findings.items():
        found = question(finding)
        assert " - ".join(filter(None, (found.ask, found.hint))) == finding.ask, name
        if found.options and not finding.numeric:
            assert tuple(o.value for o in found.options) == finding.values
            assert {o.value for o in found.options if o.adverse} == set(finding.adverse)


def test_a_short_score_is_a_row_of_numbers_and_a_long_one_a_field() -> None:
    pain = question(PROGRAM.findings["pain"])
    assert [o.value for o in pain.options] == [str(n) for n in range(11)] and pain.by_value
    index = question(PROGRAM.findings["disability_index"])
    assert not index.options and (index.low, index.high) == ("0", "100")


def test_a_level_asks_for_three_positions_and_its_findings() -> None:
    rows = level_rows(PROGRAM)
    assert [row.level for row in rows] == list(LEVELS)
    last = rows[-1]
    assert [name for _, name in last.positions] == [
        "s.S1.flexion", "s.S1.neutral", "s.S1.extension",
    ]  # fmt: skip
    assert last.questions[0].name == "s.S1.a.provocation"
    assert last.questions[0].ends == "s.S1.r.provocation"
    assert [q.always for q in last.questions if q.name.endswith("slip")] == [False]
