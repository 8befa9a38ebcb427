"""Which serial port is whose now, what a typed name means now, and which name of a port lasts.

A part's ports are those of the thing it is; what hangs on an adapter with several sockets has the one of its socket's
number. A match that is a guess makes the port a guess too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from topo.compare.likeness import kind_of_part
from topo.frozen import frozen
from topo.model.plain import plain
from topo.model.rig import Device, socket_number
from topo.wiring.lasting import BY_ID, BY_PATH, canonical, kind_of_name

if TYPE_CHECKING:
    from topo.model.comparison import Comparison, Match
    from topo.model.plugged import Thing
    from topo.model.sighting import SerialPort

HowLong = Literal["anywhere", "in its socket", "until it is plugged in again", "not known"]
"""How long a name stays with its part."""


@frozen
class LivePort:
    """A serial port of a thing that is plugged in, and the part it belongs to, where it is one of the file."""

    port: SerialPort
    thing: Thing
    match: Match | None = None
    part: str | None = None

    @property
    def guessed(self) -> bool:
        """True where the part is a guess."""
        return self.match is None or self.match.guessed


@frozen
class LastingName:
    """A name to bind a program to, how long it lasts, and why."""

    name: str
    lasts: HowLong
    why: str


def live_ports(comparison: Comparison) -> tuple[LivePort, ...]:
    """Every serial port on USB, in the order of the scan."""
    found = []
    for port in comparison.scan.serial_ports:
        thing = comparison.live.thing_of(port.device) if port.device is not None else None
        if thing is None:
            continue
        owner = comparison.part_of(thing.key)
        match = comparison.match(owner) if owner is not None else None
        found.append(LivePort(port, thing, match, _who(comparison, owner, port)))
    return tuple(found)


def _who(comparison: Comparison, owner: str | None, port: SerialPort) -> str | None:
    """The part that talks through a port: what hangs on that socket of an adapter, else the adapter itself."""
    if owner is None:
        return None
    order = _in_order([p for p in comparison.scan.serial_ports if p.device == port.device])
    for child in comparison.declared.topology.children(owner):
        plug = comparison.declared.topology.part(child).plug
        leg = comparison.declared.topology.leg(child)
        number = socket_number(plug.socket) if plug is not None else None
        on_line = leg is not None and leg.socket.kind == "serial" and number is not None
        if on_line and 1 <= (number or 0) <= len(order) and order[(number or 0) - 1] is port:
            return child
    return owner


def _in_order(ports: list[SerialPort]) -> list[SerialPort]:
    return sorted(ports, key=lambda p: (p.interface or 0, p.number or 0, len(p.name), p.name))


def ports_of_part(comparison: Comparison, part: str) -> tuple[LivePort, ...]:
    """The ports of a part."""
    return tuple(each for each in live_ports(comparison) if each.part == part)


def has_port(part: object) -> bool:
    """True for a device on USB that a program talks to through a serial port, as far as the file tells."""
    if not isinstance(part, Device) or part.plug is None:
        return False
    return part.interface == "serial" or (part.interface is None and kind_of_part(part) == "serial")


def meant_now(comparison: Comparison, typed: str) -> tuple[LivePort, ...] | None:
    """The ports that a typed name means now; none where it is the name of nothing, None where the scan cannot tell."""
    name = canonical(typed)
    kind = kind_of_name(name)
    scan = comparison.scan
    if kind == "network" or scan.limits.serial_ports != "all" or not _of_system(kind, scan.system):
        return None
    ports = live_ports(comparison)
    found = tuple(each for each in ports if name == each.port.name or name in each.port.links)
    if found or kind in ("number", "com", "callout"):
        built_in = any(name == port.name for port in scan.serial_ports if port.device is None)
        return None if built_in else found
    told = [each.port for each in ports]
    if not all(port.links for port in told) or (kind == "own" and any(port.composed for port in told)):
        return None
    return found


def _of_system(kind: str, system: str) -> bool:
    """True where a name of that kind can be one of that system; a file may be for another computer than the scan."""
    if kind == "com":
        return system.lower().startswith("win")
    if kind == "callout":
        return system.lower() in ("macos", "darwin")
    return system.lower() == "linux"


def lasting_name(comparison: Comparison, each: LivePort) -> LastingName:
    """The name of a port that lasts longest."""
    port, seen = each.port, each.thing.own
    made = ", as udev's rules would make it" if port.composed else ""
    if comparison.scan.system.lower() != "linux":
        return _elsewhere(comparison, each)
    by_id = next((link for link in port.links if link.startswith(BY_ID) and link not in port.shared), None)
    by_path = next((link for link in port.links if link.startswith(BY_PATH) and link not in port.shared), None)
    own = next((link for link in port.links if kind_of_name(link) == "own" and link not in port.shared), None)
    if by_id is not None and seen.serial is not None and _only_one(comparison, each):
        return LastingName(by_id, "anywhere", f"it reports a serial number of its own{made}")
    if by_path is not None:
        why = "another one tells the same serial number" if seen.serial is not None else "it reports no serial number"
        return LastingName(by_path, "in its socket", f"{why}{made}")
    if own is not None:
        return LastingName(own, "not known", "a rule of your own makes it")
    return LastingName(port.name, "until it is plugged in again", "the scan tells no name that lasts")


def _only_one(comparison: Comparison, each: LivePort) -> bool:
    own = each.thing.own
    same = [s for s in comparison.scan.sightings if s.serial is not None and
            (s.vendor_id, s.product_id, s.serial) == (own.vendor_id, own.product_id, own.serial)]
    return len(same) < 2


def _elsewhere(comparison: Comparison, each: LivePort) -> LastingName:
    """Windows keeps the number of an adapter with a serial number, and else one for each socket it was in; macOS names
    a port by its serial number or its place."""
    if comparison.scan.limits.serials != "all":
        return LastingName(each.port.name, "not known", "the scan does not tell whether it has a serial number")
    if each.thing.own.serial is not None and _only_one(comparison, each):
        return LastingName(each.port.name, "anywhere", "it reports a serial number of its own")
    return LastingName(each.port.name, "in its socket", "it reports no serial number; another socket, another name")


def deciding_test(comparison: Comparison, part: str) -> str:
    """The free test that tells which of two likenesses a part is."""
    match = comparison.match(part)
    usb = match.part if match is not None else part
    return f"unplug the USB lead of {plain(usb)} and run `topo compare` again: the one that is then missing is it"
