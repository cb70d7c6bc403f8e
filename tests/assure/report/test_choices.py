from __future__ import annotations

from cds.assure.report.choices import choices
from cds.assure.report.terms import terms_of
from tests.assure.report.support import Page, small, terms, text
from tests.support.shipped import shipped_service


def test_a_choice_with_value_range_reason_and_readers() -> None:
    found = text("".join(choices(terms())))
    for part in (
        "Session from which a thrust may be opened",
        "Set to5",
        "May be1 to 12",
        "Local habit of this invented clinic.",
        "1: Nobody is known well enough on the first day.",
        "a floor on the number of sessions common practice",
        "A thrust from the agreed session on",
    ):
        assert part in found, part


def test_every_choice_and_every_whole_number() -> None:
    for program in (small(), shipped_service().program):
        markup = "".join(choices(terms_of(program)))
        assert Page(markup).ids == {f"policy-{name}": 1 for name in program.policy}
        assert markup.count("<tr") == 1 + len(program.parameters)
    assert ">21</td>" in "".join(choices(terms()))
