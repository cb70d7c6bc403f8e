"""What an open rule holds is a part of what it concludes, careful, and never stricter.

With these an answer only narrows the advice: a hold that ends leaves nothing behind that the fired
rule would not have written.
"""

from __future__ import annotations

from collections.abc import Iterator

from cds.problems import Problem
from cds.rulebook.book import Book, Phase, Rule, Write
from cds.rulebook.checks.subjects import problem
from cds.vocabulary.model import Careful, Combine, Conclusion

OWING = ("limit", "referral", "concern", "care_today")
"""A rule that writes one of these must say what holds while it is open."""


def check(book: Book) -> Iterator[Problem]:
    """Holds that are missing, not careful, not in `then`, or stricter than it."""
    for rule in book.rules.values():
        owing = next((write for write in rule.then if write.conclusion in OWING), None)
        if owing is not None and not rule.holds_said and rule.phase is Phase.JUDGE:
            message = f"rule `{rule.id}` writes `{owing.conclusion}` without `while_unknown`"
            yield problem("missing-hold", message, rule.place)
        for hold in rule.holds:
            yield from _hold(book, rule, hold)


def _hold(book: Book, rule: Rule, hold: Write) -> Iterator[Problem]:
    conclusion = book.conclusions.get(hold.conclusion)
    if conclusion is None:
        return
    name = f"{hold.conclusion}.{hold.key}" if hold.key else hold.conclusion
    # two open rules may hold different values of a `single` conclusion at the same time
    combine = conclusion.combine
    whole = combine in (Combine.FLAG, Combine.SINGLE)
    if whole or conclusion.careful is not Careful.MORE:
        why = f"a {combine} conclusion" if whole else "not `careful: more`"
        message = f"rule `{rule.id}` holds `{name}`, which is {why}"
        yield problem("hold-not-careful", message, hold.place)
        return
    same = [
        write
        for write in rule.then
        if (write.conclusion, write.key, write.reach) == (hold.conclusion, hold.key, hold.reach)
    ]
    if not same:
        message = f"rule `{rule.id}` holds `{name}`, which its `then` does not write there"
        yield problem("hold-not-written", message, hold.place)
    elif not any(_covers(conclusion, write, hold) for write in same):
        message = f"rule `{rule.id}` holds `{name}` at `{hold.value}`, stricter than its `then`"
        yield problem("hold-stricter", message, hold.place)


def _covers(conclusion: Conclusion, write: Write, hold: Write) -> bool:
    """Whether what is written when fired is at least as strict as the hold."""
    values = conclusion.values_of(hold.key)
    if conclusion.combine is Combine.SET:
        return write.value == hold.value
    if write.value not in values or hold.value not in values:
        return True  # an unknown value is reported as such
    fired, held = values.index(write.value), values.index(hold.value)
    return fired <= held if conclusion.combine is Combine.LOWEST else fired >= held
