"""Saved scans of one computer, each held against the one before: what is gone, new, elsewhere, slower or renumbered."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from topo.evidence.open import Source
from topo.live.meanwhile import LastSeen, meanwhile
from topo.model.answers import BetweenScans, ScanChange
from topo.model.watchnote import Watched

if TYPE_CHECKING:
    from topo.evidence.clocks import Axis
    from topo.model.sighting import Scan

SLACK_MS = 5_000.0
MOST_SCAN_CHANGES = 200


def between(axis: Axis, sources: Sequence[Source], parts: Mapping[str, str]) -> tuple[BetweenScans, ...]:
    """Every scan but the first with what changed since the one before: by time, or as named where one tells none."""
    scans: list[tuple[float, str, Scan]] = []
    for number, source in enumerate(sources):
        if source.reading is not None and source.reading.scan is not None:
            span = source.reading.spans[0]
            at = span.first_s + axis.placed[(number, span.clock)].offset_s if source.reading.scan.when else 0.0
            scans.append((at, source.name, source.reading.scan))
    if all(scan.when for *_, scan in scans):
        scans.sort(key=lambda each: each[0])
    return tuple(
        BetweenScans(before[1], after[1], before[0], after[0], _changes(before, after, parts))
        for before, after in pairwise(scans))  # fmt: skip


def _changes(
    before: tuple[float, str, Scan], after: tuple[float, str, Scan], parts: Mapping[str, str]
) -> tuple[ScanChange, ...]:
    old, new = before[2], after[2]
    seen = {
        s.id: Watched(s.id, parts.get(s.id), s.vendor_id, s.product_id, s.devnum, s.speed_mbit) for s in old.sightings
    }
    passed_ms = (after[0] - before[0]) * 1000
    anew = _started_anew(new, passed_ms)
    found = [ScanChange("", None, "the computer started again")] if anew else []
    found += [ScanChange(each.device, parts.get(each.device), each.words)
              for each in meanwhile(LastSeen(seen, old.when, 0.0), new, anew)]  # fmt: skip
    return (*found, *(() if anew else _over_current(old, new, parts)))[:MOST_SCAN_CHANGES]


def _started_anew(scan: Scan, passed_ms: float) -> bool:
    """True where a root hub is there for less long than the time between the two scans."""
    since = [s.sleep.connected_ms for s in scan.sightings if s.is_root and s.sleep.connected_ms is not None]
    return bool(since) and passed_ms > 0 and max(since) + SLACK_MS < passed_ms


def _over_current(old: Scan, new: Scan, parts: Mapping[str, str]) -> Iterator[ScanChange]:
    """Counts that rose: a short over-current leaves no other trace."""
    counts = {(p.hub, p.number): p.over_current_count or 0 for p in old.ports}
    for port in new.ports:
        more = (port.over_current_count or 0) - counts.get((port.hub, port.number), port.over_current_count or 0)
        if more > 0:
            yield ScanChange(port.hub, parts.get(port.hub), f"had over-current at port {port.number}, {more} times")
