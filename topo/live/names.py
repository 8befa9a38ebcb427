"""The rig file's names for what a scan sees, by identity alone: ids and serial number, where only one part has them.

Position and kind are for the comparison; a watch needs names that stay with a device wherever it comes back.
"""

from __future__ import annotations

from collections.abc import Mapping

from topo.model.sighting import Scan
from topo.rigfile.document import RigFile
from topo.wiring.plugged import plugged_in


def names_of(rigfile: RigFile, scan: Scan) -> Mapping[str, str]:
    """Part names by sighting id; a joined hub's name stands for both its sides."""
    declared: dict[tuple[str, str, str | None], list[str]] = {}
    parts = (*rigfile.document.hubs.items(), *rigfile.document.devices.items())
    for name, part in parts:
        told = part.identity
        if told is not None and told.vendor_id and told.product_id:
            declared.setdefault((told.vendor_id.lower(), told.product_id.lower(), told.serial), []).append(name)
    live = plugged_in(scan)
    found: dict[str, str] = {}
    for key, names in declared.items():
        vendor, product, serial = key
        same = [
            s.id
            for s in scan.sightings
            if (s.vendor_id, s.product_id) == (vendor, product) and (serial is None or s.serial == serial)
        ]
        if len(same) == 1 and len(names) == 1:
            thing = live.thing_of(same[0])
            for member in [side.id for side in thing.seen] if thing is not None else same:
                found.setdefault(member, names[0])
    return found
