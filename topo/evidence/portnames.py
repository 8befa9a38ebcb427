"""Serial ports through a night: the names each place had, and programs that took a device from its driver."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from topo.evidence.clocks import Axis, events_on
from topo.evidence.open import Source
from topo.frozen import replace
from topo.model.answers import DriverLost, PortHistory
from topo.model.evidence import Claimed, PortNamed

MOST_NAMES_KEPT = 200


def port_histories(axis: Axis, sources: Sequence[Source], parts: Mapping[str, str]) -> tuple[PortHistory, ...]:
    """The names each place had, in the order of first mention."""
    found: dict[str, PortHistory] = {}
    for at, _, number, event in events_on(axis, sources):
        if not isinstance(event, PortNamed):
            continue
        old = found.get(event.path)
        if old is None:
            found[event.path] = PortHistory(event.path, parts.get(event.path), (event.name,), (at,),
                                            sources[number].name, event.at.line)
        elif old.names[-1] != event.name and len(old.names) < MOST_NAMES_KEPT:
            found[event.path] = replace(old, names=(*old.names, event.name), at_s=(*old.at_s, at))
    return tuple(found.values())


def taken_away(axis: Axis, sources: Sequence[Source], parts: Mapping[str, str]) -> tuple[DriverLost, ...]:
    """Each device that a program took from its driver, in the order of first mention."""
    found: dict[tuple[str, str], DriverLost] = {}
    for at, _, number, event in events_on(axis, sources):
        if isinstance(event, Claimed):
            key = (event.path, event.program)
            old = found.get(key)
            found[key] = replace(old, count=old.count + 1) if old is not None else DriverLost(
                event.path, parts.get(event.path), event.driver, event.program, 1, at, sources[number].name,
                event.at.line)
    return tuple(found.values())
