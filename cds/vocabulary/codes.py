"""The closed list of problem codes for cases and request bodies, with what each means.

A test holds this list and the codes that the readers can report equal.
"""

from __future__ import annotations

JSON_CODES: dict[str, str] = {
    "body-too-large": "The body is longer than the door accepts.",
    "body-not-utf8": "The body is not UTF-8.",
    "body-not-json": "The body is not JSON (RFC 8259).",
    "body-too-deep": "Objects and lists are nested too deeply.",
    "duplicate-key": "An object has one key twice.",
    "number-not-finite": "NaN and Infinity are not JSON numbers.",
    "number-too-large": "A number is beyond 2**53 or has too many digits.",
    "lone-surrogate": "A text holds half of a surrogate pair.",
}
"""Codes of `cds.vocabulary.jsonbytes`."""

CASE_CODES: dict[str, str] = {
    "wrong-type": "A value is of another JSON type than this place takes.",
    "missing-key": "A key that must be sent is missing.",
    "unknown-key": "A key that this place does not have.",
    "unknown-finding": "No finding of this edition has that name.",
    "wrong-scope": "A finding of one level was sent for the whole case, or the reverse.",
    "unknown-block": "No block of this edition has that id.",
    "unknown-level": "Not a vertebral level of this edition (T10 to S1).",
    "duplicate-level": "One level is listed twice.",
    "unknown-rung": "Not a rung of this edition's ladder.",
    "wrong-value": "A word that this place does not allow.",
    "bad-text": "An id or text is empty, too long, or holds control characters.",
    "bad-date": "Not a real day written YYYY-MM-DD (where allowed, YYYY or YYYY-MM).",
    "date-order": "Two dates stand in an impossible order.",
    "date-after-as-of": "A date lies after the case's as-of date.",
    "bad-number": "Not a whole number where one is wanted.",
    "not-whole-step": "A number that is not a whole count of its finding's steps.",
    "out-of-range": "A number outside the plausible range.",
    "bad-interval": "A partly known value that names no possibility, or names them twice.",
    "value-or-missing": "An answer needs either a value or a reason for its missing.",
    "one-of-two": "Two keys that exclude each other were both sent.",
    "too-many": "A list has more members than the reader accepts.",
    "empty-list": "A list needs at least one member.",
    "confirmations": "Confirmations were counted for an answer that is not `confirmed_unchanged`.",
    "asked-alone": "An answer by block to a finding that no block may answer.",
    "does-not-apply": "A value for a finding that does not apply to this case.",
    "not-a-moment-for": "Sent at a moment of care that does not have it.",
    "not-oldest-first": "The sessions of the course are not in order of date.",
    "not-positive": "A resolution of a finding that has no adverse values.",
}
"""Codes of `cds.vocabulary.reading`."""

REQUEST_CODES: dict[str, str] = {
    "another-subject": "Two cases of one request are of different patients.",
}
"""Codes of a request that has more than one case."""

CODES: dict[str, str] = {**JSON_CODES, **CASE_CODES}
"""Every code of a body and of one case."""
