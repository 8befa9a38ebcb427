"""Every set of moves tried, over concrete sockets: the slow way, sharing nothing with the search's arguments."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, product

from tests.place.random_rigs import EXAMINER, every
from topo.analysis.study import Study
from topo.errors import CommandError
from topo.model.facts import value_of
from topo.model.finding import Severity
from topo.model.rig import Plug, Rig
from topo.place.candidates import kind_needed
from topo.place.consequence import IMPOSSIBLE, Consequence, consequence, new_findings
from topo.wiring.reach import reach
from topo.wiring.topology import Topology


def brute(
    rig: Rig, clear: tuple[Severity, ...], most: int, pinned: frozenset[str] = frozenset()
) -> tuple[int, Consequence] | None:
    """The fewest moves that clear, and the best consequence of any plan with so many; None where `most` do not."""
    start = Study(rig)
    had, fixed = every(start), {(f.name, f.part, f.message) for f in EXAMINER.fixed(start)}
    now = {device.id: device.speed for device in start.devices if device.speed is not None}
    for size in range(most + 1):
        best: Consequence | None = None
        for moved in _rigs(rig, size, pinned):
            study = Study(moved)
            if any(d.speed is None or d.speed < now[d.id] for d in study.devices if d.id in now):
                continue
            findings = every(study)
            if any(f.name in IMPOSSIBLE and f.severity != "note" for f in new_findings(had, findings)):
                continue
            if any(f.severity in clear and (f.name, f.part, f.message) not in fixed for f in findings):
                continue
            value = consequence(study, findings)
            best = value if best is None or value < best else best
        if best is not None:
            return size, best
    return None


def _rigs(rig: Rig, size: int, pinned: frozenset[str]) -> Iterator[Rig]:
    topology = Topology(rig)
    movable = [part for part in rig.parts if topology.leg(part.id) is not None and part.id not in pinned]
    for parts in combinations(movable, size):
        for plugs in product(*(list(_sockets(topology, part.id)) for part in parts)):
            after = rig
            for part, plug in zip(parts, plugs, strict=True):
                after = after.with_part(replace(part, plug=plug))
            used = [(p.plug.part, p.plug.socket) for p in after.parts if p.plug is not None]
            if any(used.count((plug.part, plug.socket)) > 1 for plug in plugs):
                continue
            try:
                Topology(after)
            except CommandError:
                continue
            yield after


def _sockets(topology: Topology, name: str) -> Iterator[Plug]:
    part = topology.part(name)
    for other in topology.rig.parts:
        if other.id != "computer" and topology.leg(other.id) is None:
            continue
        for socket in other.sockets:
            if other.id == name or socket.kind != kind_needed(topology, part):
                continue
            if part.plug == Plug(other.id, socket.name):
                continue
            assert part.plug is not None
            way = reach(topology, name, part.plug.part, other.id, value_of(part.cable.length_m))
            same_place = _same_place(topology, part.plug.part, other.id)
            if way.verdict == "reaches" or (way.verdict != "too-short" and same_place):
                yield Plug(other.id, socket.name)


def _same_place(topology: Topology, one: str, other: str) -> bool:
    """Whether two parts are joined without a leg of 5 m or more, by walking the legs both ways."""
    short: dict[str, set[str]] = {}
    for part in topology.rig.parts:
        if part.plug is not None and value_of(part.cable.length_m, 0.0) < 5 and not value_of(part.cable.active):
            short.setdefault(part.id, set()).add(part.plug.part)
            short.setdefault(part.plug.part, set()).add(part.id)
    seen, pending = {one}, [one]
    while pending:
        for near in short.get(pending.pop(), set()) - seen:
            seen.add(near)
            pending.append(near)
    return other in seen
