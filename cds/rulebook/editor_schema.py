"""The JSON Schema (2020-12) of rule files, so that an editor completes and checks while typing.

`python -m cds.rulebook.editor_schema` writes `rules/schema/rulebook.schema.json` from the key lists
that the shape modules themselves use, and from the names that the shipped rule book declares. It is
a help at the desk, looser than the checks: `featheredge vet` has the last word.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path, PurePosixPath
from typing import Any

from cds.problems import RuleBookError
from cds.rulebook import editor_parts as parts
from cds.rulebook.book import Book
from cds.rulebook.load import load_book
from cds.rulebook.reading import TESTS_FOLDER, read_folder, show
from cds.rulebook.shape import LANGUAGE, SECTIONS
from cds.rulebook.shape_findings import (
    BLOCK_KEYS,
    ENDS_BY,
    FINDING_KEYS,
    HOW,
    PERIODS,
    VISIT_KEYS,
)
from cds.rulebook.shape_library import (
    BENDS,
    CARD_KEYS,
    CARD_PATTERNS,
    DEFAULT_KEYS,
    EVIDENCE_KEYS,
    EXERCISE_KEYS,
    PROMINENT,
    ROW_KEYS,
    ROW_PATTERNS,
    SAGITTAL,
    SIDE_WORDS,
    SOURCE_KEYS,
    STATUSES,
    TEXT_KEYS,
)
from cds.rulebook.shape_vocabulary import (
    CONCLUSION_KEYS,
    FAMILY_KEYS,
    GROUPS,
    LADDER_KEYS,
    POLICY_KEYS,
    RUNG_KEYS,
    SCOPES,
)
from cds.vocabulary.core import PARAMETERS
from cds.vocabulary.model import SIDES, Careful, Combine, Kind

RULES = Path("rules")
SCHEMA = Path("schema") / "rulebook.schema.json"
Json = dict[str, Any]


def editor_schema(book: Book) -> Json:
    """The schema of one rule file, with the names of `book` enumerated."""
    sections: Json = {
        "language": {"const": LANGUAGE},
        "book": parts.record(("title", "scope"), ("title", "scope"), scope=parts.TEXTS),
        "parameters": parts.record(tuple(PARAMETERS), (), **dict.fromkeys(PARAMETERS, parts.COUNT)),
        "blocks": parts.named(parts.SNAKE, _block(book)),
        "findings": parts.named(parts.FINDING, _finding(book)),
        "destinations": parts.named(parts.SNAKE, parts.TEXT),
        "concerns": parts.named(parts.SNAKE, parts.TEXT),
        "conclusions": parts.named(parts.SNAKE, _conclusion()),
        "ladder": _ladder(book),
        "policy": parts.named(parts.SNAKE, _policy()),
        "sources": parts.named(parts.KEBAB, _source()),
        "defaults": parts.record(DEFAULT_KEYS, (), approved=parts.DATE, review_by=parts.DATE),
        "rules": parts.listed(parts.ref("rule")),
        "cards": parts.listed(_card(book)),
        "exercises": parts.listed(_exercise(book)),
        "texts": parts.named(parts.KEBAB, _text()),
        "positional": parts.listed(_row()),
        "visit": parts.listed(_visit_part(book)),
    }
    if tuple(sections) != SECTIONS:
        raise AssertionError("the schema must cover every section of the language")
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Rule book, one file",
        "type": "object",
        "properties": sections,
        "required": ["language"],
        "additionalProperties": False,
        "$defs": {
            "condition": parts.condition(book),
            "evidence": _evidence(book),
            "rule": parts.rule(),
            "writes": parts.writes(book),
        },
    }


def _evidence(book: Book) -> Json:
    entry = parts.record(
        EVIDENCE_KEYS, (), source=parts.one_of(book.sources), from_memory=parts.TRUE_FALSE
    )
    entry["oneOf"] = [{"required": ["source"]}, {"required": ["common_practice"]}]
    return parts.listed(entry)


def _block(book: Book) -> Json:
    return parts.record(BLOCK_KEYS, BLOCK_KEYS, findings=parts.several(book.findings))


def _visit_part(book: Book) -> Json:
    return parts.record(
        VISIT_KEYS, VISIT_KEYS, how={"enum": list(HOW)},
        asks=parts.several((*book.findings, *book.blocks)),
    )  # fmt: skip


def _finding(book: Book) -> Json:
    period: Json = {
        "anyOf": [
            {"enum": list(PERIODS)},
            parts.record(
                ("days", "months", "with"),
                (),
                days=parts.COUNT,
                months=parts.COUNT,
                **{"with": {"type": "object"}},
            ),
        ]
    }
    unchanged: Json = {
        "anyOf": [
            parts.TRUE_FALSE,
            parts.record(("not_with",), ("not_with",), not_with=parts.several(book.findings)),
        ]
    }
    return parts.record(
        FINDING_KEYS,
        ("ask", "title", "kind"),
        kind=parts.one_of(Kind),
        values=parts.WORDS,
        ordered=parts.TRUE_FALSE,
        adverse={"anyOf": [parts.WORDS, {"enum": ["up", "down"]}]},
        positive_from={"type": "number"},
        step={"type": "number", "exclusiveMinimum": 0},
        range=parts.pair("number"),
        ask_alone=parts.TRUE_FALSE,
        block=parts.one_of(book.blocks),
        good_for=period,
        voided_by=parts.several(book.findings),
        ends_by=parts.several(ENDS_BY),
        unchanged=unchanged,
        applies_when=parts.ref("condition"),
        mirror={"type": "object", "additionalProperties": parts.WORD},
    )


def _conclusion() -> Json:
    return parts.record(
        CONCLUSION_KEYS,
        ("title", "combine"),
        combine=parts.one_of(Combine),
        scope=parts.one_of(SCOPES),
        values=parts.WORDS,
        otherwise=parts.WORD,
        careful=parts.one_of(Careful),
        output=parts.TRUE_FALSE,
        keys=parts.WORDS,
    )


def _ladder(book: Book) -> Json:
    rung = parts.record(
        RUNG_KEYS, ("title",), gate={"type": "array", "items": parts.TEXT, "uniqueItems": True}
    )
    family = parts.record(
        FAMILY_KEYS,
        ("title", "group", "limits"),
        group=parts.one_of(GROUPS),
        limits=parts.WORDS,
        rungs={
            "type": "object",
            "propertyNames": parts.one_of(book.ladder.rung_names),
            "additionalProperties": parts.WORD,
        },
    )
    return parts.record(
        LADDER_KEYS,
        LADDER_KEYS,
        rungs=parts.named(parts.SNAKE, rung),
        families=parts.named(parts.SNAKE, family),
    )


def _policy() -> Json:
    return parts.record(
        POLICY_KEYS,
        ("title", "value", "reason"),
        value={"type": ["string", "integer"]},
        values=parts.WORDS,
        range=parts.pair("integer"),
        evidence=parts.ref("evidence"),
        refused={"type": "object", "additionalProperties": parts.TEXT},
    )


def _source() -> Json:
    return parts.record(
        SOURCE_KEYS,
        ("title", "status"),
        year={"type": "integer"},
        status=parts.one_of(STATUSES),
    )


def _text() -> Json:
    return parts.record(TEXT_KEYS, ("say",), evidence=parts.ref("evidence"))


def _card(book: Book) -> Json:
    positions = [family.name for family in book.ladder.of_group("position")]
    owed = tuple(
        key
        for key in CARD_KEYS
        if key
        not in (
            "lie_on", "side_bend", "rotate", "sagittal", "asymmetric", "owner", "review_by",
            "evidence", "if_not_tolerated", "instead_of",
        )
    )  # fmt: skip
    return parts.record(
        CARD_KEYS,
        owed,
        id=parts.KEBAB_ID,
        rungs=parts.several(book.ladder.rung_names),
        pattern=parts.one_of(CARD_PATTERNS),
        positions=parts.several(positions),
        lie_on=parts.one_of(SIDE_WORDS),
        side_bend=parts.one_of(BENDS),
        rotate=parts.one_of(BENDS),
        sagittal=parts.one_of(SAGITTAL),
        instead_of=parts.one_of(tuple(book.cards)),
        set_up=parts.TEXTS,
        dose=parts.named(parts.SNAKE, parts.TEXT),
        stop=parts.TEXTS,
        evidence=parts.ref("evidence"),
        review_by=parts.DATE,
    )


def _exercise(book: Book) -> Json:
    loads = parts.several([family.name for family in book.ladder.of_group("home")])
    del loads["minItems"]
    return parts.record(
        EXERCISE_KEYS,
        ("id", "title", "loads", "how", "dose", "stop"),
        id=parts.KEBAB_ID,
        loads=loads,
        how=parts.TEXTS,
        stop=parts.TEXTS,
        evidence=parts.ref("evidence"),
        review_by=parts.DATE,
    )


def _row() -> Json:
    side: Json = {"enum": [*SIDES, None]}
    prominent = parts.one_of(PROMINENT)
    return parts.record(
        ROW_KEYS,
        tuple(key for key in ROW_KEYS if key != "note"),
        row=parts.COUNT,
        flexion=prominent,
        neutral=prominent,
        extension=prominent,
        pattern=parts.one_of(ROW_PATTERNS),
        flexed_side=side,
        extended_side=side,
        prominent_side=side,
        restricted={"type": "array", "items": parts.WORD, "uniqueItems": True},
        note={"type": "string"},
    )


def schema_text(book: Book) -> str:
    """The file's text."""
    return json.dumps(editor_schema(book), indent=1, ensure_ascii=False) + "\n"


def pointer_line(name: str) -> str:
    """The comment by which an editor finds the schema from the rule file `name`."""
    up = "../" * (len(PurePosixPath(name).parts) - 1)
    return f"# yaml-language-server: $schema={up}{SCHEMA}"


def refresh(root: Path) -> None:
    """Write the schema of the rule book under `root`, and point every file at it that does not yet.

    Raises `RuleBookError` when the book is not well shaped.
    """
    target = root / SCHEMA
    target.parent.mkdir(exist_ok=True)
    target.write_text(schema_text(load_book(root)), encoding="utf-8")
    for name in rule_files(root):
        path, line = root / name, pointer_line(name)
        text = path.read_text(encoding="utf-8")
        if line not in text.splitlines():
            path.write_text(f"{line}\n{text}", encoding="utf-8")


def rule_files(root: Path) -> tuple[str, ...]:
    """The rule files of a book, without its test cases."""
    names = read_folder(root).texts
    return tuple(name for name in names if PurePosixPath(name).parts[0] != TESTS_FOLDER)


def main() -> None:
    """Refresh the shipped rule book; prints what is wrong with it instead, and exits with 1."""
    try:
        refresh(RULES)
    except RuleBookError as error:
        texts = read_folder(RULES).texts
        sys.exit("\n".join(show(problem, texts) for problem in error.problems))


if __name__ == "__main__":
    main()
