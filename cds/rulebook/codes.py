"""The closed list of problem codes for rule books: one line of meaning and one of help per code.

`rules/README.md` shows the same list to authors, and a test keeps the two equal. Every code has at
least one small planted broken book under `tests/rulebook/broken/`.
"""

from __future__ import annotations

from typing import NamedTuple

from cds.rulebook.check_codes import CHECK_CODES


class Code(NamedTuple):
    """What a problem code means, and what an author does about it."""

    meaning: str
    help: str


READING: dict[str, Code] = {
    "file-link": Code(
        "A link to a folder, or to a file outside the rule book.",
        "Put the file itself into the rule book.",
    ),
    "file-unreadable": Code(
        "A file that cannot be opened, or is no regular file.",
        "Make it readable, or take it away.",
    ),
    "yaml-too-large": Code(
        "A file of more than 1 MiB.",
        "Split it; any section may stand in any file.",
    ),
    "yaml-encoding": Code(
        "A file that is not UTF-8.",
        "Save it as UTF-8 without a byte-order mark.",
    ),
    "yaml-control-character": Code(
        "An invisible, control or direction-changing character, written or made by an escape.",
        "Remove it.",
    ),
    "yaml-not-normalised": Code(
        "A text that is not in Unicode normal form C, so that equal-looking texts differ.",
        "Retype it, or normalise the file.",
    ),
    "yaml-empty": Code(
        "A file that says nothing.",
        "Write `language: 1` and a section, or remove the file.",
    ),
    "yaml-many-documents": Code(
        "A second YAML document in one file.",
        "Keep one document in a file.",
    ),
    "yaml-syntax": Code(
        "Text that is not YAML: a quote or bracket never closed, wrong indentation, a directive.",
        "Mend it at the place shown.",
    ),
    "yaml-too-deep": Code(
        "Nesting deeper than 20.",
        "Write it flatter.",
    ),
    "yaml-alias": Code(
        "An anchor or an alias.",
        "Write the value out; quote a text that begins with & or *.",
    ),
    "yaml-tag": Code(
        "A YAML tag.",
        "Remove it; quote a value to make it text.",
    ),
    "yaml-merge-key": Code(
        "A merge key `<<`.",
        "Write the keys out.",
    ),
    "yaml-key": Code(
        "A key that is empty, a number, true or false, a list, a mapping or a block of text.",
        "Write a word, or quote it.",
    ),
    "yaml-duplicate-key": Code(
        "The same key twice in one mapping.",
        "Keep one of them.",
    ),
    "yaml-bad-number": Code(
        "A plain word that reads like a number but is not in the one accepted form.",
        "Write 5, -5 or 0.5; quote it to make it text.",
    ),
    "yaml-bad-date": Code(
        "A plain word that reads like a date but is not a real day written year-month-day.",
        "Write it like 2026-11-01; quote it to make it text.",
    ),
    "language-missing": Code(
        "A file that does not say which version of the language it is written in.",
        "Write `language: 1` at the top.",
    ),
    "language-unknown": Code(
        "A version of the language that this program does not know.",
        "Write `language: 1`.",
    ),
}

SHAPE: dict[str, Code] = {
    "unknown-section": Code(
        "A top-level key that no part of the language has.",
        "Use one of the top-level keys listed in this guide.",
    ),
    "missing-section": Code(
        "The rule book lacks a section it cannot do without: `book` or `ladder`.",
        "Write the section once, in any file.",
    ),
    "unknown-key": Code(
        "A key that this place does not have.",
        "Correct the spelling, or take the key out.",
    ),
    "missing-key": Code(
        "A key that must be written here is missing.",
        "Write the key; nothing is guessed.",
    ),
    "misplaced-key": Code(
        "A key that exists, but not for this kind of finding or conclusion.",
        "Take the key out, or change the kind.",
    ),
    "wrong-node": Code(
        "A list, a mapping, a word, a text or true/false where something else must stand.",
        "Write the kind of value the message asks for.",
    ),
    "bad-number": Code(
        "A value that is not the whole or decimal number wanted here, or outside its bounds.",
        "Write a plain number without quotes and without a unit.",
    ),
    "bad-date": Code(
        "A date that is not a real day written year-month-day.",
        "Write it like 2026-11-01.",
    ),
    "bad-period": Code(
        "A `good_for` that names no period, or more than one.",
        "Write {days: n}, {months: n}, this_session, episode or life.",
    ),
    "empty-list": Code(
        "A list or mapping without members where at least one must stand.",
        "Write at least one member, or take the key out.",
    ),
    "repeated-item": Code(
        "The same member twice in one list, or the same thing written twice by one rule.",
        "Keep one of them.",
    ),
    "duplicate-id": Code(
        "A name or id that is declared twice in the rule book; both places are shown.",
        "Rename or remove one of the two.",
    ),
    "bad-id": Code(
        "A name or id in the wrong form.",
        "Vocabulary is snake_case; rules, cards, exercises, texts and sources are kebab-case.",
    ),
    "unknown-word": Code(
        "A word outside the closed list of this place.",
        "Use one of the words the message lists.",
    ),
    "bad-condition": Code(
        "A condition that is neither one group nor one test with one subject and one operator.",
        "A group is all, any, none or some; a test is {finding: name, operator: operand}.",
    ),
    "bad-operator": Code(
        "A key that is no operator, or one that this subject does not have.",
        "`known` is for findings and features; `holds`, `has`, `empty` are for conclusions.",
    ),
    "several-operators": Code(
        "More than one operator in one test.",
        "Write one test per operator, under `all`.",
    ),
    "bad-operand": Code(
        "An operand that the operator cannot take.",
        "`in` and `has_any_of` take lists; `known`, `holds`, `empty` take true; others one value.",
    ),
    "bad-mirror": Code(
        "A `mirror` that does not lead back: each of two values must name the other.",
        "Write both: {left: right, right: left}.",
    ),
    "known-false": Code(
        "`known: false` does not exist: a rule never reads that an answer is missing.",
        "Use `while_unknown`, or give the finding a value such as could_not_be_tested.",
    ),
    "some-bounds": Code(
        "`some` with `at_least` below 1 or above the number of its members.",
        "Choose a number from 1 to the number of members.",
    ),
    "bad-write": Code(
        "A value under `then` or `while_unknown` in a form that this conclusion cannot take.",
        "A word for a scale, true for a flag, a list for a set, {key: word} where there are keys.",
    ),
    "policy-value": Code(
        "A policy whose chosen value is outside its values or range, or is one it refuses.",
        "Choose an allowed value; the refused ones say why.",
    ),
    "bad-bounds": Code(
        "A range whose low end is above its high end, or that is not whole steps.",
        "Write [low, high], both whole numbers of steps.",
    ),
}

CHECKS: dict[str, Code] = {name: Code(*said) for name, said in CHECK_CODES.items()}

CODES: dict[str, Code] = {**READING, **SHAPE, **CHECKS}
"""Every code, by stage: a later stage runs only when the one before found no error."""
