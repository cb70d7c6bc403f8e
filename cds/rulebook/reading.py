"""Reads rule files: bytes to a tree with places, a folder to trees, a problem to printed lines.

PyYAML supplies events only (libyaml where it is built in); the tree is built here, with an explicit
stack, so that hostile nesting cannot exhaust Python's. Nothing is constructed from tags, anchors
and merge keys are refused, and scalars follow `cds.rulebook.scan.resolve`.

All problems of a file are collected; libyaml stops at the first syntax error. A tree is returned
whenever the file could be read to its end, also beside problems: then the wrong scalar stands as
its text, the second of two equal keys, a merge key and a wrong key are left out.
"""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Iterator
from collections.abc import Mapping as AnyMapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import Any

import yaml

from cds.problems import Place, Problem, sorted_problems
from cds.rulebook.scan import (
    FORBIDDEN,
    MAX_BYTES,
    Refused,
    decode,
    marked,
    name_of,
    printable,
    quoted,
    resolve,
)
from cds.rulebook.tree import Entry, Mapping, Node, Scalar, Sequence

LANGUAGE = 1
MAX_DEPTH = 20
SUFFIXES = (".yaml", ".yml")
UNCHECKED_FOLDER = "schema"
TESTS_FOLDER = "tests"

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class ReadFolder:
    """What a folder of rule files holds. Names are relative to the folder, with `/`.

    `files`: the trees that could be read to the end. `texts`: the source of every file that was
    opened and is not too large, for `show`. `unread`: files without a tree; while there are any,
    a name may only seem unknown. `problems`: all of them, sorted by place.
    """

    files: dict[str, Node]
    texts: dict[str, str]
    unread: tuple[str, ...]
    problems: tuple[Problem, ...]


def read_text(data: bytes, file: str) -> tuple[Node | None, list[Problem]]:
    """The tree of one file and all its problems, sorted by place. Never raises on any bytes.

    The node is None where reading stopped early or the file says nothing.
    """
    text, problems = decode(data, file)
    if text is None:
        return None, problems
    builder = _Builder(file)
    try:
        builder.build(yaml.parse(text, Loader=_Loader))
    except yaml.YAMLError as error:
        builder.problems.append(_syntax(error, file, text, builder.open_bracket()))
        builder.root = None
    except (ValueError, OverflowError):
        # Only the loader without libyaml: an escape beyond the last code point.
        builder.tell("yaml-syntax", "the file holds an escape that is no character", builder.last)
        builder.root = None
    return builder.root, list(sorted_problems(builder.problems))


def read_folder(root: Path) -> ReadFolder:
    """Read every `*.yaml` and `*.yml` under `root`, in order of name.

    Left out: the top folder `schema/`, and names that begin with a dot. A link to a folder, or to
    a file outside `root`, is refused (`file-link`), as is what cannot be opened
    (`file-unreadable`). Every file states `language: 1`, except those under `tests/`.
    """
    files: dict[str, Node] = {}
    texts: dict[str, str] = {}
    unread: list[str] = []
    problems: list[Problem] = []
    for name, path in sorted(_find(root, problems)):
        try:
            with path.open("rb") as stream:
                data = stream.read(MAX_BYTES + 1)
        except OSError as error:
            problems.append(_unreadable(name, error.strerror or "it cannot be opened"))
            unread.append(name)
            continue
        node, found = read_text(data, name)
        problems.extend(found)
        if len(data) <= MAX_BYTES:
            texts[name] = data.decode("utf-8-sig", "replace")
        if node is None:
            unread.append(name)
            continue
        files[name] = node
        if PurePosixPath(name).parts[0] != TESTS_FOLDER:
            problems.extend(_language(node))
    return ReadFolder(files, texts, tuple(unread), sorted_problems(problems))


def show(problem: Problem, texts: AnyMapping[str, str]) -> str:
    """The printed form: `file:line:column: error: message [code]`, the line, `^`, and the help.

    `texts` maps file to source; without it the line and the marker are left out. Tabs are shown
    as spaces, characters that could disturb a terminal as escapes, long lines are cut around the
    marker.
    """
    lines = [printable(str(problem))]
    place = problem.place
    if place is not None and place.file in texts:
        source = texts[place.file].split("\n")
        if 1 <= place.line <= len(source):
            lines.extend(marked(source[place.line - 1].removesuffix("\r"), place.column))
    if problem.help is not None:
        lines.append(f"help: {printable(problem.help)}")
    return "\n".join(lines)


@dataclass(slots=True)
class _Frame:
    """A collection that is still open. In a mapping, `key` waits for its value."""

    place: Place
    is_mapping: bool
    is_flow: bool
    items: list[Node] = field(default_factory=list)
    entries: list[Entry] = field(default_factory=list)
    lines: dict[str, int] = field(default_factory=dict)
    wants_value: bool = False
    key: str | None = None  # None while wants_value: this entry is left out
    key_place: Place | None = None


class _Builder:
    """Builds the tree from events, iteratively."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self.last = Place(file, 1, 1)
        self.stack: list[_Frame] = []

    def tell(self, code: str, message: str, place: Place, help: str | None = None) -> None:
        """Note a problem."""
        self.problems.append(Problem(code, message, place, help=help))

    def build(self, events: Iterator[yaml.Event]) -> None:
        """Take all events; sets `root`, or leaves it None."""
        documents = 0
        for event in events:
            self.last = place = self.place(event)
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self.root = None
                    self.tell(
                        "yaml-many-documents",
                        "a second document starts here",
                        place,
                        "keep one document in a file",
                    )
                    return
                self.directives(event, place)
            elif isinstance(event, yaml.NodeEvent):
                self.node(event, place)
                if len(self.stack) > MAX_DEPTH:
                    self.root = None
                    self.tell("yaml-too-deep", f"nesting is deeper than {MAX_DEPTH}", place)
                    return
            elif isinstance(event, yaml.CollectionEndEvent):
                self.close()
        root = self.root
        if root is None or (isinstance(root, Scalar) and root.value is None):
            self.root = None
            self.tell("yaml-empty", "the file says nothing", Place(self.file, 1, 1))

    def place(self, event: yaml.Event) -> Place:
        return _mark(event.start_mark, self.file)

    def directives(self, event: yaml.DocumentStartEvent, place: Place) -> None:
        if event.tags:
            self.tell("yaml-tag", "a `%TAG` directive is not allowed", place, "remove it")
        if event.version:
            self.tell("yaml-syntax", "a `%YAML` directive is not allowed", place, "remove it")

    def node(self, event: yaml.NodeEvent, place: Place) -> None:
        if isinstance(event, yaml.AliasEvent):
            name = "*" + str(event.anchor)
            self.tell("yaml-alias", f"the alias {quoted(name)} is not allowed", place, _NO_ALIAS)
            self.attach(Scalar(place, name, name, quoted=False))
            return
        if event.anchor is not None:
            message = f"the anchor {quoted('&' + str(event.anchor))} is not allowed"
            self.tell("yaml-alias", message, place, _NO_ALIAS)
        tag = getattr(event, "tag", None)
        if tag is not None:
            message = f"the tag {quoted(str(tag))} is not allowed"
            self.tell("yaml-tag", message, place, "remove it; quote a value to make it text")
        if isinstance(event, yaml.ScalarEvent):
            self.scalar(event, place)
        else:
            is_mapping = isinstance(event, yaml.MappingStartEvent)
            self.stack.append(_Frame(place, is_mapping, bool(getattr(event, "flow_style", False))))

    def scalar(self, event: yaml.ScalarEvent, place: Place) -> None:
        text: str = event.value
        style = event.style or ""
        forbidden = FORBIDDEN.search(text)
        if forbidden:
            message = f"an escape makes the character {name_of(forbidden.group())}"
            self.tell("yaml-control-character", message, place, "remove it")
        frame = self.stack[-1] if self.stack else None
        if frame is not None and frame.is_mapping and not frame.wants_value:
            self.key(frame, text, style, place)
            return
        if not unicodedata.is_normalized("NFC", text):
            message = f"{quoted(text)} is not in Unicode normal form C"
            self.tell("yaml-not-normalised", message, place, "retype it, or normalise the file")
        value = text if style else resolve(text)
        if isinstance(value, Refused):
            self.tell(value.code, value.message, place, value.help)
            value = text
        self.attach(Scalar(place, value, text, quoted=bool(style)))

    def key(self, frame: _Frame, text: str, style: str, place: Place) -> None:
        """Take a scalar as the key of the next entry, or say why not and leave the entry out."""
        frame.wants_value, frame.key, frame.key_place = True, None, place
        if not style and text == "<<":
            self.tell("yaml-merge-key", "merge keys are not allowed", place, "write the keys out")
        elif style in ("|", ">"):
            self.tell("yaml-key", "a block text is not allowed as a key", place)
        elif not text:
            self.tell("yaml-key", "a key is empty", place)
        elif not style and not isinstance(resolve(text), str):
            message = f"the key {quoted(text)} is not a word"
            self.tell("yaml-key", message, place, "quote it to make it text")
        elif not unicodedata.is_normalized("NFC", text):
            message = f"the key {quoted(text)} is not in Unicode normal form C"
            self.tell("yaml-key", message, place, "retype it, or normalise the file")
        elif text in frame.lines:
            message = f"the key {quoted(text)} stands here a second time"
            help = f"the first is on line {frame.lines[text]}"
            self.tell("yaml-duplicate-key", message, place, help)
        else:
            frame.lines[text] = place.line
            frame.key = text

    def attach(self, node: Node) -> None:
        """Put a finished node where it belongs."""
        if not self.stack:
            self.root = node
            return
        frame = self.stack[-1]
        if not frame.is_mapping:
            frame.items.append(node)
        elif not frame.wants_value:
            # The only scalar that comes here is the stand-in of an alias, reported already.
            if not isinstance(node, Scalar):
                self.tell("yaml-key", "a list or mapping is not allowed as a key", node.place)
            frame.wants_value, frame.key = True, None
        else:
            if frame.key is not None and frame.key_place is not None:
                frame.entries.append(Entry(frame.key, frame.key_place, node))
            frame.wants_value, frame.key, frame.key_place = False, None, None

    def open_bracket(self) -> Place | None:
        """The innermost `[` or `{` that is still open."""
        return next((frame.place for frame in reversed(self.stack) if frame.is_flow), None)

    def close(self) -> None:
        """Finish the innermost collection."""
        frame = self.stack.pop()
        if frame.is_mapping:
            self.attach(Mapping(frame.place, tuple(frame.entries)))
        else:
            self.attach(Sequence(frame.place, tuple(frame.items)))


_NO_ALIAS = "anchors and aliases are not used; write the value out (quote a text that starts so)"


def _syntax(error: yaml.YAMLError, file: str, text: str, bracket: Place | None) -> Problem:
    """The problem for a syntax error, placed where the author can mend it.

    `bracket` is the innermost one still open.
    """
    mark = getattr(error, "problem_mark", None)
    context = str(getattr(error, "context", None) or "")
    message = str(getattr(error, "problem", None) or "the file is not YAML")
    place = _mark(mark, file)
    opened = _mark(getattr(error, "context_mark", None) or mark, file)
    if message.startswith("exceeded maximum nesting depth"):
        # libyaml looks ahead, and may meet its own bound before the events show ours.
        return Problem("yaml-too-deep", f"nesting is deeper than {MAX_DEPTH}", place)
    if message.startswith("found invalid Unicode character escape"):
        message = "an escape makes a surrogate or a number that is no character"
        return Problem("yaml-control-character", message, place, help="remove it")
    # What was left open is noticed far below or at the end: the place to mend is its start.
    if "quoted scalar" in context and message.startswith("found unexpected"):
        return Problem("yaml-syntax", "this quote is never closed", opened)
    rest = "\n".join(text.split("\n")[place.line - 1 :])[place.column - 1 :]
    if not rest.strip() and (bracket is not None or "flow" in context):
        return Problem("yaml-syntax", "this bracket is never closed", bracket or opened)
    return Problem("yaml-syntax", f"{message} {context}".strip(), place)


def _mark(mark: Any, file: str) -> Place:
    """A place from a mark of either loader (their types have no common base), or the start."""
    return Place(file, 1, 1) if mark is None else Place(file, mark.line + 1, mark.column + 1)


def _find(root: Path, problems: list[Problem]) -> list[tuple[str, Path]]:
    """Every rule file under `root` as (relative name, path); what is refused goes to `problems`."""
    base = root.resolve()
    found: list[tuple[str, Path]] = []
    folders = [""]
    while folders:
        folder = folders.pop()
        try:
            with os.scandir(base / folder) as entries:
                listed = list(entries)
        except OSError as error:
            problems.append(_unreadable(folder or ".", error.strerror or "it cannot be opened"))
            continue
        for entry in listed:
            name = f"{folder}/{entry.name}" if folder else entry.name
            is_rule_file = PurePosixPath(entry.name).suffix.lower() in SUFFIXES
            if entry.name.startswith(".") or name == UNCHECKED_FOLDER:
                continue
            path = base / name
            if entry.is_dir(follow_symlinks=False):
                folders.append(name)
            elif entry.is_symlink() and (path.is_dir() or is_rule_file):
                if path.is_dir() or not path.resolve().is_relative_to(base):
                    message = "a link to a folder, or out of this folder, is not followed"
                    problems.append(Problem("file-link", message, Place(name, 1, 1)))
                elif path.is_file():
                    found.append((name, path))
                else:
                    problems.append(_unreadable(name, "the link leads to no file"))
            elif is_rule_file:
                if entry.is_file(follow_symlinks=False):
                    found.append((name, path))
                else:
                    problems.append(_unreadable(name, "it is not a regular file"))
    return found


def _unreadable(name: str, why: str) -> Problem:
    return Problem("file-unreadable", f"not read: {why}", Place(name, 1, 1))


def _language(root: Node) -> list[Problem]:
    """Whether a rule file states the language it is written in."""
    help = f"write `language: {LANGUAGE}` at the top of the file"
    stated = root.get("language") if isinstance(root, Mapping) else None
    if stated is None:
        return [Problem("language-missing", "the file states no `language`", root.place, help=help)]
    # `true` equals 1 in Python, and a quoted "1" is text: neither states the language.
    if isinstance(stated, Scalar) and type(stated.value) is int and stated.value == LANGUAGE:
        return []
    said = quoted(stated.text) if isinstance(stated, Scalar) else "this"
    return [Problem("language-unknown", f"{said} is no known language", stated.place, help=help)]
