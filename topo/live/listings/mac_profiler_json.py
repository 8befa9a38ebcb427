"""What `system_profiler -json` or `-xml` prints of USB: buses as objects, what is in them under `_items`."""

from __future__ import annotations

import json
import plistlib
import re
from typing import Any

from topo.errors import ScanError
from topo.live.listings.mac import plist_in
from topo.live.listings.mac_profiler import DEEPEST_ITEM, NEW, OLD, ProfilerItem, profiler_scan
from topo.live.listings.values import told
from topo.model.sighting import Scan

ASK = "`ioreg -p IOUSB -l -w0 > usb.txt` shows all on any macOS"


START = re.compile(rf'\{{\s*"(?:{OLD}|{NEW})"\s*:')
"""Where the JSON begins; there may be prose before it."""


def looks_like(text: str) -> bool:
    """True for JSON with one of the two keys."""
    return START.search(text) is not None


def looks_like_xml(text: str) -> bool:
    """True for a property list that names the data type."""
    return "<plist" in text and (OLD in text or NEW in text)


def read(text: str) -> Scan:
    """The scan of the JSON in the text. Raises ScanError."""
    begin = START.search(text)
    try:
        data = json.JSONDecoder().raw_decode(text, begin.start() if begin else 0)[0]
    except (ValueError, RecursionError) as error:
        raise ScanError(f"this JSON of the system profiler is cut or damaged; {ASK}") from error
    return _scan(data.get(NEW) or data.get(OLD) or [], "system-profiler-json")


def read_xml(text: str) -> Scan:
    """The scan of the property list. Raises ScanError."""
    try:
        data = plistlib.loads(plist_in(text))
        groups = [group for group in data if isinstance(group, dict) and group.get("_dataType") in (OLD, NEW)]
        items: Any = next((group["_items"] for group in groups if group.get("_items")), [])
    except Exception as error:  # plistlib raises what its parser does, of many kinds
        raise ScanError(f"this property list of the system profiler is cut or damaged; {ASK}") from error
    return _scan(items, "system-profiler-xml")


def _scan(data: Any, scanner: str) -> Scan:
    buses = _items(data, 0)
    if not buses:
        raise ScanError(f"macOS 26 and later print an empty list here, whatever is plugged in; {ASK}")
    return profiler_scan(buses, scanner)


def _items(data: Any, depth: int) -> tuple[ProfilerItem, ...]:
    if not isinstance(data, list) or depth > DEEPEST_ITEM:
        return ()
    return tuple(_item(one, depth) for one in data if isinstance(one, dict))


def _item(one: dict[str, Any], depth: int) -> ProfilerItem:
    facts = {key: _text(value) for key, value in one.items()}
    return ProfilerItem(told(one.get("_name")) or "", facts, _items(one.get("_items"), depth + 1))


def _text(value: Any) -> str:
    return value if isinstance(value, str) else str(value) if isinstance(value, int) else ""
