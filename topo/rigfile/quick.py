"""The quick way from what a file says to records: it takes what is written plainly, and leaves all else to pydantic.

Importing pydantic takes longer than a whole check of a rig, and a file that is right needs no words for what is wrong.
Both ways follow the same declarations. What is taken here, pydantic takes with the same values (a test holds the two
against each other); what is not taken here is no verdict: pydantic judges it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from functools import cache
from types import UnionType
from typing import Any, Literal, NamedTuple, TypeVar, get_args, get_origin

from topo.model.declare import Bounds, Declared, declared
from topo.model.facts import Fact
from topo.rigfile.entries import MADE_UP, TEXT

T = TypeVar("T")
Take = Callable[[Any], Any]
"""Takes a text, a list or a mapping as the value it stands for. Raises NotPlain."""

_DIGITS = 15
"""Digits of a number at most, before its point and behind it: as many as a float keeps."""

_YES_OR_NO = {"true": True, "yes": True, "on": True, "false": False, "no": False, "off": False}


class NotPlain(Exception):
    """Something that the quick way does not take."""


class _Key(NamedTuple):
    """Where the value of a key goes: to which field, of which inline record (None: the record itself)."""

    holder: str | None
    name: str
    take: Take


def quick(record: type[T], data: Any) -> T | None:
    """The record that nested mappings of text stand for; None where something in them is not written plainly."""
    try:
        made: T = _record(record, data)
    except NotPlain:
        return None
    return made


def _record(record: Any, data: Any) -> Any:
    if type(data) is not dict:
        raise NotPlain
    keys, inline, needed = _table(record)
    values: dict[str, Any] = {}
    held: dict[str, dict[str, Any]] = {name: {} for name in inline}
    for written, value in data.items():
        key = keys.get(written)
        if key is None:
            raise NotPlain
        (values if key.holder is None else held[key.holder])[key.name] = key.take(value)
    for name in needed:
        if name not in values:
            raise NotPlain
    for name, found in held.items():
        if found:
            values[name] = inline[name](**found)
    return record(**values)


@cache
def _table(record: Any) -> tuple[dict[str, _Key], dict[str, Any], tuple[str, ...]]:
    """The keys of a record as they are written, its inline records by field, and the fields that must be there."""
    keys: dict[str, _Key] = {}
    inline: dict[str, Any] = {}
    for each in declared(record):
        if each.inline:
            inline[each.name] = each.type
            keys |= {inner.key: _Key(each.name, inner.name, _taker(inner)) for inner in declared(each.type)}
        else:
            keys[each.key] = _Key(None, each.name, _taker(each))
    return keys, inline, tuple(each.name for each in declared(record) if each.needed)


def _taker(each: Declared) -> Take:
    take = _take(each.type, each.bounds)
    return (lambda value: Fact(take(value), "declared")) if each.fact else take


def _take(kind: Any, bounds: Bounds) -> Take:
    """How a value of a declared type is taken."""
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Literal:
        return lambda value: _word(value, inner)
    if origin is Mapping:
        below = _take(inner[1], TEXT)
        return lambda value: _named(value, below)
    if origin is tuple:
        return lambda value: _items(value, bounds)
    if origin is UnionType:  # a plain text, or a record
        record = next(choice for choice in inner if choice is not str)
        return lambda value: _text(value, bounds) if type(value) is str else _record(record, value)
    if is_dataclass(kind):
        return lambda value: _record(kind, value)
    if kind is bool:
        return _yes_or_no
    if kind is str:
        return lambda value: _text(value, bounds)
    return lambda value: _number(value, kind, bounds)


def _number(value: Any, kind: Callable[[str], float], bounds: Bounds) -> float:
    if type(value) is not str:
        raise NotPlain
    whole, point, part = value.removeprefix("-").partition(".")
    if not _digits(whole) or (point and (kind is int or not _digits(part))):
        raise NotPlain
    number = kind(value)
    if (bounds.low is not None and number < bounds.low) or (bounds.high is not None and number > bounds.high):
        raise NotPlain
    return number


def _digits(text: str) -> bool:
    """Whether a text is a few digits: those of ASCII, with no `_` between them."""
    return text.isascii() and text.isdigit() and len(text) <= _DIGITS


def _yes_or_no(value: Any) -> bool:
    if type(value) is not str or value.lower() not in _YES_OR_NO:
        raise NotPlain
    return _YES_OR_NO[value.lower()]


def _word(value: Any, words: tuple[str, ...]) -> str:
    if type(value) is not str or value not in words:
        raise NotPlain
    return value


def _text(value: Any, bounds: Bounds) -> str:
    if type(value) is not str or (not value.isascii() and any("\ud800" <= char <= "\udfff" for char in value)):
        raise NotPlain
    if len(value) < (bounds.shortest or 0) or (bounds.longest is not None and len(value) > bounds.longest):
        raise NotPlain
    if bounds.pattern is not None and not re.fullmatch(bounds.pattern, value):
        raise NotPlain
    return value


def _named(value: Any, below: Take) -> dict[str, Any]:
    if type(value) is not dict:
        raise NotPlain
    return {_text(name, MADE_UP): below(inner) for name, inner in value.items()}


def _items(value: Any, bounds: Bounds) -> tuple[str, ...]:
    if type(value) is not list:
        raise NotPlain
    return tuple(_text(item, bounds) for item in value)
