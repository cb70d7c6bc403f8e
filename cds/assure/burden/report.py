"""The figures as Markdown: what was drawn, goals met or not, answers, headlines, rules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from statistics import median, quantiles

from cds.assure.burden.dialogue import Count
from cds.assure.burden.goals import Goal, goals
from cds.assure.burden.intervals import wilson
from cds.assure.burden.measure import FIRST, LATER, Asked, Measured, Rates
from cds.vocabulary.model import URGENCIES

TOP = 15
"""How many rules are listed."""

OWED_BY = 4
"""How many of the rules that owe a question are named beside it."""


def report(found: Measured) -> str:
    """The whole report, ending in a line break; the same bytes for the same figures."""
    parts = [_head(found), _goals(found), _answers(found)]
    parts += [_rates(kind, found.rates[kind]) for kind in (FIRST, LATER)]
    parts += [_rules(found), _questions(found), _limits()]
    return "\n\n".join(parts) + "\n"


def share(count: int, of: int) -> str:
    """A share with its 95 % interval, in per cent."""
    low, high = wilson(count, of)
    value = 100 * count / of if of else 0.0
    return f"{value:.2f} % ({100 * low:.2f} to {100 * high:.2f})"


def _table(head: Iterable[str], rows: Iterable[Iterable[object]]) -> str:
    names = list(head)
    lines = ["| " + " | ".join(names) + " |", "|" + "---|" * len(names)]
    lines += ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows]
    return "\n".join(lines)


def _head(found: Measured) -> str:
    population = found.population
    rows = [
        ("rule book", found.title),
        ("edition", f"`{found.digest}`"),
        ("population", population.title),
        ("seed", found.seed),
        ("first visits, follow-ups", " and ".join(str(r.visits) for r in found.rates.values())),
        ("dialogues of each kind", population.dialogues),
        ("at least one red flag item", f"{share(found.flagged, found.drawn)}, declared "
         f"{100 * population.flag_share:.1f} %"),
        ("serious conditions drawn, of them referred urgently or worse at once", _serious(found)),
    ]  # fmt: skip
    lines = [
        "# How much the rule book asks, how often it interrupts",
        "",
        "Written by `python -m cds.assure.burden`; not timed, the same for the same seed. The "
        "patients are invented.\nShares are given with their 95 % interval (Wilson).",
        "",
        _table(("", ""), rows),
    ]
    if found.skipped:
        lines += ["", "Declared but not in this book, skipped: " + _names(found.skipped) + "."]
    if found.missing:
        lines += [
            "",
            "In this book but not declared, answered with their ordinary word, numbers left "
            "unknown: " + _names(found.missing) + ".",
        ]
    return "\n".join(lines)


def _goals(found: Measured) -> str:
    rows = [
        (goal.title, _value(goal), _limit(goal), "met" if goal.met else "**not met**")
        for goal in goals(found)
    ]
    return (
        "## Goals\n\nAll goals are common practice, for clinical sign-off. Those of a follow-up "
        "count what is asked in it; the levels that\nwere felt are one answer more here, and so is "
        "each question that the book wants asked alone that day.\n\n"
        + _table(("figure", "measured", "goal", ""), rows)
    )


def _value(goal: Goal) -> str:
    if goal.count is None or goal.of is None:
        return f"{goal.value:g}"
    return f"{goal.count} of {goal.of}: {share(goal.count, goal.of)}"


def _limit(goal: Goal) -> str:
    if goal.count is None:
        return f"at most {goal.at_most:g}"
    return f"at most {100 * goal.at_most:g} %"


def _answers(found: Measured) -> str:
    rows: list[tuple[object, ...]] = []
    for kind in (FIRST, LATER):
        asked = found.asked[kind]
        rows += _answer_rows(kind, asked)
    rows += _leg_rows(found.asked[LATER])
    if found.lifted is not None:
        thrust = found.lifted.thrust
        rows.append((f"{FIRST}, floors of policy lifted: thrust settled", *_spread(thrust)))
    agree = ", ".join(
        f"{found.asked[kind].agree} of {found.population.dialogues} {kind}s"
        for kind in (FIRST, LATER)
    )
    return (
        "## Answers\n\nMedian, and the middle eight tenths in brackets, over visits that were not "
        "stopped. *As asked*: a block is one\nanswer and one more for each member that applies; "
        "the list of levels with all that was felt there is one\nanswer. *Single*: each open "
        "question counts. A dialogue that asks question by question ends with the headline\n"
        f"that it has when everything is answered at once in {agree}.\n\n"
        + _table(("", "visits", "as asked", "single"), rows)
    )


def _answer_rows(kind: str, asked: Asked) -> list[tuple[object, ...]]:
    extra = ", examined and screened anew for it" if kind == LATER else ""
    return [
        (f"{kind}: before hands-on care", *_spread(asked.hands_on)),
        (f"{kind}: until the path of today is settled", *_spread(asked.settled)),
        (f"{kind}: until thrust is settled{extra}", *_spread(asked.thrust)),
        (f"{kind}: every owed question", *_spread(asked.everything)),
    ]


def _leg_rows(asked: Asked) -> list[tuple[object, ...]]:
    return [
        (f"{LATER} without leg symptoms: path of today", *_spread(asked.without_leg)),
        (f"{LATER} with leg symptoms: path of today", *_spread(asked.with_leg)),
    ]


def _spread(counts: list[Count]) -> tuple[object, ...]:
    return (
        len(counts),
        _middle([count.asked for count in counts]),
        _middle([count.single for count in counts]),
    )


def _middle(numbers: list[int]) -> str:
    if len(numbers) < 2:
        return "".join(str(number) for number in numbers) or "-"
    tenths = quantiles(numbers, n=10, method="inclusive")
    return f"{median(numbers):g} ({tenths[0]:.0f} to {tenths[-1]:.0f})"


def _rates(kind: str, rates: Rates) -> str:
    rows: list[tuple[object, ...]] = [
        (f"headline `{name}`", count, share(count, rates.visits))
        for name, count in sorted(rates.headlines.items(), key=lambda item: (-item[1], item[0]))
    ]
    rows.append(("interrupted", rates.interrupted, share(rates.interrupted, rates.visits)))
    rows.append(("unsettled", rates.unsettled, share(rates.unsettled, rates.visits)))
    rows += [
        (f"worst referral `{word}`", rates.urgencies[word],
         share(rates.urgencies[word], rates.visits))
        for word in URGENCIES
    ]  # fmt: skip
    title = f"## {kind.capitalize()}s with everything answered ({rates.visits})"
    return f"{title}\n\n" + _table(("", "visits", "share"), rows)


def _rules(found: Measured) -> str:
    parts = [
        f"## Rules behind the interruptions (the first {TOP})",
        "*Alone*: visits in which no other rule interrupts.",
    ]
    for kind in (FIRST, LATER):
        rates = found.rates[kind]
        rows = [
            (f"`{rule}`", found.titles.get(rule, ""), count, rates.alone[rule],
             share(count, rates.visits))
            for rule, count in _most(rates.rules)
        ]  # fmt: skip
        table = _table((kind, "title", "visits", "alone", "share"), rows)
        parts.append(table if rows else f"{kind.capitalize()}s: no interruption.")
        open_rules = ", ".join(f"`{rule}` {count}" for rule, count in _most(rates.limits))
        if open_rules:
            parts.append(f"Open in unsettled {kind}s: {open_rules}.")
    return "\n\n".join(parts)


def _questions(found: Measured) -> str:
    parts = [
        "## What was asked, and which rules owed it",
        "Shares of dialogues that were not stopped, from one in twenty on; a block stands under "
        f"the member that was asked first.\nAt most {OWED_BY} rules are named, the most frequent "
        "first.",
    ]
    for kind in (FIRST, LATER):
        asked = found.asked[kind]
        rows = [
            (f"`{name}`", f"{100 * count / asked.visits:.0f} %", _owed_by(asked, name))
            for name, count in _most(asked.names, 60)
            if 20 * count >= asked.visits and "@" not in name
        ]
        table = _table((f"{kind} ({asked.visits})", "asked", "owed by"), rows)
        parts.append(table if rows else f"{kind.capitalize()}s: nothing was asked.")
    return "\n\n".join(parts)


def _owed_by(asked: Asked, name: str) -> str:
    rules = asked.why.get(name, Counter())
    more = len(rules) - OWED_BY
    named = ", ".join(f"`{rule}`" for rule, _ in _most(rules, OWED_BY))
    return f"{named} and {more} more" if more > 0 else named or "the record"


def _limits() -> str:
    return (
        "## What these figures cannot say\n\n"
        "Shares of visits count every answer as given, also one that the book only uses when it is "
        "told.\nFewer referrals are no gain by themselves: beside them stands how many of the "
        "serious conditions drawn were\nreferred, and these are few. "
        "Answers are drawn one by one from tables with few dependencies; real patients are more "
        "alike in some ways and\nstranger in others. Most proportions are common practice and "
        "await sign-off. Intervals speak of the draw, not of\nwhether the tables are right."
    )


def _most(counter: Counter[str], top: int = TOP) -> list[tuple[str, int]]:
    return sorted(counter.items(), key=lambda item: (-item[1], item[0]))[:top]


def _serious(found: Measured) -> str:
    drawn = sorted(found.conditions.items())
    told = [f"{name} {count}, of them {found.caught[name]}" for name, count in drawn]
    return "; ".join(told) or "none"


def _names(names: list[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)
