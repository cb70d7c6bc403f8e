"""What was typed on the case sheet, as the case that the service reads.

The sheet is a plain HTML form; this module turns its fields into the JSON of a case and checks
nothing that `read_case` checks. Names of fields:

- `as_of`, `moment`, `subject`, `episode`, `age`, `sex`, `by` (the therapist), `training.FAMILY`
- `a.FINDING`: a word or number, or `~REASON` for why there is none, or `~unchanged`
- `b.BLOCK`: `none_of_these`, or `~REASON`; `some` only opens the block
- `palpated` (`yes`: the levels below are all there are), `s.LEVEL` (listed; so is a level with any
  field of its own), `s.LEVEL.POSITION` (prominent side), `s.LEVEL.a.FINDING`
- `last.after`: how the last session of the record settled, `within_24h` or `within_48h` with no
  spread, stop sign or adverse response; or `more`, then `last.settled`, `last.spread`,
  `last.stop_sign`, `last.adverse`. What the record says of it and is worse stays.
- `last.comparable_sign`
- `consent.FAMILY`: `given`, `withdrawn`, or `none` for asked and not given today;
  `consent_region` (the low back where nothing is said; `both`: one consent for each region);
  `consent.points`: `all`, or `some`: then `consent.capacity`, `consent.risks_given`,
  `consent.alternative_given`, each `yes` or `no`
- `first`: `yes` says that there were no earlier sessions or referrals
- `r.FINDING`, `s.LEVEL.r.FINDING`: the way in which an earlier positive ended (`asked`, …)
- `record`: the case as it stood before, as JSON. What was typed lies over it.

What was not typed is left out, and so is unknown. An answer of the record keeps its own dates.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from cds.problems import CaseError, Problem
from cds.rulebook.program import Program
from cds.vocabulary.case import Case
from cds.vocabulary.jsonbytes import read_json
from cds.vocabulary.model import LEVELS, Finding
from cds.vocabulary.reading import read_case
from cds.vocabulary.reading_parts import POSITIONS, SESSION_WORDS, YES_NO
from cds.vocabulary.regions import LUMBAR, THORACIC
from cds.vocabulary.vocabulary import SEGMENT, Vocabulary
from cds.vocabulary.write import case_json

REASON = "~"
UNCHANGED = "~unchanged"
RECORD_LIMIT = 262_144
NONE = "none"

Fields = Mapping[str, str]
Json = dict[str, Any]


def examined(program: Program) -> frozenset[str]:
    """Findings whose answers are had by examining, as the visit of the rule book says."""
    found: set[str] = set()
    for part in program.visit:
        if part.how == "examined":
            for name in part.asks:
                block = program.blocks.get(name)
                found.update((name,) if block is None else block.findings)
    return frozenset(found)


def record_of(vocabulary: Vocabulary, text: str) -> tuple[Json, Case | None]:
    """The record in full form, every answer with its dates, and the case it was.

    Raises `CaseError` with pointers below `/record`.
    """
    if not text.strip():
        return {}, None
    try:
        case = read_case(vocabulary, read_json(text.encode("utf-8"), limit=RECORD_LIMIT))
    except CaseError as error:
        raise CaseError(
            [
                Problem(p.code, p.message, pointer=f"/record{p.pointer or ''}", help=p.help)
                for p in error.problems
            ]
        ) from None
    return case_json(vocabulary, case), case


def case_of(program: Program, vocabulary: Vocabulary, fields: Fields) -> Json:
    """The case that these fields make, unread. Raises `CaseError` for a record that is none."""
    case, _ = record_of(vocabulary, fields.get("record", ""))
    by = fields.get("by", "").strip()
    day = fields.get("as_of", "").strip()
    case["as_of"] = day
    case["moment"] = fields.get("moment", "") or "before_session"
    case.pop("today", None)
    _same_patient(case, fields)
    for key in ("subject", "episode"):
        if fields.get(key, "").strip():
            case[key] = fields[key].strip()
    _patient(case, fields)
    _clinician(case, fields, by)
    stamp = _Stamp(day, by, examined(program))
    answers = case.setdefault("answers", {})
    for name, finding in vocabulary.case_findings.items():
        _answer(answers, finding, fields.get(f"a.{name}", ""), stamp)
    for block in vocabulary.blocks:
        _block(case, vocabulary, block, fields, stamp)
    _segments(case, vocabulary, fields, stamp)
    _last_session(case, fields)
    _ended(case, vocabulary, fields, day, by)
    _papers(case, vocabulary, fields, day, by)
    if not answers:
        del case["answers"]
    return case


def _same_patient(record: Json, fields: Fields) -> None:
    """Answers of one patient never lie over the record of another. The message names neither."""
    typed, known = fields.get("subject", "").strip(), record.get("subject")
    if typed and known and typed != known:
        message = "the record that was taken in has another case number"
        raise CaseError([Problem("other-case", message, pointer="/subject")])


class _Stamp:
    """When, by whom and how the answers of this sheet were had."""

    def __init__(self, day: str, by: str, looked: frozenset[str]) -> None:
        self.day, self.by, self.looked = day, by, looked

    def on(self, name: str) -> Json:
        stamp: Json = {"observed": self.day, "how": "examined" if name in self.looked else "asked"}
        return {**stamp, "by": self.by} if self.by else stamp


def _patient(case: Json, fields: Fields) -> None:
    patient = case.get("patient", {})
    age, sex = fields.get("age", "").strip(), fields.get("sex", "")
    if age:
        patient = {key: value for key, value in patient.items() if key != "born"}
        patient["age"] = number(age)
    if sex:
        patient["sex"] = sex
    if patient:
        case["patient"] = patient


def _clinician(case: Json, fields: Fields, by: str) -> None:
    prefix = "training."
    training = {k.removeprefix(prefix): v for k, v in fields.items() if k.startswith(prefix) and v}
    clinician: Json = {"id": by} if by else {}
    if training:
        clinician["training"] = training
    elif case.get("clinician", {}).get("id") == by:
        clinician = case.get("clinician", clinician)
    case.pop("clinician", None)
    if clinician:
        case["clinician"] = clinician


def _answer(answers: Json, finding: Finding, typed: str, stamp: _Stamp) -> None:
    typed = typed.strip()
    if not typed:
        return
    bare = finding.name.removeprefix(SEGMENT)
    earlier = as_list(answers.get(bare, []))
    if typed == UNCHANGED:
        answers[bare] = [*earlier, _again(earlier, stamp, finding.name)]
        return
    new = stamp.on(finding.name)
    if typed.startswith(REASON):
        new["missing"] = typed[1:]
    else:
        new["value"] = number(typed) if finding.numeric else typed
    answers[bare] = [*earlier, new]


def _again(earlier: list[Json], stamp: _Stamp, name: str) -> Json:
    """The latest known answer, confirmed today. It keeps the day it was first asked."""
    known = [answer for answer in earlier if "value" in answer]
    if not known:
        raise CaseError(
            [
                Problem(
                    "nothing-to-confirm",
                    "nothing was answered before, so nothing can be unchanged",
                    pointer=f"/answers/{name.removeprefix(SEGMENT)}",
                )
            ]
        )
    last = max(known, key=lambda answer: str(answer.get("observed", "")))
    again = {
        "value": last["value"],
        "observed": last["observed"],
        "asked": stamp.day,
        "how": "confirmed_unchanged",
        "confirmations": int(last.get("confirmations", 0)) + 1,
    }
    return {**again, "by": stamp.by} if stamp.by else again


def _block(case: Json, vocabulary: Vocabulary, block: str, fields: Fields, stamp: _Stamp) -> None:
    typed = fields.get(f"b.{block}", "")
    if not typed or typed == "some":
        return
    if typed == UNCHANGED:
        answers = case["answers"]
        for name in vocabulary.blocks_of[block]:
            if any("value" in answer for answer in as_list(answers.get(name, []))):
                _answer(answers, vocabulary.findings[name], UNCHANGED, stamp)
        return
    # a block counts as examined only where all of it is
    looked = stamp.looked.issuperset(vocabulary.blocks_of[block])
    said: Json = {"observed": stamp.day, "how": "examined" if looked else "by_block"}
    if stamp.by:
        said["by"] = stamp.by
    if typed.startswith(REASON):
        said["missing"] = typed[1:]
    else:
        said["value"] = typed
    case.setdefault("blocks", {})[block] = said


def _segments(case: Json, vocabulary: Vocabulary, fields: Fields, stamp: _Stamp) -> None:
    if fields.get("palpated") != "yes":
        # levels of an earlier visit say nothing about today's
        case.pop("segments", None)
        return
    before = {entry["level"]: entry for entry in case.get("segments", [])}
    found: list[Json] = []
    marked = marked_levels(fields)
    for level in LEVELS:
        answers: Json = before.get(level, {}).get("answers", {})
        if level not in marked and not answers:
            continue
        segment: Json = {"level": level}
        sides = {p: fields[f"s.{level}.{p}"] for p in POSITIONS if fields.get(f"s.{level}.{p}")}
        if level not in marked:
            # it stays for what the record knows of it; today it was found even with the others
            sides = dict.fromkeys(POSITIONS, "symmetric")
        if sides:
            segment["prominent"] = sides
        for name, finding in vocabulary.segment_findings.items():
            bare = name.removeprefix(SEGMENT)
            _answer(answers, finding, fields.get(f"s.{level}.a.{bare}", ""), stamp)
        if answers:
            segment["answers"] = answers
        found.append(segment)
    case["segments"] = found


def known_levels(program: Program, vocabulary: Vocabulary, fields: Fields) -> list[Json]:
    """The dated answers of each level, with no side: what a record keeps where nobody said today
    that all levels were palpated. A fused or slipped level stays known. Raises `CaseError`.
    """
    said = case_of(program, vocabulary, {**fields, "palpated": "yes"})
    return [
        {"level": segment["level"], "answers": segment["answers"]}
        for segment in said["segments"]
        if segment.get("answers")
    ]


def marked_levels(fields: Fields) -> frozenset[str]:
    """The levels of which anything was typed."""
    return frozenset(
        level
        for level in LEVELS
        if any(
            value and (name == f"s.{level}" or name.startswith(f"s.{level}."))
            for name, value in fields.items()
        )
    )


def _last_session(case: Json, fields: Fields) -> None:
    """What became of the last session of the record. Bad news of the record is not overwritten."""
    if not case.get("course"):
        return
    last: Json = dict(case["course"][-1])
    after = fields.get("last.after", "")
    for key, mild in (("settled", after), ("spread", NONE), ("stop_sign", "no"), ("adverse", NONE)):
        said = fields.get(f"last.{key}", "") if after == "more" else mild if after else ""
        words = SESSION_WORDS[key]
        # yes / no is written the other way round: its first word is the bad one
        rank = {
            word: place for place, word in enumerate(words if words != YES_NO else ("no", "yes"))
        }
        if said and rank.get(str(last.get(key)), -1) < rank.get(said, len(rank)):
            last[key] = said
    if fields.get("last.comparable_sign"):
        last["comparable_sign"] = fields["last.comparable_sign"]
    case["course"] = [*case["course"][:-1], last]


def _ended(case: Json, vocabulary: Vocabulary, fields: Fields, day: str, by: str) -> None:
    places: list[tuple[str, str, str | None]] = [
        (f"r.{name}", name, None) for name in vocabulary.case_findings
    ]
    for name in vocabulary.segment_findings:
        bare = name.removeprefix(SEGMENT)
        places += [(f"s.{level}.r.{bare}", bare, level) for level in LEVELS]
    for field, name, level in places:
        how = fields.get(field, "")
        if how:
            ended = {"finding": name, "on": day, "how": how, "by": by or "not said"}
            if level:
                ended["level"] = level
            case.setdefault("resolved", []).append(ended)


def _papers(case: Json, vocabulary: Vocabulary, fields: Fields, day: str, by: str) -> None:
    if fields.get("first") == "yes":
        for key in ("course", "referrals"):
            case.setdefault(key, [])
    region = fields.get("consent_region", "").strip() or LUMBAR
    regions = (THORACIC, LUMBAR) if region == "both" else (region,)
    for family in ("hands_on", *vocabulary.hands_on):
        said = fields.get(f"consent.{family}", "")
        if said:
            kept = case.setdefault("consents", [])
            if said != NONE:
                kept += [_consent(fields, family, region, day, by) for region in regions]


def _consent(fields: Fields, family: str, region: str, day: str, by: str) -> Json:
    """A consent of today; a word that is neither given nor withdrawn is left to be refused."""
    said = fields[f"consent.{family}"]
    consent: Json = {"family": family, "region": region, "on": day, "by": by or "not said"}
    for key in ("capacity", "risks_given", "alternative_given"):
        if fields.get("consent.points") == "all":
            consent[key] = "yes"
        elif fields.get(f"consent.{key}"):
            consent[key] = fields[f"consent.{key}"]
    if said != "given":
        consent["withdrawn"] = day if said == "withdrawn" else said
    return consent


def as_list(value: object) -> list[Json]:
    """The answers to one finding as a list, however many there are."""
    return list(value) if isinstance(value, list) else [value] if isinstance(value, dict) else []


def number(text: str) -> int | float | str:
    """The number that was typed; the text itself where it is none, so that reading refuses it."""
    try:
        return int(text)
    except ValueError:
        pass
    try:
        found = float(text.replace(",", "."))
    except ValueError:
        return text
    return found if found == found and abs(found) < 1e9 else text


def typed(pairs: Iterable[tuple[str, str]]) -> dict[str, str]:
    """The fields of a form; of a repeated one the last that says something."""
    found: dict[str, str] = {}
    for name, value in pairs:
        if value or name not in found:
            found[name] = value
    return found
