"""Canonical JSON (RFC 8785) and SHA-256 digests.

Advice and programs hold no floating-point numbers and only ASCII keys, for which orjson's sorted
output equals RFC 8785 (the `rfc8785` package is the oracle in the tests) and is about fifty times
faster. `canonical` refuses what would break that equality instead of guessing.
"""

from __future__ import annotations

import hashlib
from typing import Any

import orjson


def _refuse(value: Any) -> None:
    if isinstance(value, float):
        raise TypeError("canonical JSON here holds no floating-point numbers")
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) >= 2**53:
        raise TypeError("canonical JSON here holds no integer of 2**53 or more")
    if isinstance(value, dict):
        for key, inner in value.items():
            if not isinstance(key, str) or not key.isascii():
                raise TypeError("canonical JSON here has only ASCII keys")
            _refuse(inner)
    elif isinstance(value, (list, tuple)):
        for inner in value:
            _refuse(inner)


def canonical(value: Any) -> bytes:
    """RFC 8785 bytes of a JSON value without floats, with ASCII keys.

    Raises `TypeError` for a float, an integer of 2**53 or more, a key that is not an ASCII string,
    or anything JSON cannot hold.
    """
    _refuse(value)
    return orjson.dumps(value, option=orjson.OPT_SORT_KEYS)


def digest(value: Any) -> str:
    """`sha256:` and the hex digest of the canonical form."""
    return "sha256:" + hashlib.sha256(canonical(value)).hexdigest()


def trusted_digest(value: Any) -> str:
    """`digest` without the walk that refuses floats: for values this project built itself.

    Equal to `digest` for every value that `canonical` accepts; four fifths of the cost of a digest
    of a chain is that walk.
    """
    return "sha256:" + hashlib.sha256(orjson.dumps(value, option=orjson.OPT_SORT_KEYS)).hexdigest()
