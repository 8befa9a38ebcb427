"""Plan B: for everything that can fail, what stops for whom, where orphans go meanwhile, and how the night goes on."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from topo.analysis.study import Study
from topo.frozen import frozen, replace
from topo.model.finding import Finding
from topo.model.rig import COMPUTER, Device, Hub, Rig
from topo.place.consequence import IMPOSSIBLE, fresh_of, impossible
from topo.place.failures import CanFail, FailureKind, things
from topo.place.refuge import Refuge, plugged_at, refuges, unplugged
from topo.place.services import Service, TakenAway, goes_on, services
from topo.place.spares import Spare, spare_of
from topo.place.worse import worse_by
from topo.wiring.topology import Topology

if TYPE_CHECKING:
    from collections.abc import Iterable

    from topo.place.examiner import Examine, Examiner


@frozen
class Failure:
    """One thing that can fail.

    `stops` are the parts without data or power, in rig order; `services` what stops for the night, in words; `still`
    what stays stopped once the refuges are taken: refuges that give nothing of it back are not asked for. `brings` are
    the faults and risks that come with the refuges, `then` in words how much worse the night goes on with them. `spare`
    is what to have ready.
    """

    kind: FailureKind
    name: str
    stops: tuple[str, ...]
    services: tuple[str, ...]
    refuges: tuple[Refuge, ...] = ()
    still: tuple[str, ...] = ()
    brings: tuple[Finding, ...] = ()
    then: tuple[str, ...] = ()
    spare: Spare | None = None

    @property
    def single_point(self) -> bool:
        """Whether pictures of a camera or the guiding of a mount stop with it."""
        return bool(self.services)


def plan_b(
    rig: Rig, examine: Examine, known: tuple[Study, tuple[Finding, ...]] | None = None
) -> tuple[Failure, ...]:  # fmt: skip
    """Every failure, single points of failure first: those that stop most of the night, then in rig order.

    `known` is the study of the rig with its findings, where who asks has them.
    """
    study = Study(rig) if known is None else known[0]
    before = examine(study) if known is None else known[1]
    return _worst_first(_failure(study, before, examine, thing) for thing in things(study))


def night_stops(study: Study, before: tuple[Finding, ...], examiner: Examiner) -> tuple[Failure, ...]:
    """Only what stops pictures or guiding, without what comes with the refuges (`brings`, `then`): as much as a page
    tells, and so only those checks are run that make a refuge advice that can't be followed. `before` are the findings
    of the rig."""
    checks = [run for name in IMPOSSIBLE if (run := examiner.one(name)) is not None]

    def examine(then: Study) -> tuple[Finding, ...]:
        return tuple(finding for run in checks for finding in run(then))

    stops = (thing for thing in things(study) if _stopped(study.rig, thing))
    return _worst_first(_failure(study, before, examine, thing, briefly=True) for thing in stops)


def _worst_first(failures: Iterable[Failure]) -> tuple[Failure, ...]:
    return tuple(sorted(failures, key=lambda failure: (-len(failure.services), -len(failure.stops))))


def _stopped(rig: Rig, thing: CanFail) -> tuple[Service, ...]:
    return tuple(each for each in services(rig) if not goes_on(rig, each, thing.lost))


def _failure(
    study: Study, before: tuple[Finding, ...], examine: Examine, thing: CanFail, briefly: bool = False
) -> Failure:
    rig = study.rig
    stopped = _stopped(rig, thing)
    lost = tuple(each.words for each in stopped)
    alone = Failure(thing.kind, thing.name, thing.stops, lost, still=lost, spare=spare_of(rig, thing))
    left = left_by(rig, thing)
    found, after = refuges(study.topology, left, tuple(n for n in thing.orphans if _has(left, n)))
    if not any(refuge.plug is not None for refuge in found):
        return alone if lost else replace(alone, refuges=found)
    then = Study(after)
    findings = examine(then)
    brings = fresh_of(before, findings)
    if bad := impossible(before, findings):
        found, after, brings = _without_last(left, found, bad, before, examine)
        then = Study(after)
    saved = _saved(after, found)
    still = tuple(each.words for each in stopped if not goes_on(rig, each, _less(thing.lost, saved)))
    if lost and still == lost:
        return alone
    if briefly:
        return replace(alone, refuges=found, still=still)
    unplugged_now = {refuge.part for refuge in found if refuge.plug is None}
    told = tuple(each for each in brings if each.name != "not-wired" or each.part not in unplugged_now)
    return replace(alone, refuges=found, still=still, brings=told, then=worse_by(study, then))


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


def left_by(rig: Rig, thing: CanFail) -> Rig:
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
