"""The chart note over every fixture: what was recorded, what was not, and no word too much."""

from __future__ import annotations

import re
from copy import deepcopy
from datetime import date
from typing import Any

from cds.explain.note import note
from cds.explain.paper import MONTHS, Paper, answer_text, as_text, day, lower
from cds.explain.words import title_of, word
from cds.vocabulary.model import LEVELS
from cds.vocabulary.reading import read_case
from tests.explain.decided import Decided, all_decided, one, strings
from tests.support.expected import FORBIDDEN
from tests.support.fixtures import base, decider

TOO_MUCH = re.compile(
    r"\b(safe|safely|cleared|clear of|unremarkable|ruled out that|rules out|"
    r"(negative|normal|clean) screen\w*|screen\w* (is |was |were )?(negative|normal|clear)|"
    r"no red flags?)\b",
    re.IGNORECASE,
)
_DAY = re.compile(rf"\b\d{{1,2}} (?:{'|'.join(MONTHS)}) \d{{4}}\b")


def of(item: Decided) -> Paper:
    return note(item.decider.program, item.decider.resolver, item.advice)


def lines(paper: Paper, heading: str) -> list[str]:
    return next((p["lines"] for p in paper["sections"] if p["heading"].startswith(heading)), [])


def recorded(item: Decided) -> dict[str, set[str]]:
    """Finding, by grounded name -> every value the case itself has for it, in words."""
    found: dict[str, set[str]] = {}
    answers: dict[str, Any] = dict(item.case.answers)
    for segment in item.case.segments or ():
        for name, given in segment.answers.items():
            answers[f"{name}@{segment.level}"] = given
    for name, given in answers.items():
        for answer in given:
            found.setdefault(name, set()).add(str(answer.raw))
    return found


def test_it_claims_nothing_of_a_whole_screen() -> None:
    for item in all_decided():
        for text in strings(of(item)):
            assert not FORBIDDEN.search(text) and not TOO_MUCH.search(text), text


def test_every_value_stands_in_the_case() -> None:
    """Each value said is what the case has for that finding, on a day the case names."""
    for item in all_decided():
        program, raw = item.decider.program, recorded(item)
        for entry in item.advice["answers"]["used"]:
            assert entry["finding"] in raw, (item.fixture.name, entry)
            if entry["how"] != "by_block":  # one word for many: each finding's own is its `no`
                values = {word(value).removesuffix(".0") for value in raw[entry["finding"]]}
                assert entry["value"] in values, (item.fixture.name, entry, values)
        said = {
            f"{lower(title_of(program, e['finding']))}: {answer_text(program, e)}"
            for e in item.advice["answers"]["used"]
        }
        for line in [*lines(of(item), "Recorded"), *lines(of(item), "Late entries")]:
            text = line.removesuffix(".")
            single = re.fullmatch(r"(.*) \([^()]*\d{4}[^()]*\)", text)
            entries = (
                [single[1]] if single else text.partition(", ")[2].partition(": ")[2].split("; ")
            )
            for one_said in entries:
                assert lower(one_said) in said, (item.fixture.name, one_said)


def test_days_are_days_of_the_case() -> None:
    for item in all_decided():
        known = {item.case.as_of}
        answers = list(item.case.answers.values())
        answers += [given for s in item.case.segments or () for given in s.answers.values()]
        for given in answers:
            known |= {answer.observed for answer in given}
            for answer in given:  # a value that is a date itself
                if re.fullmatch(r"\d{4}-\d{2}-\d{2}", answer.raw):
                    known.add(date.fromisoformat(answer.raw))
        days = {day(found.isoformat()) for found in known}
        for text in strings(of(item)):
            assert set(_DAY.findall(text)) <= days, (item.fixture.name, text)


def test_everything_that_counted_is_there_with_its_day_and_who_had_it() -> None:
    for item in all_decided():
        program = item.decider.program
        text = " ".join([*lines(of(item), "Recorded"), *lines(of(item), "Late entries")]).lower()
        for entry in item.advice["answers"]["used"]:
            said = f"{title_of(program, entry['finding'])}: {answer_text(program, entry)}"
            assert said.lower() in text, (item.fixture.name, said)
            assert day(entry["observed"]).lower() in text
            assert entry.get("by", "") in text


def test_what_was_not_asked_is_listed_as_not_asked_and_nowhere_else() -> None:
    seen = 0
    for item in all_decided():
        program, paper = item.decider.program, of(item)
        listed = " ".join(lines(paper, "Not asked")).lower()
        rest = " ".join([*lines(paper, "Recorded"), *lines(paper, "Late entries")]).lower()
        for entry in item.advice["answers"]["missing"]:
            finding = program.findings[entry["finding"].partition("@")[0]]
            if finding.ask_alone or finding.block is not None:
                title = title_of(program, entry["finding"]).lower()
                assert title in listed, (item.fixture.name, title)
                assert (
                    f"{title}: " not in rest
                    or title in rest.replace(f"{title}: ", "")
                    or any(
                        title_of(program, u["finding"]).lower().endswith(title)
                        for u in item.advice["answers"]["used"]
                    )
                ), (item.fixture.name, title)
                seen += 1
        for question in item.advice["open_questions"]:
            if question["owed"]:
                name = question["finding"]
                where = f"{name}@{question['level']}" if "level" in question else name
                assert title_of(program, where).lower() in listed, (item.fixture.name, where)
    assert seen > 1000


def test_an_unanswered_screen_says_not_asked_in_so_many_words() -> None:
    deciding = decider()
    case = read_case(deciding.vocabulary, {"as_of": "2026-11-20", "moment": "before_session"})
    paper = note(deciding.program, deciding.resolver, deciding.decide(case))
    assert lines(paper, "Recorded") == []
    [listed] = lines(paper, "Not asked")
    assert listed.startswith("Not asked: ") and "sensation of the saddle" in listed
    assert "No hands-on step was advised." in lines(paper, "Advised")


def test_a_late_entry_is_marked() -> None:
    deciding = decider()
    data = deepcopy(base("sixth-visit"))
    data["answers"]["cancer_history"] = {
        "value": "never", "observed": "2026-11-02", "how": "record", "by": "t-07",
    }  # fmt: skip
    advice = deciding.decide(read_case(deciding.vocabulary, data))
    paper = note(deciding.program, deciding.resolver, advice)
    [late] = lines(paper, "Late entries")
    assert late == "History of cancer: never (late entry, observed 2 November 2026 by t-07)."
    assert "history of cancer" not in " ".join(lines(paper, "Recorded")).lower()


def test_an_answer_that_no_longer_counts_is_set_aside_with_its_day() -> None:
    seen = 0
    for item in all_decided():
        text = " ".join(lines(of(item), "Set aside"))
        for entry in item.advice["answers"]["stale"]:
            seen += 1
            assert f"{word(entry['value'])} on {day(entry['observed'])} no longer counts" in text
    assert seen > 5


def test_the_same_facts_always_give_the_same_words() -> None:
    deciding = decider()
    for name in ("first-visit", "sixth-visit"):
        data = base(name)
        turned = {key: data[key] for key in reversed(data)}
        turned["answers"] = dict(reversed(data["answers"].items()))
        texts = {
            as_text(note(deciding.program, deciding.resolver,
                         deciding.decide(read_case(deciding.vocabulary, case))))
            for case in (data, turned, deepcopy(data))
        }  # fmt: skip
        assert len(texts) == 1


def test_assessment_advice_reason_and_safety_net_are_there() -> None:
    paper = of(one("visceral-fever-and-flank"))
    headings = [part["heading"] for part in paper["sections"]]
    assert headings == ["Assessment", "Recorded", "Not asked, or without a value", "Advised",
                        "Reason", "Safety net", ""]  # fmt: skip
    assert "Referral to physician: today." in lines(paper, "Advised")
    assert lines(paper, "Assessment")[0] == "Patient: 33 years, female."
    assert any("Unwell or fever: fever" in line for line in lines(paper, "Reason"))
    assert lines(paper, "Safety net")[0].startswith("Go to an emergency department at once")


def test_how_far_a_label_may_be_trusted_is_said_as_the_advice_says_it() -> None:
    said = set()
    for item in all_decided():
        assessed = lines(of(item), "Assessment")
        for segment in item.advice["segments"]:
            if segment["level"] in LEVELS:
                said.add(segment["confidence"])
                (line,) = [found for found in assessed
                           if found.startswith(f"{segment['level']}: positional")]  # fmt: skip
                assert line.endswith(f"confidence {word(segment['confidence'])}."), line
    assert said == {"low", "very_low"}
