"""From a study and a scan to a comparison: align, sort what was found from what was not, measure, study again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.analysis.study import Study
from topo.compare.align import Aligner, Pairing, in_place, is_usb
from topo.compare.measure import as_plugged_in
from topo.compare.rootplaces import is_elsewhere
from topo.compare.strays import strays, things_of
from topo.compare.sure import Rivals, revised
from topo.model.comparison import Comparison, Match
from topo.model.rig import COMPUTER
from topo.wiring.plugged import plugged_in

if TYPE_CHECKING:
    from topo.model.plugged import PluggedIn
    from topo.model.sighting import Scan


def compare(study: Study, scan: Scan) -> Comparison:
    """A rig held against a scan. Never raises: a scan that misses things gives parts that are missing."""
    live = plugged_in(scan)
    aligner = Aligner(study.topology, live)
    placed = in_place(aligner)
    placed += tuple(strays(aligner, placed))
    paired = {each.part for each in placed}
    lost = [p.id for p in study.rig.parts if p.id not in paired and is_usb(study.topology, p.id)]
    placed, rivals = revised(aligner, placed, lost)
    matches = _matches(study, placed, live, rivals)
    taken = {thing.key for match in matches for thing in match.things}
    found = {match.part for match in matches}
    others = [part.id for part in study.rig.parts if part.id != COMPUTER and part.id not in found]
    looked = scan.limits.devices == "all" and bool(scan.sightings)  # without even a controller, it saw nothing at all
    visible = [part for part in others if looked and is_usb(study.topology, part)]
    missing = tuple(part for part in others if part in visible)
    now = as_plugged_in(study.topology, live, matches, missing)
    return Comparison(
        declared=study,
        study=Study(now.rig),
        added=now.added,
        live=live,
        matches=matches,
        missing=missing,
        unseen=tuple(part for part in others if part not in visible),
        unexpected=tuple(thing for thing in live.things if thing.key not in taken),
    )


def _matches(
    study: Study, placed: tuple[Pairing, ...], live: PluggedIn, rivals: Rivals
) -> tuple[Match, ...]:
    """The matches in the order of the file."""
    owner = {thing.key: each.part for each in placed for thing in things_of(each)}
    order = {part.id: index for index, part in enumerate(study.rig.parts)}
    matches = [_match(study, each, owner, live, rivals) for each in placed]
    return tuple(sorted(matches, key=lambda match: order[match.part]))


def _match(study: Study, each: Pairing, owner: dict[str, str], live: PluggedIn, rivals: Rivals) -> Match:
    things, parts = rivals.get(each.part, ((), ()))
    part, way = study.rig.part(each.part), each.fit
    own = way.inside.own if way.inside is not None else None if way.only_hub else each.thing.own
    return Match(
        part=each.part, kind="hub" if part.kind == "hub" else "device", thing=each.thing, own=own, by=each.by,
        inside=way.inside, extra=way.extra, moved=_moved(study, each, owner, live), or_things=things, or_parts=parts,
    )


def _moved(study: Study, each: Pairing, owner: dict[str, str], live: PluggedIn) -> bool:
    """True where what it is plugged into is not what the file says. A place that is not told is no move."""
    leg, above = study.topology.leg(each.part), each.thing.above
    if leg is None or above is None:
        return False
    if leg.above == COMPUTER and above == COMPUTER:
        return is_elsewhere(live, each.thing, leg.socket)
    return each.above is None and leg.above != (COMPUTER if above == COMPUTER else owner.get(above))
