"""Findings agree with the blocks, with the findings that void them, and with what they apply to."""

from __future__ import annotations

from collections.abc import Iterator

from cds.problems import Problem
from cds.rulebook.book import Book
from cds.rulebook.checks.circles import circles
from cds.rulebook.checks.subjects import finding_condition, problem
from cds.rulebook.conditions import Source, leaves
from cds.vocabulary.model import Finding


def check(book: Book) -> Iterator[Problem]:
    """Blocks, voiding, and `applies_when`."""
    depends: dict[str, tuple[str, ...]] = {}
    for finding in book.findings.values():
        yield from _voiding(book, finding)
        yield from _applies(finding)
        condition = finding_condition(finding)
        if condition is not None:
            depends[finding.name] = tuple(leaf.name for leaf in leaves(condition))
        block = book.blocks.get(finding.block or "")
        if block is not None and finding.name not in block.findings:
            message = f"block `{block.id}` does not list `{finding.name}`, which names it"
            yield problem("block-mismatch", message, finding.place)
    for block in book.blocks.values():
        for name in block.findings:
            listed = book.findings.get(name)
            if listed is None:
                continue
            if listed.ask_alone:
                message = f"block `{block.id}` lists `{name}`, which is asked alone"
                yield problem("ask-alone-in-block", message, block.place)
            elif listed.block != block.id:
                message = f"block `{block.id}` lists `{name}`, which does not name it"
                yield problem("block-mismatch", message, block.place)
    for circle in circles(depends):
        shown = " → ".join(f"`{name}`" for name in (*circle, circle[0]))
        message = f"findings apply by each other: {shown}"
        yield problem("applies-when-cycle", message, book.findings[circle[0]].place)


def _voiding(book: Book, finding: Finding) -> Iterator[Problem]:
    shortening = tuple(name for name, _ in finding.good_for.with_)
    for key, names in (("voided_by", finding.voided_by), ("with", shortening)):
        for name in names:
            other = book.findings.get(name)
            if other is not None and not other.adverse:
                message = f"`{key}` of `{finding.name}` names `{name}`, which is never adverse"
                yield problem("never-adverse", message, finding.place)


def _applies(finding: Finding) -> Iterator[Problem]:
    condition = finding_condition(finding)
    if condition is None:
        return
    for leaf in leaves(condition):
        if leaf.source is not Source.FINDING or leaf.policy is not None:
            what = f"the {leaf.source} `{leaf.name}`"
            if leaf.policy is not None:
                what = f"the policy choice `{leaf.policy}`"
            message = f"`applies_when` of `{finding.name}` reads {what}"
            yield problem("applies-when-reads", message, leaf.place)
