"""Frozen dataclasses to plain JSON values and strictly back, with every problem told at once; and their JSON Schema.

Knows nothing of what the values mean. What is at its default is left out when written.
"""

from __future__ import annotations

import dataclasses
import types
import typing
from typing import Any, Literal, TypeVar

from topo.model.plain import plain

MOST_TEXT = 2000
MOST_ITEMS = 20_000
MOST_INTEGER = 2**53

T = TypeVar("T")


def to_plain(value: Any) -> Any:
    """Plain dicts, lists, texts and numbers of a dataclass, in field order, without what is at its default."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        told = ((f, getattr(value, f.name)) for f in dataclasses.fields(value))
        return {f.name: to_plain(v) for f, v in told if not _may_miss(f) or v != f.default}
    if isinstance(value, tuple):
        return [to_plain(item) for item in value]
    return value


def from_plain(kind: type[T], data: Any, problems: list[str], at: str = "") -> T | None:
    """The dataclass that `data` describes, or None with each problem as "place: what is wrong"."""
    count = len(problems)
    value = _read(kind, data, problems, at or "the top")
    return value if len(problems) == count else None


def _read(kind: Any, data: Any, problems: list[str], at: str) -> Any:
    if dataclasses.is_dataclass(kind):
        return _read_object(typing.cast(type[Any], kind), data, problems, at)
    origin, arguments = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        inner = next(a for a in arguments if a is not type(None))
        return None if data is None else _read(inner, data, problems, at)
    if origin is tuple:
        return _read_list(arguments, data, problems, at)
    if origin is Literal:
        if data not in arguments or isinstance(data, bool):
            problems.append(f"{at}: {_shown(data)} is none of {', '.join(map(str, arguments))}")
        return data
    if (trouble := _trouble(kind, data)) is not None:
        problems.append(f"{at}: {_shown(data)} {trouble}")
        return None
    return float(data) if kind is float else data


def _read_object(kind: type[Any], data: Any, problems: list[str], at: str) -> Any:
    if not isinstance(data, dict):
        problems.append(f"{at}: {_shown(data)} is no object")
        return None
    hints = hints_of(kind)
    fields = {f.name: f for f in dataclasses.fields(kind)}
    problems += [f"{at}: unknown key {_shown(key)}" for key in data if key not in fields]
    values = {}
    for name, field in fields.items():
        if name in data:
            values[name] = _read(hints[name], data[name], problems, name if at == "the top" else f"{at}.{name}")
        elif not _may_miss(field):
            problems.append(f"{at}: the key '{name}' is missing")
    try:
        return kind(**values)
    except TypeError:
        return None


def _read_list(arguments: tuple[Any, ...], data: Any, problems: list[str], at: str) -> tuple[Any, ...]:
    if not isinstance(data, list) or len(data) > MOST_ITEMS:
        problems.append(f"{at}: {'longer than any scan' if isinstance(data, list) else _shown(data) + ' is no list'}")
        return ()
    if arguments[-1] is ...:
        kinds = (arguments[0],) * len(data)
    elif len(data) == len(arguments):
        kinds = arguments
    else:
        problems.append(f"{at}: {len(data)} items where there must be {len(arguments)}")
        return ()
    return tuple(_read(k, item, problems, f"{at}[{n}]") for n, (k, item) in enumerate(zip(kinds, data, strict=True)))


def _trouble(kind: Any, data: Any) -> str | None:
    """What is wrong with a scalar, or None."""
    if kind is str:
        if not isinstance(data, str):
            return "is no text"
        if len(data) > MOST_TEXT:
            return f"is longer than {MOST_TEXT} characters"
        return "holds half a character" if any("\ud800" <= c <= "\udfff" for c in data) else None
    if kind is bool:
        return None if isinstance(data, bool) else "is neither true nor false"
    numeric = isinstance(data, int) or (kind is float and isinstance(data, float))
    if isinstance(data, bool) or not numeric:
        return "is no whole number" if kind is int else "is no number"
    return None if abs(data) <= MOST_INTEGER else "is out of bounds"  # neither what has no end nor what is no number


def _may_miss(field: dataclasses.Field[Any]) -> bool:
    return field.default is not dataclasses.MISSING or field.default_factory is not dataclasses.MISSING


_HINTS: dict[Any, dict[str, Any]] = {}


def hints_of(kind: Any) -> dict[str, Any]:
    """The types of a dataclass's fields, worked out once."""
    if kind not in _HINTS:
        _HINTS[kind] = typing.get_type_hints(kind)
    return _HINTS[kind]


def _shown(data: Any) -> str:
    return plain(repr(data) if isinstance(data, str) else type(data).__name__ if data is not None else "null", 60)


def schema_of(kind: type[Any], title: str) -> dict[str, Any]:
    """A JSON Schema (2020-12) of what `to_plain` writes. Descriptions are the docstrings."""
    definitions: dict[str, Any] = {}
    top = _object_schema(kind, definitions)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": title, **top, "$defs": definitions}


def _object_schema(kind: type[Any], definitions: dict[str, Any]) -> dict[str, Any]:
    hints = hints_of(kind)
    fields = dataclasses.fields(kind)
    return {
        "type": "object",
        "description": " ".join((kind.__doc__ or "").split()),
        "properties": {f.name: _schema(hints[f.name], definitions) for f in fields},
        "required": [f.name for f in fields if not _may_miss(f)],
        "additionalProperties": False,
    }


def _schema(kind: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    if dataclasses.is_dataclass(kind):
        inner = typing.cast(type[Any], kind)
        if inner.__name__ not in definitions:
            definitions[inner.__name__] = {}
            definitions[inner.__name__] = _object_schema(inner, definitions)
        return {"$ref": f"#/$defs/{inner.__name__}"}
    origin, arguments = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        return {"anyOf": [_schema(a, definitions) for a in arguments if a is not type(None)] + [{"type": "null"}]}
    if origin is tuple and arguments[-1] is ...:
        return {"type": "array", "items": _schema(arguments[0], definitions), "maxItems": MOST_ITEMS}
    if origin is tuple:
        items = [_schema(a, definitions) for a in arguments]
        return {"type": "array", "prefixItems": items, "items": False, "minItems": len(items)}
    if origin is Literal:
        return {"enum": list(arguments)}
    if kind is str:
        return {"type": "string", "maxLength": MOST_TEXT}
    if kind is bool:
        return {"type": "boolean"}
    return {"type": "integer" if kind is int else "number", "minimum": -MOST_INTEGER, "maximum": MOST_INTEGER}
