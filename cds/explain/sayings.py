"""Conclusions, inputs and tests of a chain in plain words, from the rule book's own titles."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cds.explain.words import measured, title_of, word
from cds.rulebook.program import Program
from cds.vocabulary.advice import ChainInput, Test
from cds.vocabulary.model import CARE, NAMELESS, Combine

ROMAN = {"1": "I", "2": "II", "3": "III", "4": "IV"}
"""How grades of mobilization are written."""

CARE_WORDS = dict(
    zip(
        CARE, ("hands-on care may go on", "go on with precautions", "no hands-on care"), strict=True
    )
)


def conclusion_text(program: Program, slot: str, value: str) -> str:
    """What one conclusion says: `thrust at L5: barred`, `refer to imaging, urgent`."""
    base, _, level = slot.partition("@")
    name, _, key = base.removeprefix("segment.").partition(".")
    where = _where(level)
    if name == "care_today":
        return CARE_WORDS.get(value, word(value))
    if name == "referral":
        return f"refer to {_lower(program.destinations.get(key, word(key)))}, {word(value)}"
    if name == "concern":
        return f"{word(value)} concern for {_lower(program.concerns.get(key, word(key)))}"
    if name == "limit":
        family = _lower(program.ladder.family(key).title)
        if value in ("barred", "allowed"):
            return f"{family}{where}: {value}"
        return f"{family}{where}: no further than {grade_text(value)}"
    if name == "indication":
        return f"{_lower(program.ladder.family(key).title)} is indicated{where}"
    if name == "target":
        return f"response and need reach as far as {_rung(program, value)}{where}"
    title = title_of(program, slot)
    return _lower(title) if value == "yes" else f"{_lower(title)}: {word(value)}"


def conclusion_texts(program: Program, said: Sequence[tuple[str, str]]) -> list[str]:
    """What several conclusions of one step say: every family barred is said once, and what is only
    chosen to be shown (cards, texts) not at all.
    """
    hands_on = [family.name for family in program.ladder.of_group("hands_on")]
    barred: dict[str, set[str]] = {}
    for slot, value in said:
        base, _, level = slot.partition("@")
        key = base.removeprefix("segment.").removeprefix("limit.")
        if value == "barred" and key in hands_on:
            barred.setdefault(level, set()).add(key)
    whole = {level for level, keys in barred.items() if len(keys) == len(hands_on)}
    stopped = ("care_today", CARE[-1]) in said
    found: list[str] = []
    for slot, value in sorted(said, key=_first):
        base, _, level = slot.partition("@")
        name, _, key = base.removeprefix("segment.").partition(".")
        entry = program.conclusions.get(name)
        if entry is not None and entry.combine is Combine.SET:
            continue
        if name == "limit" and value == "barred" and key in hands_on and level in whole:
            if not stopped:  # no hands-on care at all says it already
                found.append(f"all hands-on care{_where(level)}: barred")
        else:
            found.append(conclusion_text(program, slot, value))
    return list(dict.fromkeys(found))


_ORDER = ("referral", "concern", "care_today", "limit", "indication", "target")


def _first(said: tuple[str, str]) -> int:
    """Where a conclusion stands in a sentence: the gravest kind first, the order given within."""
    name = said[0].partition("@")[0].removeprefix("segment.").partition(".")[0]
    return _ORDER.index(name) if name in _ORDER else len(_ORDER)


def _where(level: str) -> str:
    return f" at {level}" if level and level != NAMELESS else ""


def grade_text(value: str) -> str:
    """A limit in words: `grade_3` as `grade III`."""
    stem, _, last = value.rpartition("_")
    return f"{word(stem)} {ROMAN[last]}" if stem and last in ROMAN else word(value)


def input_text(program: Program, entry: ChainInput) -> str:
    """One input as it was recorded or computed: `Provocation at L4: concordant`."""
    title = title_of(program, entry["name"])
    if entry.get("not_applicable"):
        return f"{title}: does not apply"
    if "value" in entry:
        rungs = [rung.name for rung in program.ladder.rungs]
        value = entry["value"]
        said = _rung(program, value) if value in rungs else word(value)
        return f"{title}: {measured(program, entry['name'], said)}"
    if "one_of" in entry:
        return f"{title}: {' or '.join(word(option) for option in entry['one_of'])}"
    low, high = entry.get("low"), entry.get("high")
    if low is not None and high is not None:
        return f"{title}: {low} to {high}"
    return f"{title}: at least {low}" if low is not None else f"{title}: at most {high}"


def fact_text(program: Program, test: Test, inputs: Mapping[str, ChainInput]) -> str:
    """What decided one test: the recorded value, an earlier step, or that nobody concluded it."""
    name = test.get("input")
    choice = program.policy.get(test.get("policy", ""))
    if choice is not None:
        return f"local policy ({_lower(choice.title)}): {word(test.get('value', ''))}"
    if name is not None:
        entry = inputs.get(name)
        if test["result"] == "unknown" or entry is None:
            return f"{_lower(title_of(program, name))}: not known"
        return _lower(input_text(program, entry))
    if test["result"] == "unknown":
        return f"not known yet: {_lower(test['text'])}"
    if test.get("steps"):
        holds = _lower(test["text"].removesuffix(" holds"))
        return holds if test["result"] == "true" else f"not: {holds}"
    return f"not concluded: {_lower(test['text'].removesuffix(' holds'))}"


def _rung(program: Program, name: str) -> str:
    titles = {rung.name: rung.title for rung in program.ladder.rungs}
    return _lower(titles.get(name, word(name)))


def _lower(text: str) -> str:
    """A title inside a sentence. An abbreviation or a name of two capitals keeps them."""
    return text if len(text) > 1 and text[1].isupper() else text[:1].lower() + text[1:]
