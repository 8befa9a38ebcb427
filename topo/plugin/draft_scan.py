"""A profile begun from one device of a saved scan: what the scan measured, each figure with how it was told.

Texts of the device (maker, product, serial number) are not taken over: a profile is of a kind of device, and what a
device says of itself is untrusted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.errors import CommandError
from topo.model.declare import known
from topo.model.plain import plain
from topo.plugin.draft import Draft, Stated
from topo.rigfile.quote import as_text
from topo.wiring.measured import device_facts, hub_facts

if TYPE_CHECKING:
    from topo.model.sighting import Scan, Sighting


def draft_of(file: str, device: str) -> Draft:
    """The draft for one device or hub of a saved scan. Raises ScanError for the file, CommandError for the device."""
    from topo.live.recording import replay

    scan = replay(file)
    seen = scan.sighting(device)
    if seen is None:
        ids = [sighting.id for sighting in scan.sightings if not sighting.is_root]
        raise CommandError(f"the scan has no device '{plain(device)}'; it has {', '.join(map(plain, ids)) or 'none'}")
    if seen.is_root:
        raise CommandError(f"{plain(device)} is the computer's own hub; a profile of a computer is written by hand")
    day = f" of {scan.when[:10]}" if scan.when else ""
    told = hub_facts((seen,)) if seen.is_hub else device_facts(seen, scan)
    facts = {name: Stated(as_text(fact.value), f"measured: {fact.source}") for name, fact in known(told)}
    serial = {} if seen.is_hub else _serial(scan, seen)
    return Draft("", "hub" if seen.is_hub else "device", source=f"measured: a scan{day}", facts=facts, serial=serial)


def _serial(scan: Scan, seen: Sighting) -> dict[str, Stated]:
    told = (port.latency_timer_ms for port in scan.serial_ports if port.device == seen.id)
    timer = next((timer for timer in told if timer is not None), None)
    return {} if timer is None else {"latency_timer_ms": Stated(str(timer), "measured: the driver's setting")}
