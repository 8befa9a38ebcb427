"""Plan B: for everything that can fail, what stops for whom, where orphans go meanwhile, and how the night goes on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, TypeVar

from topo.analysis.study import Study
from topo.frozen import frozen
from topo.model.facts import value_of
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.model.rig import COMPUTER, Device, Hub, Rig
from topo.place.consequence import fresh_of, impossible
from topo.place.failures import CanFail, FailureKind, things
from topo.place.refuge import Refuge, plugged_at, refuges, unplugged
from topo.place.services import TakenAway, goes_on, services
from topo.wiring.topology import Topology

if TYPE_CHECKING:
    from topo.model.feeds import LeadFacts
    from topo.place.examiner import Examine


@frozen
class Failure:
    """One thing that can fail.

    `stops` are the parts without data or power, in rig order; `services` what stops for the night, in words; `still`
    what stays stopped once the refuges are taken. `brings` are the faults and risks that come with the refuges.
    """

    kind: FailureKind
    name: str
    stops: tuple[str, ...]
    services: tuple[str, ...]
    refuges: tuple[Refuge, ...]
    still: tuple[str, ...]
    brings: tuple[Finding, ...]
    advice: str

    @property
    def single_point(self) -> bool:
        """Whether pictures of a camera or the guiding of a mount stop with it."""
        return bool(self.services)


def plan_b(rig: Rig, examine: Examine) -> tuple[Failure, ...]:
    """Every failure, single points of failure first: those that stop most of the night, then in rig order."""
    study = Study(rig)
    before = examine(study)
    failures = [_failure(study, before, examine, thing) for thing in things(study)]
    return tuple(sorted(failures, key=lambda failure: (-len(failure.services), -len(failure.stops))))


def _failure(study: Study, before: tuple[Finding, ...], examine: Examine, thing: CanFail) -> Failure:
    rig = study.rig
    stopped = tuple(each for each in services(rig) if not goes_on(rig, each, thing.lost))
    left = _without(rig, thing)
    found, after = refuges(study.topology, left, tuple(n for n in thing.orphans if _has(left, n)))
    brings: tuple[Finding, ...] = ()
    if any(refuge.plug is not None for refuge in found):
        findings = examine(Study(after))
        brings = fresh_of(before, findings)
        if bad := impossible(before, findings):
            found, after, brings = _without_last(left, found, bad, before, examine)
    saved = _saved(after, found)
    still = tuple(each.words for each in stopped if not goes_on(rig, each, _less(thing.lost, saved)))
    return Failure(
        thing.kind, thing.name, thing.stops, tuple(each.words for each in stopped), found, still, brings,
        _advice(rig, thing),
    )


def _without_last(
    left: Rig, found: tuple[Refuge, ...], bad: tuple[Finding, ...], before: tuple[Finding, ...],
    examine: Examine,
) -> tuple[tuple[Refuge, ...], Rig, tuple[Finding, ...]]:  # fmt: skip
    """Refuges that can't be followed, one given up after the other, the least important first."""
    why = f"its place would not hold: {bad[0].message}"
    kept = list(found)
    while any(refuge.plug is not None for refuge in kept):
        last = max(index for index, refuge in enumerate(kept) if refuge.plug is not None)
        kept[last] = Refuge(kept[last].part, None, why)
        rig = left
        for refuge in kept:
            if refuge.instead_of is not None:
                rig = unplugged(rig, refuge.instead_of)
            if refuge.plug is not None:
                rig = plugged_at(rig, refuge.part, refuge.plug)
        findings = examine(Study(rig))
        if not impossible(before, findings):
            return tuple(kept), rig, fresh_of(before, findings)
    return tuple(kept), left, ()


def _has(rig: Rig, name: str) -> bool:
    return any(part.id == name for part in rig.parts)


def _saved(after: Rig, found: tuple[Refuge, ...]) -> frozenset[str]:
    """Parts that have data again; those left out for others are not among them."""
    topology = Topology(after)
    moved = [refuge.part for refuge in found if refuge.plug is not None]
    back = {name for part in moved for name in (part, *topology.below(part))}
    return frozenset(back) - {refuge.part for refuge in found if refuge.plug is None}


def _less(lost: TakenAway, saved: frozenset[str]) -> TakenAway:
    return replace(lost, data=lost.data - saved)


def _without(rig: Rig, thing: CanFail) -> Rig:
    """The rig without dead parts and dead sockets; orphans stand in it unplugged, with what hangs on them."""
    dead = set(thing.dead)
    gone = set(thing.dead_sockets)
    return replace(
        rig,
        computer=replace(
            rig.computer, sockets=tuple(s for s in rig.computer.sockets if f"{COMPUTER}/{s.name}" not in gone)
        ),
        hubs=tuple(_kept(part, thing) for part in rig.hubs if part.id not in dead),
        devices=tuple(_kept(part, thing) for part in rig.devices if part.id not in dead),
        leads=tuple(lead for lead in rig.leads if lead.source not in dead and not dead.issuperset(lead.ends)),
    )


Kept = TypeVar("Kept", Hub, Device)


def _kept(part: Kept, thing: CanFail) -> Kept:
    return replace(part, plug=None) if part.id in thing.orphans else part


def _advice(rig: Rig, thing: CanFail) -> str:
    """What to have ready against it, named with what is known of it."""
    return " ".join(_ready(rig, thing))


def _ready(rig: Rig, thing: CanFail) -> Iterator[str]:
    if thing.kind == "hub":
        hub = next(part for part in rig.hubs if part.id == thing.name)
        speed = "USB 3" if (value_of(hub.facts.speed) or "").startswith("super") else "USB 2"
        yield f"a spare powered {speed} hub with {len(hub.sockets)} sockets or more (for {plain(thing.name)})"
    elif thing.kind == "cable":
        part = rig.part(thing.name)
        length, grade = value_of(part.cable.length_m), value_of(part.cable.grade)
        kind = "USB 3 cable" if grade == "usb3" else "USB 2 cable" if grade == "usb2" else "USB cable"
        yield f"a known-good {kind}" + (f" of {length:g} m" if length is not None else "")
    elif thing.kind == "supply":
        supply = next(each for each in rig.supplies if each.id == thing.name)
        amps = "" if supply.amps is None else f", {supply.amps:g} A or more"
        yield f"a second supply of {supply.volts:g} V{amps}, with leads of its own; never two on one line"
    elif thing.kind == "lead":
        lead = next(each for each in rig.leads if each.id == thing.name)
        yield f"a spare 12 V lead{_lead_words(lead.facts)}"
    elif thing.kind == "converter":
        volts = next(each.volts for each in rig.converters if each.id == thing.name)
        yield f"a second converter to {volts:g} V (for {plain(thing.name)})"
    elif thing.kind in ("block", "box"):
        yield f"leads that go round {plain(thing.name)}, each with a fuse of its own"
    elif thing.kind == "adapter":
        yield f"a spare serial adapter (for {plain(thing.name)})"


def _lead_words(facts: LeadFacts) -> str:
    """Length, wire and fuse of a lead, as far as they are known."""
    size = "" if facts.length_m is None else f" of {facts.length_m.value:g} m"
    wire = "" if facts.area_mm2 is None else f", {facts.area_mm2.value:g} mm² or thicker"
    wire = wire if facts.gauge_awg is None else f", {facts.gauge_awg.value} AWG or thicker"
    fuse = "" if facts.fuse_amps is None else f", with spare fuses of {facts.fuse_amps.value:g} A"
    return f"{size}{wire}{fuse}"
