"""How facts and keys are declared: once, as fields of frozen dataclasses, with their words and bounds beside them.

The schema of rig files, the reader, profiles, questions and listings are all made from these declarations. A field's
type says what is written for it: a number, yes or no, a text, one of some words, a record, or names with a record each.
A module that declares does without `from __future__ import annotations`, so that the types are there to be read.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, field, fields
from functools import cache
from typing import Any, Literal, TypeVar, Union, get_args, get_origin

from topo.frozen import frozen, replace
from topo.model.facts import Fact


@frozen
class Bounds:
    """What may be written: numbers from `low` to `high`, texts of so many characters, or after a pattern."""

    low: float | None = None
    high: float | None = None
    shortest: int | None = None
    longest: int | None = None
    pattern: str | None = None


@frozen
class Declared:
    """One key of a record: the name of its field, the key people write, its words, what its values are.

    `type` is int, float, bool, str, a Literal, a dataclass, Mapping[str, …], tuple[…, ...] or a union of those. A
    `fact` is carried with its basis; keys of an `inline` record stand among those of the record that holds it.
    """

    name: str
    key: str
    words: str
    bounds: Bounds
    type: Any
    default: Any
    needed: bool
    optional: bool
    fact: bool
    inline: bool

    @property
    def choices(self) -> tuple[str, ...]:
        """The words that may be written, where it is one of some words."""
        return get_args(self.type) if get_origin(self.type) is Literal else ()


class Record:
    """Base of the records of facts: every field is a `Fact`, or None where it is not known."""

    __slots__ = ()


R = TypeVar("R", bound=Record)


def fact(words: str, low: float | None = None, high: float | None = None, bounds: Bounds | None = None) -> Any:
    """Declares a fact, a field of type `Fact[…] | None`: its words and, for a number, its bounds."""
    return _said(None, words, bounds or Bounds(low, high))


def key(words: str = "", bounds: Bounds = Bounds(), written: str = "", default: Any = None) -> Any:
    """Declares a key that is no fact: a name, a note, a section. `written` is the key where it is not the field's name.

    `default` is what the field holds where nothing is written; MISSING where something has to be.
    """
    return _said(default, words, bounds, written)


def inline(nothing: Record) -> Any:
    """Declares a record whose keys stand among those of the record that holds it; `nothing` is one with no fact."""
    return _said(nothing, "", Bounds(), inline=True)


def names() -> Any:
    """Declares a section of names with something below each; none where it is left out."""
    return field(default_factory=dict, metadata={"said": ("", Bounds(), "", False)})


def _said(default: Any, words: str, bounds: Bounds, written: str = "", inline: bool = False) -> Any:
    return field(default=default, metadata={"said": (words, bounds, written, inline)})


@cache
def declared(record: Any) -> tuple[Declared, ...]:
    """The keys of a record, in the order they are declared; those of an inline record count as one."""
    found = []
    for each in fields(record):
        words, bounds, written, inline = each.metadata["said"]
        inner, optional = _without_none(each.type)
        is_fact = get_origin(inner) is Fact
        found.append(Declared(
            each.name, written or each.name, words, bounds, get_args(inner)[0] if is_fact else inner,
            each.default, each.default is MISSING and each.default_factory is MISSING, optional, is_fact, inline))
    return tuple(found)


def _without_none(hint: Any) -> tuple[Any, bool]:
    """A type without None, and whether None was in it."""
    if get_origin(hint) not in (Union, types.UnionType):
        return hint, False
    left = [part for part in get_args(hint) if part is not types.NoneType]
    return (left[0] if len(left) == 1 else Union[tuple(left)]), len(left) < len(get_args(hint))  # noqa: UP007


@cache
def names_of(record: Any) -> tuple[str, ...]:
    """The names of a record's fields, in the order they are declared."""
    return tuple(each.name for each in fields(record))


def known(record: Record) -> Iterator[tuple[str, Fact[Any]]]:
    """The facts of a record that are known, each with its name, in the order they are declared."""
    kind: Any = type(record)
    for name in names_of(kind):
        fact = getattr(record, name)
        if fact is not None:
            yield name, fact


def over(below: R, above: R) -> R:
    """Two records of a kind laid over each other: where both know a fact, that of `above` stands."""
    return with_facts(below, dict(known(above)))


def with_facts(record: R, facts: Mapping[str, Fact[Any] | None]) -> R:
    """A record with some facts exchanged by name. Raises TypeError for a name that is none of its fields."""
    return replace(record, **facts) if facts else record  # type: ignore[type-var]
