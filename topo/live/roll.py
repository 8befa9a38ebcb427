"""Who is who when a watch begins: every part of the rig file found in the first look, who is absent, and who are twins.

By the whole comparison, so that parts without ids have names too. Later names stay with what they were given to.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from topo.compare.compare import compare
from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.sighting import Scan


@frozen
class Roll:
    """Part names by sighting id; parts not to be seen, in the order of the file; groups of parts that only their
    sockets tell apart."""

    names: Mapping[str, str]
    absent: tuple[str, ...] = ()
    twins: tuple[tuple[str, ...], ...] = ()


def roll_of(study: Study, scan: Scan) -> Roll:
    """The parts of a rig in a scan. A part behind a hub that is absent is absent with it."""
    comparison = compare(study, scan)
    names: dict[str, str] = {}
    alike: dict[tuple[str | None, str | None, str | None], list[str]] = {}
    for match in comparison.matches:
        for thing in match.things:
            names.update((side.id, match.part) for side in thing.seen)
        own = match.own
        if match.kind == "device" and own is not None and own.vendor_id is not None:
            alike.setdefault((own.vendor_id, own.product_id, own.serial), []).append(match.part)
    twins = tuple(tuple(parts) for parts in alike.values() if len(parts) > 1)
    return Roll(names, comparison.missing, twins)
