"""Parts that are there and move nothing: counts of transfers that stand still for three of a part's cycles.

The system counts transfers of each device (`urbnum`). Only a part that has moved something since the watch began can
fall silent: one that no program uses is not told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from topo.frozen import frozen
from topo.model.sighting import Pulse

CYCLES = 3
LEAST_SILENT_S = 10.0
"""Never told before this time, however short the cycle."""


@frozen
class Stood:
    """One change: a device (its sighting's id) that fell silent, or moves again, and for how long it was silent, s."""

    device: str
    silent: bool
    seconds: float


@dataclass(slots=True)
class _Count:
    urbs: int
    since_s: float
    moved: bool = False
    told: bool = False


class Silence:
    """Keeps the counts. `cycles` gives the seconds of a cycle for each name of the rig file that has one."""

    def __init__(self, cycles: Mapping[str, float]) -> None:
        self._cycles = cycles
        self._counts: dict[str, _Count] = {}

    def look(self, pulse: Pulse, named: Mapping[str, str], now_s: float, every_s: float) -> Iterator[Stood]:
        """What fell silent or moves again. A device that is gone, or was renewed, begins anew."""
        there = {name: beat.urbs for name, beat in pulse.beats}
        self._counts = {name: count for name, count in self._counts.items() if there.get(name) is not None}
        for name, urbs in there.items():
            cycle = self._cycles.get(named.get(name, ""))
            if urbs is None or cycle is None:
                continue
            count = self._counts.get(name)
            if count is None or urbs < count.urbs:
                self._counts[name] = _Count(urbs, now_s)
            elif urbs > count.urbs:
                if count.told:
                    yield Stood(name, False, round(now_s - count.since_s, 3))
                self._counts[name] = _Count(urbs, now_s, moved=True)
            elif count.moved and not count.told and now_s - count.since_s >= _allowed(cycle, every_s):
                count.told = True
                yield Stood(name, True, round(now_s - count.since_s, 3))


def _allowed(cycle_s: float, every_s: float) -> float:
    return max(CYCLES * cycle_s, CYCLES * every_s, LEAST_SILENT_S)
