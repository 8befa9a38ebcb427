"""The scanner of Windows: the device tree that the system keeps. No device and no hub is opened.

Exact speeds are with the hub drivers, which wake a sleeping hub to answer; they are not asked. So a scan tells
SuperSpeed or not, by the half of a hub or the socket, and no more. Tested on recorded answers: it has not run on
Windows yet.
"""

from __future__ import annotations

import platform
from dataclasses import replace
from datetime import datetime

from topo.live.cfgmgr import (
    OF_CLASS,
    OF_ENUMERATOR,
    PRESENT,
    PROPERTY_KEYS,
    CfgMgr,
    split_list,
    system_table,
    values_of,
)
from topo.live.listings.values import told, whole
from topo.live.listings.win import WinNode
from topo.live.listings.win_tree import windows_scan
from topo.model.sighting import Scan

PORTS_GUID = "{4d36e978-e325-11ce-bfc1-08002be10318}"
MOST_NODES = 4000


def scan(table: CfgMgr | None = None) -> Scan:
    """What the device tree tells. `table` holds the calls; those of this system unless given. Raises ScanError."""
    calls = table or system_table()
    names = (
        *split_list(calls.ids("USB", OF_ENUMERATOR | PRESENT)),
        *split_list(calls.ids(PORTS_GUID, OF_CLASS | PRESENT)),
    )
    nodes = [node for name in dict.fromkeys(names[:MOST_NODES]) if (node := _node(calls, name)) is not None]
    found = windows_scan(nodes, "cfgmgr", when=datetime.now().astimezone().isoformat(timespec="milliseconds"))
    return replace(found, kernel=platform.version() or None)


def _node(calls: CfgMgr, instance: str) -> WinNode | None:
    entry = calls.locate(instance)
    if entry is None:
        return None
    lists = {name: values_of(calls.property(entry, key)) for name, key in PROPERTY_KEYS.items()}
    one = {name: next((text for value in values if (text := told(value))), None) for name, values in lists.items()}
    return WinNode(
        instance=instance,
        name=one["friendly"] or one["description"],
        kind=one["kind"],
        parent=one["parent"],
        paths=lists["paths"],
        location=one["location"],
        address=whole(one["address"], 255),
        reported=one["reported"],
        container=one["container"],
        compatible=lists["compatible"],
        service=one["service"],
    )
