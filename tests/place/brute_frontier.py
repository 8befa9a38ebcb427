"""Every set of changes tried, over concrete sockets: the frontier the slow way, by an enumeration of its own.

A change is a plug moved, a setting, or a purchase (a cable, a hub in place of another, a hub with a part on it; at most
one of all). Every rig that so many of them lead to is studied from nothing, with every check. No tests here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from tests.place.random_rigs import every
from topo.analysis.study import Study
from topo.errors import CommandError
from topo.model.change import AddPart, Proposal, SetUse
from topo.model.facts import value_of
from topo.model.finding import Finding
from topo.model.rig import Device, Part, Plug, Rig
from topo.model.speed import Speed
from topo.place.candidates import kind_needed
from topo.place.consequence import IMPOSSIBLE, new_findings
from topo.place.price import prices
from topo.place.proposals import cables, hub_for, new_cable, powered_in_place
from topo.wiring.apply import apply
from topo.wiring.bought import best_behind, bought_hub, carried
from topo.wiring.reach import reach
from topo.wiring.topology import Topology

Asked = tuple[int, int, int, int]
"""Things bought, plugs moved, settings that cost pictures, cables to try."""

Point = tuple[Asked, tuple[int, int]]
"""What a plan asks, and the faults and risks it leaves."""


class TooMany(Exception):
    """The rig has more sets of changes than were allowed."""


@dataclass(frozen=True)
class State:
    """A rig after some changes: parts moved, settings, purchases, parts whose cable has to be tried."""

    rig: Rig
    size: int = 0
    moved: frozenset[str] = frozenset()
    use: frozenset[tuple[str, str]] = frozenset()
    bought: tuple[str, ...] = ()
    to_try: frozenset[str] = frozenset()
    paid: int = 0


def brute_frontier(rig: Rig, size: int, most_states: int) -> set[Point]:
    """What no other plan of so few changes beats. Raises TooMany."""
    start = Study(rig)
    had = every(start)
    now = _left(had)
    points: set[Point] = set()
    offers = tuple(proposal for f in had if f.fix is not None for proposal in f.fix.offers)
    cleared: list[Asked] = []
    """What plans ask that leave nothing: no other that asks as much is worth looking at."""
    for state in tuple(_states(start, size, most_states, offers, tuple(_bounds(start)))):  # all, or none is studied
        least = (len(state.bought), len(state.moved), 0, len(state.to_try))
        if _doubled(state) or any(all(a <= b for a, b in zip(each, least, strict=True)) for each in cleared):
            continue
        if _slower(start.topology, Topology(state.rig)):
            continue
        study = Study(state.rig)
        findings = every(study)
        brings = new_findings(had, findings)
        if any(f.name in IMPOSSIBLE and f.severity != "note" for f in brings):
            continue
        left, worst = _left(findings), {f.severity for f in brings}
        if left >= now or "fault" in worst or ("risk" in worst and left[0] >= now[0]):
            continue
        paid = state.paid if prices(start, study) else 0
        asked = (len(state.bought), len(state.moved), paid, len(state.to_try))
        points.add((asked, left))
        if left == (0, 0):
            cleared.append(asked)
    return undominated(points)


def undominated(points: set[Point]) -> set[Point]:
    """Those that no other asks no more than and leaves no more than."""

    def beats(one: Point, other: Point) -> bool:
        return one != other and all(a <= b for a, b in zip(one[0], other[0], strict=True)) and one[1] <= other[1]

    return {point for point in points if not any(beats(other, point) for other in points)}


def _left(findings: tuple[Finding, ...]) -> tuple[int, int]:
    severities = [finding.severity for finding in findings]
    return severities.count("fault"), severities.count("risk")


def _doubled(state: State) -> bool:
    """Whether a part was moved into a socket that another is in."""
    plugs = [str(part.plug) for part in state.rig.parts[1:]]
    return any(plugs.count(str(state.rig.part(name).plug)) > 1 for name in state.moved)


def _slower(before: Topology, after: Topology) -> bool:
    new = {device.id: after.speed(device.id) for device in after.rig.devices}
    was = ((device.id, before.speed(device.id)) for device in before.rig.devices)
    return any(speed is not None and ((now := new[name]) is None or now < speed) for name, speed in was)


def _states(
    start: Study, size: int, most: int, offers: tuple[Proposal, ...], settings: tuple[SetUse, ...]
) -> Iterator[State]:
    """Every rig of up to so many changes, each once."""
    level, seen = [State(start.rig)], set()
    for _ in range(size):
        then = []
        for state in level:
            for after in _changed(start, state, size, offers, settings):
                key = _signature(after)
                if key in seen:
                    continue
                seen.add(key)
                if len(seen) > most:
                    raise TooMany
                try:
                    Topology(after.rig)
                except CommandError:
                    continue
                then.append(after)
        yield from then
        level = then


def _signature(state: State) -> object:
    parts = tuple((p.id, str(p.plug), p.cable, p.use if isinstance(p, Device) else None) for p in state.rig.parts[1:])
    return parts, state.bought, state.rig.leads, state.rig.supplies, tuple(d.serial for d in state.rig.devices)


def _changed(
    start: Study, state: State, size: int, offers: tuple[Proposal, ...], settings: tuple[SetUse, ...]
) -> Iterator[State]:
    room = size - state.size
    if room < 1:
        return
    for number, offer in enumerate(offers):  # what a check alone knows could help
        if ("offer", str(number)) in state.use or (offer.buys and state.bought) or offer.plugs:
            continue
        after = state.rig
        for step in offer.steps:
            after = apply(after, step)
        yield replace(state, rig=after, size=state.size + 1, use=state.use | {("offer", str(number))},
                      bought=(*state.bought, *offer.buys), paid=state.paid + len(offer.settings))
    for part in state.rig.parts[1:]:
        if part.plug is None or start.topology.leg(part.id) is None:
            continue
        if part.id not in state.moved:
            yield from _moves(start, state, part, room)
    yield from _settings(settings, state)
    if not state.bought:
        yield from _purchases(state, room)


def _moves(start: Study, state: State, part: Part, room: int) -> Iterator[State]:
    """To every socket, taken or not: who is in it may move next, and nothing counts with two in one socket."""
    topology = Topology(state.rig)
    at = start.topology.leg(part.id)
    assert at is not None
    for other in state.rig.parts:
        if other.id == part.id or (other.id != "computer" and topology.leg(other.id) is None):
            continue
        where = start.topology if start.topology.rig.parts and _known(start, other.id) else topology
        way = reach(where, part.id, at.above, other.id, value_of(part.cable.length_m))
        if way.verdict == "elsewhere":
            continue
        for socket in other.sockets:
            if socket.kind != kind_needed(start.topology, part) or part.plug == Plug(other.id, socket.name):
                continue
            moved = replace(part, plug=Plug(other.id, socket.name))
            if way.verdict != "too-short":
                tried = state.to_try | ({part.id} if way.verdict == "try" else set())
                yield replace(state, rig=state.rig.with_part(moved), size=state.size + 1,
                              moved=state.moved | {part.id}, to_try=tried)  # fmt: skip
            there = min(carried(topology, other.id, socket), best_behind(start.topology, part.id))
            poor = there.is_superspeed and value_of(part.cable.grade) == "usb2"
            if (way.verdict == "too-short" or poor) and room >= 2 and not state.bought:
                bought = new_cable(part, there, way)
                if bought is not None and not (way.across is not None and bought[2]):
                    tried = state.to_try | ({part.id} if bought[2] else set())
                    yield replace(state, rig=state.rig.with_part(replace(moved, cable=bought[0])), size=state.size + 2,
                                  moved=state.moved | {part.id}, bought=("cable",), to_try=tried)  # fmt: skip


def _known(start: Study, name: str) -> bool:
    return any(part.id == name for part in start.rig.parts)


def _purchases(state: State, room: int) -> Iterator[State]:
    topology = Topology(state.rig)
    for name in topology.wired[1:]:
        hubs = (each for proposal in hub_for(topology, name) for each in _of_either_kind(proposal))
        for proposal in (*cables(topology, name), *powered_in_place(topology, name), *hubs):
            if 1 + proposal.plugs > room or (proposal.plugs and name in state.moved):
                continue
            rig = state.rig
            for step in proposal.steps:
                rig = apply(rig, step)
            yield replace(state, rig=rig, size=state.size + 1 + proposal.plugs, bought=proposal.buys,
                          moved=state.moved | ({name} if proposal.plugs else set()),
                          to_try=state.to_try | ({name} if proposal.to_try else set()))  # fmt: skip


def _of_either_kind(proposal: Proposal) -> Iterator[Proposal]:
    """A proposal with a bought hub, USB 2 or USB 3, whatever goes on it first."""
    for speed in (Speed.SUPER, Speed.HIGH):
        yield Proposal(tuple(
            AddPart(bought_hub(step.part.id, step.part.plug, speed=speed)) if isinstance(step, AddPart) else step
            for step in proposal.steps
        ), proposal.buys, proposal.to_try)


def _settings(settings: tuple[SetUse, ...], state: State) -> Iterator[State]:
    for change in settings:
        if (change.part, change.key) not in state.use:
            yield replace(state, rig=apply(state.rig, change), size=state.size + 1,
                          use=state.use | {(change.part, change.key)}, paid=state.paid + 1)  # fmt: skip


def _regions(part: Device) -> Iterator[str]:
    """The least region of the shape that is sent, 320 x 240 at the least in steps of 16, and one of half as much more
    on each side."""
    sides = (value_of(part.facts.width_px), value_of(part.facts.height_px))
    if None in sides:
        return
    wide, high = (int(side or 0) for side in sides)
    if (roi := value_of(part.use.roi)) is not None:
        wide, high = (min(had, int(side)) for had, side in zip((wide, high), roi.split("x"), strict=True))
    scale = max(320 / wide, 240 / high)
    least = [16 * math.ceil(round(side * scale / 16, 9)) for side in (wide, high)]
    for times in (1.0, 1.5):
        region = [int(side * times) for side in least]
        if region[0] <= wide and region[1] <= high and region != [wide, high]:
            yield f"{region[0]}x{region[1]}"


def _bounds(start: Study) -> Iterator[SetUse]:
    """Each setting of each camera at its bound and half of the way there; of transfer limits besides the
    nearest to now that do as well."""
    for part in start.rig.devices:
        flow = start.flow(part.id)
        if flow is None or not flow.frame_bytes:
            continue
        if part.role == "guiding" or flow.kind == "video":
            yield from (SetUse(part.id, "bin", factor) for factor in (2, 3, 4) if factor > value_of(part.use.bin, 1))
        if flow.kind == "video":
            fastest = value_of(part.use.fps) or flow.demand_bytes_per_s / flow.frame_bytes
            yield from (SetUse(part.id, "fps", fps) for fps in sorted({1, int(fastest / 2)} - {0}))
            yield from (SetUse(part.id, "roi", region) for region in _regions(part))
        elif flow.kind == "still":
            free = Study(apply(start.rig, SetUse(part.id, "limit_mb_per_s", 1e6)))
            alone = free.levels[0].alone[part.id] / 1e6
            in_time = flow.frame_bytes / flow.period_s / 1e6 if flow.period_s else 0.1
            least = max(math.floor(alone * 5), math.ceil(in_time * 10), 1)
            most = start.levels[2].alone[part.id] / 1e6
            limits = [limit for limit in (least / 10, int(least * 1.5) / 10) if limit < most]
            for limit in dict.fromkeys((*limits, *_as_near_as_does_as_well(start, part.id, least / 10, most))):
                yield SetUse(part.id, "limit_mb_per_s", limit)
        exposure, gap = value_of(part.use.exposure_s), value_of(part.use.gap_s) or 0.0
        if part.role == "guiding" and exposure is not None and exposure + gap < 10:
            yield SetUse(part.id, "gap_s", round(10 - exposure, 1))


LADDER = 32
"""Even steps between a limit as it is and the least that is offered."""


def _as_near_as_does_as_well(start: Study, name: str, least: float, most: float) -> Iterator[float]:
    """The highest limit of a ladder that leaves no more than the least limit does, and the highest of those that leave
    least."""
    if not least < most < math.inf:
        return
    left: dict[float, tuple[int, int]] = {}
    for step in range(1, LADDER + 1):  # from the highest down
        limit = round(most + (least - most) * step / LADDER, 1)
        left[limit] = _left(every(Study(apply(start.rig, SetUse(name, "limit_mb_per_s", limit)))))
    for enough in (left[least], min(left.values())):
        yield next(limit for limit, each in left.items() if each <= enough)
