"""The Linux scanner: a scan from sysfs, where the kernel keeps what it knows of every device, and from what
stands beside it (`beside.py`): names, holders. Nothing below /dev is opened.

Attributes and their meaning: Linux 6.12 `drivers/usb/core/sysfs.c`, `port.c` and ABI documents sysfs-bus-usb.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from datetime import datetime

from topo.frozen import replace
from topo.live.attributes import OF_DEVICE, OF_INTERFACE, OF_PORT, Attributes
from topo.live.beside import Beside
from topo.live.board import low_volts
from topo.live.descriptors import Abilities, Described, read_bos, read_descriptors
from topo.live.heartbeat import list_names, port_numbers
from topo.live.holders import holding
from topo.live.places import DEVICE, DEVICES, INTERFACE, PCI, hub_of, owner_of, place_of, port_of
from topo.live.serialports import sysfs_ports
from topo.live.sleepsetting import sleep_setting
from topo.live.words import digits, hexadecimal, number, text_of
from topo.model.plain import plain
from topo.model.sighting import (
    HostController,
    HubPort,
    Interface,
    Scan,
    Sighting,
    Sleep,
    SocketPower,
    parent_id,
)

GIVES: Mapping[str, SocketPower] = {
    "default": "default", "1.5A": "1.5A", "3.0A": "3.0A", "usb_power_delivery": "usb_power_delivery",
}  # fmt: skip
"""What the class of Type-C sockets says of power (sysfs-class-typec); kept by the system, so no socket is asked."""


def scan(root: str = "/sys", timeout_s: float = 1.0) -> Scan:
    """Everything sysfs tells of USB and serial ports, and what stands beside it of names and holders.

    Raises ScanError where sysfs is not there or closed.
    """
    attributes = Attributes(root, timeout_s)
    try:
        return _Look(attributes).scan()
    finally:
        attributes.close()


class _Look:
    """One pass over sysfs."""

    def __init__(self, attributes: Attributes) -> None:
        self._attributes = attributes
        self._problems: list[str] = []
        self._controllers: dict[str, HostController] = {}

    def scan(self) -> Scan:
        listed = list_names(self._attributes)
        if not listed:
            self._problems.append("this machine shows no USB devices (none in /sys/bus/usb)")
        names = sorted((name for name in listed if DEVICE.fullmatch(name)), key=place_of)
        interfaces: dict[str, list[str]] = {}
        for name in listed:
            if INTERFACE.fullmatch(name):
                interfaces.setdefault(owner_of(name), []).append(name)
        seen = [self._sighting(name, interfaces.get(name, [])) for name in names]
        sightings = tuple(s for s in seen if s is not None)
        hubs = [s for s in sightings if s.is_hub]
        ports = tuple(p for hub in hubs for p in self._ports(hub, interfaces.get(hub.id, [])))
        pool = "module/usbcore/parameters/usbfs_memory_mb"
        serial_ports = sysfs_ports(self._attributes, sightings)
        beside = Beside(self._attributes.root)
        return Scan(
            when=datetime.now().astimezone().isoformat(timespec="milliseconds"),
            system="linux",
            kernel=os.uname().release,
            scanner="sysfs",
            controllers=tuple(self._controllers.values()),
            sightings=tuple(replace(s, controller=self._controller_of(s.bus)) for s in sightings),
            ports=ports,
            serial_ports=serial_ports,
            usbfs_memory_mb=digits(self._attributes.read([pool]).get(pool)),
            low_volts=low_volts(self._attributes),
            holding=holding(beside, [port.name for port in serial_ports]),
            sleep_setting=sleep_setting(self._attributes, beside),
            problems=(*self._problems, *self._reading_problems()),
        )

    def _controller_of(self, bus: int) -> str | None:
        return next((c.id for c in self._controllers.values() if bus in c.buses), None)

    def _reading_problems(self) -> list[str]:
        said = [f"{_short(path)} did not answer in time and was left out" for path in self._attributes.blocked]
        if denied := self._attributes.denied:
            said.append(f"no permission to read {_short(denied[0])}" + _and_more(len(denied) - 1))
        return said

    def _sighting(self, name: str, interface_names: Sequence[str]) -> Sighting | None:
        folder = f"{DEVICES}/{name}"
        told = self._attributes.read([f"{folder}/{attribute}" for attribute in OF_DEVICE])
        told = {path.removeprefix(f"{folder}/"): data for path, data in told.items()}
        if "devnum" not in told:
            self._problems.append(f"{name} vanished while it was being looked at")
            return None
        bus, ports = place_of(name)
        if not ports:
            self._note_controller(bus, name)
        speed = number(told.get("speed"))
        described = read_descriptors(told["descriptors"], speed) if "descriptors" in told else Described()
        abilities = read_bos(told["bos_descriptors"]) if told.get("bos_descriptors") else Abilities()
        self._problems += [f"{name}: {problem}" for problem in (*described.problems, *abilities.problems)]
        config_value = digits(told.get("bConfigurationValue"))
        return Sighting(
            id=name,
            bus=bus,
            ports=ports,
            parent=parent_id(bus, ports),
            devnum=digits(told.get("devnum")),
            speed_mbit=speed,
            rx_lanes=digits(told.get("rx_lanes")),
            tx_lanes=digits(told.get("tx_lanes")),
            vendor_id=_hex4(told.get("idVendor")) or described.vendor_id,
            product_id=_hex4(told.get("idProduct")) or described.product_id,
            usb_version=number(told.get("version")) or described.usb_version,
            usb_class=_first(hexadecimal(told.get("bDeviceClass")), described.usb_class),
            subclass=_first(hexadecimal(told.get("bDeviceSubClass")), described.subclass),
            protocol=_first(hexadecimal(told.get("bDeviceProtocol")), described.protocol),
            manufacturer=text_of(told.get("manufacturer")),
            product=text_of(told.get("product")),
            serial=text_of(told.get("serial")),
            max_power_ma=digits(told.get("bMaxPower"), unit="mA"),
            self_powered=None if (word := hexadecimal(told.get("bmAttributes"))) is None else bool(word & 0x40),
            could_mbit=abilities.speeds_mbit,
            container_id=abilities.container_id,
            max_child=digits(told.get("maxchild")),
            removable=text_of(told.get("removable")),
            urbs=digits(told.get("urbnum")),
            sleep=_sleep(told),
            interfaces=self._interfaces(described, config_value, interface_names),
        )

    def _interfaces(self, described: Described, value: int | None, names: Sequence[str]) -> tuple[Interface, ...]:
        """Every setting of the configuration in use, with what sysfs adds: which one is active, and its driver."""
        folders = {name: f"{DEVICES}/{name}" for name in names}
        told = self._attributes.read([f"{folder}/{a}" for folder in folders.values() for a in OF_INTERFACE])
        config = next((c for c in described.configs if value is None or c.value == value), None)
        known = list(config.interfaces) if config else []
        for name, folder in folders.items():
            number_ = int(name.rsplit(".", 1)[1])
            setting = digits(told.get(f"{folder}/bAlternateSetting"))
            driver = self._attributes.link(f"{folder}/driver")
            classes = [hexadecimal(told.get(f"{folder}/{a}")) for a in OF_INTERFACE[1:]]
            if not any(i.number == number_ for i in known) and None not in classes:
                usb_class, subclass, protocol = (c or 0 for c in classes)
                known.append(Interface(number_, setting or 0, True, usb_class, subclass, protocol))
            known = [
                replace(i, driver=driver, active=None if setting is None else i.setting == setting)
                if i.number == number_
                else i
                for i in known
            ]
        return tuple(known)

    def _ports(self, hub: Sighting, interface_names: Sequence[str]) -> list[HubPort]:
        """The ports of a hub, from the folders in its interface 0."""
        name = next((name for name in interface_names if hub_of(name)), None)
        if name is None:
            return []
        folders = {
            n: f"{DEVICES}/{name}/{hub.id}-port{n}" for n in port_numbers(self._attributes, f"{DEVICES}/{name}", hub.id)
        }
        told = self._attributes.read([f"{folder}/{a}" for folder in folders.values() for a in OF_PORT])
        return [
            HubPort(
                hub=hub.id,
                number=n,
                connect_type=text_of(told.get(f"{folder}/connect_type")),
                over_current_count=digits(told.get(f"{folder}/over_current_count")),
                state=text_of(told.get(f"{folder}/state")),
                peer=port_of(self._attributes.link(f"{folder}/peer")),
                device=_device(self._attributes.link(f"{folder}/device")),
                gives=GIVES.get(text_of(told.get(f"{folder}/connector/power_operation_mode")) or ""),
            )
            for n, folder in folders.items()
        ]

    def _note_controller(self, bus: int, root_hub: str) -> None:
        folder = self._attributes.real(f"{DEVICES}/{root_hub}").rpartition("/")[0]
        name = folder.rpartition("/")[2]
        known = self._controllers.get(name)
        if known:
            self._controllers[name] = replace(known, buses=(*known.buses, bus))
            return
        ids: dict[str, bytes] = {}
        if PCI.fullmatch(name):
            ids = self._attributes.read([f"{folder}/vendor", f"{folder}/device"])
        self._controllers[name] = HostController(
            id=name,
            buses=(bus,),
            vendor_id=_hex4(ids.get(f"{folder}/vendor")),
            product_id=_hex4(ids.get(f"{folder}/device")),
            driver=self._attributes.link(f"{folder}/driver"),
        )


def _sleep(told: Mapping[str, bytes]) -> Sleep:
    return Sleep(
        control=text_of(told.get("power/control")),
        status=text_of(told.get("power/runtime_status")),
        delay_ms=digits(told.get("power/autosuspend_delay_ms")),
        connected_ms=digits(told.get("power/connected_duration")),
        active_ms=digits(told.get("power/active_duration")),
    )


def _hex4(data: bytes | None) -> str | None:
    value = hexadecimal(data)
    return None if value is None or value > 0xFFFF else f"{value:04x}"


def _first(told: int | None, described: int | None) -> int | None:
    return described if told is None else told


def _device(link: str | None) -> str | None:
    return link if link and DEVICE.fullmatch(link) else None


def _short(path: str) -> str:
    return plain(path.removeprefix(f"{DEVICES}/"))


def _and_more(count: int) -> str:
    return f" and {count} more" if count > 0 else ""
