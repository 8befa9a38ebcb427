"""The scanner of Windows: the device tree that the system keeps. No device and no hub is opened.

Exact speeds are with the hub drivers, which wake a sleeping hub to answer; they are not asked. So a scan tells
SuperSpeed or not, by the half of a hub or the socket, and no more. Tested on recorded answers: it has not run on
Windows yet.
"""

from __future__ import annotations

import platform
from datetime import datetime

from topo.frozen import replace
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
from topo.live.winregistry import WinRegistry, port_name, ports_made, system_registry
from topo.model.sighting import Scan, SerialPort

PORTS_GUID = "{4d36e978-e325-11ce-bfc1-08002be10318}"
MOST_NODES = 4000


def scan(table: CfgMgr | None = None, registry: WinRegistry | None = None) -> Scan:
    """What the device tree and the registry's names of ports tell. `table` holds the calls and `registry` its values;
    those of this system unless given. Raises ScanError."""
    calls, values = table or system_table(), registry or system_registry()
    names = (
        *split_list(calls.ids("USB", OF_ENUMERATOR | PRESENT)),
        *split_list(calls.ids(PORTS_GUID, OF_CLASS | PRESENT)),
    )
    nodes = [node for name in dict.fromkeys(names[:MOST_NODES]) if (node := _node(calls, name, values)) is not None]
    found = windows_scan(nodes, "cfgmgr", when=datetime.now().astimezone().isoformat(timespec="milliseconds"))
    return replace(found, kernel=platform.version() or None, serial_ports=_with_others(found.serial_ports, values))


def _with_others(known: tuple[SerialPort, ...], registry: WinRegistry) -> tuple[SerialPort, ...]:
    """The ports that an entry of the tree has, and those that only the map of ports knows; in order of number."""
    names = {port.name for port in known}
    more = tuple(SerialPort(name) for name in ports_made(registry) if name not in names)
    return tuple(sorted((*known, *more), key=lambda port: int(port.name[3:])))


def _node(calls: CfgMgr, instance: str, registry: WinRegistry) -> WinNode | None:
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
        port_name=port_name(registry, instance) if _is_port(one["kind"]) else None,
    )


def _is_port(word: str | None) -> bool:
    """True for the class of serial and parallel ports; only these have a port name."""
    return (word or "").lower().startswith("ports")
