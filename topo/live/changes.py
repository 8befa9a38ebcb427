"""What changed between two looks: pure, from values to notes' contents. Knows no clock, file or system."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from topo.frozen import frozen
from topo.model.sighting import Beat, Pulse, Scan, Sighting
from topo.wiring.plugged import plugged_in

CameAs = Literal["same", "elsewhere", "unknown"]


@frozen
class PulseChange:
    """Two pulses compared: ids that went, came, or were renewed between the looks; speeds; over-current counts;
    whether a board's supply sagged for the first time."""

    gone: tuple[str, ...] = ()
    new: tuple[str, ...] = ()
    renewed: tuple[str, ...] = ()
    speeds: tuple[tuple[str, float | None, float | None], ...] = ()
    over_current: tuple[tuple[str, int, int, int], ...] = ()
    low_volts: bool = False

    @property
    def any(self) -> bool:
        """True where something changed."""
        return bool(self.gone or self.new or self.renewed or self.speeds or self.over_current or self.low_volts)


def changed(before: Pulse, after: Pulse) -> PulseChange:
    """What changed. Renewed: another device number, or a connected time that went back."""
    old, new = dict(before.beats), dict(after.beats)
    counts = dict(before.over_current)
    both = [name for name in new if name in old]
    renewed = tuple(name for name in both if _renewed(old[name], new[name]))
    return PulseChange(
        gone=tuple(name for name in old if name not in new),
        new=tuple(name for name in new if name not in old),
        renewed=renewed,
        speeds=tuple(
            (name, old[name].speed_mbit, new[name].speed_mbit)
            for name in both
            if name not in renewed and old[name].speed_mbit != new[name].speed_mbit
        ),
        over_current=tuple(
            (hub, port, counts.get((hub, port), 0), count)
            for (hub, port), count in after.over_current
            if count > counts.get((hub, port), 0)
        ),
        low_volts=bool(after.low_volts) and before.low_volts is False,
    )


def _renewed(old: Beat, new: Beat) -> bool:
    if old.devnum is not None and new.devnum is not None and old.devnum != new.devnum:
        return True
    return old.connected_ms is not None and new.connected_ms is not None and new.connected_ms < old.connected_ms


def identity(seen: Sighting) -> tuple[str | None, str | None, str | None]:
    """Vendor, product and serial number: what makes a device the same one at another place."""
    return seen.vendor_id, seen.product_id, seen.serial


def came_as(seen: Sighting, away: Iterable[Sighting]) -> tuple[Sighting, CameAs] | None:
    """Which of those away a new device is, and as what it came back; None where it is none of them.

    Its own place with its own identity first; then its identity anywhere, if only one of those away has it; then its
    place with another identity: a device that did not come up properly, or another one plugged in there.
    """
    gone = list(away)
    here = next((one for one in gone if one.id == seen.id), None)
    if here is not None and _same_here(here, seen):
        return here, "same"
    same = [one for one in gone if identity(one) == identity(seen) and seen.vendor_id is not None]
    if len(same) == 1:
        return same[0], "elsewhere"
    return (here, "unknown") if here is not None else None


def _same_here(old: Sighting, new: Sighting) -> bool:
    """At one place a serial number that could not be read this time is no difference."""
    kind = (old.vendor_id, old.product_id) == (new.vendor_id, new.product_id)
    return kind and (old.serial == new.serial or new.serial is None or old.serial is None)


def common_sightings(scan: Scan, dropped: Iterable[str]) -> tuple[str, ...]:
    """The sightings of the lowest thing, or controller, that is or is above everything dropped, in the scan from
    before; none where there is none."""
    live = plugged_in(scan)
    found = [live.thing_of(name) for name in dropped]
    things = [thing for thing in found if thing is not None]
    if len(things) < len(found):
        return ()
    common = live.tree.common_ancestor(thing.key for thing in things)
    if (lowest := live.thing(common)) is not None:
        return tuple(side.id for side in lowest.seen)
    roots = {live.root_of(thing) for thing in things}
    return roots.pop() if len(roots) == 1 else ()


def pulse_of(scan: Scan) -> Pulse:
    """The pulse that a whole scan shows, for scanners without a cheaper look."""
    return Pulse(
        tuple((s.id, Beat(s.devnum, s.speed_mbit, s.sleep.connected_ms, s.urbs)) for s in scan.sightings),
        tuple(((p.hub, p.number), p.over_current_count) for p in scan.ports if p.over_current_count is not None),
        scan.low_volts,
    )
