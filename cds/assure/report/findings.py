"""The index of findings: how each is asked, how long an answer counts, which rules read it."""

from __future__ import annotations

from collections.abc import Sequence

from cds.assure.report.html import Child, Html, el, join, table
from cds.assure.report.sentences import sentence
from cds.assure.report.terms import Terms, anchor, number, unit_words, value
from cds.explain.words import word
from cds.rulebook.conditions import Leaf, Members
from cds.vocabulary.model import Feature, Finding, GoodFor, Kind, Scope

_WAYS = {"specialist": "a specialist", "imaging": "imaging", "examined": "examination",
         "asked": "asking again"}  # fmt: skip


def findings(terms: Terms) -> list[Html]:
    """Blocks asked together, the findings, then what is computed and never asked."""
    program = terms.program
    blocks: list[tuple[Sequence[Child], str | None]] = [
        ([block.ask, join([terms.term(name) for name in block.findings], "; ")],
         anchor("block", block.id))
        for block in program.blocks.values()
    ]  # fmt: skip
    asked: list[tuple[Sequence[Child], str | None]] = [
        (_linked(terms, finding), anchor("finding", finding.name))
        for finding in sorted(program.findings.values(), key=lambda f: (f.title.lower(), f.name))
    ]
    computed: list[tuple[Sequence[Child], str | None]] = [
        (
            [
                terms.heading("computed", feature.name, feature.title),
                answers(feature),
                made_from(terms, feature),
                readers(terms, feature.name),
            ],
            anchor("computed", feature.name),
        )
        for feature in program.features.values()
    ]
    tables = [
        table("Findings", ("Finding", "Question and answers", "Counts for", "Read by"), asked),
        table(
            "Computed from the record, never asked",
            ("Value", "What it may be", "Computed from", "Read by"),
            computed,
        ),
    ]
    if blocks:
        together = table(
            "Asked together, with one answer “none of these”", ("Question", "Findings"), blocks
        )
        tables.insert(0, together)
    return tables


def _linked(terms: Terms, finding: Finding) -> list[Child]:
    title, *others = finding_cells(terms, finding)
    return [terms.heading("finding", finding.name, title), *others]


def finding_cells(terms: Terms, finding: Finding) -> list[Child]:
    """Its title, its question with the answers, how long an answer counts, who reads it."""
    level = " (of each level)" if finding.scope is Scope.SEGMENT else ""
    return [
        finding.title + level,
        [
            el("p", finding.ask, class_="ask"),
            el("p", f"{answers(finding)}. {_adverse(finding)}", _how(terms, finding)),
            _applies(terms, finding),
        ],
        _counts(terms, finding),
        readers(terms, finding.name),
    ]


def answers(known: Finding | Feature) -> str:
    """The values: `normal, altered`, `0 to 10 points`, `yes or no`."""
    if known.kind is Kind.PRESENCE:
        return "Yes or no"
    if known.kind is Kind.DATE:
        return "A date"
    if known.values:
        order = ", in this order" if known.ordered else ""
        return f"One of: {', '.join(word(text) for text in known.values)}{order}"
    low = number(known.low, None) if known.low is not None else None
    high = number(known.high, None) if known.high is not None else None
    span = f" from {low} to {high}" if low is not None and high is not None else ""
    unit = unit_words(known.unit)
    return f"A number{span}{f' {unit}' if span and unit else f' of {unit}' if unit else ''}"


def _adverse(finding: Finding) -> str:
    if not finding.adverse:
        return ""
    if finding.adverse in (("up",), ("down",)):
        up = finding.adverse == ("up",)
        limit = finding.positive_from
        stands = "" if limit is None else f"Adverse: {limit} or {'more' if up else 'less'}. "
        return f"The {'higher' if up else 'lower'}, the worse. {stands}"
    if finding.kind is Kind.PRESENCE:
        return f"Adverse: {finding.adverse[0]}. "
    return f"Adverse: {', '.join(word(text) for text in finding.adverse)}. "


def _how(terms: Terms, finding: Finding) -> Child:
    if finding.ask_alone:
        return "Asked alone."
    if finding.block in terms.program.blocks:
        return terms.link("block", finding.block or "", "Asked together with others.")
    return None


def _applies(terms: Terms, finding: Finding) -> Child:
    condition = finding.applies_when
    if not isinstance(condition, (Leaf, Members)):
        return None
    return el("div", sentence(terms, condition, "Asked only when"), class_="applies")


def period(good_for: GoodFor) -> str:
    """How long an answer is good for, in words."""
    if good_for.this_session:
        return "this session only"
    if good_for.episode:
        return "the episode, 12 months at most"
    if good_for.days is not None:
        return "1 day" if good_for.days == 1 else f"{good_for.days} days"
    if good_for.months is not None:
        return "1 month" if good_for.months == 1 else f"{good_for.months} months"
    return "life"


def _counts(terms: Terms, finding: Finding) -> Child:
    shown: list[Child] = [el("p", value(period(finding.good_for)))]
    for other, tighter in finding.good_for.with_:
        shown.append(el("p", f"{period(tighter)} while adverse: ", terms.term(other)))
    if finding.voided_by:
        names = join([terms.term(name) for name in finding.voided_by], ", ")
        shown.append(el("p", "ends early after an adverse answer to: ", names))
    if finding.ends_by:
        ways = " or ".join(_WAYS.get(way, word(way)) for way in finding.ends_by)
        shown.append(el("p", f"an adverse answer stands until ended by {ways}"))
    if not finding.unchanged:
        shown.append(el("p", "never answered “unchanged”"))
    elif finding.unchanged_not_with:
        names = join([terms.term(name) for name in finding.unchanged_not_with], ", ")
        shown.append(el("p", "not answered “unchanged” while adverse: ", names))
    return shown


def readers(terms: Terms, name: str) -> Child:
    """Rules that read it, and computed values that are made from it."""
    made = [
        join(["computed: ", terms.term(feature.name)])
        for feature in terms.program.features.values()
        if name in feature.reads
    ]
    return join([*terms.rules(terms.links.readers.get(name, ())), *made], "; ") or "no rule"


def made_from(terms: Terms, feature: Feature) -> Child:
    """What a value is computed from: findings by their titles, parts of the record by name."""
    findings = terms.program.findings
    return (
        join([terms.term(name) if name in findings else word(name) for name in feature.reads], "; ")
        or "the path of the day"
    )
