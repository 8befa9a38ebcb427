"""The scanners that ship, as values for the plugin hook, and which of several is the one to use here."""

from __future__ import annotations

import platform
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from topo.errors import ScanError
from topo.model.plain import plain
from topo.model.scanner import Scanner

if TYPE_CHECKING:
    from topo.model.sighting import Pulse, Scan


def scanners() -> tuple[Scanner, ...]:
    """Every scanner that ships. Each imports what it reads with when it is used."""
    return (
        sysfs_scanner(),
        Scanner("ioreg", "macOS: what the kernel's registry keeps, by the system's own ioreg", ("Darwin",), _macos),
        Scanner("cfgmgr", "Windows: the device tree that the system keeps, no device opened", ("Windows",), _windows),
        Scanner("libusb", "other systems: pyusb's listing, no device opened", ("FreeBSD",), _libusb),
    )


def sysfs_scanner(root: str = "/sys", timeout_s: float = 1.0) -> Scanner:
    """The scanner of a sysfs tree. `timeout_s`: how long one attribute may take, in seconds."""

    def scan() -> Scan:
        from topo.live import sysfs

        return sysfs.scan(root, timeout_s)

    def pulse() -> Pulse:
        from topo.live import heartbeat

        return heartbeat.pulse(root, timeout_s)

    summary = "Linux: what the kernel keeps of every device, read from sysfs"
    return Scanner("sysfs", summary, ("Linux",), scan, pulse)


def _macos() -> Scan:
    from topo.live import macos

    return macos.scan()


def _windows() -> Scan:
    from topo.live import windows

    return windows.scan()


def _libusb() -> Scan:
    from topo.live import libusb

    return libusb.scan()


def choose(known: Iterable[Scanner], name: str | None = None) -> Scanner:
    """The scanner of that name, or the first made for this system. Raises ScanError where there is none."""
    known = tuple(known)
    if name is not None:
        for scanner in known:
            if scanner.name == name:
                return scanner
        raise ScanError(f"no scanner is called '{plain(name)}'; there are {', '.join(plain(s.name) for s in known)}")
    system = platform.system()
    for scanner in known:
        if system in scanner.systems:
            return scanner
    if system == "Linux":
        if not Path("/sys/bus/usb").is_dir():
            raise ScanError("this machine shows no USB devices (no /sys/bus/usb), and no scanner for Linux is here")
        raise ScanError("no scanner for Linux is here; `topo plugins` says which plugins failed")
    raise ScanError(
        f"no scanner here leaves devices on {plain(system or 'this system')} alone while it lists them; "
        "`--scanner libusb` lists them with a short request to each, so not during an exposure"
    )
