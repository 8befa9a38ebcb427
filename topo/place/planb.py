"""Plan B: for everything that can fail, what stops with it, whether the night goes on, where orphans go meanwhile."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from topo.analysis.study import Study
from topo.model.facts import value_of
from topo.model.plain import plain
from topo.model.rig import COMPUTER, P, Part, Rig
from topo.place.candidates import kind_needed
from topo.place.consequence import Examine, in_words
from topo.place.options import Option, place
from topo.place.slower import made_slower
from topo.power.drop import fed_by
from topo.wiring.reach import NEVER_SENT, reach

FailureKind = Literal["controller", "port", "hub", "cable", "supply", "lead", "network", "device"]


@dataclass(frozen=True, slots=True)
class Refuge:
    """Where an orphan goes meanwhile: the socket, why, and what it brings in words; None where there is no place."""

    part: str
    plug: str | None
    why: str
    brings: str = ""


@dataclass(frozen=True, slots=True)
class Failure:
    """One thing that can fail. `stops` are the parts without data or power, in rig order."""

    kind: FailureKind
    name: str
    stops: tuple[str, ...]
    imaging_goes_on: bool
    guiding_goes_on: bool
    refuges: tuple[Refuge, ...]
    advice: str

    @property
    def single_point(self) -> bool:
        """Whether imaging or guiding stops with it."""
        return not (self.imaging_goes_on and self.guiding_goes_on)


@dataclass(frozen=True, slots=True)
class _Thing:
    """Something that can fail: what stops with it, which parts and sockets are no use meanwhile, who is left over.

    `orphans` are parts that still work and have lost their socket; what hangs on them comes along.
    """

    kind: FailureKind
    name: str
    stops: tuple[str, ...]
    dead: tuple[str, ...] = ()
    dead_sockets: tuple[str, ...] = ()
    orphans: tuple[str, ...] = ()


def plan_b(rig: Rig, examine: Examine) -> tuple[Failure, ...]:
    """Every failure, single points of failure first: those that stop most, then in the order of the rig."""
    study = Study(rig)
    failures = [_failure(study, examine, thing) for thing in _things(study)]
    return tuple(sorted(failures, key=lambda failure: (not failure.single_point, -len(failure.stops))))


def _things(study: Study) -> Iterator[_Thing]:
    yield from _controllers_and_ports(study)
    yield from _hubs_and_cables(study)
    yield from _power(study)
    yield from _network(study.rig)


def _controllers_and_ports(study: Study) -> Iterator[_Thing]:
    topology, rig = study.topology, study.rig
    roots = [(leg.plug, part.id) for part in rig.parts if (leg := topology.leg(part.id)) and leg.above == COMPUTER]
    for controller in dict.fromkeys(s.controller for s in rig.computer.sockets if s.controller is not None):
        sockets = tuple(f"{COMPUTER}/{s.name}" for s in rig.computer.sockets if s.controller == controller)
        orphans = tuple(name for plug, name in roots if plug in sockets)
        if orphans:
            yield _Thing("controller", controller, _with_below(study, orphans), (), sockets, orphans)
    for plug, name in roots:
        yield _Thing("port", plug, _with_below(study, (name,)), (), (plug,), (name,))


def _hubs_and_cables(study: Study) -> Iterator[_Thing]:
    topology, rig = study.topology, study.rig
    wired = [part for part in rig.parts if topology.leg(part.id) is not None]
    for part in wired:
        if part.kind == "hub" or topology.children(part.id):
            yield _Thing("hub", part.id, _with_below(study, (part.id,)), (part.id,), (), topology.children(part.id))
    for part in wired:
        # A cable that failed is replaced, not worked around: what hangs on it keeps its socket.
        yield _Thing("cable", part.id, _with_below(study, (part.id,)))


def _power(study: Study) -> Iterator[_Thing]:
    rig = study.rig
    for supply in rig.supplies:
        yield _dark(study, "supply", supply.id, fed_by(rig, supply.id))
    for lead in rig.leads:
        yield _dark(study, "lead", lead.id, (lead.to, *(name for name in fed_by(rig, lead.to) if name != lead.to)))


def _dark(study: Study, kind: FailureKind, name: str, dark: tuple[str, ...]) -> _Thing:
    """Parts without 12 V stop wherever they are plugged in; what hangs on their sockets is left over."""
    if COMPUTER in dark:
        everything = tuple(part.id for part in study.rig.parts)
        return _Thing(kind, name, everything, everything)
    orphans = tuple(
        part.id for part in study.rig.parts if part.plug is not None and part.plug.part in dark and part.id not in dark
    )
    return _Thing(kind, name, _with_below(study, dark), dark, (), orphans)


def _network(rig: Rig) -> Iterator[_Thing]:
    links = [part.id for part in rig.devices if part.role == "network"]
    for name in links:
        yield _Thing("network", name, (name,), (name,))
    if not links:
        yield _Thing("network", COMPUTER, ())


def _with_below(study: Study, dark: tuple[str, ...]) -> tuple[str, ...]:
    """Parts without power, and what hangs on their sockets."""
    below = (name for part in dark for name in study.topology.below(part))
    return _in_order(study.rig, (*dark, *below))


def _in_order(rig: Rig, names: tuple[str, ...]) -> tuple[str, ...]:
    wanted = set(names)
    return tuple(part.id for part in rig.parts if part.id in wanted)


def _failure(study: Study, examine: Examine, thing: _Thing) -> Failure:
    gone = set(thing.stops)

    def goes_on(*roles: str) -> bool:
        had = [part.id for part in study.rig.devices if part.role in roles]
        return not had or any(part not in gone for part in had)

    return Failure(
        thing.kind,
        thing.name,
        thing.stops,
        goes_on("imaging") and COMPUTER not in gone,
        goes_on("guiding") and goes_on("mount") and COMPUTER not in gone,
        tuple(_refuges(study, examine, thing)),
        _advice(thing.kind),
    )


def _refuges(study: Study, examine: Examine, thing: _Thing) -> Iterator[Refuge]:
    """The best free socket for each orphan, one after the other, on the rig without what failed.

    None in another place (`reach.py`, asked of the rig as it was wired); one that makes a device slower only where no
    other is left, and that is told.
    """
    rig = _without(study.rig, thing)
    left = {part.id for part in rig.parts}
    for name in thing.orphans:
        if name not in left:
            continue
        part = study.rig.part(name)
        below = (name, *study.topology.below(name))
        near = part.plug.part if part.plug is not None and part.plug.part in left else None
        placement = place(rig, replace(part, plug=None), examine, value_of(part.cable.length_m), near,
                          kind_needed(study.topology, part))  # fmt: skip
        free = [option for option in placement.options if option.buy is None]
        near_by = [option for option in free if _same_place(study, part, option)]
        slower = {option.plug: made_slower(study.topology, option.study.topology, below) for option in near_by}
        best = min(near_by, key=lambda option: bool(slower[option.plug]), default=None)
        if best is None:
            yield Refuge(name, None, "no free socket is near enough" if free else "no free socket takes it")
        else:
            brings = [in_words(best.brings)] if best.brings else []
            brings += [f"a lower USB speed for {plain(device)}" for device in slower[best.plug]]
            yield Refuge(name, best.plug, best.why, ", ".join(brings))
            rig = best.rig


def _same_place(study: Study, part: Part, option: Option) -> bool:
    """Whether a part may be sent to the socket of an option from where it was before anything failed."""
    if part.plug is None:
        return True
    above = option.plug.partition("/")[0]
    way = reach(study.topology, part.id, part.plug.part, above, value_of(part.cable.length_m))
    return way.verdict not in NEVER_SENT


def _without(rig: Rig, thing: _Thing) -> Rig:
    """The rig without dead parts and dead sockets; orphans stand in it unplugged, with what hangs on them."""
    dead = set(thing.dead)

    def kept(part: P) -> P:
        return replace(part, plug=None) if part.id in thing.orphans else part

    return replace(
        rig,
        computer=replace(
            rig.computer,
            sockets=tuple(s for s in rig.computer.sockets if f"{COMPUTER}/{s.name}" not in thing.dead_sockets),
        ),
        hubs=tuple(kept(part) for part in rig.hubs if part.id not in dead),
        devices=tuple(kept(part) for part in rig.devices if part.id not in dead),
        leads=tuple(lead for lead in rig.leads if lead.to not in dead and lead.source not in dead),
    )


def _advice(kind: FailureKind) -> str:
    return {
        "controller": "After a controller fails: restart the computer when the night allows.",
        "port": "",
        "hub": "Keep a spare hub, or plug what matters straight into the computer.",
        "cable": "Keep a known-good cable of its length at hand.",
        "supply": "Keep a second supply with its own leads ready; never two on one line.",
        "lead": "Keep a spare lead with its fuse; a fuse that blows is a fault to find first.",
        "network": "Let the computer at the telescope run everything itself, and know how to reach it with a cable.",
        "device": "",
    }[kind]
