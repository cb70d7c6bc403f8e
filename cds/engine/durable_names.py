"""Names the engine may see: a closed list without two names of the same 32-bit hash.

The engine finds property names, values and sessions by a 32-bit FNV-1a hash, and takes two names
of one hash for the same (`costarring` and `liquid` are such a pair). So every name that could ever
reach it is known when the rules are built, and compared.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

RESERVED = (
    "n",
    "sid",
    "id",
    "s",
    "m",
    "m_0",
    "host",
    "keep",
    "sink",
    "never",
    "alive",
    "$s",
    "$ex",
)
"""Words of the engine and of our own frame. `sid` and `id` are never keys of our choosing."""

_LEGAL = re.compile(r"[a-z][a-z0-9_]{0,31}")


def fnv32(text: str) -> int:
    """The 32-bit FNV-1a hash of the UTF-8 bytes."""
    found = 0x811C9DC5
    for byte in text.encode():
        found = ((found ^ byte) * 0x01000193) & 0xFFFFFFFF
    return found


def check_names(names: Iterable[str]) -> None:
    """`ValueError` where a name is illegal, reserved, or shares its hash with another."""
    seen = {fnv32(word): word for word in RESERVED}
    for name in names:
        if name in RESERVED:
            raise ValueError(f"{name!r} is reserved")
        if not _LEGAL.fullmatch(name):
            raise ValueError(f"{name!r} is not a legal name")
        other = seen.setdefault(fnv32(name), name)
        if other != name:
            raise ValueError(f"{name!r} and {other!r} have the same hash")


class Namer:
    """Gives short new names, leaving out any whose hash is taken."""

    def __init__(self, prefix: str = "p") -> None:
        self._prefix = prefix
        self._next = 0
        self._taken = {fnv32(word) for word in RESERVED}

    def fresh(self) -> str:
        """A name not given before."""
        while True:
            name = f"{self._prefix}{self._next}"
            self._next += 1
            if (code := fnv32(name)) not in self._taken:
                self._taken.add(code)
                return name
