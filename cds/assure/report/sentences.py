"""Conditions in plain sentences, generated from what they mean.

A leaf is a clause (`Age is at least 70 years`), a group a sentence with a list below it.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import NamedTuple

from cds.assure.report.html import Child, Html, bullets, el, join, series
from cds.assure.report.terms import Terms, number, value
from cds.rulebook.conditions import Condition, Group, Leaf, Members, Source
from cds.vocabulary.computed import POINTS
from cds.vocabulary.model import Feature, Finding, Kind
from cds.vocabulary.values import NUMERIC_OPS, Op

_AMOUNTS = {
    Op.AT_LEAST: "at least",
    Op.MORE_THAN: "more than",
    Op.AT_MOST: "at most",
    Op.LESS_THAN: "less than",
}
FEW = 3
"""Up to so many words a comparison is followed by the words it means."""


def clause(terms: Terms, leaf: Leaf) -> Html:
    """One test as a clause, its names linked."""
    if leaf.source is Source.POLICY:
        return _policy(terms, leaf)
    if leaf.source is Source.CONCLUSION:
        return _conclusion(terms, leaf)
    term = terms.term(leaf.name)
    if leaf.op is Op.KNOWN:
        return join([term, " is recorded, whatever the answer"])
    if leaf.policy is not None:
        return join([term, f" is {_verb(leaf.op)}", _set_by_policy(terms, leaf)])
    known = terms.declared(leaf.name)
    if leaf.number is not None:
        return join([term, f" is {_verb(leaf.op)}", value(_amount(known, leaf.number))])
    if known is not None and known.kind is Kind.PRESENCE and leaf.op in (Op.IS, Op.IS_NOT):
        return _presence(terms, leaf, term)
    shown = [value(terms.word(leaf.name, text)) for text in leaf.words]
    if leaf.op in NUMERIC_OPS:
        return join([term, f" is {_verb(leaf.op)}", shown[0], _meant(terms, leaf)])
    return join([term, " is not " if leaf.op is Op.IS_NOT else " is ", series(shown, "or")])


def _amount(known: Finding | Feature | None, amount: Decimal) -> str:
    """A number with its unit, or of how many where it is a score: `7 of 10`."""
    if known is None:
        return number(amount, None)
    if known.kind is Kind.SCORE and known.high is not None and known.unit in (None, "1"):
        return f"{number(amount, None)} of {number(known.high, None)}"
    shown = number(amount, known.unit)
    if known.unit == POINTS and isinstance(known, Feature) and amount:
        return f"{shown} (a {'rise' if amount > 0 else 'fall'} of {number(abs(amount), None)})"
    return shown


def _verb(op: Op) -> str:
    if op is Op.IS_NOT:
        return "not "
    return f"{_AMOUNTS[op]} " if op in _AMOUNTS else ""


def _presence(terms: Terms, leaf: Leaf, term: Html) -> Html:
    yes = (leaf.words == ("yes",)) is (leaf.op is Op.IS)
    if leaf.name in terms.program.findings:
        return join([term, " is ", value("present" if yes else "absent")])
    return join([term, ": ", value("yes" if yes else "no")])


def _meant(terms: Terms, leaf: Leaf) -> str:
    """The words an ordered comparison covers, where they are few: ` (moderate or marked)`."""
    known = terms.declared(leaf.name)
    if known is None or leaf.words[0] not in known.values:
        return ""
    place = known.values.index(leaf.words[0])
    covered = {
        Op.AT_LEAST: known.values[place:],
        Op.MORE_THAN: known.values[place + 1 :],
        Op.AT_MOST: known.values[: place + 1],
        Op.LESS_THAN: known.values[:place],
    }[leaf.op]
    if not covered or covered == leaf.words or len(covered) > FEW:
        return ""
    words = [terms.word(leaf.name, text) for text in covered]
    return f" ({' or '.join([', '.join(words[:-1]), words[-1]] if words[1:] else words)})"


def _policy(terms: Terms, leaf: Leaf) -> Html:
    choice = terms.program.policy.get(leaf.name)
    title = choice.title if choice is not None else leaf.name
    words = [value(text.replace("_", " ")) for text in leaf.words]
    if leaf.number is not None:
        words = [value(number(leaf.number, None))]
    now = ""
    if choice is not None:
        same = leaf.op in (Op.IS, Op.IN) and str(choice.value) in leaf.words
        now = " (as it is now)" if same else f" (it is now {str(choice.value).replace('_', ' ')})"
    verb = f" is {_verb(leaf.op)}" if leaf.op in NUMERIC_OPS else (
        " is not set to " if leaf.op is Op.IS_NOT else " is set to "
    )  # fmt: skip
    linked = terms.link("policy", leaf.name, title)
    return join(["Local policy “", linked, "”", verb, series(words, "or"), now])


def _set_by_policy(terms: Terms, leaf: Leaf) -> Html:
    """An operand that a policy choice sets, with the value it has now."""
    choice = terms.program.policy.get(leaf.policy or "")
    title = choice.title if choice is not None else leaf.policy or ""
    known = terms.declared(leaf.name)
    if leaf.number is not None:
        now = _amount(known, leaf.number)
    else:
        now = " or ".join(terms.word(leaf.name, text) for text in leaf.words)
    linked = terms.link("policy", leaf.policy or "", title)
    return join([value(now), ", as local policy “", linked, "” sets it"])


def _conclusion(terms: Terms, leaf: Leaf) -> Html:
    title = terms.slot(leaf.name)
    if leaf.op is Op.HOLDS:
        return join(["the book has concluded: ", value(title)])
    name = value(title)
    if leaf.op is Op.EMPTY:
        return join(["nothing is listed under ", name])
    bare = leaf.name.removeprefix("segment.").partition(".")[0]
    words = [value(terms.word(bare, text)) for text in leaf.words]
    if leaf.op in (Op.HAS, Op.HAS_ANY_OF):
        return join([name, " lists ", series(words, "or")])
    if leaf.op is Op.IS_NOT:
        return join([name, " is not concluded as ", series(words, "or")])
    return join([name, f" is concluded as {_verb(leaf.op)}", series(words, "or")])


def sentence(terms: Terms, condition: Condition, opening: str = "When") -> Html:
    """A whole condition: a paragraph, and a list below it where it is a group."""
    shown = _plain(condition)
    if isinstance(shown.inner, Leaf):
        return el("p", f"{opening} ", _single(terms, shown.inner, shown.denied), ".")
    return join(
        [el("p", f"{opening} {_head(shown.inner, shown.denied)}:"), _list(terms, shown.inner)]
    )


class _Shown(NamedTuple):
    """A condition without groups of one around it, and whether they deny it."""

    inner: Condition
    denied: bool


def _plain(condition: Condition, denied: bool = False) -> _Shown:
    """A group of one is its member; `none` of one denies it. Denying twice says it again."""
    if isinstance(condition, Members) and len(condition.members) == 1 and condition.at_least <= 1:
        turned = denied is not (condition.group is Group.NONE)
        return _plain(condition.members[0], turned)
    if denied and isinstance(condition, Members) and condition.group in (Group.ANY, Group.NONE):
        other = Group.NONE if condition.group is Group.ANY else Group.ANY
        return _Shown(replace(condition, group=other), False)
    return _Shown(condition, denied)


def _single(terms: Terms, leaf: Leaf, denied: bool) -> Html:
    said = clause(terms, leaf)
    return join(["it is not so that ", said]) if denied else said


def _head(group: Members, denied: bool) -> str:
    """How the members combine. Denied groups are `all` and `some` only."""
    count = len(group.members)
    if group.group is Group.ALL:
        if denied:
            return f"not {'both' if count == 2 else 'all'} of these hold"
        return f"{'both' if count == 2 else 'all'} of these hold"
    if group.group is Group.ANY:
        return f"{'either' if count == 2 else 'any'} of these holds"
    if group.group is Group.SOME:
        return f"{'fewer than' if denied else 'at least'} {group.at_least} of these {count} hold"
    return f"{'neither' if count == 2 else 'none'} of these holds"


def _list(terms: Terms, group: Members) -> Html:
    return bullets([_member(terms, _plain(member)) for member in group.members], class_="tests")


def _member(terms: Terms, shown: _Shown) -> Child:
    if isinstance(shown.inner, Leaf):
        return _single(terms, shown.inner, shown.denied)
    head = el("span", f"{_head(shown.inner, shown.denied)}:", class_="group")
    return [head, _list(terms, shown.inner)]
