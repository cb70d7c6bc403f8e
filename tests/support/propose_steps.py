"""Single changes of a case, for the proposer of edges: towards a test, by a step, to nothing."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from itertools import product
from typing import Any

from cds.rulebook.conditions import leaves
from cds.rulebook.program import LeafNode, Program
from cds.vocabulary.computed import ADVERSE, COMPARABLE, GUARDING, RUNGS, SPREAD
from cds.vocabulary.model import URGENCIES, Finding, Kind

Overlay = dict[str, Any]

SIDES = ("symmetric", "left", "right")
YES_NO = ("no", "yes")
MEDICINE = ("none", "opioid", "sedative", "alcohol", "injection", "other")
SESSION: dict[str, tuple[Any, ...]] = {
    "guarding_before": GUARDING,
    "guarding_after": GUARDING,
    "settled": ("within_24h", "within_48h", "longer", "not_settled"),
    "adverse": ADVERSE,
    "medicine_before": MEDICINE,
    "comparable_sign": COMPARABLE,
    "spread": SPREAD,
    "stop_sign": YES_NO,
    "worsened_at": ("none", *RUNGS[2:]),
    "pain_before": tuple(range(11)),
    "pain_after": tuple(range(11)),
    "therapist": ("t-01", "t-02"),
    "on": tuple(f"2026-11-{day:02d}" for day in range(1, 20)),
}
STEP: dict[str, tuple[Any, ...]] = {
    "rung": RUNGS[2:],
    "guarding": GUARDING,
    "pain": tuple(range(11)),
    "spread": SPREAD,
    "new_sign": YES_NO,
    "set_up": ("easy", "pain", "resistance"),
}
CONSENT: dict[str, tuple[Any, ...]] = {
    "capacity": ("yes", "no"),
    "risks_given": YES_NO,
    "alternative_given": YES_NO,
    "region": ("lumbar", "cervical"),
    "withdrawn": ("2026-11-20",),
}


def answer(name: str, value: Any) -> Overlay:
    """An overlay that gives one answer, of the case or of the last listed level."""
    if name.startswith("segment."):
        return {"segments": {"last": {"answers": {name.removeprefix("segment."): value}}}}
    return {"answers": {name: value}}


def _number(finding: Finding, steps: int) -> int | float | None:
    number = finding.number(steps)
    if finding.low is not None and number < finding.low:
        return None
    if finding.high is not None and number > finding.high:
        return None
    return int(number) if number == int(number) else float(number)


def _course(key: str, value: Any) -> Overlay:
    return {"course": {"last": {key: value}}}


def _join(one: Overlay, other: Overlay) -> Overlay:
    found = dict(one)
    for key, value in other.items():
        found[key] = {**found[key], **value} if isinstance(found.get(key), dict) else value
    return found


def toward(program: Program, leaf: LeafNode) -> Iterator[Overlay]:
    """Single changes that may decide the test of a leaf."""
    name = leaf.input.partition("@")[0]
    finding = program.findings.get(name)
    if finding is not None:
        values: list[Any] = []
        if finding.numeric and leaf.limit is not None:
            numbers = [_number(finding, leaf.limit + off) for off in (0, 1, -1)]
            values = [number for number in numbers if number is not None]
        else:
            values = [*leaf.words, *(v for v in finding.values if v not in leaf.words)]
        for value in values:
            yield answer(name, value)
            if finding.applies_when is not None:
                for test in leaves(finding.applies_when):  # type: ignore[arg-type]
                    for word in test.words:
                        yield _join(answer(test.name, word), answer(name, value))
        return
    if name not in program.features:
        return
    reads = program.features[name].reads
    for read in reads:
        if read in program.findings and "." not in read:
            known = program.findings[read]
            values = list(range(11)) if read == "pain" else list(known.values)
            for value in values:
                yield answer(read, value)
    if name == "age" and leaf.limit is not None:
        for off in (0, 1, -1):
            yield {"patient": {"age": leaf.limit + off}}
    elif name == "sex":
        for value in ("female", "male", "other"):
            yield {"patient": {"sex": value}}
    if "course" in reads:
        for key, each in SESSION.items():
            for value in each:
                yield _course(key, value)
        for rung in RUNGS[2:]:
            yield _course("given", [{"level": "L5", "rung": rung, "side": "left"}])
        for day in ("2026-11-20", "2026-11-30", "2026-12-10", "2026-12-20"):
            yield {"as_of": day}
    if "today" in reads:
        for key, each in STEP.items():
            for value in each:
                yield {"today": {"steps": {"last": {key: value}}}}
    if "consents" in reads:
        for key, each in CONSENT.items():
            for value in each:
                yield {"consents": {"last": {key: value}}}
        yield {"consents": []}
    if "clinician" in reads:
        yield {"clinician": {"id": "t-02"}}
        for family, value in product(("muscle_energy", "mobilization", "thrust"), YES_NO):
            yield {"clinician": {"training": {family: value}}}
    if "referrals" in reads:
        for urgency, outcome in product(URGENCIES[1:], (None, "refused", "lost")):
            made = {"to": "physician", "urgency": urgency, "on": "2026-11-16"}
            yield {"referrals": [{**made, "outcome": outcome} if outcome else made]}
    if "segments" in reads:
        for flexion, neutral, extension in product(SIDES, repeat=3):
            yield _prominent(flexion, neutral, extension)
        for side in SIDES[1:]:
            yield {"segments": [
                {"level": level, "prominent": {"flexion": side, "neutral": side,
                                               "extension": side},
                 "answers": {"provocation": "concordant", "mobility": "stiff"}}
                for level in ("L2", "L3", "L4")
            ]}  # fmt: skip


def _prominent(flexion: str, neutral: str, extension: str) -> Overlay:
    sides = {"flexion": flexion, "neutral": neutral, "extension": extension}
    return {"segments": {"last": {"prominent": sides}}}


def from_step(
    program: Program, data: dict[str, Any], relevant: frozenset[str]
) -> Iterator[Overlay]:
    """Every change by one step of one answer or field among the relevant names."""
    for name, said in data.get("answers", {}).items():
        if name not in relevant:
            continue
        for value in _near(program.findings[name], said):
            yield answer(name, value)
    last = data["segments"][-1] if data.get("segments") else {}
    for name, said in last.get("answers", {}).items():
        for value in _near(program.findings[f"segment.{name}"], said):
            yield answer(f"segment.{name}", value)
    age = data.get("patient", {}).get("age")
    if isinstance(age, int) and "age" in relevant:
        yield {"patient": {"age": age - 1}}
        yield {"patient": {"age": age + 1}}
    for sex in ("female", "male"):
        yield {"patient": {"sex": sex}}
    if data.get("course") and "course" in relevant:
        for key, each in SESSION.items():
            for value in _beside(each, data["course"][-1].get(key)):
                yield _course(key, value)
        given = data["course"][-1].get("given") or []
        if given:
            for rung in _beside(RUNGS, given[-1]["rung"]):
                yield _course("given", [*given[:-1], {**given[-1], "rung": rung}])
        yield {"course": data["course"][1:]}
        yield {"course": data["course"][:-1]}
    if data.get("today"):
        for key, each in STEP.items():
            for value in _beside(each, data["today"]["steps"][-1].get(key)):
                yield {"today": {"steps": {"last": {key: value}}}}
    for number, consent in enumerate(
        (data.get("consents") or ()) if "consents" in relevant else ()
    ):
        for key, each in CONSENT.items():
            for value in (*each, None):
                if value != consent.get(key):
                    moved = {k: v for k, v in {**consent, key: value}.items() if v is not None}
                    listed = [*data["consents"]]
                    listed[number] = moved
                    yield {"consents": listed}
    for family, value in product(("muscle_energy", "mobilization", "thrust"), YES_NO):
        yield {"clinician": {"training": {family: value}}}
    yield {"clinician": {"id": "t-01"}}
    if data.get("referrals"):
        made = data["referrals"][-1]
        for urgency in _beside(URGENCIES[1:], made["urgency"]):
            yield {"referrals": {"last": {"urgency": urgency}}}
        yield {"referrals": {"last": {"outcome": "seen_nothing_serious"}}}
    for position in ("flexion", "neutral", "extension"):
        for side in SIDES:
            yield {"segments": {"last": {"prominent": {position: side}}}}


def _near(finding: Finding, said: Any) -> Iterator[Any]:
    value = said["value"] if isinstance(said, dict) and "value" in said else said
    if isinstance(value, dict):
        return
    if finding.numeric and finding.kind is not Kind.DATE:
        here = finding.steps(Decimal(str(value)))
        assert here is not None
        near: list[Any] = [_number(finding, here + off) for off in (-1, 1)]
        found = [number for number in near if number is not None]
    elif finding.ordered:
        found = _beside(finding.values, value)
    else:
        # the harmless word first: nobody means a second bad one by the other side
        found = sorted((v for v in finding.values if v != value), key=finding.adverse.__contains__)
    for word in found:
        yield {**said, "value": word} if isinstance(said, dict) else word


def _beside(order: tuple[Any, ...], value: Any) -> list[Any]:
    if value not in order:
        return []
    place = order.index(value)
    return [order[p] for p in (place - 1, place + 1) if 0 <= p < len(order)]


def openings(data: dict[str, Any], first: str) -> Iterator[Overlay]:
    """Every way to take one answer or part away; what the other side is about comes first."""
    ways: list[tuple[str, Overlay]] = [
        (f"answers.{name}", {"answers": {name: None}}) for name in data.get("answers", {})
    ]
    ways += [(f"answers.{name}", {"answers": {name: {"missing": "not_asked"}}})
             for name in data.get("answers", {})]  # fmt: skip
    last = data["segments"][-1] if data.get("segments") else {}
    ways += [
        (f"segments.1.answers.{name}", answer(f"segment.{name}", None))
        for name in last.get("answers", {})
    ]
    ways += [
        ("patient.age", {"patient": {"age": None}}),
        ("patient.sex", {"patient": {"sex": None}}),
    ]
    if data.get("course"):
        ways += [(f"course.{len(data['course'])}.{key}", _course(key, None))
                 for key in data["course"][-1] if key != "on"]  # fmt: skip
    if data.get("today"):
        ways += [("today", {"today": {"steps": {"last": {key: None}}}})
                 for key in data["today"]["steps"][-1]]  # fmt: skip
    ways += [(part, {part: None}) for part in ("consents", "referrals", "today")]
    ways += [("clinician", {"clinician": {"id": None}})]
    ways += [("clinician", {"clinician": {"training": {family: None}}})
             for family in ("muscle_energy", "mobilization", "thrust")]  # fmt: skip
    ways += [("blocks", {"blocks": {block: None}}) for block in data.get("blocks", {})]
    ways += [("segments", {"segments": {"last": {"prominent": {position: None}}}})
             for position in ("extension", "neutral", "flexion")]  # fmt: skip
    ways += [(part, {part: None}) for part in ("course", "segments")]
    yield from (way for where, way in ways if where == first)
    yield from (way for where, way in ways if where != first)
