"""The shapes of answers that are the door's own; the others are those of the use cases."""

from __future__ import annotations

from typing import NotRequired, TypedDict

from cds.vocabulary.advice import Edition


class Version(TypedDict):
    """Product, contract of the HTTP interface, language of rules, and the rule book in use."""

    product: str
    version: str
    contract: str
    rule_language: int
    edition: Edition


class ProblemTypeView(TypedDict):
    """What an error's `type` means."""

    type: str
    title: str
    status: int
    about: str


class Health(TypedDict):
    """`pass` or `fail`; `releaseId` is the edition's digest once it is loaded."""

    status: str
    version: str
    releaseId: NotRequired[str]
    output: NotRequired[str]
