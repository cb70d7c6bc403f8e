"""Order, mirror, narrowing and caution, over random cases on the base book and the shipped one."""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest

from cds.canon import canonical
from cds.decide import Decider
from cds.engine.randombook import random_book, shuffled
from cds.problems import CaseError
from cds.rulebook.book import Basis, Book, Evidence, Rule, Write
from cds.rulebook.checks import mirror_problems
from cds.rulebook.compile import compile_book
from cds.rulebook.conditions import Leaf, Source
from cds.rulebook.load import load_book
from cds.vocabulary.advice import Advice
from cds.vocabulary.case import Case
from cds.vocabulary.computed import features_for
from cds.vocabulary.model import CARE, URGENCIES, Kind, Scope
from cds.vocabulary.reading import read_case
from cds.vocabulary.values import Op
from cds.vocabulary.write import mirror_case
from tests.support.fixtures import folder
from tests.support.randomcase import random_case
from tests.support.runner import case_of

ROOT = Path(__file__).parents[2]
BOOKS = ("base", "random", "shipped")
COUNT = {"base": 150, "shipped": 25}
RANDOM_BOOKS = 40
CASES_EACH = 5


def books(which: str, seed: int) -> list[tuple[Book, Decider, int]]:
    """(book, decider, how many cases): one small book, forty random careful ones, or the
    shipped."""
    if which == "random":
        rng = Random(seed)
        made = []
        for _ in range(RANDOM_BOOKS):
            book = random_book(rng, careful=True)
            every = {**features_for(book.ladder.rung_names), **book.features}
            made.append(replace(book, features=every))
        return [(book, Decider(compile_book(book)), CASES_EACH) for book in made]
    root = ROOT / "tests" / "rulebook" / "base" if which == "base" else ROOT / "rules"
    book = load_book(root)
    return [(book, Decider(compile_book(book)), COUNT[which])]


def cases(
    which: str, seed: int, times: int = 1, asymmetric: bool = True
) -> Iterator[tuple[Book, Decider, dict[str, Any], Case]]:
    """Random cases over the books, as JSON and read. Without `asymmetric`: mirror-equal books
    only."""
    rng = Random(seed)
    for book, decider, count in books(which, seed):
        if not asymmetric and mirror_problems(decider.program):
            continue
        for _ in range(count * times):
            data = random_case(rng, decider.vocabulary)
            yield book, decider, data, read_case(decider.vocabulary, data)


@pytest.mark.parametrize("which", BOOKS)
def test_order_of_files_and_rules_never_changes_the_bytes(which: str) -> None:
    """Same meaning in another order: same digest, same advice bytes; and twice the same bytes."""
    rng = Random(1)
    for book, decider, count in books(which, 1):
        others = [Decider(compile_book(shuffled(rng, book))) for _ in range(2)]
        assert {o.program.digest for o in others} == {decider.program.digest}
        for _ in range(count):
            case = read_case(decider.vocabulary, random_case(rng, decider.vocabulary))
            wanted = canonical(decider.decide(case))
            assert canonical(decider.decide(case)) == wanted
            assert canonical(rng.choice(others).decide(case)) == wanted


_OTHER = {"left": "right", "right": "left", "Left": "Right", "Right": "Left"}


def swapped(value: Any) -> Any:
    """The JSON with the words left and right exchanged wherever they stand."""
    if isinstance(value, dict):
        return {key: swapped(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [swapped(inner) for inner in value]
    if isinstance(value, str):
        return re.sub(r"(?i)\b(left|right)\b", lambda m: _OTHER[m[0]], value)
    return value


def sided(value: Any) -> Any:
    """Lists in an order that does not depend on sides, and no numbers or digest that do."""
    if isinstance(value, dict):
        dropped = ("number", "steps", "digest", "input")
        return {key: sided(inner) for key, inner in value.items() if key not in dropped}
    if isinstance(value, list):
        return sorted((sided(inner) for inner in value), key=repr)
    return value


@pytest.mark.parametrize("which", BOOKS)
def test_a_mirrored_case_gives_mirrored_advice(which: str) -> None:
    for _, decider, _, case in cases(which, 2, asymmetric=False):
        advice = decider.decide(case)
        mirrored = decider.decide(mirror_case(decider.vocabulary, case))
        assert sided(swapped(mirrored)) == sided(advice)


def rank(decider: Decider, advice: Advice, reading: str) -> tuple[int, int, int]:
    """How careful a reading is: care, worst urgency, and how far down the path ends."""
    care = CARE.index(advice["care_today"][reading])  # type: ignore[literal-required]
    urgency = max(
        (URGENCIES.index(r["urgency"][reading]) for r in advice["referrals"]),  # type: ignore[literal-required]
        default=0,
    )
    ups = [s["path"]["up_to"][reading] for s in advice["segments"]]  # type: ignore[literal-required]
    reached = max((decider.resolver.place[up] for up in ups), default=0)
    return care, urgency, -reached


@pytest.mark.parametrize("which", BOOKS)
def test_now_lies_between_the_bounds(which: str) -> None:
    for _, decider, _, case in cases(which, 3):
        advice = decider.decide(case)
        most, now, least = (
            rank(decider, advice, reading) for reading in ("most_careful", "now", "least_careful")
        )
        for high, middle, low in zip(most, now, least, strict=True):
            assert high >= middle >= low
        # the case's own path, which is only that of the levels treated today
        place, ups = decider.resolver.place, advice["path"]["up_to"]
        assert place[ups["most_careful"]] <= place[ups["now"]] <= place[ups["least_careful"]]


@pytest.mark.parametrize("which", BOOKS)
def test_an_answer_only_narrows_and_never_unfires(which: str) -> None:
    """Record one more finding on the as-of date: fired rules stay, the bounds move inward only."""
    rng = Random(4)
    answered = 0
    for _, decider, data, _ in cases(which, 4, times=2):
        before = decider.decide(read_case(decider.vocabulary, data))
        open_names = [
            f.name for f in decider.vocabulary.findings.values()
            if f.scope is Scope.CASE and not f.numeric and f.kind is not Kind.DATE
            and f.name not in data["answers"]
        ]  # fmt: skip
        if not open_names:
            continue
        name = rng.choice(open_names)
        data["answers"][name] = rng.choice(decider.vocabulary.findings[name].values)
        try:
            after = decider.decide(read_case(decider.vocabulary, data))
        except CaseError:
            continue  # the finding does not apply to this case
        # an answer may shorten how long others are good for: that is a new case, not a narrowing
        if after["answers"]["stale"] != before["answers"]["stale"]:
            continue
        answered += 1
        assert fired(before) <= fired(after)
        for old, new in zip(
            rank(decider, before, "most_careful"), rank(decider, after, "most_careful"), strict=True
        ):
            assert new <= old
        for old, new in zip(
            rank(decider, before, "least_careful"),
            rank(decider, after, "least_careful"),
            strict=True,
        ):
            assert new >= old
        place, old_ups, new_ups = (
            decider.resolver.place, before["path"]["up_to"], after["path"]["up_to"],
        )  # fmt: skip
        assert place[new_ups["most_careful"]] >= place[old_ups["most_careful"]]
        assert place[new_ups["least_careful"]] <= place[old_ups["least_careful"]]
    assert answered >= 5


def fired(advice: Advice) -> set[tuple[str, str, str]]:
    """The judge rules that fired. Prepare rules follow the path as it stands."""
    return {
        (step["rule"], step.get("level", ""), step.get("side", ""))
        for step in advice["chain"]["steps"]
        if step["status"] == "fired" and step["phase"] == "judge"
    }


def always(write: Write) -> Rule:
    """A rule that fires at every moment; one that limits a level does so from L4 downward only."""
    if write.reach == "segment":
        own = Leaf(Source.FEATURE, "segment.level", Op.AT_LEAST, ("L4",))
        return replace(always(replace(write, reach="case")), when=own, then=(write,),
                       for_each=("segment",))  # fmt: skip
    return Rule(
        id="zz-added", title="Added", topic="test",
        when=Leaf(Source.FEATURE, "moment", Op.IN,
                  ("before_session", "during_session", "after_session", "contact")),
        then=(write,), holds=(), because="Test.", evidence=(Evidence(common_practice="test"),),
        owner="tests", approved=None, review_by=None, basis=Basis.PRECAUTION,
    )  # fmt: skip


def added_writes(book: Book) -> list[Write]:
    writes = [
        Write("limit", limit, family.name)
        for family in book.ladder.families
        for limit in family.limits[:-1]
    ]
    writes += [replace(write, reach="segment") for write in writes]
    writes += [Write("concern", level, key) for key in book.concerns for level in ("some", "high")]
    writes += [Write("referral", u, key) for key in book.destinations for u in URGENCIES[1:]]
    return [*writes, Write("care_today", "with_precautions"), Write("care_today", "no_hands_on")]


@pytest.mark.parametrize("which", BOOKS)
def test_adding_a_limit_concern_or_referral_only_makes_care_more_careful(which: str) -> None:
    """A fired limit, concern or referral never softens care and never raises any level's up_to.

    Limits of the whole case and of single levels. The case's own path is that of the two levels
    treated today, so a limit at one of them may bring another level in: DEVELOPERS.md, Path.
    """
    rng = Random(5)
    stricter: dict[int, tuple[Decider, Write]] = {}
    for book, decider, _, case in cases(which, 5):
        if id(book) not in stricter or rng.random() < 0.1:
            write = rng.choice(added_writes(book))
            rules = {**book.rules, "zz-added": always(write)}
            stricter[id(book)] = Decider(compile_book(replace(book, rules=rules))), write
        other, write = stricter[id(book)]
        before, after = decider.decide(case), other.decide(case)
        for reading in ("now", "most_careful", "least_careful"):
            for old, new in zip(
                rank(decider, before, reading), rank(other, after, reading), strict=True
            ):
                assert new >= old, (write, reading)
            place = decider.resolver.place
            reached = {s["level"]: place[s["path"]["up_to"][reading]] for s in before["segments"]}
            for segment in after["segments"]:
                up_to = place[segment["path"]["up_to"][reading]]
                assert up_to <= reached[segment["level"]], (write, reading, segment["level"])


def test_no_limit_on_hands_on_care_raises_any_level_of_any_fixture() -> None:
    """Every limit of every hands-on family, of the case and of single levels, added to the shipped
    book one at a time, over every fixture that is offered hands-on care."""
    book = load_book(ROOT / "rules")
    plain = Decider(compile_book(book))
    place = plain.resolver.place
    offered = []
    for fixture in folder("cases"):
        if not fixture.policy:
            case = case_of(fixture)
            advice = plain.decide(case)
            if advice["headline"]["kind"] == "hands_on":
                offered.append((fixture.name, case, advice))
    assert len(offered) >= 40
    lowered = 0
    writes = [
        Write("limit", limit, family.name, reach)
        for family in book.ladder.of_group("hands_on")
        for limit in family.limits[:-1]
        for reach in ("case", "segment")
    ]
    for write in writes:
        rules = {**book.rules, "zz-added": always(write)}
        stricter = Decider(compile_book(replace(book, rules=rules)))
        for name, case, before in offered:
            after = stricter.decide(case)
            reached = {s["level"]: place[s["path"]["up_to"]["now"]] for s in before["segments"]}
            for segment in after["segments"]:
                up_to = place[segment["path"]["up_to"]["now"]]
                assert up_to <= reached[segment["level"]], (name, write, segment["level"])
                lowered += up_to < reached[segment["level"]]
    assert lowered >= 100
