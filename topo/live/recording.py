"""A scanner that replays a file: a saved scan or the kernel's usb/devices text, told apart by content."""

from __future__ import annotations

import os

from topo.errors import ScanError
from topo.live.store import loads, read_limited
from topo.live.usbdevices import looks_like, read_usbdevices
from topo.model.plain import plain
from topo.model.scanner import Scanner
from topo.model.sighting import Scan


def recording(path: str | os.PathLike[str]) -> Scanner:
    """A scanner whose every scan is what the file holds."""
    return Scanner("recording", f"replays {plain(str(path))}", (), lambda: replay(path))


def replay(path: str | os.PathLike[str]) -> Scan:
    """The scan in a file. Raises ScanError where it is neither a saved scan nor usb/devices text."""
    return read_scan(read_limited(path), str(path))


def read_scan(text: str, path: str = "the scan") -> Scan:
    """The scan in a text, as `replay`."""
    if text.lstrip().startswith("{"):
        return loads(text, path)
    if looks_like(text):
        return read_usbdevices(text)
    raise ScanError(f"{plain(path)}: neither a saved scan (`topo live --save`) nor the kernel's usb/devices text")
