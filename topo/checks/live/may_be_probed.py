"""A service that opens serial ports by itself runs, and nothing keeps it off this part.

Services for modems, Braille displays and satellite receivers look for their kind on every adapter that comes up, or on
those with common ids. They send a few bytes: a mount may take them for a command, and for some seconds its program is
told that the port is in use. Today's modem service leaves unknown adapters alone, older ones probe all.

What helps, free first: stop the service for tonight; to stay safe, one line of a udev rule with this device's ids tells
the modem service to leave it alone. A satellite receiver that needs its service keeps it: only that device is named to
it, and the rest is left alone.

A risk, and always a guess: what a service probes depends on its version.

Wrong if the service's own log names no port of the rig.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import KNOWN_MOUNT, rig
from topo.checks.scans import adapter, held, scan, tty
from topo.compare.ports import LivePort, live_ports
from topo.model.check import Case, Check
from topo.model.facts import value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Device
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.comparison import Comparison

MODEM, BRAILLE, RECEIVER = "ModemManager", "brltty", "gpsd"
KINDS = {MODEM: "modems", BRAILLE: "Braille displays", RECEIVER: "satellite receivers"}
"""What each service that is known here looks for; the names are those it runs under."""


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each such service that runs, with all parts it may open."""
    holding = comparison.scan.holding
    for service in (name for name in (holding.services if holding is not None else ()) if name in KINDS):
        ports = [each for each in live_ports(comparison) if each.part is not None]
        if ports := [each for each in ports if _exposed(comparison, each, service)]:
            yield _finding(comparison, service, ports)


def _exposed(comparison: Comparison, each: LivePort, service: str) -> bool:
    part = comparison.declared.rig.part(each.part or "")
    if isinstance(part, Device) and value_of(part.facts.read_by_service):
        return False
    return not (service == MODEM and each.port.spared)


def _finding(comparison: Comparison, service: str, ports: list[LivePort]) -> Finding:
    names = list(dict.fromkeys(each.part for each in ports if each.part is not None))
    first = comparison.declared.rig.part(names[0])
    kind = KINDS[service]
    return Finding(
        name="may-be-probed",
        severity="risk",
        certainty="possible",
        part=first.id,
        place=first.place,
        others=tuple(names[1:]),
        message=f"{plain(service)} runs, which looks for {kind} on serial ports; it may open the port of "
        f"{listed(names)} just when its program wants to.",
        refuted_by="the log of the service names no port of the rig",
        fix=Fix(_advice(comparison, service, ports)),
    )


def _advice(comparison: Comparison, service: str, ports: list[LivePort]) -> str:
    if service == RECEIVER and (kept := _receivers(comparison)):
        return (f"First, free: tell {plain(service)} to open {listed(kept)} alone and nothing that is plugged in later "
                "(in its settings: the device by its lasting name, and no automatic USB).")
    stop = f"First, free: `sudo systemctl stop {plain(service)}` for tonight."
    if service != MODEM:
        return f"{stop} For good: disable it, where nobody needs it."
    lines = list(dict.fromkeys(
        line for each in ports if (line := spare_line(each.thing.own.vendor_id, each.thing.own.product_id))))
    return f"{stop} For good, a file below /etc/udev/rules.d with: {'  '.join(lines)}" if lines else stop


def spare_line(vendor: str | None, product: str | None) -> str | None:
    """The line of a udev rule that tells the modem service to leave devices with these ids alone (its property is from
    memory, verify)."""
    if vendor is None or product is None:
        return None
    return (f'ATTRS{{idVendor}}=="{plain(vendor, 4)}", ATTRS{{idProduct}}=="{plain(product, 4)}", '
            'ENV{ID_MM_DEVICE_IGNORE}="1"')


def _receivers(comparison: Comparison) -> list[str]:
    return [part.id for part in comparison.declared.rig.devices if value_of(part.facts.read_by_service)]


RECEIVER_PART = "gps: {interface: serial, read_by_service: true, plug: computer/usb2-1}"

CHECK = Check(
    name="may-be-probed",
    summary="a service that opens serial ports by itself runs",
    explanation=__doc__,
    symptoms=(
        "port in use", "port vanishes a second after plugging", "port is busy after plugging in",
        "mount moves by itself after plugging in",
    ),
    severities=("risk",),
    find=find,
    needs="comparison",
    cases=(
        Case("no such service", rig(KNOWN_MOUNT), 0,
             scan(adapter("3-1"), serial_ports=[tty(0, "3-1")], holding=held())),
        Case("one runs", rig(KNOWN_MOUNT), 1,
             scan(adapter("3-1"), serial_ports=[tty(0, "3-1")], holding=held(services=(MODEM,)))),
        Case("told to leave it alone", rig(KNOWN_MOUNT), 0,
             scan(adapter("3-1"), serial_ports=[tty(0, "3-1", spared=True)], holding=held(services=(MODEM,)))),
        Case("a receiver and its service", rig(RECEIVER_PART), 0,
             scan(adapter("3-1"), serial_ports=[tty(0, "3-1")], holding=held(services=(RECEIVER,)))),
    ),
)
