"""Pieces of small scans that the cases of live checks are put together from: saved scans as text, ids made up."""

from __future__ import annotations

import json
from typing import Any

FIRST = "0000:00:14.0"
SECOND = "0000:00:1a.0"


def seen(name: str, speed: float = 480, **more: Any) -> dict[str, Any]:
    """A sighting by its id ("1-2.3"), vendor-specific with a bulk endpoint unless told otherwise."""
    bus, _, chain = name.partition("-")
    numbers = [int(number) for number in chain.split(".")]
    above = f"{bus}-{'.'.join(map(str, numbers[:-1]))}" if numbers[1:] else f"usb{bus}"
    made = {
        "id": name, "bus": int(bus), "ports": numbers, "parent": above, "speed_mbit": speed, "vendor_id": "f1a0",
        "product_id": "0001", "usb_version": 3.0 if speed >= 5000 else 2.0, "product": "Made-up thing",
        "controller": SECOND if bus == "3" else FIRST,
        "interfaces": [interface(0xFF, "bulk")],
    }
    return {**made, **more}


def interface(code: int, kind: str, driver: str | None = None) -> dict[str, Any]:
    """One interface of a class with one endpoint."""
    end = {"address": 0x81, "kind": kind, "max_packet": 64, "interval_bytes": 64}
    return {"number": 0, "setting": 0, "active": True, "usb_class": code, "subclass": 0, "protocol": 0,
            "endpoints": [end], **({"driver": driver} if driver else {})}


def adapter(name: str, **more: Any) -> dict[str, Any]:
    """A serial adapter."""
    return seen(name, 12, **{"interfaces": [interface(0xFF, "bulk", "ftdi_sio")], "product": "Adapter", **more})


def wheel(name: str, **more: Any) -> dict[str, Any]:
    """A HID thing."""
    return seen(name, 12, **{"interfaces": [interface(3, "interrupt")], "product": "Wheel", **more})


def disk(name: str, speed: float = 5000, **more: Any) -> dict[str, Any]:
    """A disk."""
    return seen(name, speed, **{"interfaces": [interface(8, "bulk")], "product": "Disk", **more})


def hub(name: str, speed: float = 480, ports: int = 4, **more: Any) -> dict[str, Any]:
    """A hub, or one side of one."""
    made = {"usb_class": 9, "protocol": 3 if speed >= 5000 else 1, "max_child": ports, "self_powered": True,
            "interfaces": [interface(9, "interrupt")], "product": "Hub"}
    return seen(name, speed, **{**made, **more})


def port(of: str, number: int, **more: Any) -> dict[str, Any]:
    """A port of a hub."""
    return {"hub": of, "number": number, **more}


def scan(*sightings: dict[str, Any], ports: tuple[dict[str, Any], ...] = (), **more: Any) -> str:
    """A saved scan: one controller with a USB 2 bus 1 and a SuperSpeed bus 2, one with a USB 2 bus 3, and these."""
    roots = [root("usb1", 480, FIRST), root("usb2", 5000, FIRST), root("usb3", 480, SECOND)]
    made = {
        "format": "topo.scan.1", "when": "2026-01-31T21:00:00+00:00", "system": "linux", "kernel": None,
        "scanner": "made up",
        "controllers": [{"id": FIRST, "buses": [1, 2]}, {"id": SECOND, "buses": [3]}],
        "sightings": [*roots, *sightings], "ports": list(ports), **more,
    }
    return json.dumps(made)


def root(name: str, speed: float, controller: str) -> dict[str, Any]:
    """A root hub."""
    return {"id": name, "bus": int(name[3:]), "ports": [], "speed_mbit": speed, "usb_class": 9, "max_child": 8,
            "controller": controller, "devnum": 1}


HUB3 = (hub("1-1", container_id="00" * 15 + "77"), hub("2-1", 5000, container_id="00" * 15 + "77"))
"""Both sides of one USB 3 hub in the first socket."""

BOS = [12.0, 480.0, 5000.0]
"""What a device says it can run at that could run at 5 Gb/s."""

MAIN: dict[str, Any] = {"product_id": "0260", "could_mbit": BOS}
"""What tells the imaging camera of the cases from others, and that it could run at 5 Gb/s."""


def tty(number: int, device: str, **more: Any) -> dict[str, Any]:
    """A serial port ttyUSBn of an adapter, with its name by place and, where a serial number is given, by id."""
    serial = more.pop("serial", None)
    chain = device.partition("-")[2]
    words = f"Made_up_Adapter_{serial}" if serial else "Made_up_Adapter"
    links = [f"/dev/serial/by-id/usb-{words}-if00-port0",
             f"/dev/serial/by-path/pci-{SECOND if device[0] == '3' else FIRST}-usb-0:{chain}:1.0-port0"]
    return {"name": f"/dev/ttyUSB{number}", "device": device, "interface": 0, "driver": "ftdi_sio", "number": 0,
            "links": links, **more}


def held(*holders: dict[str, Any], everyone: bool = True, services: tuple[str, ...] = ()) -> dict[str, Any]:
    """Who holds what."""
    return {"everyone": everyone, "holders": list(holders), "services": list(services)}
