"""Typed dictionaries to JSON Schema (draft 2020-12), one component each, closed.

The answers are plain typed dictionaries (`cds.vocabulary.advice` and the views of `cds.service`);
their types are the only statement of their shape, and this makes the published one from it.
"""

from __future__ import annotations

import types
from collections.abc import Mapping
from typing import Any, NotRequired, Union, get_args, get_origin, get_type_hints, is_typeddict

Schema = dict[str, Any]

_PLAIN: Mapping[object, Schema] = {
    str: {"type": "string"},
    int: {"type": "integer"},
    bool: {"type": "boolean"},
    type(None): {"type": "null"},
    Any: {},
}


def components(*roots: type) -> dict[str, Schema]:
    """A schema by class name for every typed dictionary reached from `roots`.

    Raises `TypeError` for a type that is no JSON, `ValueError` for two classes of one name.
    """
    found: dict[str, Schema] = {}
    owners: dict[str, type] = {}
    waiting = list(roots)
    while waiting:
        kind = waiting.pop()
        name = kind.__name__
        if owners.setdefault(name, kind) is not kind:
            raise ValueError(f"two typed dictionaries are called {name}")
        if name in found:
            continue
        properties: Schema = {}
        required = []
        for key, hint in get_type_hints(kind, include_extras=True).items():
            if get_origin(hint) is NotRequired:
                (hint,) = get_args(hint)
            else:
                required.append(key)
            properties[key] = _schema(hint, waiting)
        found[name] = {
            "title": name,
            "description": " ".join((kind.__doc__ or "").split()),
            "type": "object",
            "properties": properties,
            "required": required,
            "additionalProperties": False,
        }
    return dict(sorted(found.items()))


def reference(kind: type) -> Schema:
    """A reference to the component of a typed dictionary."""
    return {"$ref": f"#/components/schemas/{kind.__name__}"}


def _schema(hint: object, waiting: list[type]) -> Schema:
    if hint in _PLAIN:
        return dict(_PLAIN[hint])
    if isinstance(hint, type) and is_typeddict(hint):
        waiting.append(hint)
        return reference(hint)
    origin, arguments = get_origin(hint), get_args(hint)
    if origin is list:
        return {"type": "array", "items": _schema(arguments[0], waiting)}
    if origin is dict and arguments[0] is str:
        return {"type": "object", "additionalProperties": _schema(arguments[1], waiting)}
    if origin in (Union, types.UnionType):
        return {"anyOf": [_schema(part, waiting) for part in arguments]}
    raise TypeError(f"{hint!r} is no JSON type")
