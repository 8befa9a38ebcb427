"""Facts with their basis, and figures and ranges: what every number in the tool is carried in."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

Basis = Literal["measured", "declared", "profile", "assumed"]
"""Where a figure comes from: seen live or in a log; the rig file; a profile; a stated assumption."""

BASES: tuple[Basis, ...] = ("measured", "declared", "profile", "assumed")


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact: its value (number, text, bool or tuple), its basis, and in words where it comes from."""

    value: Any
    basis: Basis
    source: str = ""


class Facts(Mapping[str, Fact]):
    """A frozen mapping of fact names to facts. Names end in their unit (`width_px`, `readout_mb_per_s`).

    What is not known is absent. Iteration follows the order of insertion, which is the order of the schema.
    """

    __slots__ = ("_facts",)

    def __init__(self, facts: Mapping[str, Fact] | None = None) -> None:
        self._facts: dict[str, Fact] = dict(facts or {})

    def __getitem__(self, name: str) -> Fact:
        return self._facts[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._facts)

    def __len__(self) -> int:
        return len(self._facts)

    def __repr__(self) -> str:
        return f"Facts({self._facts!r})"

    def __hash__(self) -> int:
        return hash(tuple(self._facts.items()))

    def value(self, name: str, default: Any = None) -> Any:
        """The value of a fact, or `default` where it is not known."""
        fact = self._facts.get(name)
        return default if fact is None else fact.value

    def number(self, name: str) -> float | None:
        """The value of a numeric fact as a float, or None where it is not known."""
        fact = self._facts.get(name)
        return None if fact is None else float(fact.value)

    def basis(self, name: str) -> Basis:
        """The basis of a fact; `assumed` where it is not known, since whatever is then used is an assumption."""
        fact = self._facts.get(name)
        return "assumed" if fact is None else fact.basis

    def under(self, other: Facts) -> Facts:
        """These facts with `other` laid over them: where both know a fact, `other` wins."""
        return Facts({**self._facts, **other._facts})


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure told to the person: name, value (number, range, text or None for not known), unit, basis."""

    name: str
    value: float | int | str | Range3 | None
    unit: str
    basis: Basis
