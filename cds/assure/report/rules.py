"""The rules by topic: what each asks, what follows and why, and who and what vouches for it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from cds.assure.report.effects import effects
from cds.assure.report.evidence import references
from cds.assure.report.html import Child, Html, bullets, el, join
from cds.assure.report.sentences import sentence
from cds.assure.report.terms import Terms, anchor, named, with_holes
from cds.rulebook.book import Phase, Rule

_EACH = {
    ("segment",): "For each listed level: when",
    ("side",): "For the left and the right side in turn: when",
    ("segment", "side"): "For each listed level, on either side: when",
}


def rules(terms: Terms) -> list[Html]:
    """One section for each topic."""
    return [
        el(
            "section",
            el("h3", named(topic), id=anchor("topic", topic)),
            [rule_entry(terms, terms.program.rules[rule]) for rule in ids],
            class_="topic",
        )
        for topic, ids in terms.links.order.items()
    ]


def rule_entry(terms: Terms, rule: Rule) -> Html:
    """One rule, its sentences on the left and what vouches for it on the right."""
    number = el("span", str(terms.links.numbers[rule.id]), class_="no")
    basis = el("span", rule.basis.value, class_="basis") if rule.basis is not None else None
    return el(
        "article",
        el("header", el("h4", number, " ", rule.title), basis),
        el("div", said(terms, rule), class_="said"),
        el("div", definitions(vouched(terms, rule)), class_="vouched"),
        class_="rule",
        id=anchor("rule", rule.id),
    )


def said(terms: Terms, rule: Rule) -> list[Child]:
    """What a rule asks, what follows, what is held until it is known, and why."""
    each = _EACH.get(tuple(sorted(rule.for_each)), "When")
    return [
        el("div", sentence(terms, rule.when, each), class_="when"),
        _follows("Then", "then", effects(terms, rule.then)),
        _unknown(terms, rule),
        el("p", with_holes(rule.because), class_="because"),
        el("p", f"Left and right differ on purpose: {rule.asymmetric}")
        if rule.asymmetric
        else None,
    ]


def _follows(label: str, class_: str, found: Sequence[Html]) -> Html:
    return el("div", el("p", label, class_="label"), bullets(found), class_=class_)


def _unknown(terms: Terms, rule: Rule) -> Html | None:
    if rule.holds:
        return _follows("Until that is known", "held", effects(terms, rule.holds))
    if rule.phase is Phase.PREPARE:
        return None
    return el("p", "While that is unknown, nothing is held.", class_="held none")


def vouched(terms: Terms, rule: Rule) -> list[tuple[str, Child]]:
    """Who and what vouches for a rule, and which rules it hangs together with."""
    links = terms.links
    fed_by: list[Child] = list(terms.rules(links.fed_by.get(rule.id, ())))
    if rule.id in links.from_path:
        fed_by.insert(0, terms.link("part", "ladder", "the path of the day"))
    feeds: list[Child] = list(terms.rules(links.feeds.get(rule.id, ())))
    if rule.id in links.to_path:
        feeds.insert(0, terms.link("part", "ladder", "the path of the day"))
    return [
        ("Evidence", references(terms, rule.evidence)),
        ("Owner", named(rule.owner) if rule.owner else "none named"),
        ("Approved", day(rule.approved)),
        ("Review by", day(rule.review_by)),
        ("Fed by", join(fed_by, "; ") if fed_by else "what is recorded alone"),
        ("Feeds", join(feeds, "; ") if feeds else "the advice alone"),
        ("Name", el("code", rule.id)),
    ]


def definitions(rows: Sequence[tuple[str, Child]]) -> Html:
    """Names and what belongs to them."""
    return el("dl", [el("div", el("dt", name), el("dd", shown)) for name, shown in rows])


def day(when: date | None) -> str:
    """A date for people, `1 November 2026`, or `not set`."""
    return f"{when.day} {_MONTHS[when.month - 1]} {when.year}" if when is not None else "not set"


_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
