"""Entries of macOS's registry, from the text or the property list that `ioreg` prints, as a scan.

Properties and their meaning: public reports; names in IOUSBHostFamilyDefinitions.h. Numbers are decimal.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from topo.errors import ScanError
from topo.frozen import frozen
from topo.live.listings.mac import MacBus, mac_scan, names_a_hub, place_of, speed_by_code
from topo.live.listings.values import hex4, octet, told, whole
from topo.model.limits import Limits
from topo.model.sighting import Scan, Sighting

WITH_PROPERTIES = Limits(
    abilities="none", classes="some", halves="some", sockets="none", power="none", sleep="none", over_current="none",
    history="none", serial_ports="none", controllers="some",
)  # fmt: skip
NAMES_ONLY = Limits(
    abilities="none", classes="none", halves="some", sockets="none", power="none", sleep="none", over_current="none",
    history="none", serial_ports="none", controllers="some", speeds="some", ids="none", serials="none",
)  # fmt: skip

DEVICE_ENTRY = re.compile(r"(?:IOUSB|AppleUSB)(?:Host)?(?:Hub)?Device")
CONTROLLER = re.compile(r"[XEOU]HCI|USBHostController|RootHubDevice", re.IGNORECASE)
NOT_A_CONTROLLER = re.compile(r"Port|Interface|Driver|Client", re.IGNORECASE)


@frozen
class RegistryEntry:
    """One entry: name, location number after its @, class, and its properties (none in a listing of names only)."""

    name: str
    location: int | None
    kind: str
    facts: Mapping[str, object]


def registry_scan(entries: Iterable[RegistryEntry], scanner: str) -> Scan:
    """The scan of the entries. Raises ScanError where no bus and no device is among them."""
    buses: dict[int, MacBus] = {}
    devices: list[tuple[int | None, Sighting]] = []
    told_more = False
    for entry in entries:
        location = whole(entry.facts.get("locationID"), 1 << 64)
        location = entry.location if location is None else location
        if DEVICE_ENTRY.fullmatch(entry.kind):
            devices.append((location, _sighting(entry)))
            told_more = told_more or "idVendor" in entry.facts
        elif CONTROLLER.search(entry.kind) and not NOT_A_CONTROLLER.search(entry.kind):
            place = place_of(location)
            if place is not None and not place[1]:
                _note(buses, place[0], entry)
    if not buses and not devices:
        raise ScanError("this registry listing has no USB in it; `ioreg -p IOUSB -l -w0 > usb.txt` asks for that plane")
    problems = [] if devices or not buses else ["no device is in this listing, though it has controllers"]
    limits = WITH_PROPERTIES if told_more or not devices else NAMES_ONLY
    return mac_scan(devices, buses.values(), scanner, limits, problems)


def _note(buses: dict[int, MacBus], number: int, entry: RegistryEntry) -> None:
    """The controller of a bus; the simulated root hub of older systems stands behind it and tells less."""
    slow = re.search("EHCI|OHCI|UHCI", entry.kind, re.IGNORECASE) is not None
    if number not in buses or "RootHub" in (buses[number].driver or ""):
        buses[number] = MacBus(number, told(entry.kind), speed_mbit=480.0 if slow else None)


def _sighting(entry: RegistryEntry) -> Sighting:
    facts = entry.facts
    name = _first(facts, "kUSBProductString", "USB Product Name") or told(entry.name)
    usb_class = octet(facts.get("bDeviceClass"))
    version = whole(facts.get("bcdUSB"), 0xFFFF)
    return Sighting(
        id="",
        bus=0,
        ports=(),
        devnum=whole(_one(facts, "USB Address", "kUSBAddress"), 255),
        speed_mbit=speed_by_code(facts.get("UsbLinkSpeed"), facts.get("USBSpeed"), facts.get("Device Speed")),
        vendor_id=hex4(facts.get("idVendor")),
        product_id=hex4(facts.get("idProduct")),
        usb_version=None if version is None else _version(version),
        usb_class=9 if usb_class is None and names_a_hub(name) else usb_class,
        subclass=octet(facts.get("bDeviceSubClass")),
        protocol=octet(facts.get("bDeviceProtocol")),
        manufacturer=_first(facts, "kUSBVendorString", "USB Vendor Name"),
        product=name,
        serial=_first(facts, "kUSBSerialNumberString", "USB Serial Number"),
        container_id=_first(facts, "kUSBContainerID"),
        removable="fixed" if whole(facts.get("USBPortType"), 99) in (1, 2) else None,
    )


def _version(bcd: int) -> float:
    """2.1 of 0x0210 (USB 2.0 9.6.1: one binary coded digit each)."""
    return round((bcd >> 8) + (bcd >> 4 & 15) / 10 + (bcd & 15) / 100, 2)


def _one(facts: Mapping[str, object], *keys: str) -> object:
    return next((facts[key] for key in keys if key in facts), None)


def _first(facts: Mapping[str, object], *keys: str) -> str | None:
    return next((text for key in keys if (text := told(facts.get(key)))), None)
