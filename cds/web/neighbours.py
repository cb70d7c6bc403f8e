"""What stands around a rule: what it reads, what it concludes, who goes before and after it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from cds.rulebook.book import Rule, Write
from cds.rulebook.conditions import Source, leaves
from cds.web.rulebook import Shelf, address

ALIKE = 8
"""So many rules at most are named as reading the same."""
SAID = {Source.FINDING: "asked", Source.FEATURE: "computed", Source.CONCLUSION: "concluded"}


@dataclass(frozen=True, slots=True)
class Box:
    """One thing beside a rule. `kind` is what it is, in a word or two; `href` None where it has no
    page. `waits`: only while the rule is open.
    """

    kind: str
    text: str
    href: str | None = None
    waits: bool = False


def before(shelf: Shelf, rule: Rule) -> list[Box]:
    """What a rule reads, in written order, then the rules that conclude it."""
    terms, program = shelf.terms, shelf.program
    found: list[Box] = []
    for leaf in leaves(rule.when):
        if leaf.source is Source.POLICY:
            found.append(_policy(shelf, leaf.name))
            continue
        known = terms.declared(leaf.name)
        text = known.title if known is not None else terms.slot(leaf.name)
        kind = "finding" if leaf.name in program.findings else "computed"
        href = address(kind, leaf.name) if known is not None else None
        found.append(Box(SAID[leaf.source], text, href))
        if leaf.policy is not None:
            found.append(_policy(shelf, leaf.policy))
    if rule.id in terms.links.from_path:
        found.append(Box("worked out", "the path of the day", "/rulebook/ladder"))
    return [*dict.fromkeys(found), *_rules(shelf, terms.links.fed_by.get(rule.id, ()))]


def after(shelf: Shelf, rule: Rule) -> list[Box]:
    """What a rule concludes, each thing once, then where that goes."""
    terms = shelf.terms
    fired = _concluded(shelf, rule.then)
    held = [text for text in _concluded(shelf, rule.holds) if text not in fired]
    found = [Box("concludes", text) for text in fired]
    found += [Box("until known", text, waits=True) for text in held]
    if rule.id in terms.links.to_path:
        found.append(Box("decides", "the path of the day", "/rulebook/ladder"))
    return [*found, *_rules(shelf, terms.links.feeds.get(rule.id, ()))]


def alike(shelf: Shelf, rule: Rule) -> list[tuple[Rule, int]]:
    """Rules that read the same answers, with how many they share, the most first."""
    terms = shelf.terms
    shared: Counter[str] = Counter()
    for name in {leaf.name for leaf in leaves(rule.when) if leaf.source is Source.FINDING}:
        shared.update(other for other in terms.links.readers.get(name, ()) if other != rule.id)
    order = terms.links.numbers
    ranked = sorted(shared.items(), key=lambda entry: (-entry[1], order[entry[0]]))
    return [(shelf.program.rules[other], count) for other, count in ranked[:ALIKE]]


def _policy(shelf: Shelf, name: str) -> Box:
    choice = shelf.program.policy.get(name)
    text = name if choice is None else choice.title
    return Box("local policy", text, address("policy", name))


def _rules(shelf: Shelf, ids: Iterable[str]) -> list[Box]:
    numbers, rules = shelf.terms.links.numbers, shelf.program.rules
    return [Box(f"rule {numbers[rule]}", rules[rule].title, address("rule", rule)) for rule in ids]


def _concluded(shelf: Shelf, writes: Iterable[Write]) -> list[str]:
    """Titles of what is concluded; the keys of one conclusion are said together."""
    keys: dict[str, list[str]] = {}
    for write in writes:
        mine = keys.setdefault(write.conclusion, [])
        if write.key and (key := shelf.terms.key(write.conclusion, write.key)) not in mine:
            mine.append(key)
    found = []
    for conclusion, named in keys.items():
        entry = shelf.program.conclusions.get(conclusion)
        title = shelf.terms.slot(conclusion) if entry is None else entry.title
        if len(named) > 3:
            title = f"{title}: {len(named)} families" if conclusion == "limit" else (
                f"{title}: {len(named)} of them")  # fmt: skip
        elif named:
            title = f"{title}: {', '.join(named)}"
        found.append(title)
    return found
