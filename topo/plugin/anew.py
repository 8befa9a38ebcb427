"""Takes a value apart and makes it anew by its type, with bounds: nothing a stranger hands over goes on as it came.

What comes out is made of exact types alone (no subclass, no hidden attribute, no missing one), all of it ours. No code
of a stranger runs here: types are asked for by `type`, fields are read from exact dataclasses, text and numbers by the
methods of `str`, `int` and `float`.
"""

from __future__ import annotations

import dataclasses
import enum
import importlib
import math
import pkgutil
import sys
import types
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

MOST_LETTERS = 1_000_000
"""Characters of one text: a log in a case of a check is the longest."""

MOST_OF_A_KIND = 1_000_000
"""Items of one tuple: the events of a night's log at most."""

MOST_WHOLE = 2**53
"""Whole numbers past this are no figure of any rig, and lose digits in JSON."""

UNLIMITED = (("Figure", "value"), ("Range3", "low"), ("Range3", "likely"), ("Range3", "high"))
"""Fields that may be without an upper end: a download over a link with nothing left."""

_NAMES: dict[Any, str] = {bool: "true or false", bytes: "bytes", type(None): "nothing"}


class Unlike(Exception):
    """A value that is not what it should be, in words: where in it, and what is wrong."""


def anew(kind: Any, value: Any, where: str = "it") -> Any:
    """The value made anew as `kind`: a type annotation of the house. Raises Unlike."""
    return _made(kind, value, where, False)


def called(value: Any) -> str:
    """A value in words that are safe to show."""
    return "nothing" if value is None else f"a value of type {type(value).__name__}"


def _made(kind: Any, value: Any, where: str, unlimited: bool) -> Any:
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return _one_of(get_args(kind), value, where, unlimited)
    if origin is Literal:
        return _word(get_args(kind), value, where)
    if origin is tuple:
        return _items(get_args(kind), value, where)
    if origin is Sequence:  # a stranger hands over a tuple; only our own may compute their items later
        return _items((*get_args(kind), ...), value, where)
    if kind in _SCALARS:
        return _SCALARS[kind](value, where, unlimited)
    if Callable in (origin, kind):
        if not callable(value):
            raise Unlike(f"{where} is {called(value)}, which cannot be called")
        return value
    if kind is Any or isinstance(kind, TypeVar):
        return _anything(value, where)
    return _record(kind, value, where)


def _record(kind: Any, value: Any, where: str) -> Any:
    record: Any = get_origin(kind) or kind
    if type(value) is not record:
        raise Unlike(f"{where} is {called(value)}, not a {record.__name__}")
    if issubclass(record, enum.Enum):
        return value
    given = dict(zip(getattr(record, "__parameters__", ()), get_args(kind), strict=False))
    fields = {}
    for name, hint in _hints(get_origin(kind) or kind).items():
        inner = f"its {name}" if where == "it" else f"{where}.{name}"
        try:
            held = object.__getattribute__(value, name)
        except AttributeError:
            raise Unlike(f"{inner} is missing") from None
        fields[name] = _made(given.get(hint, hint), held, inner, (record.__name__, name) in UNLIMITED)
    try:
        return record(**fields)
    except (TypeError, ValueError) as error:
        raise Unlike(f"{where}: {error}") from None


@cache
def _hints(record: Any) -> dict[str, Any]:
    """The types of a dataclass's fields. Names that are imported for type checkers alone are found in `topo.model`."""
    if not dataclasses.is_dataclass(record):
        raise Unlike(f"{record.__name__} is no type of topo")
    own = vars(sys.modules[record.__module__])
    hints = get_type_hints(record, localns={name: what for name, what in _model().items() if name not in own})
    return {field.name: hints[field.name] for field in dataclasses.fields(record) if field.init}


@cache
def _model() -> dict[str, Any]:
    package = importlib.import_module("topo.model")
    found: dict[str, Any] = {}
    for module in pkgutil.iter_modules(package.__path__, "topo.model."):
        found.update(vars(importlib.import_module(module.name)))
    return found


def _one_of(kinds: tuple[Any, ...], value: Any, where: str, unlimited: bool) -> Any:
    wrong = []
    own: Any = type(value)
    for kind in sorted(kinds, key=lambda kind: own is not (get_origin(kind) or kind)):  # 3 stays 3, not 3.0
        try:
            return _made(kind, value, where, unlimited)
        except Unlike as error:
            wrong.append((own is (get_origin(kind) or kind), str(error)))
    told = [words for same, words in wrong if same] or [words for _, words in wrong if " is nothing" not in words]
    raise Unlike(told[0] if told else wrong[0][1])


def _word(words: tuple[Any, ...], value: Any, where: str) -> Any:
    if issubclass(type(value), str):
        plain = str.__str__(value)
        for word in words:
            if plain == word:
                return word
    shown = repr(str.__str__(value)) if issubclass(type(value), str) else called(value)
    raise Unlike(f"{where} is {shown}, not one of {', '.join(map(str, words))}")


def _items(kinds: tuple[Any, ...], value: Any, where: str) -> tuple[Any, ...]:
    if not issubclass(type(value), tuple):
        raise Unlike(f"{where} is {called(value)}, not a tuple")
    items = list(tuple.__iter__(value))
    if len(items) > MOST_OF_A_KIND:
        raise Unlike(f"{where} has {len(items)} items, and {MOST_OF_A_KIND} is the most")
    if kinds[-1] is ...:
        kinds = (kinds[0],) * len(items)
    if len(kinds) != len(items):
        raise Unlike(f"{where} has {len(items)} items, not {len(kinds)}")
    return tuple(anew(kind, item, f"{where}[{n}]") for n, (kind, item) in enumerate(zip(kinds, items, strict=True)))


def _anything(value: Any, where: str) -> Any:
    kinds: tuple[Any, ...] = (type(None), bool, int, float, str)
    if type(value) in kinds:
        return anew(type(value), value, where)
    if type(value) is tuple:
        return _items((Any, ...), value, where)
    if dataclasses.is_dataclass(value) and type(value).__module__.startswith("topo."):
        return _record(type(value), value, where)
    raise Unlike(f"{where} is {called(value)}")


def _text(value: Any, where: str, _: bool) -> str:
    if not issubclass(type(value), str):
        raise Unlike(f"{where} is {called(value)}, not text")
    text = str.__str__(value)
    if len(text) > MOST_LETTERS:
        raise Unlike(f"{where} has {len(text)} characters, and {MOST_LETTERS} is the most")
    if any("\ud800" <= char <= "\udfff" for char in text):
        raise Unlike(f"{where} holds half a character")
    return text


def _whole(value: Any, where: str, _: bool) -> int:
    if not issubclass(type(value), int) or type(value) is bool:
        raise Unlike(f"{where} is {called(value)}, not a whole number")
    number = int.__int__(value)
    if abs(number) > MOST_WHOLE:
        raise Unlike(f"{where} is a number that cannot be told: it is out of bounds")
    return number


def _number(value: Any, where: str, unlimited: bool) -> float:
    if issubclass(type(value), int) and type(value) is not bool:
        return float(_whole(value, where, False))
    if not issubclass(type(value), float):
        raise Unlike(f"{where} is {called(value)}, not a number")
    number = float.__float__(value)
    if math.isfinite(number) or (unlimited and number == math.inf):
        return number
    raise Unlike(f"{where} is {number}, which cannot be told")


def _exact(kind: type) -> Callable[[Any, str, bool], Any]:
    def made(value: Any, where: str, _: bool) -> Any:
        if type(value) is not kind:
            raise Unlike(f"{where} is {called(value)}, not {_NAMES[kind]}")
        return value

    return made


_SCALARS: Mapping[Any, Callable[[Any, str, bool], Any]] = {
    str: _text, int: _whole, float: _number, **{kind: _exact(kind) for kind in (bool, bytes, type(None))},
}
