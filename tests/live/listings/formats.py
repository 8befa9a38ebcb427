"""Every format with its printer, and what a reading of each must hold of a machine: an independent account of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tests.live.listings import print_linux as linux
from tests.live.listings import print_mac as mac
from tests.live.listings import print_windows as windows
from tests.live.listings.machines import Half, Machine


@dataclass(frozen=True)
class Printed:
    """A format: its printer; the bus and chain it shows of a half; and the fields of a sighting it can tell."""

    print: Callable[[Machine], str]
    bus: Callable[[Half], int]
    chain: Callable[[Half], tuple[int, ...]]
    fields: tuple[str, ...]
    shown: Callable[[Half], bool] = lambda half: True


IDS = ("vendor_id", "product_id")
ALL = (*IDS, "speed_mbit", "product", "manufacturer", "serial", "devnum")
CODES = ("usb_class", "subclass", "protocol")
WIN = (*IDS, "product", "side")


def at(number: int) -> Callable[[Half], int]:
    return lambda half: number + half.controller


FORMATS = {
    "kernel-text": Printed(linux.usb_devices, linux.bus, lambda h: h.chain, (*ALL, *CODES, "max_power_ma",
                           "functions", "max_child")),
    "script": Printed(lambda m: linux.usb_devices(m, star=False), linux.bus, lambda h: h.chain,
                      (*ALL, *CODES, "max_power_ma", "functions", "max_child")),
    "script-wrong-parents": Printed(lambda m: linux.usb_devices(m, False, True, True), linux.bus, lambda h: h.chain,
                                    (*ALL, *CODES, "max_power_ma", "functions", "max_child")),
    "udev": Printed(linux.udev, linux.bus, lambda h: h.chain, (*IDS, "product", "manufacturer", "serial", "devnum",
                    "side", *CODES, "functions")),
    "sysfs": Printed(linux.sysfs, linux.bus, lambda h: h.chain, (*IDS, "speed_mbit", "product", "serial", "devnum",
                     "max_power_ma", "max_child")),
    "kernel-log": Printed(linux.kernel_log, linux.bus, lambda h: h.chain, (*IDS, "speed_mbit", "product")),
    "kernel-log-dated": Printed(lambda m: linux.kernel_log(m, True), linux.bus, lambda h: h.chain,
                                (*IDS, "speed_mbit", "product")),
    "profiler": Printed(mac.profiler_text, at(0x14), mac.chain, (*IDS, "speed_mbit", "product", "serial", "devnum",
                        "max_power_ma")),
    "profiler-new": Printed(lambda m: mac.profiler_text(m, True), at(0x14), mac.chain,
                            (*IDS, "speed_mbit", "product", "serial", "manufacturer")),
    "profiler-json": Printed(mac.profiler_json, at(0x14), mac.chain, (*IDS, "speed_mbit", "product", "serial",
                             "devnum", "max_power_ma")),
    "profiler-json-new": Printed(lambda m: mac.profiler_json(m, True), at(0x14), mac.chain,
                                 (*IDS, "speed_mbit", "product", "serial", "manufacturer")),
    "ioreg": Printed(mac.registry_text, at(0x14), mac.chain, (*ALL, *CODES)),
    "ioreg-names": Printed(lambda m: mac.registry_text(m, False), at(0x14), mac.chain, ("product",)),
    "ioreg-plist": Printed(mac.registry_plist, at(0x14), mac.chain, (*ALL, *CODES)),
    "powershell": Printed(windows.powershell, at(1), windows.chain, WIN),
    "pnputil": Printed(windows.pnputil, at(1), windows.chain, WIN),
    "pnputil-german": Printed(lambda m: windows.pnputil(m, "de"), at(1), windows.chain, WIN),
    "pnputil-japanese": Printed(lambda m: windows.pnputil(m, "ja"), at(1), windows.chain, WIN),
    "pnputil-xml": Printed(windows.pnputil_xml, at(1), windows.chain, WIN),
    "dxdiag": Printed(windows.dxdiag, at(1), windows.chain, IDS,
                      lambda h: h.thing.is_hub or any(f[0] == 3 for f in h.thing.functions)),
}  # fmt: skip


def expected(half: Half, field: str) -> object:
    """What the machine says of a field; texts without the blanks around them, and without what XML cannot hold."""
    thing = half.thing
    if field in ("usb_class", "subclass", "protocol"):
        return half.codes[("usb_class", "subclass", "protocol").index(field)]
    if field == "functions":
        rows = ((9, 0, 0, "hub"),) if thing.is_hub else thing.functions
        return [(n, *row[:3], None if row[3] == "(none)" else row[3]) for n, row in enumerate(rows)]
    return {
        "vendor_id": thing.ids[0], "product_id": half.product_id, "speed_mbit": half.speed, "product": thing.name,
        "manufacturer": thing.maker or None, "serial": thing.serial or None, "devnum": half.devnum,
        "max_power_ma": thing.ma, "max_child": thing.ports, "side": "superspeed" if half.fast else "usb2",
    }[field]  # fmt: skip
