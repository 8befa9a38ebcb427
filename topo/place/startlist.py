"""The order in which a rig is switched on and connected: what waits for what, and from when on each part answers.

12 V goes on at T. A part answers `ready_after_s` later; it is connected once it answers, once what it is plugged into
is there, and once the part named by its `after` is connected. The order is topological: nothing comes before what it
waits for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.facts import value_of
from topo.model.rig import Device

if TYPE_CHECKING:
    from topo.model.rig import Part, Rig


@frozen
class StartStep:
    """One part: seconds after power-on at which it is connected, how long it takes itself, and what it waits for."""

    part: str
    at_s: float
    own_s: float
    waits_for: tuple[str, ...]


def start_list(rig: Rig) -> tuple[StartStep, ...]:
    """Every part in the order it is connected; parts of the same moment as the tree and the file have them."""
    parts = {part.id: part for part in rig.parts}
    needs = {part.id: _needs(part, parts) for part in rig.parts}
    done: dict[str, StartStep] = {}
    while len(done) < len(parts):
        ready = [name for name in parts if name not in done and all(each in done for each in needs[name])]
        if not ready:  # plugs that run in a loop are refused elsewhere
            break
        for name in ready:
            own = _own_s(parts[name])
            at = max([own, *(done[each].at_s for each in needs[name])])
            done[name] = StartStep(name, at, own, needs[name])
    depth = {name: place for place, name in enumerate(done)}
    return tuple(sorted(done.values(), key=lambda step: (step.at_s, depth[step.part])))


def _own_s(part: Part) -> float:
    return value_of(part.facts.ready_after_s, 0.0) if isinstance(part, Device) else 0.0


def _needs(part: Part, parts: dict[str, Part]) -> tuple[str, ...]:
    above = part.plug.part if part.plug is not None else None
    return tuple(dict.fromkeys(name for name in (above, part.after) if name is not None and name in parts))


def worth_saying(steps: tuple[StartStep, ...], rig: Rig) -> bool:
    """Whether any part takes its time or waits for another one that its plug does not name."""
    return any(step.at_s > 0.0 for step in steps) or any(part.after is not None for part in rig.parts)
