"""Listings of Windows printed from a machine: JSON of PowerShell, pnputil in three languages and XML, DxDiag."""

from __future__ import annotations

import json
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from tests.live.listings.machines import Half, Machine, halves


def chain(half: Half) -> tuple[int, ...]:
    """SuperSpeed sockets of a root hub come after its USB 2 ones: sixteen further on."""
    return (half.chain[0] + (16 if half.fast else 0), *half.chain[1:])


@dataclass(frozen=True)
class Node:
    instance: str
    name: str
    guid: str
    parent: str
    paths: tuple[str, ...]
    location: str
    address: int | None
    reported: str
    compatible: tuple[str, ...]
    service: str
    kind: str = "USB"


USB = "{36fc9e60-c465-11cf-8056-444553540000}"
PORTS = "{4d36e978-e325-11ce-bfc1-08002be10318}"


def path(n: int) -> str:
    return f"PCIROOT(0)#PCI({0x14 + n:02X}00)#USBROOT(0)"


def root(n: int) -> str:
    return f"USB\\ROOT_HUB30\\4&{n}&0&0"


def instance(machine: Machine, half: Half) -> str:
    thing = half.thing
    serial = thing.serial.upper() if thing.serial.isascii() and thing.serial.isalnum() else ""
    made = serial or f"6&{half.controller}ab{int(half.fast)}{len(half.chain)}&0&{chain(half)[-1]}"
    inner = "".join(map(str, chain(half)[:-1]))
    return f"USB\\VID_{thing.ids[0].upper()}&PID_{half.product_id.upper()}\\" + (serial or f"6&{inner}f{made[2:]}")


def nodes(machine: Machine) -> list[Node]:
    found = []
    every = halves(machine)
    for n, _ in enumerate(machine.controllers):
        found.append(Node(root(n), "USB Root Hub (USB 3.0)", USB, f"PCI\\VEN_8086&DEV_A36D&SUBSYS_1\\3&11&0&A{n}",
                          (path(n),), "", 0, "", (), "USBHUB3"))
    for half in every:
        thing = half.thing
        own = instance(machine, half)
        above = next((h for h in every if (h.controller, h.fast, h.chain) == (half.controller, half.fast,
                                                                             half.chain[:-1])), None)  # fmt: skip
        parent = instance(machine, above) if above else root(half.controller)
        at = path(half.controller) + "".join(f"#USB({s})" for s in chain(half))
        firmware = f"ACPI(_SB_)#ACPI(PCI0)#ACPI(XHC_)#ACPI(RHUB)#ACPI({'SS' if half.fast else 'HS'}{half.chain[0]:02})"
        functions = ((9, 0, half.codes[2], "USBHUB3"),) if thing.is_hub else thing.functions
        single = functions[0] if len(functions) == 1 else None
        compatible = (f"USB\\Class_{single[0]:02X}&SubClass_{single[1]:02X}&Prot_{single[2]:02X}",
                      f"USB\\Class_{single[0]:02X}") if single else ("USB\\COMPOSITE",)  # fmt: skip
        label = f"{thing.name} (COM{thing.com})" if thing.com else f"Driver for {thing.ids[1]}"
        found.append(Node(own, label, PORTS if thing.com else USB, parent.lower(), (at, firmware),
                          f"Port_#{chain(half)[-1]:04}.Hub_#0001", chain(half)[-1], thing.name, compatible,
                          single[3] if single else "usbccgp", "Ports" if thing.com else "USB"))
        for i, (usb_class, sub, prot, driver) in enumerate(functions if single is None else ()):
            found.append(Node(own.replace("\\6&", f"&MI_{i:02}\\7&").rsplit("&", 1)[0] + f"&{i:04}"
                              if "\\6&" in own else own.rpartition("\\")[0] + f"&MI_{i:02}\\7&1&0&{i:04}",
                              "Function", USB, own, (f"{at}#USBMI({i})",), "0000.0014.0000.000.000", i, "",
                              (f"USB\\Class_{usb_class:02X}&SubClass_{sub:02X}&Prot_{prot:02X}",), driver))
    return found


def powershell(machine: Machine) -> str:
    return json.dumps([
        {"InstanceId": n.instance, "Name": n.name, "Class": n.kind, "Status": "OK", "LocationPaths": list(n.paths),
         "LocationInfo": [n.location], "Address": [str(n.address)], "Parent": [n.parent],
         "BusReportedDeviceDesc": [n.reported], "ContainerId": [""], "CompatibleIds": list(n.compatible) or [""],
         "Service": [n.service]} for n in nodes(machine)], indent=4)  # fmt: skip


LABELS = {
    "en": ("Instance ID", "Device Description", "Class Name", "Class GUID", "Manufacturer Name", "Status",
           "Driver Name", "Parent Device", "Compatible IDs"),
    "de": ("Instanz-ID", "Gerätebeschreibung", "Klassenname", "Klassen-GUID", "Herstellername", "Status",
           "Treibername", "Übergeordnetes Gerät", "Kompatible IDs"),
    "ja": ("インスタンス ID", "デバイスの説明", "クラス名", "クラス GUID",
           "製造元の名前", "状態",
           "ドライバー名", "親デバイス", "互換 ID"),
}  # fmt: skip


def pnputil(machine: Machine, language: str = "en", properties: bool = True) -> str:
    labels = LABELS[language]
    blocks = ["Microsoft PnP Utility\n" if language != "ja" else "Microsoft PnP ユーティリティ\n"]
    for n in nodes(machine):
        values = (n.instance, n.name, "USB", n.guid, "(Standard)", "Started", "usb.inf", n.parent, n.compatible)
        lines = []
        for label, value in zip(labels, values, strict=True):
            several = value if isinstance(value, tuple) else (value,)
            lines += [f"{label + ':':<28}{several[0]}"] if several else []
            lines += [" " * 28 + more for more in several[1:]]
        if properties:
            lines.append(f"{'Properties:':<28}")
            for key, kind, told in (("LocationPaths", "String List", n.paths), ("Parent", "String", (n.parent,)),
                                    ("BusReportedDeviceDesc", "String", (n.reported,)),
                                    ("FriendlyName", "String", (n.name,)), ("Service", "String", (n.service,)),
                                    ("Address", "UINT32", (f"0x{n.address or 0:08X} ({n.address})",))):
                if told[0]:
                    lines += [f"    DEVPKEY_Device_{key} [{kind}]:", *(f"        {one}" for one in told)]
        blocks.append("\n".join(lines) + "\n")
    return "\n".join(blocks)


def pnputil_xml(machine: Machine) -> str:
    parts = [
        '<?xml version="1.0" encoding="utf-8"?>',
        '<PnpUtil Version="10.0.26200" Command="/enum-devices /connected /bus USB /properties /format xml">',
    ]
    for n in nodes(machine):
        told = {"LocationPaths": n.paths, "Parent": (n.parent,), "BusReportedDeviceDesc": (n.reported,),
                "FriendlyName": (n.name,), "Service": (n.service,), "CompatibleIds": n.compatible}  # fmt: skip
        rows = "".join(f'<Property Key="DEVPKEY_Device_{key}" Type="String">'
                       + "".join(f"<Value>{escape(_safe(v))}</Value>" for v in values) + "</Property>"
                       for key, values in told.items() if values and values[0])  # fmt: skip
        parts.append(f"    <Device InstanceId={quoteattr(n.instance)}><DeviceDescription>{escape(_safe(n.name))}"
                     f"</DeviceDescription><ClassName>USB</ClassName><ClassGuid>{n.guid}</ClassGuid>"
                     f"<Status>Started</Status><Properties>{rows}</Properties></Device>")
    return "\n".join([*parts, "</PnpUtil>"]) + "\n"


def _safe(text: str) -> str:
    return text.replace("\x1b", "")


def dxdiag(machine: Machine) -> str:
    """Hubs, and devices with input functions: nothing else is in that listing."""
    lines = ["------------------", "System Information", "------------------", "", "-----------", "USB Devices",
             "-----------"]  # fmt: skip
    every = [h for h in halves(machine) if h.thing.is_hub or any(f[0] == 3 for f in h.thing.functions)]
    for n, controller in enumerate(machine.controllers):
        ids = f"0x{controller.pci[0] or '1234'}, 0x{(controller.pci[1] or '5678').upper()}"
        _entry(lines, 0, "USB Root Hub (USB 3.0)", [f"Vendor/Product ID: {ids}",
               "Matching Device ID: USB\\ROOT_HUB30", "Service: USBHUB3"])  # fmt: skip
        for half in (h for h in every if h.controller == n):
            thing, depth = half.thing, len(half.chain)
            facts = [f"Vendor/Product ID: 0x{thing.ids[0].upper()}, 0x{half.product_id.upper()}",
                     f"Location: Port_#{chain(half)[-1]:04}.Hub_#0003"]  # fmt: skip
            if thing.is_hub:
                _entry(lines, depth, thing.name, [*facts, "Matching Device ID: USB\\USB20_HUB", "Service: USBHUB3"])
            else:
                _entry(lines, depth, "USB Input Device", [*facts, "Matching Device ID: USB\\Class_03",
                       "Service: HidUsb", "Driver: hidusb.sys, 8/29/2019 06:13:46, 45568 bytes"])
                inner = [facts[0], "Matching Device ID: HID_DEVICE_X", "Service: mouhid"]
                _entry(lines, depth + 1, "HID Device", inner)
    return "\n".join([*lines, "", "----------------", "Gameport Devices", "----------------", ""])


def _entry(lines: list[str], depth: int, words: str, facts: list[str]) -> None:
    bars = "| " * (depth + 1)
    lines += [("| " * (depth - 1) + "+-+ " if depth else "+ ") + words.replace("\x1b", ""),
              *(bars + fact for fact in facts), bars]
