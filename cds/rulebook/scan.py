"""Checks below the tree: which bytes, characters and plain words a rule file may hold.

YAML alone lets in much that reads differently from how it looks: invisible and direction-changing
characters, a second byte encoding, numbers in six notations. What a reviewer sees on the screen
must be what the program gets, so all of that is refused here, each with its place.
"""

from __future__ import annotations

import codecs
import re
import unicodedata
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from cds.problems import Place, Problem
from cds.rulebook.tree import Value

MAX_BYTES = 1024 * 1024
MAX_DIGITS = 18  # as many as always fit a signed 64-bit integer
MAX_CHARACTER_PROBLEMS = 20

# Printing a line: cells of a tab, code points kept before and after the marker.
_TAB, _BEFORE, _AFTER = 4, 100, 60
_INDENT = "    "

# C0 and C1 controls except tab and line feed, soft hyphen, Arabic letter mark, Hangul fillers,
# Mongolian vowel separator, zero-width and bidi marks, LS, PS, word joiner and invisible
# operators, BOM, interlinear marks, tag characters, lone surrogates, noncharacters.
_FORBIDDEN_SET = (
    "\\x00-\\x08\\x0b-\\x1f\\x7f-\\x9f\\xad\\u034f\\u061c\\u115f\\u1160\\u17b4\\u17b5\\u180e"
    "\\u200b-\\u200f\\u2028-\\u202e\\u2060-\\u206f\\u3164\\ufeff\\uffa0\\ufff9-\\ufffb"
    "\\ufdd0-\\ufdef\\ufffe\\uffff\\ud800-\\udfff\\U000e0000-\\U000e007f"
)
FORBIDDEN = re.compile(f"[{_FORBIDDEN_SET}]")
# In a file a carriage return is let in as half of a line end only.
_FORBIDDEN_IN_FILE = re.compile(f"(?!\\r\\n)[{_FORBIDDEN_SET}]")

_INTEGER = re.compile(r"-?(?:0|[1-9][0-9]*)")
_DECIMAL = re.compile(r"-?(?:0|[1-9][0-9]*)\.[0-9]+")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_LIKE_DATE = re.compile(r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}")
# Reads as a number to a person or to another YAML reader, but is not in the one accepted form.
_LIKE_NUMBER = re.compile(
    r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)"
    r"|[-+]?(?:[0-9][0-9_]*\.?[0-9_]*|\.[0-9][0-9_]*)[eE][-+]?[0-9]+"
    r"|[-+]?[0-9][0-9_]*\.[0-9_]*|[-+]?\.[0-9][0-9_]*"
    r"|\+[0-9][0-9_]*|-?[1-9][0-9]*_[0-9_]*"
)


@dataclass(frozen=True, slots=True)
class Refused:
    """A plain word that is not let in: code, message and help of the problem to report."""

    code: str
    message: str
    help: str


def printable(text: str) -> str:
    """`text` with every forbidden character as a visible escape, so that it can be printed."""
    return FORBIDDEN.sub(lambda found: _escape(found.group()), text)


def quoted(text: str, longest: int = 60) -> str:
    """User text for a message: on one line, escaped, cut to `longest`, in backticks."""
    cut = text if len(text) <= longest else text[: longest - 1] + "…"
    return "`" + printable(cut.replace("\n", "\\n").replace("\t", "\\t")) + "`"


def name_of(character: str) -> str:
    """A character's code point and, where it has one, its name: `U+200B ZERO WIDTH SPACE`."""
    return f"U+{ord(character):04X} {unicodedata.name(character, '')}".rstrip()


def marked(line: str, column: int) -> list[str]:
    """The source line and its marker, both indented; tabs as spaces, cut when long."""
    before, after = line[: column - 1], line[column - 1 :]
    start = ""
    if len(before) > _BEFORE:
        before, start = before[-_BEFORE:], "…"
    if len(after) > _AFTER:
        after = after[:_AFTER] + "…"
    shown, width = _render(start + before, 0)
    rest, _ = _render(after, width)
    return [_INDENT + (shown + rest).rstrip(), _INDENT + " " * width + "^"]


def decode(data: bytes, file: str) -> tuple[str | None, list[Problem]]:
    """The text of a file, without a leading UTF-8 byte order mark; or why it is refused.

    Columns count code points. Line ends are LF or CR LF; the text keeps them as they are.
    """
    start = Place(file, 1, 1)
    if len(data) > MAX_BYTES:
        message = f"the file is larger than {MAX_BYTES} bytes"
        return None, [Problem("yaml-too-large", message, start, help="split it into several files")]
    # ASCII written as UTF-16 or UTF-32 without a mark has a NUL among its first four bytes.
    wide = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE, codecs.BOM_UTF32_BE)
    if data.startswith(wide) or b"\0" in data[:4]:
        message = "the file is UTF-16, UTF-32 or binary, not UTF-8"
        return None, [Problem("yaml-encoding", message, start, help="save the file as UTF-8")]
    data = data.removeprefix(codecs.BOM_UTF8)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        place = place_at(data[: error.start].decode("utf-8"), file)
        message = f"byte 0x{data[error.start]:02X} is not UTF-8 here"
        return None, [Problem("yaml-encoding", message, place, help="save the file as UTF-8")]
    problems = _characters(text, file)
    return (None if problems else text), problems


def place_at(before: str, file: str) -> Place:
    """The place that follows the text `before`."""
    return Place(file, before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1)


def resolve(text: str) -> Value | Refused:
    """The value of a plain (unquoted) scalar.

    `true` and `false` are booleans; `null`, `~` and nothing are None; `-?(0|[1-9][0-9]*)` is an
    int, the same with `.` and digits an exact Decimal; `YYYY-MM-DD` a date. Everything else is a
    word, `yes`, `no`, `on`, `off`, `True`, `017`, `0x1F` and `1:30` included. Refused, because a
    reader would take them for numbers or dates: exponents, `.inf`, `.nan`, a leading `+`, `.5`,
    `5.`, `1_000`, `01.5`, more than 18 digits, `2026-1-5`, and dates that do not exist.
    """
    if text in ("", "~", "null"):
        return None
    if text in ("true", "false"):
        return text == "true"
    if text[0] not in "+-.0123456789":
        return text
    if _INTEGER.fullmatch(text) or _DECIMAL.fullmatch(text):
        return _number(text)
    if _DATE.fullmatch(text):
        try:
            return date.fromisoformat(text)
        except ValueError:
            return Refused("yaml-bad-date", f"there is no date {quoted(text)}", "check the day")
    if _LIKE_DATE.fullmatch(text):
        message = f"{quoted(text)} is not written as a date"
        return Refused("yaml-bad-date", message, "write YYYY-MM-DD, or quote it as text")
    if _LIKE_NUMBER.fullmatch(text):
        message = f"{quoted(text)} is not written as a number"
        return Refused(
            "yaml-bad-number", message, "write plain digits such as 12 or 0.5, or quote it as text"
        )
    return text


def _number(text: str) -> Value | Refused:
    if sum(character.isdigit() for character in text) > MAX_DIGITS:
        message = f"{quoted(text)} has more than {MAX_DIGITS} digits"
        return Refused("yaml-bad-number", message, "round it, or quote it as text")
    if "." not in text:
        return int(text)
    exact = Decimal(text)
    # There is one zero: a sign on it would make two spellings of one meaning differ.
    return exact if exact else abs(exact)


def _characters(text: str, file: str) -> list[Problem]:
    problems: list[Problem] = []
    more = 0
    line, start = 1, 0
    for found in _FORBIDDEN_IN_FILE.finditer(text):
        if len(problems) == MAX_CHARACTER_PROBLEMS:
            more += 1
            continue
        line += text.count("\n", start, found.start())
        start = found.start()
        column = start - text.rfind("\n", 0, start)
        problems.append(_character(found.group(), Place(file, line, column)))
    if more:
        last = problems[-1]
        message = f"{last.message} (and {more} more in this file)"
        problems[-1] = Problem(last.code, message, last.place, help=last.help)
    return problems


def _character(character: str, place: Place) -> Problem:
    message = f"the character {name_of(character)} is invisible or changes how text is shown"
    return Problem("yaml-control-character", message, place, help="remove it")


def _escape(character: str) -> str:
    code = ord(character)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _render(text: str, width: int) -> tuple[str, int]:
    """Text for a terminal, and the cell after it when it starts at cell `width`."""
    parts: list[str] = []
    for character in text:
        shown = " " * (_TAB - width % _TAB) if character == "\t" else printable(character)
        parts.append(shown)
        width += sum(_cells(one) for one in shown)
    return "".join(parts), width


def _cells(character: str) -> int:
    if unicodedata.category(character) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in ("W", "F") else 1
