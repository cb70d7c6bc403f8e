"""Reading the parts of a case that are not answers: patient, levels, course, today, papers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from cds.vocabulary.case import (
    Consent,
    Given,
    ReferralRecord,
    Resolved,
    Segment,
    Session,
    Step,
)
from cds.vocabulary.model import LEVELS, SIDES, URGENCIES, Scope
from cds.vocabulary.reading_fields import Fields, Sink, as_items, as_span, near
from cds.vocabulary.vocabulary import Vocabulary

POSITIONS = ("flexion", "neutral", "extension")
PROMINENT = ("symmetric", *SIDES)
GUARDING = ("none", "mild", "moderate", "marked")
YES_NO = ("yes", "no")
INTERPRETER = ("not_needed", "used", "needed_not_had")
SPREAD = ("none", "proximal", "distal")
SESSION_WORDS: dict[str, tuple[str, ...]] = {
    "guarding_before": GUARDING,
    "guarding_after": GUARDING,
    "settled": ("within_24h", "within_48h", "longer", "not_settled"),
    "adverse": ("none", "minor", "serious"),
    "medicine_before": ("none", "opioid", "sedative", "alcohol", "injection", "other"),
    "comparable_sign": ("better", "same", "worse"),
    "spread": SPREAD,
    "stop_sign": YES_NO,
}
"""Words of an earlier session, by key."""
STEP_WORDS: dict[str, tuple[str, ...]] = {
    "guarding": GUARDING,
    "spread": SPREAD,
    "new_sign": YES_NO,
    "set_up": ("easy", "pain", "resistance"),
}
"""Words of a step of the session in progress, by key."""
OUTCOMES = ("seen_nothing_serious", "seen_treated", "refused", "lost")
RESOLVED_BY = ("asked", "examined", "imaging", "specialist")
SEX = ("female", "male", "other")
PAIN = (0, 10)
OLDEST = 120

GIVEN_KEYS = ("level", "rung", "side", "technique")
SESSION_KEYS = (
    "on", "therapist", "given", "advised", "pain_before", "pain_after", "worsened_at",
    *SESSION_WORDS,
)  # fmt: skip
STEP_KEYS = ("rung", "level", "pain", "card", *STEP_WORDS)
REFERRAL_KEYS = ("to", "urgency", "on", "outcome", "outcome_on")
CONSENT_KEYS = (
    "family", "region", "on", "by", "capacity", "risks_given", "alternative_given", "withdrawn",
    "interpreter",
)  # fmt: skip
RESOLVED_KEYS = ("finding", "on", "how", "by", "level", "observed")
SEGMENT_KEYS = ("level", "prominent", "grades", "answers")


@dataclass(frozen=True, slots=True)
class Patient:
    """Age in whole years, low to high, and sex; None where not sent."""

    age_low: int | None = None
    age_high: int | None = None
    sex: str | None = None


def age_on(born: date, day: date) -> int:
    """Whole years on `day`. Born on 29 February: a year older on 1 March of other years."""
    return day.year - born.year - ((day.month, day.day) < (born.month, born.day))


def read_patient(value: object, pointer: str, sink: Sink) -> Patient:
    """Age or birth date (which may be a year or a month), and sex."""
    fields = Fields(value, pointer, "the patient", ("age", "born", "sex"), sink)
    sex = fields.word("sex", SEX)
    low, high = _age(fields)
    if "born" not in fields:
        return Patient(low, high, sex)
    if "age" in fields:
        sink.error("one-of-two", "send either `age` or `born` of the patient", pointer)
    span = as_span(fields.get("born"), "`born` of the patient", fields.at("born"), sink)
    if span is None:
        return Patient(None, None, sex)
    low, high = age_on(span[1], sink.as_of), age_on(span[0], sink.as_of)
    if low > OLDEST and sink.as_of < date.max:
        message = f"`born` of the patient makes an age above {OLDEST}"
        sink.error("out-of-range", message, fields.at("born"))
    return Patient(low, high, sex)


def _age(fields: Fields) -> tuple[int | None, int | None]:
    """Age in whole years, also as `{"at_least": n, "at_most": m}`."""
    if "age" not in fields:
        return None, None
    value = fields.get("age")
    if not isinstance(value, dict):
        age = fields.whole("age", 0, OLDEST)
        return age, age
    ends = ("at_least", "at_most")
    inner = Fields(value, fields.at("age"), "`age` of the patient", ends, fields.sink)
    low, high = (inner.whole(end, 0, OLDEST) for end in ends)
    if inner.owed(*ends) and low is not None and high is not None and low > high:
        fields.sink.error("bad-interval", "`age` of the patient leaves no age", inner.pointer)
    return low, high


def read_place(vocab: Vocabulary, value: object, pointer: str, sink: Sink) -> Segment | None:
    """Level, prominent sides and grades of one level; its answers are read elsewhere."""
    fields = Fields(value, pointer, "a segment", SEGMENT_KEYS, sink)
    if not isinstance(value, dict) or not fields.owed("level"):
        return None
    level = fields.word("level", LEVELS, "unknown-level")
    sides: dict[str, str | None] = {}
    if "prominent" in fields:
        inner = Fields(
            fields.get("prominent"), fields.at("prominent"), "`prominent`", POSITIONS, sink
        )
        sides = {position: inner.word(position, PROMINENT) for position in POSITIONS}
    grades: dict[str, int] = {}
    if "grades" in fields:
        inner = Fields(fields.get("grades"), fields.at("grades"), "`grades`", POSITIONS, sink)
        for position in POSITIONS:
            grade = inner.whole(position, 0, 3)
            if grade is not None:
                grades[position] = grade
    return None if level is None else replace(Segment(level, grades=grades), **sides)  # type: ignore[arg-type]


def read_course(vocab: Vocabulary, value: object, pointer: str, sink: Sink) -> tuple[Session, ...]:
    """The earlier sessions, oldest first. Two sessions may share a day."""
    found: list[Session] = []
    latest: date | None = None
    for member, at in as_items(value, "`course`", pointer, sink):
        session = _session(vocab, member, at, sink)
        if session is None:
            continue
        if latest and session.on < latest:
            sink.error("not-oldest-first", "sessions must be sent oldest first", at + "/on")
        latest = session.on
        found.append(session)
    return tuple(found)


def _session(vocab: Vocabulary, value: object, pointer: str, sink: Sink) -> Session | None:
    fields = Fields(value, pointer, "a session", SESSION_KEYS, sink)
    if not isinstance(value, dict):
        return None
    fields.owed("on")
    on = fields.day("on")
    words = {key: fields.word(key, allowed) for key, allowed in SESSION_WORDS.items()}
    given = fields.items("given")
    session = Session(
        on=on or sink.as_of,
        therapist=fields.text("therapist"),
        given=None if given is None else tuple(_all_given(vocab, given, sink)),
        advised=fields.word("advised", vocab.rungs, "unknown-rung"),
        pain_before=fields.whole("pain_before", *PAIN),
        pain_after=fields.whole("pain_after", *PAIN),
        worsened_at=fields.word("worsened_at", ("none", *vocab.rungs), "unknown-rung"),
    )
    return replace(session, **words) if on else None  # type: ignore[arg-type]


def _all_given(vocab: Vocabulary, items: list[tuple[object, str]], sink: Sink) -> list[Given]:
    found = []
    for member, at in items:
        fields = Fields(member, at, "a treatment given", GIVEN_KEYS, sink)
        if not isinstance(member, dict):
            continue
        fields.owed("level", "rung")
        level = fields.word("level", LEVELS, "unknown-level")
        rung = fields.word("rung", vocab.rungs, "unknown-rung")
        side, technique = fields.word("side", SIDES), fields.text("technique")
        if level and rung:
            found.append(Given(level, rung, side, technique))
    return found


def read_today(
    vocab: Vocabulary, value: object, moment: str | None, pointer: str, sink: Sink
) -> tuple[Step, ...] | None:
    """The steps of the session in progress, in order; None where they were not sent."""
    fields = Fields(value, pointer, "`today`", ("steps",), sink)
    items = fields.items("steps")
    if items is not None and moment in ("before_session", "contact"):
        message = f"`steps` of `today` have no place when the moment is `{moment}`"
        sink.error("not-a-moment-for", message, fields.at("steps"))
    if items is None:
        return None
    found = []
    for member, at in items:
        step = Fields(member, at, "a step", STEP_KEYS, sink)
        if not isinstance(member, dict):
            continue
        step.owed("rung")
        rung = step.word("rung", vocab.rungs, "unknown-rung")
        words = {key: step.word(key, allowed) for key, allowed in STEP_WORDS.items()}
        level = step.word("level", LEVELS, "unknown-level")
        done = Step(rung or "", level, pain=step.whole("pain", *PAIN), card=step.text("card"))
        if rung:
            found.append(replace(done, **words))  # type: ignore[arg-type]
    return tuple(found)


def read_referrals(
    vocab: Vocabulary, value: object, pointer: str, sink: Sink
) -> tuple[ReferralRecord, ...]:
    """Earlier referrals and their outcomes."""
    found = []
    for member, at in as_items(value, "`referrals`", pointer, sink):
        fields = Fields(member, at, "a referral", REFERRAL_KEYS, sink)
        if not isinstance(member, dict):
            continue
        fields.owed("to", "urgency", "on")
        to, urgency = fields.word("to", vocab.destinations), fields.word("urgency", URGENCIES[1:])
        on, end = fields.day("on"), fields.day("outcome_on")
        outcome = fields.word("outcome", OUTCOMES)
        if "outcome_on" in fields:
            fields.owed("outcome")
        _in_order(on, end, fields, "outcome_on")
        if to and urgency and on:
            found.append(ReferralRecord(to, urgency, on, outcome, end))
    return tuple(found)


def read_consents(
    vocab: Vocabulary, value: object, pointer: str, sink: Sink
) -> tuple[Consent, ...]:
    """Consents by family (or all of `hands_on`) and region."""
    found = []
    for member, at in as_items(value, "`consents`", pointer, sink):
        fields = Fields(member, at, "a consent", CONSENT_KEYS, sink)
        if not isinstance(member, dict):
            continue
        fields.owed("family", "region", "on", "by")
        family = fields.word("family", ("hands_on", *vocab.hands_on))
        region, by = fields.text("region"), fields.text("by")
        on, withdrawn = fields.day("on"), fields.day("withdrawn")
        _in_order(on, withdrawn, fields, "withdrawn")
        capacity, risks = fields.word("capacity", YES_NO), fields.word("risks_given", YES_NO)
        other = fields.word("alternative_given", YES_NO)
        spoken = fields.word("interpreter", INTERPRETER)
        if family and region and on and by:
            found.append(Consent(family, region, on, by, capacity, risks, other, withdrawn, spoken))
    return tuple(found)


def read_clinician(
    vocab: Vocabulary, value: object, pointer: str, sink: Sink
) -> tuple[str | None, dict[str, str]]:
    """The clinician's opaque id, and training by family."""
    fields = Fields(value, pointer, "the clinician", ("id", "training"), sink)
    training: dict[str, str] = {}
    if "training" in fields:
        inner = Fields(
            fields.get("training"), fields.at("training"), "`training`", vocab.hands_on, sink
        )
        for family in vocab.hands_on:
            answer = inner.word(family, YES_NO)
            if answer:
                training[family] = answer
    return fields.text("id"), training


def read_resolved(
    vocab: Vocabulary, value: object, pointer: str, sink: Sink
) -> tuple[Resolved, ...]:
    """Dated ends of positive findings."""
    found = []
    for member, at in as_items(value, "`resolved`", pointer, sink):
        fields = Fields(member, at, "a resolution", RESOLVED_KEYS, sink)
        if not isinstance(member, dict):
            continue
        fields.owed("finding", "on", "how", "by")
        name, by = fields.text("finding"), fields.text("by")
        on, how = fields.day("on"), fields.word("how", RESOLVED_BY)
        level = fields.word("level", LEVELS, "unknown-level")
        observed = fields.day("observed")
        if observed and on and observed > on:
            message = "the answer that a resolution ends was observed after it"
            sink.error("date-order", message, fields.at("observed"))
        if name and _resolvable(vocab, name, fields) and on and how and by:
            found.append(Resolved(name, on, how, by, level, observed))
    return tuple(found)


def _resolvable(vocab: Vocabulary, name: str, fields: Fields) -> bool:
    finding = vocab.findings.get(name)
    sink, at = fields.sink, fields.at("finding")
    if finding is None:
        sink.error("unknown-finding", "no such finding", at, near(name, vocab.findings))
        return False
    if (finding.scope is Scope.SEGMENT) != ("level" in fields):
        ends = "needs its `level`" if finding.scope is Scope.SEGMENT else "has no `level`"
        sink.error("wrong-scope", f"the resolution of `{finding.name}` {ends}", fields.pointer)
        return False
    if not finding.adverse or (finding.numeric and finding.positive_from is None):
        message = f"`{finding.name}` has no adverse words, so nothing of it is resolved"
        sink.error("not-positive", message, at)
        return False
    return True


def _in_order(first: date | None, then: date | None, fields: Fields, key: str) -> None:
    if first and then and then < first:
        message = f"`{key}` of {fields.what} lies before `on`"
        fields.sink.error("date-order", message, fields.at(key))
