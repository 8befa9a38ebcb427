"""The scanners that ship, as plain values for the plugin hook, and which of several is the one to use here."""

from __future__ import annotations

import platform
from collections.abc import Iterable
from pathlib import Path

from topo.errors import ScanError
from topo.live import libusb, macos, sysfs, windows
from topo.model.plain import plain
from topo.model.scanner import Scanner


def scanners() -> tuple[Scanner, ...]:
    """Every scanner of the tool's own."""
    return (sysfs.scanner(), macos.scanner(), windows.scanner(), libusb.scanner())


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
