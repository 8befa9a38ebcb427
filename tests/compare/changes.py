"""One change to what is plugged in, made on a scan: gone, moved, slower by one step, fallen to USB 2, twins swapped."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from topo.model.plugged import PluggedIn, Thing
from topo.model.sighting import Scan, Sighting, device_id, parent_id

ONE_STEP_SLOWER = {12.0: 1.5, 480.0: 12.0, 10_000.0: 5000.0, 20_000.0: 10_000.0}
"""Steps on one side of USB. From 5 Gb/s down to 480 Mb/s is another side, and with it another place: `fallen`."""


def ordered(seen: Iterable[Sighting]) -> tuple[Sighting, ...]:
    return tuple(sorted(seen, key=lambda each: each.order))


def behind(scan: Scan, ids: Iterable[str]) -> list[str]:
    """The ids with all below them."""
    tops = tuple(ids)
    return [s.id for s in scan.sightings if any(s.id == top or s.id.startswith(f"{top}.") for top in tops)]


def without(scan: Scan, ids: Iterable[str]) -> Scan:
    """The scan after these, with all below them, were unplugged."""
    gone = behind(scan, ids)
    return replace(
        scan,
        sightings=tuple(s for s in scan.sightings if s.id not in gone),
        ports=tuple(replace(p, device=None) if p.device in gone else p for p in scan.ports),
        serial_ports=tuple(p for p in scan.serial_ports if p.device not in gone),
    )


def put(scan: Scan, old: Sighting, new: Sighting) -> Scan:
    """The scan with a sighting in place of another, and the serial port that is on it."""
    ports = tuple(replace(p, device=new.id) if p.device == old.id else p for p in scan.serial_ports)
    rest = [s for s in scan.sightings if s.id != old.id]
    return replace(scan, sightings=ordered([*rest, new]), serial_ports=ports)


def movable(live: PluggedIn) -> Iterator[Thing]:
    """Devices with nothing behind them whose place is known."""
    for thing in live.things:
        if thing.kind == "device" and len(thing.seen) == 1 and thing.own.ports and not live.below(thing.key):
            yield thing


def moves(live: PluggedIn, thing: Thing) -> Iterator[tuple[Sighting, Scan]]:
    """The first free socket of every hub on its bus, with the hub and the scan after the move."""
    scan, own = live.scan, thing.own
    for hub in scan.sightings:
        if not hub.is_hub or hub.bus != own.bus or hub.id == own.id:
            continue
        box = live.thing_of(hub.id)
        sides = {side.id for side in box.seen} if box is not None else {hub.id}
        used = {s.ports[-1] for s in scan.sightings if s.parent in sides}
        number = next((n for n in range(1, (hub.max_child or 15) + 1) if n not in used), None)
        if number is not None:
            chain = (*hub.ports, number)
            yield hub, put(scan, own, replace(own, id=device_id(own.bus, chain), ports=chain, parent=hub.id))


def at_rate(scan: Scan, own: Sighting, mbit: float) -> Scan:
    """The scan with a device at that rate, and its way up able to carry it; nothing tells what it could do."""

    def runs(seen: Sighting) -> bool:
        above = own.id.startswith(f"{seen.id}.") or seen.id == f"usb{own.bus}"
        return seen.id == own.id or (mbit >= 10_000 and above)

    changed = (replace(s, speed_mbit=mbit, could_mbit=(), usb_version=None) if runs(s) else s for s in scan.sightings)
    return replace(scan, sightings=tuple(changed))


def slower(scan: Scan, own: Sighting) -> Scan:
    """The scan with that device one step slower."""
    one = ONE_STEP_SLOWER
    return replace(scan, sightings=tuple(
        replace(s, speed_mbit=one[s.speed_mbit or 0]) if s.id == own.id else s for s in scan.sightings))  # fmt: skip


def fallen(scan: Scan, own: Sighting) -> Scan | None:
    """The scan with a SuperSpeed device on the USB 2 side of its socket; None where that side is not in the scan."""
    bus = own.bus - 1
    above = scan.sighting(parent_id(bus, own.ports) or "")
    new = device_id(bus, own.ports)
    if above is None or scan.sighting(new) is not None or scan.system != "linux":
        return None
    return put(scan, own, replace(own, id=new, bus=bus, parent=above.id, controller=above.controller,
                                  speed_mbit=480.0, usb_version=2.1))  # fmt: skip


def hub_fallen(scan: Scan, slow: Sighting, fast: Sighting) -> Scan:
    """The scan with the SuperSpeed side of a hub gone, and what ran there at 480 Mb/s on the other side.

    The USB 2 side of such a hub says at least 2.10 (USB 3.2 9.2.6.6).
    """
    scan = put(scan, slow, replace(slow, usb_version=max(slow.usb_version or 0, 2.1)))
    for seen in [s for s in scan.sightings if s.id.startswith(f"{fast.id}.") and not s.is_hub]:
        chain = (*slow.ports, *seen.ports[len(fast.ports):])
        scan = put(scan, seen, replace(seen, id=device_id(slow.bus, chain), bus=slow.bus, ports=chain,
                                       parent=device_id(slow.bus, chain[:-1]), controller=slow.controller,
                                       speed_mbit=480.0, usb_version=2.1))  # fmt: skip
    return without(scan, [fast.id])


def swapped(scan: Scan, one: Sighting, other: Sighting) -> Scan:
    """The scan after two devices of one kind changed places: only their serial numbers tell."""
    serials = {one.id: other.serial, other.id: one.serial}
    return replace(scan, sightings=tuple(
        replace(s, serial=serials[s.id]) if s.id in serials else s for s in scan.sightings))  # fmt: skip
