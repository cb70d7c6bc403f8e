"""One visit as it is asked: the first owed question, the patient's answer, decide again.

Owed is a question that an open rule holds something for; what is only used if it is recorded is not
asked. What holds hands-on care is asked first.

A question of a block is asked with its block: "none of these" is one answer, and every one that
applies is one more. What belongs to the record (levels, consent, how the last session settled, the
comparable sign) is one answer each. A question that was asked is not asked again.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from cds.assure.burden.applicable import read_applicable
from cds.assure.burden.draw import Answer, Patient, whole_steps
from cds.assure.burden.milestones import path_settled, thrust_settled
from cds.decide import decide
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, OpenQuestion
from cds.vocabulary.computed import FEATURES
from cds.vocabulary.model import Finding
from cds.vocabulary.vocabulary import Vocabulary, none_of_these

SEGMENT = "segment."
UNSURE = "patient_unsure"
UNASSESSED = "cannot_assess"
AT_MOST = 400
"""More questions than any book may ask of one visit; reached only if something does not end."""

EXAM = FEATURES["neuro_exam_today"].reads
"""Findings that are examined, not asked."""

FOR_A_THRUST = (*EXAM, *FEATURES["thrust_screen_today"].reads)
"""Findings that are looked at anew on the day of a thrust."""

RESPONSE = ("settled", "spread")
COMPARABLE = ("comparable_sign",)
"""Members of the last session that are asked at the next visit."""


@dataclass
class Count:
    """Answers so far: `asked` as a therapist would ask, `single` as single questions."""

    asked: int = 0
    single: int = 0


@dataclass
class Played:
    """What came of one dialogue. A count is None where the visit never got there.

    `hands_on`: until no open answer decides hands-on care. `settled`: until no owed answer can
    move the path of today. `thrust`: until no open answer moves the limit of thrust. `everything`:
    until no owed question is left that was not asked. `order`: the answers in the order in which
    they came; `why`: the open rules that owed each of them when it was asked.
    """

    last: Advice
    hands_on: Count | None = None
    settled: Count | None = None
    thrust: Count | None = None
    everything: Count = field(default_factory=Count)
    order: list[str] = field(default_factory=list)
    why: dict[str, list[str]] = field(default_factory=dict)


class Visitor:
    """Sends a patient's visits to one program: answers only with words that the book has."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.vocabulary = Vocabulary.of(program)

    # ------------------------------------------------------------ the whole visit at once
    def whole(self, patient: Patient) -> Advice:
        """The advice when everything that applies was answered."""
        case = self.blank(patient)
        for name in self.vocabulary.case_findings:
            case["answers"][name] = self.said(patient.answers, name)
        self.segments(case, patient)
        for segment, level in zip(case["segments"], patient.levels, strict=True):
            for full in self.vocabulary.segment_findings:
                bare = full.removeprefix(SEGMENT)
                segment["answers"][bare] = self.said(level.answers, bare, full)
        self.consent(case, patient)
        if patient.sessions:
            case["course"] = [dict(session) for session in patient.sessions]
        return self.decide(case)

    def decide(self, case: dict[str, Any]) -> Advice:
        """The advice for a case; answers of findings that do not apply are left out first."""
        return decide(self.program, read_applicable(self.vocabulary, case))

    # ------------------------------------------------------------ question by question
    def play(self, patient: Patient, thrust: bool = False) -> Played:
        """The dialogue of one visit, from an empty or carried-over case to its last question.

        `thrust`: one is thought of, so what is looked at on the day of a thrust is had anew.
        """
        return _Dialogue(self, patient, thrust).run()

    def blank(self, patient: Patient) -> dict[str, Any]:
        """What the record holds before a question is asked today."""
        case: dict[str, Any] = {
            "as_of": patient.as_of.isoformat(),
            "moment": "before_session",
            "patient": {"age": patient.age, "sex": patient.sex},
            "answers": {},
            "course": [],
            "referrals": [],
            "clinician": {
                "id": "t-1",
                "training": {f.name: "yes" for f in self.program.ladder.of_group("hands_on")},
            },
        }
        if patient.follow_up:
            self._carry(case, patient)
        return case

    # ------------------------------------------------------------ pieces
    def _carry(self, case: dict[str, Any], patient: Patient) -> None:
        """Answers of the earlier visits, each from the last day on which it had to be asked."""
        days = [date.fromisoformat(session["on"]) for session in patient.sessions]
        idle = self._idle(patient)
        for name, finding in self.vocabulary.case_findings.items():
            if name in patient.events or name in idle or patient.answers.get(name) is None:
                continue
            said = self.said(patient.answers, name)
            if not isinstance(said, dict) or "value" in said:
                day = _last_asked(finding, days)
                case["answers"][name] = {**_dated(said), "observed": day.isoformat()}
        case["course"] = [dict(session) for session in patient.sessions]
        for key in (*RESPONSE, *COMPARABLE):
            case["course"][-1].pop(key, None)
        self.consent(case, patient, patient.first)

    def _idle(self, patient: Patient) -> set[str]:
        """Findings that do not apply to the patient: nobody asked them, so no record has them."""
        names = self.vocabulary.case_findings
        case = {
            "as_of": patient.as_of.isoformat(),
            "moment": "before_session",
            "patient": {"age": patient.age, "sex": patient.sex},
            "answers": {name: self.said(patient.answers, name) for name in names},
        }
        read_applicable(self.vocabulary, case)
        return set(names) - set(case["answers"])

    def said(self, answers: dict[str, Answer], name: str, full: str | None = None) -> Any:
        """One answer as a case has it; a reason for missing where the patient cannot say.

        A finding that the population does not have gets its ordinary word (`undeclared` lists
        them); a number of that kind stays unknown.
        """
        finding = self.vocabulary.findings[full or name]
        answer = answers.get(name, _NOWHERE)
        if answer is _NOWHERE:
            ordinary = none_of_these(finding) or (finding.values[0] if finding.values else None)
            return ordinary or {"missing": UNASSESSED}
        if answer is None:
            return {"missing": UNSURE}
        if isinstance(answer, Decimal):
            if not finding.numeric:
                return {"missing": UNASSESSED}
            return _number(whole_steps(answer, Decimal(1) / finding.step))
        if answer not in finding.values:
            return {"missing": UNASSESSED}
        return {"value": answer, "how": "examined"} if name in EXAM else answer

    def segments(self, case: dict[str, Any], patient: Patient) -> None:
        """List the patient's levels, with their prominences."""
        case["segments"] = [
            {
                "level": level.level,
                "prominent": dict(
                    zip(("flexion", "neutral", "extension"), level.prominent, strict=True)
                ),
                "answers": {},
            }
            for level in patient.levels
        ]

    def consent(self, case: dict[str, Any], patient: Patient, day: date | None = None) -> None:
        """Record consent to hands-on care, or that there is none. `day`: today by default.

        Consent to a thrust is of today, from whoever does not decline one: without it every other
        question about a thrust would be idle.
        """
        if not patient.consents:
            case["consents"] = []
            return
        given = {
            "family": "hands_on",
            "region": "lumbar",
            "on": (day or patient.as_of).isoformat(),
            "by": "t-1",
            "capacity": "yes",
            "risks_given": "yes",
            "alternative_given": "yes",
        }
        thrust = {**given, "family": "thrust", "on": patient.as_of.isoformat()}
        wanted = patient.answers.get("thrust_preference") != "does_not_want_it"
        case["consents"] = [given, thrust] if wanted else [given]


class _Dialogue:
    """One dialogue: the case as it grows, what was asked, the counts."""

    def __init__(self, visitor: Visitor, patient: Patient, thrust: bool) -> None:
        self.visitor = visitor
        self.vocabulary = visitor.vocabulary
        self.patient = patient
        self.case = visitor.blank(patient)
        for name in FOR_A_THRUST if thrust else ():
            self.case["answers"].pop(name, None)
        self.asked: set[str] = set()
        self.count = Count()
        self.order: list[str] = []
        self.why: dict[str, list[str]] = {}

    def run(self) -> Played:
        advice = self.visitor.decide(self.case)
        played = Played(advice)
        for _ in range(AT_MOST):
            self._milestones(played, advice)
            question = self._next(advice)
            holding = question is not None and question["holds_hands_on"]
            if not holding and self._record_rest():
                pass  # what is owed may be another question now
            elif question is not None:
                self._answer(question, advice["open_questions"])
            else:
                break
            advice = self.visitor.decide(self.case)
        self._milestones(played, advice)
        played.last, played.everything = advice, self._now()
        played.order, played.why = self.order, self.why
        return played

    def _record_rest(self) -> bool:
        """Levels and consent, where no question asked for them: no hands-on care without."""
        if "segments" not in self.case:
            self._list()
        elif "consents" not in self.case:
            self.visitor.consent(self.case, self.patient)
            self._add(1, 1)
        else:
            return False
        return True

    def _now(self) -> Count:
        return Count(self.count.asked, self.count.single)

    def _milestones(self, played: Played, advice: Advice) -> None:
        listed = "segments" in self.case and "consents" in self.case
        open_now = [q for q in advice["open_questions"] if q["owed"] and _key(q) not in self.asked]
        if played.hands_on is None and listed and not any(q["holds_hands_on"] for q in open_now):
            played.hands_on = self._now()
        if played.settled is None and listed and path_settled(advice, bool(open_now)):
            played.settled = self._now()
        if played.thrust is None and listed and thrust_settled(advice):
            played.thrust = self._now()
            if self.patient.follow_up:  # consent to a thrust is had anew at every visit
                played.thrust.asked, played.thrust.single = (
                    self.count.asked + 1,
                    self.count.single + 1,
                )

    def _next(self, advice: Advice) -> OpenQuestion | None:
        """The first owed question; one that holds hands-on care goes before one that does not."""
        owed = [q for q in advice["open_questions"] if q["owed"] and _key(q) not in self.asked]
        holding = [q for q in owed if q["holds_hands_on"]]
        return next(iter(holding or owed), None)

    def _answer(self, question: OpenQuestion, others: list[OpenQuestion]) -> None:
        name = question["finding"]
        self.asked.add(_key(question))
        self.order.append(_key(question))
        self.why[_key(question)] = question["rules"]
        if name not in self.vocabulary.findings:
            self._record(name)
        elif name.startswith(SEGMENT):
            self._level(name, question.get("level", ""))
        elif "block" in question and not question["alone"]:
            self._block(question["block"], others)
        else:
            self._tell(name)
            self._add(1, 1)

    def _add(self, asked: int, single: int) -> None:
        self.count.asked += asked
        self.count.single += single

    def _tell(self, name: str) -> Any:
        said = self.visitor.said(self.patient.answers, name)
        old = self.case["answers"].get(name)
        # an older answer stays in the record beside today's
        self.case["answers"][name] = [old, _dated(said)] if isinstance(old, dict) else said
        return said

    def _block(self, block: str, others: list[OpenQuestion]) -> None:
        asked = [q["finding"] for q in others if q.get("block") == block and not q["alone"]]
        members = [
            name
            for name in self.vocabulary.blocks_of[block]
            if name in asked or (name not in self.case["answers"] and name not in self.asked)
        ]
        positive = 0
        for name in members:
            self.asked.add(name)
            said = self._tell(name)
            word = none_of_these(self.vocabulary.findings[name])
            positive += _dated(said).get("value") != word
        self._add(1 + positive, max(len(set(asked)), 1))

    def _level(self, name: str, level: str) -> None:
        if "segments" not in self.case:
            self._list()
            return
        for segment, drawn in zip(self.case["segments"], self.patient.levels, strict=True):
            if drawn.level == level:
                bare = name.removeprefix(SEGMENT)
                segment["answers"][bare] = self.visitor.said(drawn.answers, bare, name)
                self._add(0, 1)

    def _list(self) -> None:
        self.visitor.segments(self.case, self.patient)
        self.order.append("segments")
        self._add(1, 1)

    def _record(self, name: str) -> None:
        """What is not a finding but stands in the record; already recorded: nothing to count."""
        reads = self.visitor.program.features[name].reads
        last = self.case["course"][-1] if self.case["course"] else None
        if ("segments" in reads or name.startswith(SEGMENT)) and "segments" not in self.case:
            self._list()
            return
        if "consents" in reads and "consents" not in self.case:
            self.visitor.consent(self.case, self.patient)
            self.asked.discard(name)
            self._add(1, 1)
            return
        if "course" in reads and last is not None:
            wanted = COMPARABLE if "comparable" in name else RESPONSE
            for keys in (wanted, RESPONSE, COMPARABLE):
                if any(key not in last for key in keys):
                    last.update({key: self.patient.sessions[-1][key] for key in keys})
                    self.asked.discard(name)  # it may need the other part as well
                    self._add(1, 1)
                    return


class _Nowhere:
    """The population says nothing of this finding."""


_NOWHERE: Any = _Nowhere()


def _key(question: OpenQuestion) -> str:
    level = question.get("level")
    return f"{question['finding']}@{level}" if level else question["finding"]


def _dated(said: Any) -> Any:
    return said if isinstance(said, dict) else {"value": said}


def _number(number: Decimal) -> int | float | Decimal:
    return int(number) if number == number.to_integral_value() else number


def _last_asked(finding: Finding, days: list[date]) -> date:
    """The last session on which the answer had to be had anew, when it is asked as it expires."""
    period = finding.good_for
    last = days[0]
    for day in days[1:]:
        if period.this_session or (period.days and day - last > timedelta(days=period.days)):
            last = day
    return last
