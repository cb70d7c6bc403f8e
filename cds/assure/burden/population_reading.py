"""Reads a population file; every problem is collected with its line, none is guessed away."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from decimal import Decimal
from pathlib import Path
from typing import TypeVar

from cds.assure.burden.population import (
    SOURCE_STATUS,
    Because,
    Condition,
    Courses,
    Entry,
    Given,
    Population,
    Source,
    Stratum,
    Words,
)
from cds.problems import ProblemsError, has_errors
from cds.rulebook.fields import (
    Fields,
    Sink,
    as_decimal,
    as_items,
    as_mapping,
    as_whole,
    as_words,
    hint,
)
from cds.rulebook.reading import read_text
from cds.rulebook.tree import Mapping, Node, Sequence

KEYS = ("language", "population", "sources", "strata", "conditions", "findings", "events", "course")
TOLERANCE = Decimal("0.0005")
"""How far the strata may be from one altogether."""

PACKAGE = Path(__file__).resolve().parents[2]

_T = TypeVar("_T")


class PopulationError(ProblemsError):
    """A population file was refused. `text` is what it says, for showing problems."""

    def __init__(self, problems: Iterable[object], text: str, name: str) -> None:
        super().__init__(problems)  # type: ignore[arg-type]
        self.texts = {name: text}


def default_population(package: Path = PACKAGE) -> Path:
    """The packaged population file, else the checkout's. It may be absent: reading says so."""
    packaged = package / "_population.yaml"
    return packaged if packaged.is_file() else package.parent / "fixtures" / "population.yaml"


def read_population(path: Path) -> Population:
    """The declared population. Raises `PopulationError` with every problem, OSError if absent."""
    data = path.read_bytes()
    root, problems = read_text(data, path.name)
    sink = Sink(list(problems))
    found = _Reader(sink).read(root) if isinstance(root, Mapping) else None
    if isinstance(root, Sequence) or (root is not None and not isinstance(root, Mapping)):
        sink.error("wrong-node", "a population file is a mapping", root.place)
    if found is None or has_errors(sink.problems):
        raise PopulationError(sink.problems, data.decode("utf-8", "replace"), path.name)
    return found


class _Reader:
    def __init__(self, sink: Sink) -> None:
        self.sink = sink
        self.sources: dict[str, Source] = {}
        self.words_of: dict[str, tuple[str, ...]] = {}

    def read(self, root: Mapping) -> Population:
        fields = Fields(root, "the population file", KEYS, self.sink)
        if fields.whole("language", required=True) not in (None, 1):
            self.sink.error(
                "language-version", "`language` must be 1", fields.key_place("language")
            )
        self.sources = {s.id: s for s in self._named(fields, "sources", self._source)}
        head = fields.node("population", required=True)
        about = Fields(
            head if isinstance(head, Mapping) else Mapping(root.place, ()), "the population",
            ("title", "as_of", "seed", "first_visits", "follow_ups", "dialogues", "with_a_flag",
             "flag_ages", "consent"), self.sink,
        )  # fmt: skip
        share = self._share_entry(about, "with_a_flag")
        consent = self._share_entry(about, "consent")
        ages = about.node("flag_ages")
        bands = as_items(ages, "`flag_ages`", self.sink) if ages is not None else ()
        strata = self._listed(fields, "strata", self._stratum)
        self._whole_strata(strata, fields)
        conditions = self._listed(fields, "conditions", self._condition)
        self.words_of["condition"] = ("none", *(c.id for c in conditions))
        self.words_of["sex"] = ("female", "male")
        findings = self._named(fields, "findings", self._entry)
        events = self._named(fields, "events", self._entry)
        day = about.day("as_of", required=True)
        course = self._course(fields)
        return Population(
            title=about.text("title"),
            as_of=day,  # type: ignore[arg-type]  # None only beside a problem, which refuses it
            seed=about.whole("seed", required=True, low=0) or 0,
            first=about.whole("first_visits", required=True, low=1) or 1,
            follow_up=about.whole("follow_ups", required=True, low=1) or 1,
            dialogues=about.whole("dialogues", required=True, low=1) or 1,
            flag_share=share,
            flag_ages=tuple(self._ages(band, "`flag_ages`") for band in bands),
            consent=consent,
            sources=tuple(self.sources.values()),
            strata=strata,
            conditions=conditions,
            findings=findings,
            events=events,
            courses=course,
        )

    # ------------------------------------------------------------ parts
    def _source(self, name: str, node: Mapping) -> Source:
        fields = Fields(node, f"source `{name}`", ("title", "status"), self.sink)
        status = fields.word("status", SOURCE_STATUS) or SOURCE_STATUS[-1]
        return Source(name, fields.text("title"), status)

    def _stratum(self, node: Mapping) -> Stratum:
        fields = Fields(node, "a stratum", ("id", "share", "ages", "female", "evidence"), self.sink)
        ages = fields.node("ages", required=True)
        return Stratum(
            fields.text("id"),
            self._share(fields, "share"),
            self._ages(ages, "`ages` of a stratum") if ages is not None else (0, 0),
            self._share(fields, "female"),
            self._evidence(fields),
        )

    def _condition(self, node: Mapping) -> Condition:
        fields = Fields(node, "a condition", ("id", "share", "evidence"), self.sink)
        return Condition(fields.text("id"), self._share(fields, "share"), self._evidence(fields))

    def _entry(self, name: str, node: Mapping) -> Entry:
        what = f"`{name}`"
        fields = Fields(
            node, what, ("words", "otherwise", "given", "numbers", "unknown", "flag", "evidence"),
            self.sink,
        )  # fmt: skip
        if ("words" in fields) == ("numbers" in fields):
            self.sink.error("missing-key", f"{what} has either `words` or `numbers`", fields.place)
        numbers = fields.node("numbers")
        words = self._words(fields.node("words"), f"`words` of {what}")
        otherwise = fields.text("otherwise") if "words" in fields else ""
        node_given = fields.node("given")
        given = (
            tuple(
                self._given(item, what)
                for item in as_items(node_given, f"`given` of {what}", self.sink)
            )
            if node_given is not None
            else ()
        )
        known = {otherwise, *(w for w, _ in words), *(w for g in given for w, _ in g.words)}
        self.words_of[name] = tuple(sorted(known - {""}))
        flag = fields.words("flag", self.words_of[name])
        return Entry(
            name,
            words,
            otherwise,
            given,
            self._bounds(numbers, what) if numbers is not None else None,
            self._share(fields, "unknown") if "unknown" in fields else 0.0,
            flag,
            self._evidence(fields),
        )

    def _given(self, node: Node, what: str) -> Given:
        mapping = as_mapping(node, f"a member of `given` of {what}", self.sink)
        fields = Fields(
            mapping or Mapping(node.place, ()), f"`given` of {what}", ("if", "words"), self.sink
        )
        tests: list[tuple[str, tuple[str, ...]]] = []
        age: tuple[int, int] | None = None
        condition = fields.node("if", required=True)
        tested = as_mapping(condition, "`if`", self.sink) if condition is not None else None
        for entry in tested.entries if tested else ():
            if entry.key == "age":
                age = self._ages(entry.value, "`age`")
            elif entry.key in self.words_of:
                words = as_words(entry.value, f"`{entry.key}`", self.sink, self.words_of[entry.key])
                tests.append((entry.key, words))
            else:
                self.sink.error(
                    "unknown-name", f"`{entry.key}` is not drawn before {what}", entry.key_place,
                    hint(entry.key, self.words_of),
                )  # fmt: skip
        return Given(tuple(tests), age, self._words(fields.node("words", required=True), "`words`"))

    def _course(self, fields: Fields) -> Courses:
        node = fields.node("course", required=True)
        mapping = as_mapping(node, "`course`", self.sink) if node is not None else None
        keys = ("sessions", "days_between", "rungs", "gain", "minor", "longer", "distal",
                "worsened", "evidence")  # fmt: skip
        part = Fields(mapping or Mapping(fields.place, ()), "`course`", keys, self.sink)
        pairs = [part.node(key, required=True) for key in ("sessions", "days_between")]
        sessions, days = (self._ages(p, "a range") if p is not None else (1, 1) for p in pairs)
        shares = [self._share(part, key) for key in keys[3:8]]
        return Courses(
            sessions, days, part.texts("rungs", required=True) or ("",),
            shares[0], shares[1], shares[2], shares[3], shares[4], self._evidence(part),
        )  # fmt: skip

    # ------------------------------------------------------------ small ones
    def _named(
        self, fields: Fields, key: str, read: Callable[[str, Mapping], _T]
    ) -> tuple[_T, ...]:
        node = fields.node(key, required=True)
        mapping = as_mapping(node, f"`{key}`", self.sink, empty=True) if node is not None else None
        found: list[_T] = []
        for entry in mapping.entries if mapping else ():
            part = as_mapping(entry.value, f"`{entry.key}`", self.sink)
            if part is not None:
                found.append(read(entry.key, part))
        return tuple(found)

    def _listed(self, fields: Fields, key: str, read: Callable[[Mapping], _T]) -> tuple[_T, ...]:
        node = fields.node(key, required=True)
        items = as_items(node, f"`{key}`", self.sink) if node is not None else ()
        parts = (as_mapping(item, f"a member of `{key}`", self.sink) for item in items)
        return tuple(read(part) for part in parts if part is not None)

    def _evidence(self, fields: Fields) -> tuple[Because, ...]:
        node = fields.node("evidence", required=True)
        items = (
            as_items(node, f"`evidence` of {fields.what}", self.sink) if node is not None else ()
        )
        found: list[Because] = []
        for item in items:
            mapping = as_mapping(item, "evidence", self.sink)
            if mapping is None:
                continue
            part = Fields(mapping, "evidence", ("source", "at", "common_practice"), self.sink)
            if ("source" in part) == ("common_practice" in part):
                self.sink.error(
                    "missing-key", "evidence names a `source` or says `common_practice`",
                    part.place,
                )  # fmt: skip
            elif "source" in part:
                source = part.word("source", self.sources)
                found.append(Because(source, part.text("at", required=False)))
            else:
                found.append(Because(None, part.text("common_practice")))
        return tuple(found)

    def _share_entry(self, fields: Fields, key: str) -> float:
        node = fields.node(key, required=True)
        mapping = as_mapping(node, f"`{key}`", self.sink) if node is not None else None
        if mapping is None:
            return 0.0
        part = Fields(mapping, f"`{key}`", ("share", "evidence"), self.sink)
        self._evidence(part)
        return self._share(part, "share")

    def _share(self, fields: Fields, key: str) -> float:
        node = fields.node(key, required=True)
        return float(self._proportion(node, f"`{key}` of {fields.what}")) if node else 0.0

    def _proportion(self, node: Node, what: str) -> Decimal:
        number = as_decimal(node, what, self.sink)
        if number is not None and not 0 <= number <= 1:
            self.sink.error("bad-number", f"{what} must be between 0 and 1", node.place)
            return Decimal(0)
        return number or Decimal(0)

    def _words(self, node: Node | None, what: str) -> Words:
        mapping = as_mapping(node, what, self.sink, empty=True) if node is not None else None
        if mapping is None:
            return ()
        found = [(e.key, self._proportion(e.value, f"`{e.key}`")) for e in mapping.entries]
        if sum((number for _, number in found), Decimal(0)) > 1:
            self.sink.error("bad-number", f"{what} are more than 1 altogether", mapping.place)
        return tuple((word, float(number)) for word, number in found)

    def _whole_strata(self, strata: tuple[Stratum, ...], fields: Fields) -> None:
        total = sum((Decimal(repr(stratum.share)) for stratum in strata), Decimal(0))
        if strata and abs(total - 1) > TOLERANCE:
            self.sink.error(
                "bad-number", f"the shares of the strata are {total} altogether, not 1",
                fields.key_place("strata"),
            )  # fmt: skip

    def _ages(self, node: Node, what: str) -> tuple[int, int]:
        items = as_items(node, what, self.sink)
        numbers = [as_whole(item, what, self.sink, 0) for item in items]
        if len(numbers) != 2 or None in numbers or (numbers[0] or 0) > (numbers[1] or 0):
            self.sink.error("bad-number", f"{what} is two whole numbers, low and high", node.place)
            return (0, 0)
        return (numbers[0] or 0, numbers[1] or 0)

    def _bounds(self, node: Node, what: str) -> tuple[Decimal, Decimal]:
        items = as_items(node, f"`numbers` of {what}", self.sink)
        numbers = [as_decimal(item, f"`numbers` of {what}", self.sink) for item in items]
        if len(numbers) != 2 or numbers[0] is None or numbers[1] is None or numbers[0] > numbers[1]:
            self.sink.error("bad-number", f"`numbers` of {what} are low and high", node.place)
            return (Decimal(0), Decimal(0))
        return (numbers[0], numbers[1])
