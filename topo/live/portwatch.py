"""Names of serial ports through a night: which a device had, which it has after it came back, who holds the old one.

A port comes up a moment after its device, so that a device that had one is looked at again for some seconds.
"""

from __future__ import annotations

from collections.abc import Iterator

from topo.frozen import frozen
from topo.model.sighting import Scan

WAIT_S = 10.0
"""How long a port is waited for after its device came back."""


@frozen
class Renamed:
    """A device (its sighting's id) with the names of its ports before and now, and who still holds an old one."""

    device: str
    before: tuple[str, ...]
    now: tuple[str, ...]
    holders: tuple[str, ...] = ()


def names_of_ports(scan: Scan, device: str) -> tuple[str, ...]:
    """The names of a device's serial ports."""
    return tuple(port.name for port in scan.serial_ports if port.device == device)


class PortNames:
    """Waits for the ports of devices that came back."""

    def __init__(self) -> None:
        self._due: dict[str, tuple[tuple[str, ...], float]] = {}

    @property
    def waiting(self) -> bool:
        """True while a port is waited for."""
        return bool(self._due)

    def came_back(self, device: str, before: tuple[str, ...], now_s: float) -> None:
        """A device is there again that had these ports."""
        if before:
            self._due[device] = (before, now_s + WAIT_S)

    def look(self, scan: Scan, now_s: float) -> Iterator[Renamed]:
        """Those whose ports have other names now, or none after the time they are waited for."""
        for device, (before, until_s) in list(self._due.items()):
            now = names_of_ports(scan, device)
            if not now and now_s < until_s:
                continue
            del self._due[device]
            if now != before:
                yield Renamed(device, before, now, _holders(scan, before, now))


def _holders(scan: Scan, before: tuple[str, ...], now: tuple[str, ...]) -> tuple[str, ...]:
    """Short names of programs that hold a name that no longer is the device's."""
    old = set(before) - set(now)
    held = scan.holding.holders if scan.holding is not None else ()
    return tuple(sorted({h.program or "?" for h in held if h.how == "open" and h.gone and h.name in old}))
