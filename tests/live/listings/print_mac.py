"""Listings of macOS printed from a machine: system profiler old and new, as text and JSON, and the registry."""

from __future__ import annotations

import json
import plistlib
from typing import Any

from tests.live.listings.machines import Half, Machine, halves

CODES = {1.5: (2, 0), 12: (1, 1), 480: (3, 2), 5000: (4, 3), 10000: (5, 4)}
"""USBSpeed and Device Speed."""


def bus(half: Half) -> int:
    return 0x14 + half.controller


def chain(half: Half) -> tuple[int, ...]:
    """Root digits: USB 2 sockets first, then the SuperSpeed ones, seven further on."""
    return (half.chain[0] + (7 if half.fast else 0), *half.chain[1:])


def location(half: Half) -> int:
    number = bus(half) << 24
    for n, socket in enumerate(chain(half)):
        number |= socket << (20 - 4 * n)
    return number


def below(machine: Machine, controller: int, above: tuple[int, ...]) -> list[Half]:
    found = [h for h in halves(machine) if h.controller == controller and chain(h)[:-1] == above]
    return sorted(found, key=lambda h: -chain(h)[-1])


def words(speed: float, unit: str) -> str:
    return f"{speed / 1000:g} Gb/{unit}" if speed >= 1000 else f"{speed:g} Mb/{unit}"


def flat(text: str) -> str:
    return text.replace("\x1b", "")


def profiler_text(machine: Machine, new: bool = False) -> str:
    lines = ["USB:", ""]
    for n, controller in enumerate(machine.controllers):
        lines += ["    USB 3.1 Bus:", ""]
        lines += [f"      Location ID: 0x{0x14 + n:02x}000000", "      Connection Type: Built-in",
                  f"      Driver: {controller.apple}", ""] if new else [
                  f"      Host Controller Driver: {controller.apple}", f"      PCI Device ID: 0x{controller.pci[1]} ",
                  f"      PCI Vendor ID: 0x{controller.pci[0]} ", ""]  # fmt: skip
        _text(machine, n, (), 8, new, lines)
    return "\n".join(lines) + "\n"


def _text(machine: Machine, n: int, above: tuple[int, ...], indent: int, new: bool, lines: list[str]) -> None:
    for half in below(machine, n, above):
        thing, pad = half.thing, " " * (indent + 2)
        lines += [" " * indent + flat(thing.name) + ":", ""]
        serial = flat(thing.serial)
        if new:
            facts = [f"Location ID: 0x{location(half):08x}", "Connection Type: Removable",
                     f"Manufacturer: {flat(thing.maker)}", f"Serial Number: {serial or 'Not Provided'}",
                     f"Link Speed: {words(half.speed, 's')}", f"USB Vendor ID: 0x{thing.ids[0]}",
                     f"USB Product ID: 0x{half.product_id}", "USB Product Version: 0x0100"]  # fmt: skip
        else:
            facts = [f"Product ID: 0x{half.product_id}", f"Vendor ID: 0x{thing.ids[0]}  (Registered Name)",
                     "Version: 1.b3"]  # fmt: skip
            facts += [f"Serial Number: {serial}"] if serial else []
            facts += [f"Speed: Up to {words(half.speed, 'sec')}"]
            facts += [f"Manufacturer: {flat(thing.maker)}"] if thing.maker else []
            facts += [f"Location ID: 0x{location(half):08x} / {half.devnum}", "Current Available (mA): 500",
                      f"Current Required (mA): {thing.ma}", "Extra Operating Current (mA): 0"]  # fmt: skip
        lines += [*(pad + fact for fact in facts), ""]
        _text(machine, n, chain(half), indent + 4, new, lines)


OLD_SPEEDS = {1.5: "low_speed", 12: "full_speed", 480: "high_speed", 5000: "super_speed", 10000: "super_speed_plus"}


def profiler_json(machine: Machine, new: bool = False) -> str:
    buses = []
    for n, controller in enumerate(machine.controllers):
        one: dict[str, Any] = {"_name": "USB 3.1 Bus", "Driver": controller.apple,
                               "USBKeyLocationID": f"0x{0x14 + n:02x}000000"} if new else {
                               "_name": "USB31Bus", "host_controller": controller.apple}  # fmt: skip
        if items := _items(machine, n, (), new):
            one["_items"] = items
        buses.append(one)
    both = {"SPUSBDataType": [], "SPUSBHostDataType": buses} if new else {"SPUSBDataType": buses}
    return json.dumps(both, indent=2)


def _items(machine: Machine, n: int, above: tuple[int, ...], new: bool) -> list[dict[str, Any]]:
    items = []
    for half in below(machine, n, above):
        thing = half.thing
        one: dict[str, Any] = {"_name": thing.name}
        if new:
            one |= {"USBKeyLocationID": f"0x{location(half):08x}", "USBDeviceKeyLinkSpeed": words(half.speed, "s"),
                    "USBDeviceKeyVendorID": f"0x{thing.ids[0]}", "USBDeviceKeyProductID": f"0x{half.product_id}",
                    "USBDeviceKeyVendorName": thing.maker,
                    "USBDeviceKeySerialNumber": thing.serial or "Not Provided"}  # fmt: skip
        else:
            one |= {"location_id": f"0x{location(half):08x} / {half.devnum}", "device_speed": OLD_SPEEDS[half.speed],
                    "vendor_id": f"0x{thing.ids[0]}  (Registered)", "product_id": f"0x{half.product_id}",
                    "manufacturer": thing.maker, "bus_power": "500", "bus_power_used": str(thing.ma)}  # fmt: skip
            one |= {"serial_num": thing.serial} if thing.serial else {}
        if inner := _items(machine, n, chain(half), new):
            one["_items"] = inner
        items.append(one)
    return items


def facts(half: Half) -> dict[str, Any]:
    thing = half.thing
    found: dict[str, Any] = {
        "locationID": location(half), "UsbLinkSpeed": int(half.speed * 1e6), "USBSpeed": CODES[half.speed][0],
        "Device Speed": CODES[half.speed][1], "USB Address": half.devnum, "idVendor": int(thing.ids[0], 16),
        "idProduct": int(half.product_id, 16), "bcdUSB": 0x0210, "bDeviceClass": half.codes[0],
        "bDeviceSubClass": half.codes[1], "bDeviceProtocol": half.codes[2], "kUSBProductString": flat(thing.name),
        "USB Product Name": flat(thing.name).replace("/", "_"),
    }  # fmt: skip
    found |= {"kUSBVendorString": flat(thing.maker)} if thing.maker else {}
    return found | ({"kUSBSerialNumberString": flat(thing.serial)} if thing.serial else {})


def registry_text(machine: Machine, properties: bool = True) -> str:
    lines = ["+-o Root  <class IORegistryEntry, id 0x100000100, retain 28>"]
    for n, controller in enumerate(machine.controllers):
        lines.append(f"  +-o {controller.apple}@{0x14 + n:02x}000000  <class {controller.apple}, id 0x1, registered>")
        _rows(machine, n, (), "  | ", properties, lines)
    return "\n".join(lines) + "\n"


def _rows(machine: Machine, n: int, above: tuple[int, ...], pad: str, properties: bool, lines: list[str]) -> None:
    for half in below(machine, n, above):
        lines.append(f"{pad}+-o {flat(half.thing.name)}@{location(half):08x}  <class IOUSBHostDevice, id 0x1, active>")
        if properties:
            rows = [f'"{key}" = ' + (f'"{v}"' if isinstance(v, str) else str(v)) for key, v in facts(half).items()]
            rows.append('"IOPowerManagement" = {"PowerOverrideOn"=Yes,"DevicePowerState"=2}')
            lines += [f"{pad}| {{", *(f"{pad}|   {row}" for row in rows), f"{pad}| }}", f"{pad}| "]
        _rows(machine, n, chain(half), pad + "| ", properties, lines)


def registry_plist(machine: Machine) -> str:
    children = []
    for n, controller in enumerate(machine.controllers):
        children.append({"IORegistryEntryName": controller.apple, "IOObjectClass": controller.apple,
                         "IORegistryEntryLocation": f"{0x14 + n:02x}000000", "locationID": (0x14 + n) << 24,
                         "IORegistryEntryChildren": _children(machine, n, ())})  # fmt: skip
    top = {"IORegistryEntryName": "Root", "IOObjectClass": "IORegistryEntry", "IORegistryEntryChildren": children}
    return plistlib.dumps(top).decode()


def _children(machine: Machine, n: int, above: tuple[int, ...]) -> list[dict[str, Any]]:
    return [
        {"IORegistryEntryName": flat(half.thing.name), "IOObjectClass": "IOUSBHostDevice",
         "IORegistryEntryLocation": f"{location(half):08x}", **facts(half),
         "IORegistryEntryChildren": _children(machine, n, chain(half))}
        for half in below(machine, n, above)
    ]  # fmt: skip
