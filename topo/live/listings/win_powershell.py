"""JSON of the project's own three lines for PowerShell: a list of objects, each property a list of texts.

The lines are in `ask.py`. PowerShell 5.1 puts a byte order mark before it, 7 does not; both are read.
"""

from __future__ import annotations

import json
import re
from typing import Any

from topo.errors import ScanError
from topo.live.listings.values import told, whole
from topo.live.listings.win import WinNode
from topo.live.listings.win_tree import windows_scan
from topo.model.sighting import Scan

SIGN = re.compile(r'^\s*[\[{].{0,400}?"InstanceId"\s*:', re.DOTALL)


def looks_like(text: str) -> bool:
    """True for a JSON list of objects with instance ids."""
    return SIGN.match(text.removeprefix("\ufeff")) is not None


def read(text: str) -> Scan:
    """The scan of the JSON. Raises ScanError where it is cut or holds no USB device."""
    try:
        data = json.loads(text.removeprefix("\ufeff"))
    except (ValueError, RecursionError) as error:
        raise ScanError("this JSON of Windows devices is cut or damaged") from error
    items = data if isinstance(data, list) else [data]
    nodes = [_node(item) for item in items if isinstance(item, dict) and isinstance(item.get("InstanceId"), str)]
    return windows_scan(nodes, "powershell-json")


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
