from __future__ import annotations

from cds.assure.report.signoff import HEADS, signoff, unsigned
from cds.assure.report.terms import terms_of
from cds.rulebook.program import Program
from tests.assure.report.support import Page, small, terms, text
from tests.support.shipped import shipped_service


def things(program: Program) -> list[tuple[str, bool, str | None, str | None]]:
    """Every reference, straight from the Program: id, from memory, source, practice."""
    return [
        (thing.id, proof.from_memory, proof.source, proof.common_practice)
        for group in (
            program.rules,
            program.policy,
            program.cards,
            program.exercises,
            program.texts,
        )
        for thing in group.values()
        for proof in thing.evidence
    ]


def test_the_list_from_memory_is_what_the_program_says() -> None:
    for program in (small(), shipped_service().program):
        wanted = sorted(
            (name, source or "")
            for name, memory, source, _ in things(program)
            if memory or (source is not None and program.sources[source].status == "memory")
        )
        found = [
            (entry.name, entry.evidence.source or "")
            for entry in unsigned(terms_of(program), "memory")
        ]
        assert sorted(found) == wanted
        assert wanted


def test_the_list_of_common_practice_is_what_the_program_says() -> None:
    program = shipped_service().program
    wanted = sorted(
        (name, practice)
        for name, memory, source, practice in things(program)
        if practice is not None and source is None and not memory
    )
    found = [
        (entry.name, entry.evidence.common_practice)
        for entry in unsigned(terms_of(program), "common_practice")
    ]
    assert sorted(found) == wanted  # type: ignore[type-var]
    assert wanted


def test_each_line_has_a_box_with_a_name_and_room_to_write() -> None:
    markup = "".join(signoff(terms()))
    page = Page(markup)
    lines = len(unsigned(terms(), "memory")) + len(unsigned(terms(), "common_practice"))
    assert page.tags["input"] == lines == 9
    assert sum(key == "aria-label" for key, _ in page.attributes) == lines
    assert page.tags["tr"] == lines + 2
    assert all(head in markup for head in HEADS)
    assert "From memory: 4 to confirm" in markup


def test_rules_come_first_by_number_and_other_things_say_what_they_are() -> None:
    entries = unsigned(terms(), "memory")
    assert [entry.name for entry in entries] == [
        "cauda-equina", "stirred-up", "settled-down", "press-up",
    ]  # fmt: skip
    found = text("".join(signoff(terms())))
    assert "Press-up lying face down (exercise)" in found
    assert "Session from which a thrust may be opened (policy)" in found
    assert small().sources["other-guide"].title in found
