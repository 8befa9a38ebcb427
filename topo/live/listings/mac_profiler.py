"""Items of macOS's system profiler, from its text, JSON or XML, as a scan. Old and new keys mean the same here.

New systems moved USB to another data type with other keys: `SPUSBHostDataType`, macOS 26 and later.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from topo.errors import ScanError
from topo.frozen import frozen
from topo.live.listings.mac import MacBus, location_of, mac_scan, names_a_hub, place_of, speed_of
from topo.live.listings.values import hex4, told, whole
from topo.model.limits import Limits
from topo.model.sighting import Scan, Sighting

LIMITS = Limits(
    abilities="none", classes="none", halves="some", sockets="none", power="some", sleep="none", over_current="none",
    history="none", serial_ports="none", controllers="some",
)  # fmt: skip

NEW = "SPUSBHostDataType"
OLD = "SPUSBDataType"
DEEPEST_ITEM = 40


@frozen
class ProfilerItem:
    """A bus, hub or device: its name, its properties by any of the three spellings, and what is in it."""

    name: str
    facts: Mapping[str, str]
    items: tuple[ProfilerItem, ...] = ()

    def fact(self, *keys: str) -> str | None:
        """The first of these properties that is there and not empty."""
        return next((text for key in keys if (text := told(self.facts.get(key)))), None)


LOCATION_KEYS = ("Location ID", "location_id", "g_location_id", "USBKeyLocationID")
PRODUCT_KEYS = ("Product ID", "product_id", "a_product_id", "USB Product ID", "USBDeviceKeyProductID")
VENDOR_KEYS = ("Vendor ID", "vendor_id", "b_vendor_id", "USB Vendor ID", "USBDeviceKeyVendorID")
SPEED_KEYS = ("Speed", "device_speed", "e_device_speed", "Link Speed", "USBDeviceKeyLinkSpeed")
SERIAL_KEYS = ("Serial Number", "serial_num", "d_serial_num", "USBDeviceKeySerialNumber")
MAKER_KEYS = ("Manufacturer", "manufacturer", "f_manufacturer", "USBDeviceKeyVendorName")
CLAIMED_KEYS = ("Current Required (mA)", "bus_power_used", "j_bus_power_used")
BUILT_IN_KEYS = ("Built-In", "Built-in_Device", "USBKeyHardwareType", "Connection Type")
DRIVER_KEYS = ("Host Controller Driver", "host_controller", "Driver")
UNNAMED = ("hub_device", "Unnamed Device", "composite_device", "vendor_specific_device")
"""Words that stand where a device tells no name."""


def profiler_scan(buses: tuple[ProfilerItem, ...], scanner: str) -> Scan:
    """The scan of the buses. Raises ScanError where there is none."""
    if not buses:
        raise ScanError("this listing holds no USB bus; `ioreg -p IOUSB -l -w0 > usb.txt` shows all on any macOS")
    problems: list[str] = []
    known = [_bus(item) for item in buses]
    devices = [pair for item in buses for pair in _devices(item.items, 0)]
    if not devices:
        problems.append("no device is in this listing, though it has buses")
    return mac_scan(devices, known, scanner, LIMITS, problems)


def _bus(item: ProfilerItem) -> MacBus:
    own = place_of(location_of(item.fact(*LOCATION_KEYS)))
    number = own[0] if own and not own[1] else next(_numbers(item.items, 0), None)
    slow = re.search(r"USB 2\.0|USB20|Hi-Speed|EHCI", f"{item.name} {item.fact(*DRIVER_KEYS) or ''}")
    return MacBus(
        number,
        item.fact(*DRIVER_KEYS),
        hex4(item.fact("PCI Vendor ID", "pci_vendor")),
        hex4(item.fact("PCI Device ID", "pci_device")),
        480.0 if slow else None,
    )


def _numbers(items: tuple[ProfilerItem, ...], depth: int) -> Iterator[int]:
    for item in items if depth < DEEPEST_ITEM else ():
        if (place := place_of(location_of(item.fact(*LOCATION_KEYS)))) and place[1]:
            yield place[0]
        yield from _numbers(item.items, depth + 1)


def _devices(items: tuple[ProfilerItem, ...], depth: int) -> Iterator[tuple[int | None, Sighting]]:
    """Devices, parents first. Media and volumes stand among them and have neither location nor product number."""
    for item in items if depth < DEEPEST_ITEM else ():
        location = location_of(item.fact(*LOCATION_KEYS))
        if location is not None or item.fact(*PRODUCT_KEYS) is not None:
            yield location, _sighting(item)
        yield from _devices(item.items, depth + 1)


def _sighting(item: ProfilerItem) -> Sighting:
    name = told(item.name)
    vendor = item.fact(*VENDOR_KEYS)
    maker = re.search(r"\((.*)\)\s*$", vendor or "")
    address = re.search(r"/ *([0-9]{1,3})\s*$", item.fact(*LOCATION_KEYS) or "")
    serial = item.fact(*SERIAL_KEYS)
    return Sighting(
        id="",
        bus=0,
        ports=(),
        devnum=whole(address[1], 255) if address else None,
        speed_mbit=speed_of(item.fact(*SPEED_KEYS)),
        vendor_id="05ac" if vendor == "apple_vendor_id" else hex4(vendor),
        product_id=hex4(item.fact(*PRODUCT_KEYS)),
        usb_class=9 if names_a_hub(name) else None,
        manufacturer=item.fact(*MAKER_KEYS) or (told(maker[1]) if maker else None),
        product=None if name in UNNAMED else name,
        serial=None if serial in ("Not Provided", "N/A") else serial,
        max_power_ma=whole(item.fact(*CLAIMED_KEYS), 10_000),
        removable="fixed" if (item.fact(*BUILT_IN_KEYS) or "") in ("Yes", "Built-in", "Non-removable") else None,
    )
