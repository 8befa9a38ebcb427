"""A saved scan for a post: figures and places in the tree stay, names and numbers that single out a person go.

Serial numbers and container ids become the pack's tags. Vendor and product ids stay for the rig's own devices and
the hubs above them; all else plugged in keeps its place, speed and class, and is called nothing.
"""

from __future__ import annotations

import re
from collections.abc import Collection

from topo.frozen import replace
from topo.live.holders import SERVICES
from topo.model.comparison import Comparison
from topo.model.sighting import Holding, HostController, HubPort, Interface, Scan, SerialPort, Sighting, Sleep
from topo.pack.redact import HEX4, Tags, port_name
from topo.pack.removed import Removed

SYSTEMS = {"linux": "Linux", "windows": "Windows", "darwin": "macOS", "macos": "macOS", "win32": "Windows"}
DRIVERS = frozenset({
    "usb", "hub", "usbhid", "usb-storage", "uas", "uvcvideo", "cdc_acm", "cdc_ether", "cdc_ncm", "usbfs", "btusb",
    "snd-usb-audio", "usbserial", "xhci_hcd", "xhci-hcd", "ehci-pci", "ohci-pci", "ehci_hcd", "ohci_hcd",
})
"""Drivers of kinds of devices; those of one maker's are called `other`, as they name the maker and not the fault."""
STATES = frozenset({
    "on", "auto", "active", "suspended", "suspending", "resuming", "unsupported", "error", "hotplug", "hardwired",
    "not used", "unknown", "fixed", "removable", "configured", "not attached", "attached", "powered", "default",
    "addressed", "reconnecting", "unauthenticated",
})
"""Words the kernel uses (ABI documentation of sysfs-bus-usb and of runtime power); any other text is dropped."""
SCANNERS = r"sysfs|libusb|recording|cfgmgr|ioreg|[a-z]{4,9}(-[a-z]{3,9}){0,3}-(text|json|xml|csv|plist)|kernel-log"
LEFT_OUT = "a name, left out"
"""Stands for a device's name: that it tells one says that its strings were read, its serial number among them."""
UNREAD = "something could not be read (the words are left out)"
PORT_NAME = re.compile(r"(/dev/)?(tty(USB|ACM|S)[0-9]{1,3}|COM[0-9]{1,3})")
USB_ID = re.compile(r"usb[0-9]{1,3}|[0-9]{1,3}-(\?[0-9]{1,3}|[0-9]{1,3}(\.[0-9]{1,3}){0,9})")


def own_devices(comparison: Comparison) -> frozenset[str]:
    """Ids of the sightings that are surely parts of the rig: found by identity or in their socket, or with ids that
    the rig file itself names. A match by kind alone may be somebody's telephone."""
    found = {
        seen.id for match in comparison.matches if match.by != "kind"
        for seen in (*(seen for thing in match.things for seen in thing.seen), *((match.own,) if match.own else ()))
    }
    named = {(part.identity.vendor_id, part.identity.product_id) for part in comparison.declared.rig.parts}
    return frozenset(found | {
        seen.id for seen in comparison.scan.sightings
        if seen.vendor_id is not None and (seen.vendor_id, seen.product_id) in named
    })


def redacted_scan(scan: Scan, own: Collection[str], tags: Tags, removed: Removed) -> Scan:
    """The scan that may be shown. `own` are the ids of sightings that belong to the rig."""
    return _Redactor(scan, own, tags, removed).scan()


class _Redactor:
    def __init__(self, scan: Scan, own: Collection[str], tags: Tags, removed: Removed) -> None:
        self.whole, self.tags, self.removed = scan, tags, removed
        self.kept = self._with_hubs_above(own)
        self.ids = {s.id: s.id if USB_ID.fullmatch(s.id) else f"{s.bus}-?{n + 1}" for n, s in enumerate(scan.sightings)}
        named = (*(c.id for c in scan.controllers), *(s.controller for s in scan.sightings if s.controller))
        self.controllers = {name: f"controller-{n}" for n, name in enumerate(dict.fromkeys(named), 1)}

    def _with_hubs_above(self, own: Collection[str]) -> frozenset[str]:
        by_id = {seen.id: seen for seen in self.whole.sightings}
        kept = set(own)
        for start in own:
            here = by_id.get(start)
            while here is not None and here.parent is not None and here.parent not in kept:
                kept.add(here.parent)
                here = by_id.get(here.parent)
        return frozenset(kept | {seen.id for seen in self.whole.sightings if seen.is_root})

    def scan(self) -> Scan:
        """The whole scan."""
        whole = self.whole
        self.removed.count("times", 1 if whole.when else 0)
        self.removed.count("texts of plugins", len(whole.problems))
        self.removed.count("places in the system", len(self.controllers))
        self.removed.count("names of programs", len(whole.holding.holders) if whole.holding is not None else 0)
        release = re.match(r"[0-9]{1,3}(\.[0-9]{1,4}){1,2}", whole.kernel or "")
        return Scan(
            when="", system=SYSTEMS.get(whole.system.lower(), "other"), kernel=release[0] if release else None,
            scanner=whole.scanner if re.fullmatch(SCANNERS, whole.scanner) else "other",
            controllers=tuple(map(self._controller, whole.controllers)),
            sightings=tuple(map(self._sighting, whole.sightings)), ports=tuple(map(self._port, whole.ports)),
            serial_ports=tuple(self._serial(n, one) for n, one in enumerate(whole.serial_ports, 1)),
            usbfs_memory_mb=whole.usbfs_memory_mb, low_volts=whole.low_volts, sleep_setting=whole.sleep_setting,
            holding=self._holding(),
            problems=(UNREAD,) * len(whole.problems), limits=whole.limits,
        )

    def _holding(self) -> Holding | None:
        """Which of the services that are known to probe run; of programs nothing."""
        told = self.whole.holding
        if told is None:
            return None
        return Holding(told.everyone, (), tuple(name for name in SERVICES if name in told.services), told.whole)

    def _controller(self, one: HostController) -> HostController:
        return HostController(self.controllers[one.id], one.buses, _hex(one.vendor_id), _hex(one.product_id),
                          self._driver(one.driver))

    def _sighting(self, seen: Sighting) -> Sighting:
        mine = seen.id in self.kept
        texts = sum(text is not None for text in (seen.manufacturer, seen.product))
        self.removed.count("names and descriptions of devices", texts)
        self.removed.count("devices that are not of the rig", 0 if mine else 1)
        if seen.serial is not None:
            self.removed.count("serial numbers, replaced by tags")
        return replace(
            seen, id=self.ids[seen.id], parent=self.ids.get(seen.parent or ""),
            controller=None if seen.controller is None else self.controllers[seen.controller],
            vendor_id=_hex(seen.vendor_id) if mine else None, product_id=_hex(seen.product_id) if mine else None,
            manufacturer=None, product=LEFT_OUT if mine and texts else None,
            serial=None if seen.serial is None else self.tags(seen.serial),
            container_id=None if seen.container_id is None else self.tags(seen.container_id),
            removable=_state(seen.removable),
            sleep=replace(seen.sleep, control=_state(seen.sleep.control), status=_state(seen.sleep.status))
            if mine else Sleep(),
            interfaces=tuple(map(self._interface, seen.interfaces)) if mine else (),
        )

    def _interface(self, one: Interface) -> Interface:
        return replace(one, driver=self._driver(one.driver))

    def _driver(self, name: str | None) -> str | None:
        return name if name is None or name in DRIVERS else "other"

    def _port(self, port: HubPort) -> HubPort:
        peer = None if port.peer is None or port.peer[0] not in self.ids else (self.ids[port.peer[0]], port.peer[1])
        return HubPort(
            self.ids.get(port.hub, "usb0"), port.number, _state(port.connect_type), port.over_current_count,
            _state(port.state), peer, self.ids.get(port.device or ""), port.gives,
        )

    def _serial(self, number: int, port: SerialPort) -> SerialPort:
        kept = PORT_NAME.fullmatch(port.name) is not None
        self.removed.count("places in the system", (0 if kept else 1) + len(port.links))
        name = port.name if kept else port_name(port.name, self.tags)
        links = {link: port_name(link, self.tags) for link in port.links}
        return SerialPort(
            name if name is not None else f"port-{number}", self.ids.get(port.device or ""), port.interface,
            self._driver(port.driver), port.latency_timer_ms, port.number,
            links=tuple(sorted(text for text in links.values() if text is not None)), composed=port.composed,
            shared=tuple(sorted(text for link in port.shared if (text := links.get(link)) is not None)),
            mode=port.mode, allowed=port.allowed, spared=port.spared,
        )


def _hex(text: str | None) -> str | None:
    return text.lower() if text is not None and HEX4.fullmatch(text.lower()) else None


def _state(text: str | None) -> str | None:
    return text if text in STATES else None
