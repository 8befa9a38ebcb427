"""Sightings put together to a tree: parents by place, root hubs and hubs that must be there, nothing twice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from topo.frozen import replace
from topo.model.plain import plain
from topo.model.sighting import Side, Sighting, device_id

MOST_SOCKETS_DOWN = 7
"""Most sockets in a chain: USB has seven tiers with the root hub (USB 2.0 4.1.1); one is left for systems that count
their own."""

MOST_PORTS, MOST_HUB_PORTS = 255, 31
"""Sockets of a root hub, where a system may count both sides of USB, and of any other (Linux: USB_MAXCHILDREN)."""
MOST_READ = 2000
MOST_COMPLAINTS = 50


def assembled(
    found: Iterable[Sighting], problems: list[str], roots: Mapping[int, Sighting] | None = None
) -> tuple[Sighting, ...]:
    """Every sighting with its id and parent, in order; root hubs come from `roots` where they are known.

    A hub that the listing does not show though something is plugged into it is put in, and told.
    """
    kept: dict[str, Sighting] = {}
    for seen in found:
        _keep(seen, kept, problems)
    for seen in tuple(kept.values()):
        _hubs_above(seen, kept, problems, roots or {})
    for bus, root in (roots or {}).items():
        kept.setdefault(device_id(bus, ()), root)
    above = {device_id(s.bus, s.ports[:-1]) for s in kept.values() if s.ports}
    return tuple(sorted((_settled(seen, above) for seen in kept.values()), key=lambda s: s.order))


def _keep(seen: Sighting, kept: dict[str, Sighting], problems: list[str]) -> None:
    if len(seen.ports) > MOST_SOCKETS_DOWN:
        problems.append(f"{plain(seen.id, 60)} is deeper than USB goes; it was left out")
    elif any(not 1 <= port <= MOST_PORTS for port in seen.ports) or max(seen.ports[1:], default=1) > MOST_HUB_PORTS:
        problems.append(f"{plain(seen.id, 60)} has the number of a socket that no hub has; it was left out")
    elif seen.id in kept:
        problems.append(f"two devices claim the place {plain(seen.id, 60)}; the second was left out")
    elif len(kept) >= MOST_READ:
        problems.append(f"more than {MOST_READ} devices; the rest was left out")
    else:
        kept[seen.id] = seen


def _hubs_above(seen: Sighting, kept: dict[str, Sighting], problems: list[str], roots: Mapping[int, Sighting]) -> None:
    for depth in range(len(seen.ports)):
        name = device_id(seen.bus, seen.ports[:depth])
        if name in kept:
            continue
        if depth == 0:
            kept[name] = roots.get(seen.bus) or root_hub(seen.bus)
        else:
            side: Side | None = None if seen.is_super is None else "superspeed" if seen.is_super else "usb2"
            kept[name] = Sighting(id=name, bus=seen.bus, ports=seen.ports[:depth], usb_class=9, side=side)
            problems.append(f"{name}: a hub must be there, since something is plugged into it; the listing has none")


def root_hub(bus: int, controller: str | None = None, speed_mbit: float | None = None) -> Sighting:
    """The root hub of a bus, of which a listing tells no more."""
    return Sighting(id=device_id(bus, ()), bus=bus, ports=(), controller=controller, speed_mbit=speed_mbit, usb_class=9)


def _settled(seen: Sighting, above: set[str]) -> Sighting:
    parent = device_id(seen.bus, seen.ports[:-1]) if seen.ports else None
    usb_class = 9 if seen.usb_class is None and seen.id in above else seen.usb_class
    return replace(seen, parent=parent, usb_class=usb_class)


def paired_buses(sightings: Iterable[Sighting]) -> dict[str, tuple[int, ...]]:
    """Controllers by their buses, where a listing names none; buses it does not pair stand alone.

    A guess: Linux numbers the SuperSpeed side of a controller after its USB 2 side (`drivers/usb/host/xhci-pci.c`).
    """
    rates = {seen.bus: seen.speed_mbit for seen in sightings if seen.is_root and seen.speed_mbit is not None}
    fast = {bus for bus, rate in rates.items() if rate >= 5000 and rates.get(bus - 1) == 480}
    return {f"buses {bus - 1} and {bus}": (bus - 1, bus) for bus in sorted(fast)}


def loose(number: int, bus: int = 0) -> str:
    """The id of a device whose place the listing does not tell."""
    return f"{bus}-?{number}"


def short(problems: list[str]) -> tuple[str, ...]:
    """Each problem once, and not too many."""
    return tuple(dict.fromkeys(problems))[:MOST_COMPLAINTS]
