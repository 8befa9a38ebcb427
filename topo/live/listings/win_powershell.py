"""JSON of the project's own three lines for PowerShell: a list of objects, each property a list of texts.

The lines are in `ask.py`. PowerShell 5.1 puts a byte order mark before it, 7 does not; both are read.
"""

from __future__ import annotations

import json
import re
from typing import Any

from topo.errors import ScanError
from topo.frozen import replace
from topo.live.listings.assemble import MOST_READ
from topo.live.listings.values import told, whole
from topo.live.listings.win import WinNode
from topo.live.listings.win_tree import WINDOWS_LIMITS, windows_scan
from topo.model.sighting import Scan

SIGN = re.compile(r'(?:\[\s*)?\{[^\[{]{0,400}?"InstanceId"\s*:', re.DOTALL)
"""Where the JSON begins; there may be prose before it."""


def looks_like(text: str) -> bool:
    """True for a JSON list of objects with instance ids."""
    return SIGN.search(text) is not None


def read(text: str) -> Scan:
    """The scan of the JSON in the text. Raises ScanError where it is damaged or holds no USB device.

    Of one that is cut, what stands whole is read.
    """
    begin = SIGN.search(text)
    items, cut = _items(text, begin.start() if begin else 0)
    nodes = [_node(item) for item in items if isinstance(item, dict) and isinstance(item.get("InstanceId"), str)]
    if not cut:
        return windows_scan(nodes, "powershell-json")
    if not nodes:
        raise ScanError("this JSON of Windows devices is cut or damaged")
    scan = windows_scan(nodes, "powershell-json", replace(WINDOWS_LIMITS, devices="some"))
    said = f"this JSON of Windows devices is cut or damaged: what stands before the {len(nodes) + 1}. entry was read"
    return replace(scan, problems=(*scan.problems, said))


def _items(text: str, start: int) -> tuple[list[Any], bool]:
    """The entries, and whether the text ends or breaks before the list does."""
    decoder = json.JSONDecoder()
    try:
        data, _ = decoder.raw_decode(text, start)
        return (data if isinstance(data, list) else [data]), False
    except (ValueError, RecursionError):
        pass
    found: list[Any] = []
    at = text.find("{", start)
    while at >= 0 and len(found) < MOST_READ:
        try:
            one, end = decoder.raw_decode(text, at)
        except (ValueError, RecursionError):
            break
        found.append(one)
        at = text.find("{", end)
    return found, True


def _node(item: dict[str, Any]) -> WinNode:
    return WinNode(
        instance=item["InstanceId"],
        name=_one(item, "Name"),
        kind=_one(item, "Class"),
        status=_one(item, "Status"),
        parent=_one(item, "Parent"),
        paths=_list(item, "LocationPaths"),
        location=_one(item, "LocationInfo"),
        address=whole(_one(item, "Address"), 255),
        reported=_one(item, "BusReportedDeviceDesc"),
        container=_one(item, "ContainerId"),
        compatible=_list(item, "CompatibleIds"),
        service=_one(item, "Service"),
    )


def _list(item: dict[str, Any], key: str) -> tuple[str, ...]:
    """Texts of a property, whichever way PowerShell wrote a list: as one, as one text, or as value and Count."""
    value = item.get(key)
    if isinstance(value, dict):
        value = value.get("value")
    values = value if isinstance(value, list) else [value]
    texts = [str(v) if isinstance(v, int) and not isinstance(v, bool) else v for v in values[:50]]
    return tuple(text for v in texts if (text := told(v)) is not None)


def _one(item: dict[str, Any], key: str) -> str | None:
    return next(iter(_list(item, key)), None)
