"""Attributes of sysfs as `grep -r . /sys/bus/usb/devices/…` prints them: a path, a colon and the value on each line.

The folder's name is the place; what each attribute means: Linux ABI documents sysfs-bus-usb.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from topo.errors import ScanError
from topo.frozen import replace
from topo.live.listings.assemble import assembled, paired_buses, short
from topo.live.listings.values import hex4, lines_of, told, whole
from topo.live.places import DEVICE, INTERFACE, owner_of, place_of
from topo.live.words import number
from topo.model.limits import Extent, Limits
from topo.model.sighting import HostController, Interface, Scan, Sighting, Sleep

LINE = re.compile(
    r"(?:^|[/\s])((?:usb[0-9]{1,5}|[0-9]{1,5}-[0-9]{1,3}(?:\.[0-9]{1,3}){0,9})(?::[0-9]{1,3}\.[0-9]{1,3})?)"
    r"/((?:power/)?[A-Za-z_]{2,40}):(.*)$"
)
SIGN = re.compile(
    r"(?:usb[0-9]{1,5}|[0-9]{1,5}-[0-9.]{1,40})/(?:speed|idVendor|idProduct|busnum|devnum|maxchild|bMaxPower|product):"
)

ToldAttributes = Mapping[str, str]


def looks_like(text: str) -> bool:
    """True where a line gives an attribute of a USB device."""
    return SIGN.search(text) is not None


def read(text: str) -> Scan:
    """The scan of the text. Raises ScanError where no line is an attribute of a device."""
    devices: dict[str, dict[str, str]] = {}
    interfaces: dict[str, dict[str, str]] = {}
    for line in lines_of(text):
        if match := LINE.search(line):
            group = devices if DEVICE.fullmatch(match[1]) else interfaces
            group.setdefault(match[1], {}).setdefault(match[2], match[3])
    if not devices:
        raise ScanError("no line of this text is an attribute of a USB device")
    owned: dict[str, list[Interface]] = {}
    for name in sorted(interfaces):
        if (made := _interface(name, interfaces[name])) is not None:
            owned.setdefault(owner_of(name), []).append(made)
    problems: list[str] = []
    tree = assembled((_sighting(n, told_, tuple(owned.get(n, ()))) for n, told_ in devices.items()), problems)
    pairs = paired_buses(tree)
    of_bus = {bus: name for name, numbers in pairs.items() for bus in numbers}
    given = {key for told_ in devices.values() for key in told_}
    return Scan(
        when="",
        system="linux",
        kernel=None,
        scanner="sysfs-text",
        controllers=tuple(HostController(name, numbers) for name, numbers in pairs.items()),
        sightings=tuple(replace(s, controller=of_bus.get(s.bus)) for s in tree),
        problems=short(problems),
        limits=_limits(given, bool(owned)),
    )


def _limits(given: set[str], interfaces: bool) -> Limits:
    """What the attributes that were asked for can tell."""

    def of(*names: str) -> Extent:
        return "all" if all(name in given for name in names) else "none"

    return Limits(
        controllers="some",
        speeds=of("speed"),
        abilities="none",
        ids=of("idVendor", "idProduct"),
        serials=of("serial"),
        classes="some" if interfaces or "bDeviceClass" in given else "none",
        halves="some",
        sockets="some" if "maxchild" in given else "none",
        power=of("bMaxPower"),
        sleep=of("power/control"),
        over_current="none",
        history="some" if "devnum" in given else "none",
        serial_ports="none",
    )


def _sighting(name: str, told_: ToldAttributes, interfaces: tuple[Interface, ...]) -> Sighting:
    bus, ports = place_of(name)
    ports_below = whole(told_.get("maxchild"), 255)
    usb_class = _hex(told_, "bDeviceClass")
    attributes = _hex(told_, "bmAttributes")
    return Sighting(
        id=name,
        bus=bus,
        ports=ports,
        devnum=whole(told_.get("devnum"), 1 << 20),
        speed_mbit=_decimal(told_, "speed"),
        rx_lanes=whole(told_.get("rx_lanes"), 99),
        tx_lanes=whole(told_.get("tx_lanes"), 99),
        vendor_id=hex4(told_.get("idVendor")),
        product_id=hex4(told_.get("idProduct")),
        usb_version=_decimal(told_, "version"),
        usb_class=9 if usb_class is None and (ports_below or 0) > 0 else usb_class,
        subclass=_hex(told_, "bDeviceSubClass"),
        protocol=_hex(told_, "bDeviceProtocol"),
        manufacturer=told(told_.get("manufacturer")),
        product=told(told_.get("product")),
        serial=told(told_.get("serial")),
        max_power_ma=whole(told_.get("bMaxPower", "").strip().removesuffix("mA"), 100_000),
        self_powered=None if attributes is None else bool(attributes & 0x40),
        max_child=ports_below,
        removable=told(told_.get("removable")),
        urbs=whole(told_.get("urbnum")),
        sleep=Sleep(
            control=told(told_.get("power/control")),
            status=told(told_.get("power/runtime_status")),
            delay_ms=whole(told_.get("power/autosuspend_delay_ms")),
            connected_ms=whole(told_.get("power/connected_duration")),
            active_ms=whole(told_.get("power/active_duration")),
        ),
        interfaces=interfaces,
    )


def _interface(name: str, told_: ToldAttributes) -> Interface | None:
    match = INTERFACE.fullmatch(name)
    usb_class = _hex(told_, "bInterfaceClass")
    if match is None or usb_class is None or int(match[4]) > 255:
        return None
    setting = whole(told_.get("bAlternateSetting"), 255)
    subclass, protocol = _hex(told_, "bInterfaceSubClass"), _hex(told_, "bInterfaceProtocol")
    return Interface(
        int(match[4]), setting or 0, None if setting is None else True, usb_class, subclass or 0, protocol or 0
    )


def _hex(told_: ToldAttributes, key: str) -> int | None:
    match = re.fullmatch(r"\s*(?:0x)?([0-9a-fA-F]{1,2})\s*", told_.get(key, ""))
    return int(match[1], 16) if match else None


def _decimal(told_: ToldAttributes, key: str) -> float | None:
    return number(told_[key].encode("utf-8", "replace")) if key in told_ else None
