"""In careful books, adding a careful conclusion only makes what depends on it more careful.

Checked by doing it: a rule that always fires and concludes the hardest is added to the book, and no
rule that leads to more care may fall quiet, none that leads to less may start to fire.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from cds.engine.chainer import Chainer
from cds.engine.port import Outcome
from cds.engine.randombook import COMMON, random_book
from cds.engine.randomcase import random_inputs
from cds.rulebook.book import Book, Rule, Write
from cds.rulebook.compile import compile_book
from cds.rulebook.conditions import Leaf, Source
from cds.rulebook.program import Program
from cds.vocabulary.model import Careful
from cds.vocabulary.values import Op

HARDEST = {
    "care_today": Write("care_today", "no_hands_on"),
    "referral": Write("referral", "emergency", "emergency_department"),
    "concern": Write("concern", "emergency", "fracture"),
}


def with_hardest(book: Book, write: Write) -> Book:
    always = Leaf(Source.POLICY, "session", Op.AT_LEAST, ("0",))
    added = Rule(
        id="added", title="added", topic="t", when=always, then=(write,), holds=(), because="b",
        evidence=COMMON, owner="o", approved=None, review_by=None,
    )  # fmt: skip
    return replace(book, rules={**book.rules, "added": added})


def writers(program: Program, outcome: tuple[int, ...], careful: Careful) -> set[object]:
    """(rule, level, side) of the given instances that conclude something of this lean."""
    found: set[object] = set()
    for number in outcome:
        i = program.instances[number]
        if any(program.slots[w.slot].careful is careful for w in i.then):
            found.add((i.rule, i.level, i.side))
    return found


def test_adding_care_never_softens() -> None:
    moved = 0
    for seed in range(60):
        rng = Random(seed)
        book = random_book(rng, careful=True)
        name = rng.choice(tuple(HARDEST))
        plain, harder = compile_book(book), compile_book(with_hardest(book, HARDEST[name]))
        for _ in range(4):
            given = random_inputs(rng, plain, path=False)
            one: Outcome = Chainer(plain).evaluate(given)
            two: Outcome = Chainer(harder).evaluate(given)
            more = [writers(p, o.fired, Careful.MORE) for p, o in ((plain, one), (harder, two))]
            less = [writers(p, o.fired, Careful.LESS) for p, o in ((plain, one), (harder, two))]
            could = [
                writers(p, (*o.fired, *o.open), Careful.LESS)
                for p, o in ((plain, one), (harder, two))
            ]
            assert more[0] <= more[1]
            assert less[1] <= less[0]
            assert could[1] <= could[0]
            moved += less[1] < less[0] or more[0] < {m for m in more[1] if m[0] != "added"}  # type: ignore[index]
    assert moved > 5  # some rule did depend on it


def test_plain_books_break_that_law() -> None:
    """The other mode is really without the direction check: the same law fails there."""
    broken = 0
    for seed in range(70):
        rng = Random(seed)
        book = random_book(rng)
        plain, harder = compile_book(book), compile_book(with_hardest(book, HARDEST["care_today"]))
        given = random_inputs(rng, plain, path=False)
        one, two = Chainer(plain).evaluate(given), Chainer(harder).evaluate(given)
        broken += not (
            writers(plain, one.fired, Careful.MORE) <= writers(harder, two.fired, Careful.MORE)
        )
    assert broken > 0
