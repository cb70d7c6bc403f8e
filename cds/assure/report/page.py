"""The report as one page: front matter, contents, the parts in order, the style sheet inside."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files

from cds.assure.report.choices import choices
from cds.assure.report.evidence import certainty_table, sources
from cds.assure.report.findings import findings
from cds.assure.report.html import Child, Html, css_string, el, join, raw
from cds.assure.report.ladder import ladder
from cds.assure.report.library import cards, exercises, texts
from cds.assure.report.positional import positional
from cds.assure.report.rules import day, rules
from cds.assure.report.signoff import signoff
from cds.assure.report.terms import Terms, anchor, link, named, terms_of
from cds.rulebook.program import Program

_READING = (
    "A rule has three states. It applies when its condition is true. It is quiet when the "
    "condition is false. While the condition is unknown, what stands under “Until that is known” "
    "is held. What nobody asked is unknown, never absent: “absent” means that it was asked and "
    "answered no.",
    "Several rules may speak of one thing. Of limits the lowest counts, of care, concern, referral "
    "and next step the most careful. A rule can hold back what another would open; none can open "
    "what another bars.",
    "Rules are numbered in the order of this print. Numbers change from edition to edition; the "
    "name of a rule, given beside it, stays.",
    "The sentences about conditions and conclusions are generated from the rules that the program "
    "runs; nobody wrote them a second time.",
)


def report(program: Program) -> str:
    """The whole rule book as one HTML document. The same Program gives the same bytes."""
    terms = terms_of(program)
    parts: Sequence[tuple[str, str, Child]] = (
        ("rules", "Rules by topic", rules(terms)),
        ("policy", "Policy choices", choices(terms)),
        ("ladder", "The ladder and its families", ladder(terms)),
        ("cards", "Technique cards", cards(terms)),
        ("exercises", "Home exercises", exercises(terms)),
        ("texts", "Texts", texts(terms)),
        ("positional", "Positional table", positional(program)),
        ("findings", "Index of findings", findings(terms)),
        ("sources", "Sources", sources(terms)),
        ("signoff", "For clinical sign-off", signoff(terms)),
    )
    body = el(
        "body",
        el("a", "To the contents", href="#contents", class_="skip"),
        el("header", _front(terms), class_="front"),
        _contents(terms, [(name, title) for name, title, _ in parts]),
        el(
            "main",
            [
                el("section", el("h2", title, id=name), shown, class_=f"part {name}")
                for name, title, shown in parts
            ],
        ),
    )
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("meta", name="color-scheme", content="light dark"),
        el("title", program.title),
        el("style", raw(_style(program))),
    )
    return f"<!doctype html>\n{el('html', head, body, lang='en')}\n"


def _style(program: Program) -> str:
    """The packaged style sheet, with this book's title and edition as running heads."""
    sheet = files(__package__).joinpath("style.css").read_text(encoding="utf-8")
    heads = (
        f"@page {{ @top-left {{ content: {css_string(program.title)} }} "
        f"@bottom-left {{ content: {css_string(f'Edition {program.digest[:23]}')} }} }}"
    )
    return f"\n{sheet}{heads}\n"


def _front(terms: Terms) -> list[Child]:
    program = terms.program
    reviews = [rule.review_by for rule in program.rules.values() if rule.review_by is not None]
    counted = (
        f"{len(program.rules)} rules · {len(program.findings)} findings · "
        f"{len(program.cards)} technique cards · {len(program.exercises)} exercises · "
        f"{len(program.sources)} sources"
    )
    due = f"First review due {day(min(reviews))}." if reviews else "No review dates are set."
    return [
        el("p", "The rule book in plain words", class_="kicker"),
        el("h1", program.title),
        el("p", counted, class_="counts"),
        el("p", f"{due} Edition ", el("code", program.digest), class_="edition"),
        el(
            "section",
            el("h2", "What this book is for, and what not", id="scope"),
            el("ul", [el("li", sentence) for sentence in program.scope_notice]),
            class_="scope",
        ),
        el(
            "section",
            el("h2", "How to read it", id="reading"),
            [el("p", text) for text in _READING],
            certainty_table(program),
            class_="reading",
        ),
    ]


def _contents(terms: Terms, parts: Sequence[tuple[str, str]]) -> Html:
    order = terms.links.order
    topics = [
        el(
            "li",
            link(anchor("topic", topic), named(topic)),
            el("span", f" rules {_span(terms, ids)}", class_="span"),
        )
        for topic, ids in order.items()
    ]
    items = [
        el("li", link(name, title), el("ol", topics) if name == "rules" and topics else None)
        for name, title in parts
    ]
    return el(
        "nav", el("h2", "Contents", id="contents"), el("ol", items), aria_labelledby="contents"
    )


def _span(terms: Terms, ids: Sequence[str]) -> Html:
    first, last = terms.links.numbers[ids[0]], terms.links.numbers[ids[-1]]
    return join([str(first)] if first == last else [f"{first} to {last}"])
