"""The rig file's names for what a scan sees, by identity alone: ids and serial number, where only one part has them.

Position and kind are for the comparison; a watch needs names that stay with a device wherever it comes back.
"""

from __future__ import annotations

from collections.abc import Mapping

from topo.live.hubs import box_of, joined
from topo.model.sighting import Scan
from topo.rigfile.document import RigFile


def names_of(rigfile: RigFile, scan: Scan) -> Mapping[str, str]:
    """Part names by sighting id; a joined hub's name stands for both its sides."""
    declared: dict[tuple[str, str, str | None], list[str]] = {}
    parts = (*rigfile.document.hubs.items(), *rigfile.document.devices.items())
    for name, part in parts:
        told = part.identity
        if told is not None and told.vendor_id and told.product_id:
            declared.setdefault((told.vendor_id.lower(), told.product_id.lower(), told.serial), []).append(name)
    home = box_of(joined(scan))
    found: dict[str, str] = {}
    for key, names in declared.items():
        vendor, product, serial = key
        same = [
            s.id
            for s in scan.sightings
            if (s.vendor_id, s.product_id) == (vendor, product) and (serial is None or s.serial == serial)
        ]
        if len(same) == 1 and len(names) == 1:
            for member in home[same[0]].members:
                found.setdefault(member, names[0])
    return found
