"""Bytes of a request -> a Python value, refusing everything that readers disagree about.

Refused: duplicate keys, NaN and Infinity, numbers beyond 2**53, lone surrogates, too much nesting,
anything that is not UTF-8. Numbers with a fraction become `Decimal`, integral ones `int`, also when
written `5.0`. No message ever repeats a part of the body; syntax errors name the byte.
"""

from __future__ import annotations

import json
from decimal import Decimal, InvalidOperation
from enum import Enum

from cds.problems import CaseError, Problem

MAX_DEPTH = 32
LARGEST = 2**53
_LONGEST_NUMBER = 40


class _Bad(Enum):
    """Stands in the parsed tree where a number was refused, until the walk knows its pointer."""

    NOT_FINITE = "number-not-finite"
    TOO_LARGE = "number-too-large"


class _Object(dict[str, object]):
    """An object, with the keys that it has twice."""

    repeated: tuple[str, ...] = ()


def read_json(data: bytes, *, limit: int, depth: int = MAX_DEPTH) -> object:
    """The value that `data` holds: dict, list, str, int, Decimal, bool or None.

    `limit` is the most bytes accepted, `depth` the most levels of nesting. Raises `CaseError` with
    problems that carry a JSON pointer, or for syntax and encoding the byte in the message.
    """
    if len(data) > limit:
        raise _refused("body-too-large", f"the body is longer than {limit} bytes")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        # `from None`: the decoder's own message shows bytes of the body
        raise _refused("body-not-utf8", f"byte {error.start} is not UTF-8") from None
    try:
        tree = json.loads(
            text,
            object_pairs_hook=_pairs,
            parse_float=_decimal,
            parse_int=_integer,
            parse_constant=_constant,
        )
    except json.JSONDecodeError as error:
        at = len(text[: error.pos].encode("utf-8"))
        raise _refused("body-not-json", f"the body is not JSON: see byte {at}") from None
    except RecursionError:
        raise _refused("body-too-deep", _too_deep(depth)) from None
    problems: list[Problem] = []
    _walk(tree, depth, problems)
    if problems:
        raise CaseError(problems)
    return tree


def token(key: str | int) -> str:
    """`key` as the next part of an RFC 6901 pointer, with its slash."""
    return "/" + str(key).replace("~", "~0").replace("/", "~1")


def _refused(code: str, message: str) -> CaseError:
    return CaseError([Problem(code, message)])


def _too_deep(depth: int) -> str:
    return f"objects and lists are nested more than {depth} deep"


def _pairs(pairs: list[tuple[str, object]]) -> _Object:
    found = _Object(pairs)
    if len(found) != len(pairs):
        seen: set[str] = set()
        again: dict[str, None] = {}
        for key, _ in pairs:
            if key in seen:
                again[key] = None
            seen.add(key)
        found.repeated = tuple(again)
    return found


def _integer(text: str) -> int | _Bad:
    if len(text) > _LONGEST_NUMBER:
        return _Bad.TOO_LARGE
    number = int(text)
    return number if abs(number) <= LARGEST else _Bad.TOO_LARGE


def _decimal(text: str) -> Decimal | int | _Bad:
    if len(text) > _LONGEST_NUMBER:
        return _Bad.TOO_LARGE
    try:
        number = Decimal(text)
    except InvalidOperation:
        return _Bad.TOO_LARGE
    if not number:
        return 0
    # the exponent first: only then is it cheap to compare or to make an integer of it
    if not number.is_finite() or not -_LONGEST_NUMBER <= number.adjusted() <= 16:
        return _Bad.TOO_LARGE
    if abs(number) > LARGEST:
        return _Bad.TOO_LARGE
    return int(number) if number == number.to_integral_value() else number


def _constant(_: str) -> _Bad:
    return _Bad.NOT_FINITE


_SAID = {
    _Bad.NOT_FINITE: "NaN and Infinity are not JSON",
    _Bad.TOO_LARGE: "this number is beyond 2**53 or has too many digits",
}


def _walk(tree: object, depth: int, problems: list[Problem]) -> None:
    """Collect what the hooks marked, with pointers. Its own stack: the tree may be deep."""
    stack: list[tuple[object, str, int]] = [(tree, "", 0)]
    while stack:
        value, pointer, level = stack.pop()
        if isinstance(value, _Bad):
            problems.append(Problem(value.value, _SAID[value], pointer=pointer))
        elif isinstance(value, str):
            if not _whole(value):
                problems.append(_half("a text", pointer))
        elif isinstance(value, (_Object, list)):
            if level >= depth:
                problems.append(Problem("body-too-deep", _too_deep(depth), pointer=pointer))
                continue
            if isinstance(value, list):
                members: list[tuple[str | int, object]] = list(enumerate(value))
            else:
                members = list(value.items())
                problems.extend(
                    Problem("duplicate-key", "this key is sent twice", pointer=pointer + token(key))
                    for key in value.repeated
                    if _whole(key)
                )
            for key, inner in members:
                if isinstance(key, str) and not _whole(key):
                    problems.append(_half("a key", pointer))  # a pointer could not be encoded
                else:
                    stack.append((inner, pointer + token(key), level + 1))


def _half(what: str, pointer: str) -> Problem:
    return Problem("lone-surrogate", f"{what} holds half of a surrogate pair", pointer=pointer)


def _whole(text: str) -> bool:
    if text.isascii():
        return True
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True
