"""A battery while it runs down through a night, at one level of what is uncertain."""

from __future__ import annotations

import math

from topo.model.facts import value_of
from topo.model.feeds import Supply
from topo.power.battery import ENDS_AT, USABLE, capacity_ah, peukert, rest_volts, used_share

UNKNOWN_CHARGE = (0.8, 1.0, 1.0)
"""How full a battery is at dusk where nobody says (our own, no source)."""


class Draining:
    """A battery of which capacity and kind are known: the share of its charge that is left, and what is noted of it, s.

    Its charge is counted after Peukert from stretch to stretch, and its volts at rest follow its charge.
    """

    __slots__ = ("_capacity", "_charger_amps", "_chemistry", "_ends_at", "_exponent", "_may_go_to", "_most_volts",
                 "_rated", "at_dawn", "flat_s", "left", "used_up_s")  # fmt: skip

    def __init__(self, supply: Supply, coldest: float | None, level: int) -> None:
        """As it is at dusk; `coldest` is that of the night, C. `level`: 0 low volts, 1 likely, 2 high."""
        facts, capacity, chemistry = supply.facts, capacity_ah(supply, coldest), value_of(supply.facts.chemistry)
        assert capacity is not None and chemistry is not None
        charge = value_of(facts.charge_percent)
        self._capacity, self._chemistry = (capacity.low, capacity.likely, capacity.high)[level], chemistry
        self._may_go_to = 1 - value_of(facts.usable_percent, 100 * USABLE[chemistry]) / 100
        self._ends_at = value_of(facts.cut_off_volts, ENDS_AT[chemistry])
        self._rated, self._exponent = peukert(supply)
        self._charger_amps = value_of(facts.charger_amps, 0.0) if facts.charger_volts else 0.0
        self._most_volts = math.inf if level == 2 else supply.volts
        self.left = self.at_dawn = UNKNOWN_CHARGE[level] if charge is None else charge / 100
        self.used_up_s: float | None = None
        self.flat_s: float | None = None

    @property
    def is_done(self) -> bool:
        """Whether what it may give is used up, or all of it."""
        return self.used_up_s is not None or self.flat_s is not None

    def rest_volts(self) -> float:
        """At rest, by charge; no more than the file says it rests at, but at the high end."""
        return min(rest_volts(self._chemistry, self.left), self._most_volts)

    def drain(self, begin: float, end: float, amps: float | None, volts: float | None, night: bool) -> None:
        """From one time to another, s, with so many amps drawn at so many volts; None where it cannot be fed. What a
        charger on it gives comes first."""
        if amps is None or volts is None or volts < self._ends_at:
            self.flat_s = begin
            return
        share = used_share(
            amps - self._charger_amps, (end - begin) / 3600, self._capacity, self._rated, self._exponent
        )
        if self.used_up_s is None and self.left - share < self._may_go_to:
            before = max(0.0, self.left - self._may_go_to)
            self.used_up_s = begin + (end - begin) * min(1.0, before / share if share else 1.0)
        if share >= self.left and share:
            self.flat_s = begin + (end - begin) * self.left / share
        self.left = max(0.0, self.left - share)
        if night:
            self.at_dawn = self.left
