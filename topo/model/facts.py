"""Facts with their basis, and figures and ranges: what every number in the tool is carried in.

A fact is a field of a frozen record (`topo/model/records.py`): `part.facts.width_px` is a `Fact[int]`, or None where
it is not known. The helpers here read one without asking each time whether it is there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Generic, Literal, TypeVar, overload

from topo.frozen import frozen

Basis = Literal["measured", "declared", "profile", "assumed"]
"""Where a figure comes from: seen live or in a log; the rig file; a profile; a stated assumption."""

BASES: tuple[Basis, ...] = ("measured", "declared", "profile", "assumed")
"""Every basis, the firmest first."""

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)


@frozen
class Fact(Generic[T_co]):
    """One fact: its value, its basis, and in words where it comes from."""

    value: T_co
    basis: Basis
    source: str = ""


@overload
def value_of(fact: Fact[T] | None) -> T | None: ...
@overload
def value_of(fact: Fact[T] | None, default: T) -> T: ...
def value_of(fact: Fact[T] | None, default: T | None = None) -> T | None:
    """The value of a fact, or `default` where it is not known."""
    return default if fact is None else fact.value


def basis_of(*facts: Fact[object] | None) -> Basis:
    """The weakest basis of some facts; `assumed` where one is not known, since what is then used is an assumption."""
    return max(("assumed" if fact is None else fact.basis for fact in facts), key=BASES.index)


@frozen
class Range3:
    """A figure at the low, likely and high end of what is uncertain, ascending: low ≤ likely ≤ high."""

    low: float
    likely: float
    high: float

    @classmethod
    def over(cls, figure: Callable[[float], float], levels: Range3) -> Range3:
        """`figure` evaluated at three levels of something else, and put in ascending order."""
        a, b, c = sorted(figure(level) for level in levels)
        return cls(a, b, c)

    @classmethod
    def of(cls, *values: float) -> Range3:
        """Three values in ascending order, or one value three times."""
        low, likely, high = sorted(values) if len(values) == 3 else (values[0],) * 3
        return cls(low, likely, high)

    def __iter__(self) -> Iterator[float]:
        return iter((self.low, self.likely, self.high))

    def __add__(self, other: Range3) -> Range3:
        return Range3(self.low + other.low, self.likely + other.likely, self.high + other.high)

    def scaled(self, factor: float) -> Range3:
        """The range times a non-negative factor."""
        return Range3(self.low * factor, self.likely * factor, self.high * factor)

    def rounded(self, digits: int = 6) -> list[float]:
        """The three figures as a list for JSON, rounded to `digits` decimals."""
        return [round(value, digits) for value in self]


@frozen
class Figure:
    """A figure told to the person: name, value (number, range, text or None for not known), unit, basis."""

    name: str
    value: float | int | str | Range3 | None
    unit: str
    basis: Basis
