"""What changed between two advices of one course, the earlier and the later.

Said in the order in which it matters: another edition first, because then everything else may come
from the rules and not from the patient; then headline, care, referrals, concerns, path, limits,
questions, cards and the next step. Where nothing changed nothing is said.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NotRequired, TypedDict

from cds.explain.paper import label, lower
from cds.explain.sayings import CARE_WORDS, grade_text
from cds.explain.words import title_of, word
from cds.rulebook.program import Program
from cds.vocabulary.advice import Advice, Holder, Limit, OpenQuestion, SegmentAdvice
from cds.vocabulary.model import NAMELESS, URGENCIES, at_level

STATUS = {
    "stopped": "stopped",
    "ask_first": "waiting for answers",
    "settled": "settled by what was recorded",
}


class Change(TypedDict):
    """One change: what it is about, the word before and after (absent: it was or is not there).

    `direction`: `tightened` or `loosened`, `more` or `less` urgent, `new` or `gone`; `rules` are
    those that brought it, or that no longer hold it.
    """

    about: str
    name: NotRequired[str]
    level: NotRequired[str]
    before: NotRequired[str]
    after: NotRequired[str]
    direction: NotRequired[str]
    rules: NotRequired[list[str]]
    text: str


def changes(program: Program, before: Advice, after: Advice) -> list[Change]:
    """Every change from `before` to `after`, in the order of reading. `program` is the later's."""
    return [
        *_edition(before, after),
        *_headline(before, after),
        *_scales(program, before, after),
        *_levels(program, before, after),
        *_limits(program, before["limits"], after["limits"]),
        *_questions(program, before, after),
        *_next_step(before, after),
    ]


def _edition(before: Advice, after: Advice) -> list[Change]:
    old, new = before["edition"]["digest"], after["edition"]["digest"]
    if old == new:
        return []
    text = "The rule book changed in between: some of what follows may come from its rules."
    return [{"about": "edition", "before": old, "after": new, "text": text}]


def _headline(before: Advice, after: Advice) -> list[Change]:
    found: list[Change] = []
    old, new = before["headline"]["text"], after["headline"]["text"]
    if old != new:
        text = f"The headline was “{_end(old)}” and is now “{_end(new)}”."
        found.append({"about": "headline", "before": old, "after": new, "text": text})
    was, now = before["status"], after["status"]
    if was != now:
        text = f"The case was {STATUS.get(was, word(was))} and is now {STATUS.get(now, word(now))}."
        found.append({"about": "status", "before": was, "after": now, "text": text})
    return found


def _scales(program: Program, before: Advice, after: Advice) -> list[Change]:
    """Care today, referrals and concerns, as advised."""
    found: list[Change] = []
    was, now = before["care_today"]["now"], after["care_today"]["now"]
    if was != now:
        text = f"Care today: {CARE_WORDS.get(was, word(was))} before, now {CARE_WORDS[now]}."
        found.append({"about": "care", "before": was, "after": now, "text": text})
    referred: list[dict[str, _Entry]] = []
    feared: list[dict[str, _Entry]] = []
    for advice in (before, after):
        referred.append(
            {r["to"]: (r["title"], r["urgency"]["now"], r["rules"]) for r in advice["referrals"]}
        )
        feared.append(
            {c["condition"]: (c["title"], c["level"]["now"], c["rules"])
             for c in advice["concerns"]}
        )  # fmt: skip
    found += _ranked("referral", "Referral to {title}", URGENCIES, *referred)
    levels = program.conclusions["concern"].values if "concern" in program.conclusions else ()
    return found + _ranked("concern", "Concern for {title}", levels, *feared)


_Entry = tuple[str, str, list[str]]


def _ranked(
    about: str,
    heading: str,
    order: Sequence[str],
    before: Mapping[str, _Entry],
    after: Mapping[str, _Entry],
) -> list[Change]:
    found: list[Change] = []
    least = order[0] if order else "none"
    for name in dict.fromkeys([*after, *before]):
        was = before.get(name, ("", least, []))
        now = after.get(name, ("", least, []))
        if was[1] == now[1]:
            continue
        more = _place(order, now[1]) > _place(order, was[1])
        title = heading.format(title=lower(now[0] or was[0]))
        found.append({
            "about": about, "name": name, "before": was[1], "after": now[1],
            "direction": "more" if more else "less", "rules": now[2] if more else was[2],
            "text": f"{title}: {word(was[1])} before, now {word(now[1])}.",
        })  # fmt: skip
    return found


def _levels(program: Program, before: Advice, after: Advice) -> list[Change]:
    old = {s["level"]: s for s in before["segments"] if s["level"] != NAMELESS}
    new = {s["level"]: s for s in after["segments"] if s["level"] != NAMELESS}
    found: list[Change] = []
    for level, segment in new.items():
        if level in old:
            found += _path(program, old[level], segment)
            continue
        text = f"{level} is new: {_path_text(program, segment)}."
        found.append({"about": "level", "level": level, "direction": "new", "text": text})
    for level in old:
        if level not in new:
            text = f"{level} is no longer listed."
            found.append({"about": "level", "level": level, "direction": "gone", "text": text})
    return found


def _path(program: Program, before: SegmentAdvice, after: SegmentAdvice) -> list[Change]:
    level = after["level"]
    found: list[Change] = []
    if before["treat_today"] != after["treat_today"]:
        verb = "is treated today" if after["treat_today"] else "is not treated today"
        old, new = (_yes(segment["treat_today"]) for segment in (before, after))
        found.append({"about": "treated", "level": level, "before": old, "after": new,
                      "text": f"{level} {verb}, other than last time."})  # fmt: skip
    pattern = before["pattern"], after["pattern"]
    if pattern[0] != pattern[1] or before["sides"] != after["sides"]:
        old, new = (label(segment) for segment in (before, after))
        found.append({"about": "pattern", "level": level, "before": old, "after": new,
                      "text": f"{level} felt {old} before, now {new}."})  # fmt: skip
    place = {rung.name: i for i, rung in enumerate(program.ladder.rungs)}
    was, now = before["path"], after["path"]
    top = was["up_to"]["now"], now["up_to"]["now"]
    if top[0] != top[1] or was["start_at"] != now["start_at"]:
        change: Change = {
            "about": "path", "level": level, "before": top[0], "after": top[1],
            "text": f"{level}: {_path_text(program, before)} before, now "
            f"{_path_text(program, after)}.",
        }  # fmt: skip
        if top[0] != top[1]:
            higher = place.get(top[1], 0) > place.get(top[0], 0)
            change["direction"] = "loosened" if higher else "tightened"
        found.append(change)
    cards = [{card["id"]: card["title"] for card in s["cards"]} for s in (before, after)]
    for there, other, say, way in (
        (cards[1], cards[0], "New card", "new"),
        (cards[0], cards[1], "Card no longer offered", "gone"),
    ):
        for name, title in there.items():
            if name not in other:
                found.append({"about": "card", "level": level, "name": name, "direction": way,
                              "text": f"{level}: {say}: {title}."})  # fmt: skip
    return found


def _limits(program: Program, before: Iterable[Limit], after: Iterable[Limit]) -> list[Change]:
    old = {(limit["family"], limit.get("level")): limit for limit in before}
    new = {(limit["family"], limit.get("level")): limit for limit in after}
    found: list[Change] = []
    for family in program.ladder.families:
        for key in dict.fromkeys([*new, *old]):
            if key[0] != family.name:
                continue
            was, now = (
                side[key]["most"]["now"] if key in side else family.limits[-1]
                for side in (old, new)
            )
            if was == now:
                continue
            tighter = _place(family.limits, now) < _place(family.limits, was)
            holders = _binding(new.get(key) if tighter else old.get(key))
            where = f" at {key[1]}" if key[1] and key[1] != NAMELESS else ""
            way = "tightened" if tighter else "loosened"
            text = (
                f"{family.title}{where}: {way} from {grade_text(was)} to {grade_text(now)}"
                f"{_by(holders, tighter=tighter)}."
            )
            change: Change = {
                "about": "limit", "name": family.name, "before": was, "after": now,
                "direction": way, "rules": sorted({h["rule"] for h in holders}), "text": text,
            }  # fmt: skip
            if key[1] is not None:
                change["level"] = key[1]
            found.append(change)
    return found


def _binding(limit: Limit | None) -> list[Holder]:
    if limit is None:
        return []
    holders = [*limit["contraindications"], *limit["policy"], *limit["others"]]
    return [holder for holder in holders if holder["binding"]]


def _by(holders: list[Holder], *, tighter: bool) -> str:
    titles = list(dict.fromkeys(lower(holder["title"]) for holder in holders))
    if not titles:
        return ""
    return f"{', by' if tighter else '; no longer held by'} {'; '.join(titles)}"


def _questions(program: Program, before: Advice, after: Advice) -> list[Change]:
    old, new = _asked(before["open_questions"]), _asked(after["open_questions"])
    used = {entry["finding"] for entry in after["answers"]["used"]}
    found: list[Change] = []
    for about, names, say in (
        ("opened", [n for n in new if n not in old], "Newly open"),
        ("settled", [n for n in old if n not in new and n in used], "Answered since"),
        ("dropped", [n for n in old if n not in new and n not in used], "Open no longer"),
    ):
        for name in names:
            found.append({"about": "question", "name": name, "direction": about,
                          "text": f"{say}: {lower(title_of(program, name))}."})  # fmt: skip
    return found


def _asked(questions: Iterable[OpenQuestion]) -> dict[str, OpenQuestion]:
    """The questions that hold something, by grounded name."""
    return {at_level(q["finding"], q.get("level")): q for q in questions if q["owed"]}


def _next_step(before: Advice, after: Advice) -> list[Change]:
    was, now = before["next_step"]["step"], after["next_step"]["step"]
    if was == now:
        return []
    text = f"Next step of the course: {word(was)} before, now {word(now)}."
    return [{"about": "next_step", "before": was, "after": now,
             "rules": after["next_step"]["rules"], "text": text}]  # fmt: skip


def sentences(found: Iterable[Change]) -> list[str]:
    """The changes in words; questions of one kind together, so that they stay one sentence."""
    said: list[str] = []
    together: dict[str, list[str]] = {}
    for change in found:
        if change["about"] != "question":
            said.append(change["text"])
            continue
        lead, _, name = change["text"].rstrip(".").partition(": ")
        if lead not in together:
            together[lead] = []
            said.append(lead)
        together[lead].append(name)
    return [f"{text}: {'; '.join(together[text])}." if text in together else text for text in said]


def _path_text(program: Program, segment: SegmentAdvice) -> str:
    path = segment["path"]
    titles = {rung.name: lower(rung.title) for rung in program.ladder.rungs}
    start, most = (
        titles.get(rung, word(rung)) for rung in (path["start_at"], path["up_to"]["now"])
    )
    if not path["steps"]:
        return f"no hands-on step ({most})"
    return f"{start} only" if start == most else f"{start} up to {most}"


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _place(order: Sequence[str], value: str) -> int:
    return order.index(value) if value in order else -1


def _end(text: str) -> str:
    return text.removesuffix(".")
