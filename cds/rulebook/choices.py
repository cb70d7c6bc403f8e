"""The same rule book with some policy choices made otherwise.

An operand `{policy: id}` is replaced by its value when a condition is read, so to choose otherwise
the conditions have to be told as well as the list of choices.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from cds.rulebook.book import Book
from cds.rulebook.conditions import Condition, Leaf


def chosen(book: Book, choices: Mapping[str, str | int]) -> Book:
    """`book` with these values chosen; every test that names one of them compares with it.

    KeyError for a policy that the book does not declare. Whether a value may be chosen is for the
    checks to say.
    """
    policy = dict(book.policy)
    for name, value in choices.items():
        policy[name] = replace(policy[name], value=value)
    rules = {id_: replace(rule, when=_told(rule.when, choices)) for id_, rule in book.rules.items()}
    return replace(book, policy=policy, rules=rules)


def _told(condition: Condition, choices: Mapping[str, str | int]) -> Condition:
    if not isinstance(condition, Leaf):
        members = tuple(_told(member, choices) for member in condition.members)
        return replace(condition, members=members)
    if condition.policy is None or condition.policy not in choices:
        return condition
    value = choices[condition.policy]
    if isinstance(value, int):
        return replace(condition, number=Decimal(value))
    return replace(condition, words=(value,))
