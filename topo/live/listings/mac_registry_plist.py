"""What `ioreg -a -p IOUSB -l` prints: the registry as a property list. The reader of the live scan on macOS too."""

from __future__ import annotations

import plistlib
from collections.abc import Iterator
from typing import Any

from topo.errors import ScanError
from topo.live.listings.mac import location_of, plist_in
from topo.live.listings.mac_registry import RegistryEntry, registry_scan
from topo.model.sighting import Scan

MOST_ENTRIES = 20_000


def looks_like(text: str) -> bool:
    """True for a property list of registry entries."""
    return "<plist" in text and "IORegistryEntry" in text


def read(text: str) -> Scan:
    """The scan of the text. Raises ScanError where it is no property list, or nothing of it is USB."""
    return read_bytes(plist_in(text))


def read_bytes(data: bytes) -> Scan:
    """The scan of what the command printed. plistlib refuses documents that declare entities."""
    try:
        top = plistlib.loads(data)
    except Exception as error:  # plistlib raises what its parser does, of many kinds
        raise ScanError("this property list of the registry is cut or damaged") from error
    return registry_scan(_entries(top), "ioreg-plist")


def _entries(top: Any) -> Iterator[RegistryEntry]:
    """Depth first, without recursion: a list can be nested as deep as its writer likes."""
    pending = list(reversed(top if isinstance(top, list) else [top]))
    for _ in range(MOST_ENTRIES):
        if not pending:
            return
        one = pending.pop()
        if not isinstance(one, dict):
            continue
        yield RegistryEntry(
            one["IORegistryEntryName"] if isinstance(one.get("IORegistryEntryName"), str) else "",
            location_of(_text(one.get("IORegistryEntryLocation"))),
            _text(one.get("IOObjectClass")) or "",
            {key: value for key, value in one.items() if isinstance(value, (int, str))},
        )
        children = one.get("IORegistryEntryChildren")
        pending += reversed(children) if isinstance(children, list) else []


def _text(value: Any) -> str | None:
    return value if isinstance(value, str) else None
