"""Makes the recordings in this folder: made-up machines in umockdev's device format. Run it to write them again.

Vendor and product ids are made up (f1xx, never a real vendor's), and so is every name. Attributes are written as Linux
6.12 prints them (`drivers/usb/core/sysfs.c`, `port.c`). What the scanner must not read is there too, as a bait.
"""

from __future__ import annotations

import struct
import sys
from dataclasses import dataclass, field
from pathlib import Path

HERE = Path(__file__).resolve().parent
BULK, INTERRUPT, ISO = 2, 3, 1


def endpoint(address: int, kind: int, packet: int, interval: int = 0, burst: int | None = None) -> bytes:
    """An endpoint descriptor, with its SuperSpeed companion where a burst is given."""
    own = struct.pack("<BBBBHB", 7, 5, address, kind, packet, interval)
    return own if burst is None else own + struct.pack("<BBBBH", 6, 0x30, burst, 0, packet if kind != BULK else 0)


def interface(number: int, setting: int, code: tuple[int, int, int], *ends: bytes) -> bytes:
    count = sum(end[1] == 5 for end in ends)
    return struct.pack("<BBBBBBBBB", 9, 4, number, setting, count, *code, 0) + b"".join(ends)


def config(*interfaces: bytes, attributes: int = 0x80, power: int = 50, total: int | None = None) -> bytes:
    body = b"".join(interfaces)
    count = len({i[2] for i in interfaces})
    return struct.pack("<BBHBBBBB", 9, 2, total or 9 + len(body), count, 1, 0, attributes, power) + body


def device(version: int, code: tuple[int, int, int], vendor: int, product: int, packet0: int = 64) -> bytes:
    return struct.pack("<BBHBBBBHHHBBBB", 18, 1, version, *code, packet0, vendor, product, 0x0100, 1, 2, 3, 1)


def bos(*capabilities: bytes) -> bytes:
    return struct.pack("<BBHB", 5, 0x0F, 5 + sum(map(len, capabilities)), len(capabilities)) + b"".join(capabilities)


LPM = struct.pack("<BBBI", 7, 0x10, 2, 0x02)
SUPER = struct.pack("<BBBBHBBH", 10, 0x10, 3, 0, 0x000E, 1, 10, 0x07FF)
SUPER_PLUS = struct.pack("<BBBBIHH", 20, 0x10, 0x0A, 0, 1, 0x1100, 0) + struct.pack("<II", 0x000A4030, 0x000A40B0)


def container(seed: int) -> bytes:
    return struct.pack("<BBBB", 20, 0x10, 4, 0) + bytes((seed + n) % 256 for n in range(16))


@dataclass
class Port:
    connect_type: str = "hotplug"
    over_current: int = 0
    state: str = "not attached"
    peer: str | None = None


@dataclass
class Device:
    """One device or hub: everything its folder holds."""

    name: str
    speed: str
    descriptors: bytes
    devnum: int
    bos: bytes | None = None
    strings: dict[str, bytes] = field(default_factory=dict)
    children: int = 0
    ports: dict[int, Port] = field(default_factory=dict)
    settings: dict[int, int] = field(default_factory=dict)
    drivers: dict[int, str] = field(default_factory=dict)
    tty: tuple[int, str, str] | None = None
    control: str = "on"
    status: str = "active"
    connected_ms: int = 3_600_000
    urbs: int = 1200


class Machine:
    """A made-up computer: controllers with the folders below them."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self._controller: dict[int, str] = {}

    def controller(self, address: str, vendor: int, product: int, driver: str, *buses: int) -> None:
        self._controller.update(dict.fromkeys(buses, address))
        self._block(f"/devices/pci0000:00/{address}", "pci", None)
        self._attributes({"vendor": f"0x{vendor:04x}", "device": f"0x{product:04x}", "current_link_speed": "bait"})
        self._link("driver", f"../../../bus/pci/drivers/{driver}")

    def add(self, own: Device) -> None:
        bus, chain = (own.name[3:], "") if own.name.startswith("usb") else own.name.split("-")
        folder = self._folder(int(bus), chain)
        self._block(folder, "usb", f"bus/usb/{int(bus):03d}/{own.devnum:03d}", "usb_device")
        head = own.descriptors.ljust(18, b"\0")
        self._attributes(
            {
                "busnum": bus,
                "devnum": str(own.devnum),
                "devpath": chain or "0",
                "speed": own.speed,
                "version": f"{head[3]:2x}.{head[2]:02x}",
                "rx_lanes": "1",
                "tx_lanes": "1",
                "maxchild": str(own.children),
                "removable": "unknown",
                "urbnum": str(own.urbs),
                "idVendor": f"{int.from_bytes(head[8:10], 'little'):04x}",
                "idProduct": f"{int.from_bytes(head[10:12], 'little'):04x}",
                "bDeviceClass": f"{head[4]:02x}",
                "bDeviceSubClass": f"{head[5]:02x}",
                "bDeviceProtocol": f"{head[6]:02x}",
                "bConfigurationValue": "1",
                "bNumConfigurations": "1",
                "bNumInterfaces": f"{head[22] if len(head) > 22 else 0:2d}",
                "power/control": own.control,
                "power/runtime_status": own.status,
                "power/autosuspend_delay_ms": "2000",
                "power/connected_duration": str(own.connected_ms),
                "power/active_duration": str(own.connected_ms // 2),
            }
        )
        if len(own.descriptors) >= 27:
            unit = 8 if float(own.speed) >= 5000 else 2
            self._attributes(
                {"bmAttributes": f"{own.descriptors[25]:02x}", "bMaxPower": f"{own.descriptors[26] * unit}mA"}
            )
        self._hex("descriptors", own.descriptors)
        if own.bos is not None:
            self._hex("bos_descriptors", own.bos)
        for name, text in own.strings.items():
            self._hex(name, text + b"\n")
        self._interfaces(own, folder, bus, chain)

    def _interfaces(self, own: Device, folder: str, bus: str, chain: str) -> None:
        seen: set[int] = set()
        at = 18
        while at + 9 <= len(own.descriptors) and own.descriptors[at] >= 2:
            body = own.descriptors[at : at + own.descriptors[at]]
            at += body[0]
            if len(body) < 9 or body[1] != 4 or body[2] in seen:
                continue
            number = body[2]
            seen.add(number)
            name = f"{bus}-{chain or 0}:1.{number}"
            self._block(f"{folder}/{name}", "usb", None, "usb_interface")
            self._attributes(
                {
                    "bInterfaceNumber": f"{number:02x}",
                    "bAlternateSetting": f"{own.settings.get(number, 0):2d}",
                    "bInterfaceClass": f"{body[5]:02x}",
                    "bInterfaceSubClass": f"{body[6]:02x}",
                    "bInterfaceProtocol": f"{body[7]:02x}",
                }
            )
            if driver := own.drivers.get(number, "hub" if own.children else ""):
                self._link("driver", f"{self._up(folder, 1)}bus/usb/drivers/{driver}")
            if own.children and number == 0:
                self._ports(own, folder, bus, chain)
            if own.tty and own.tty[0] == number:
                self._tty(f"{folder}/{name}", own.tty[1], own.tty[2])

    def _ports(self, own: Device, folder: str, bus: str, chain: str) -> None:
        for number in range(1, own.children + 1):
            port = own.ports.get(number, Port())
            name = f"{own.name}-port{number}"
            self._attributes(
                {
                    f"{name}/connect_type": port.connect_type,
                    f"{name}/over_current_count": str(port.over_current),
                    f"{name}/state": port.state,
                    f"{name}/disable": "bait",
                }
            )
            if port.state == "configured":
                child = f"{bus}-{chain + '.' if chain else ''}{number}"
                self._link(f"{name}/device", f"../../{child}")
            if port.peer:
                hub, _, _ = port.peer.rpartition("-port")
                peer_bus, peer_chain = (hub[3:], "") if hub.startswith("usb") else hub.split("-")
                there = self._folder(int(peer_bus), peer_chain)
                self._link(
                    f"{name}/peer", f"{self._up(folder, 2)}{there[1:]}/{peer_bus}-{peer_chain or 0}:1.0/{port.peer}"
                )

    def _tty(self, folder: str, name: str, driver: str) -> None:
        inner = f"{folder}/{name}" if name.startswith("ttyUSB") else folder
        if inner != folder:
            self._block(inner, "usb-serial", None)
            self._attributes({"latency_timer": "16"})
            self._link("driver", f"{self._up(inner)}bus/usb-serial/drivers/{driver}")
        self._block(f"{inner}/tty/{name}", "tty", name)
        self._link("device", "../../../" + inner.rpartition("/")[2])

    def _folder(self, bus: int, chain: str) -> str:
        folder = f"/devices/pci0000:00/{self._controller[bus]}/usb{bus}"
        numbers = chain.split(".") if chain else []
        for depth in range(1, len(numbers) + 1):
            folder += f"/{bus}-{'.'.join(numbers[:depth])}"
        return folder

    @staticmethod
    def _up(folder: str, more: int = 0) -> str:
        """The way from inside a folder (and `more` folders deeper) up to the top of sysfs."""
        return "../" * (folder.count("/") + more)

    def _block(self, path: str, subsystem: str, node: str | None, devtype: str = "") -> None:
        self.lines += ["", f"P: {path}"] if self.lines else [f"P: {path}"]
        if node:
            self.lines.append(f"N: {node}")
        self.lines.append(f"E: SUBSYSTEM={subsystem}")
        self.lines += [f"E: DEVTYPE={devtype}"] if devtype else []
        self.lines += [f"E: DEVNAME=/dev/{node}"] if node else []

    def _attributes(self, attributes: dict[str, str]) -> None:
        self.lines += [f"A: {name}={value}\\n" for name, value in attributes.items()]

    def _hex(self, name: str, data: bytes) -> None:
        self.lines.append(f"H: {name}={data.hex().upper()}")

    def _link(self, name: str, target: str) -> None:
        self.lines.append(f"L: {name}={target}")

    def text(self) -> str:
        return "\n".join(self.lines) + "\n"


def root(bus: int, speed: str, ports: dict[int, Port], count: int, address: str = "0000:00:14.0") -> Device:
    """A root hub, which is self-powered and tells its controller's address as its serial number."""
    fast = float(speed) >= 5000
    words = device(0x0310 if fast else 0x0200, (9, 0, 3 if fast else 1), 0x1D6B, 3 if fast else 2, 9 if fast else 64)
    ends = endpoint(0x81, INTERRUPT, 4, 12, 0 if fast else None)
    return Device(
        f"usb{bus}",
        speed,
        words + config(interface(0, 0, (9, 0, 0), ends), attributes=0xE0, power=0),
        1,
        strings={"product": b"Host Controller", "serial": address.encode()},
        children=count,
        ports=ports,
        control="auto",
    )


def hub(
    name: str,
    devnum: int,
    count: int,
    ids: tuple[int, int],
    *,
    multi: bool | None = False,
    fast: bool = False,
    **more: object,
) -> Device:
    """A hub: `multi` None is a single-translator hub, False and True a multi-translator one in that setting."""
    version = 0x0300 if fast else 0x0210
    code = (9, 0, 3) if fast else (9, 0, 1 if multi is None else 2)
    ends = endpoint(0x81, INTERRUPT, 2 if fast else 1, 8 if fast else 12, 0 if fast else None)
    if fast or multi is None:
        settings = [interface(0, 0, (9, 0, 0), ends)]
    else:
        settings = [interface(0, 0, (9, 0, 1), ends), interface(0, 1, (9, 0, 2), ends)]
    own = Device(
        name,
        "5000" if fast else "480",
        device(version, code, *ids, 9 if fast else 64) + config(*settings, attributes=0xE0, power=0),
        devnum,
        children=count,
        settings={0: 1} if multi else {},
        control="auto",
    )
    for key, value in more.items():
        setattr(own, key, value)
    return own


def camera(name: str, devnum: int, ids: tuple[int, int], *, fast: bool, **more: object) -> Device:
    """A vendor-specific bulk camera that can run at 5 Gb/s; below that it says version 2.10."""
    ends = endpoint(0x81, BULK, 1024 if fast else 512, 0, 15 if fast else None)
    own = Device(
        name,
        "5000" if fast else "480",
        device(0x0300 if fast else 0x0210, (0xEF, 2, 1), *ids, 9 if fast else 64)
        + config(interface(0, 0, (0xFF, 0, 0), ends), power=50),
        devnum,
        bos=bos(LPM, SUPER, container(devnum)),
        drivers={0: "usbfs"},
    )
    for key, value in more.items():
        setattr(own, key, value)
    return own


def adapter(name: str, devnum: int, ids: tuple[int, int], tty: str | None, serial: bytes | None) -> Device:
    """A full-speed serial adapter with a driver of its own."""
    ends = (endpoint(0x81, BULK, 64), endpoint(0x02, BULK, 64))
    return Device(
        name,
        "12",
        device(0x0200, (0, 0, 0), *ids, 8) + config(interface(0, 0, (0xFF, 0xFF, 0xFF), *ends), power=45),
        devnum,
        strings={"product": b"Serial adapter"} | ({"serial": serial} if serial else {}),
        drivers={0: "ftdi_sio"},
        tty=(0, tty, "ftdi_sio") if tty else None,
    )


def guide(name: str, devnum: int, **more: object) -> Device:
    """A 480 Mb/s guide camera."""
    own = Device(
        name,
        "480",
        device(0x0200, (0, 0, 0), 0xF1A0, 0x0120)
        + config(interface(0, 0, (0xFF, 0, 0), endpoint(0x82, BULK, 512)), power=100),
        devnum,
        strings={"manufacturer": b"Made-up Cameras", "product": b"Guide 1M", "serial": b"G-0042"},
    )
    for key, value in more.items():
        setattr(own, key, value)
    return own


def wheel(name: str, devnum: int) -> Device:
    ends = (endpoint(0x81, INTERRUPT, 64, 10), endpoint(0x01, INTERRUPT, 64, 10))
    return Device(
        name,
        "12",
        device(0x0200, (0, 0, 0), 0xF1B0, 0x0007) + config(interface(0, 0, (3, 0, 0), *ends), power=50),
        devnum,
        strings={"product": b"Wheel 7"},
        drivers={0: "usbhid"},
    )


def twin_ports(
    slow: str, fast: str, pairs: dict[int, int], count: int, used_slow: set[int], used_fast: set[int]
) -> tuple[dict[int, Port], dict[int, Port]]:
    """Ports of the two sides of one hub, each the other's peer."""
    low = {n: Port(state="configured" if n in used_slow else "not attached") for n in range(1, count + 1)}
    high = {n: Port(state="configured" if n in used_fast else "not attached") for n in range(1, count + 1)}
    for a, b in pairs.items():
        low[a].peer = f"{fast}-port{b}"
        high.setdefault(b, Port(state="configured" if b in used_fast else "not attached")).peer = f"{slow}-port{a}"
    return low, high


def standard() -> Machine:
    machine = Machine()
    machine.controller("0000:00:14.0", 0xF000, 0x0014, "xhci_hcd", 1, 2)
    return machine


def pier() -> Machine:
    """Everything on one USB 3 hub with two sides; root port 3 of the slow side is root port 1 of the fast one."""
    machine = standard()
    low, high = twin_ports("usb1", "usb2", {3: 1, 4: 2}, 4, {3}, {1})
    high = {n: p for n, p in high.items() if n <= 2}
    low[1] = Port("hardwired")
    low[2] = Port("not used")
    machine.add(root(1, "480", low, 4))
    machine.add(root(2, "10000", high, 2))
    below = {n: n for n in range(1, 5)}
    low, high = twin_ports("1-3", "2-1", below, 4, {2, 3, 4}, {1})
    both = bos(LPM, SUPER, container(77))
    names = {"manufacturer": b"Made-up Hubs", "product": b"Hub of four"}
    machine.add(hub("1-3", 2, 4, (0xF1C0, 0x0830), multi=True, bos=both, ports=low, strings=names))
    machine.add(guide("1-3.2", 4))
    machine.add(adapter("1-3.3", 5, (0xF1D0, 0x6001), "ttyUSB0", b"A0001"))
    machine.add(mount("1-3.4", 6))
    machine.add(hub("2-1", 2, 4, (0xF1C0, 0x0831), fast=True, bos=both, ports=high, strings=names))
    strings = {"manufacturer": b"Made-up Cameras", "product": b"Main 26M", "serial": b"M-0007"}
    machine.add(camera("2-1.1", 3, (0xF1A0, 0x0260), fast=True, strings=strings))
    return machine


def mount(name: str, devnum: int) -> Device:
    """A mount that is a serial port by class (CDC-ACM)."""
    return Device(
        name,
        "12",
        device(0x0200, (2, 0, 0), 0xF1E0, 0x0001)
        + config(
            interface(0, 0, (2, 2, 1), endpoint(0x83, INTERRUPT, 8, 16)),
            interface(1, 0, (10, 0, 0), endpoint(0x81, BULK, 64), endpoint(0x02, BULK, 64)),
            power=50,
        ),
        devnum,
        strings={"product": b"Mount"},
        drivers={0: "cdc_acm", 1: "cdc_acm"},
        tty=(0, "ttyACM0", "cdc_acm"),
        control="auto",
    )


def fallback() -> Machine:
    """A 5 Gb/s camera and a 10 Gb/s disk, each at 480 Mb/s; the fast side of the camera's socket is empty."""
    machine = standard()
    low, high = twin_ports("usb1", "usb2", {1: 1, 2: 2}, 2, {1, 2}, set())
    machine.add(root(1, "480", low, 2))
    machine.add(root(2, "10000", high, 2))
    machine.add(camera("1-1", 9, (0xF1A0, 0x0260), fast=False, strings={"product": b"Main 26M", "serial": b"M-0007"}))
    disk = device(0x0210, (0, 0, 0), 0xF1F0, 0x0010) + config(
        interface(0, 0, (8, 6, 0x50), endpoint(0x81, BULK, 512), endpoint(0x02, BULK, 512)), power=250
    )
    machine.add(Device("1-2", "480", disk, 3, bos=bos(LPM, SUPER, SUPER_PLUS), drivers={0: "usb-storage"}))
    return machine


def translators() -> Machine:
    """Three hubs at 480 Mb/s: one translator a port, able to but not doing it, one for all; and a full-speed hub."""
    machine = standard()
    machine.add(root(1, "480", {n: Port(state="configured") for n in range(1, 5)}, 4))
    machine.add(root(2, "5000", {}, 4))
    machine.add(hub("1-1", 2, 4, (0xF1C0, 1), multi=True))
    machine.add(hub("1-2", 3, 4, (0xF1C0, 2), multi=False))
    machine.add(hub("1-3", 4, 4, (0xF1C0, 3), multi=None))
    slow = device(0x0110, (9, 0, 0), 0xF1C0, 4) + config(
        interface(0, 0, (9, 0, 0), endpoint(0x81, INTERRUPT, 1, 255)), attributes=0xA0, power=50
    )
    machine.add(Device("1-4", "12", slow, 5, children=4))
    return machine


def twins() -> Machine:
    """Two adapters of one kind with no serial number, and two cameras with the same one."""
    machine = standard()
    machine.add(root(1, "480", {n: Port(state="configured") for n in range(1, 5)}, 4))
    machine.add(adapter("1-1", 2, (0xF1D0, 0x7523), "ttyUSB0", None))
    machine.add(adapter("1-2", 3, (0xF1D0, 0x7523), "ttyUSB10", None))
    machine.add(guide("1-3", 4))
    machine.add(guide("1-4", 5))
    return machine


def empty() -> Machine:
    """Two controllers, four buses, nothing plugged in."""
    machine = standard()
    machine.controller("0000:03:00.0", 0xF000, 0x0300, "xhci_hcd", 3, 4)
    machine.add(root(1, "480", {}, 2))
    machine.add(root(2, "5000", {}, 2))
    machine.add(root(3, "480", {}, 2, "0000:03:00.0"))
    machine.add(root(4, "10000", {}, 2, "0000:03:00.0"))
    return machine


def lying() -> Machine:
    """Descriptors cut off, with wrong totals and lengths, and with nothing in them at all."""
    machine = standard()
    machine.add(root(1, "480", {}, 8))
    whole = device(0x0200, (0, 0, 0), 0xF1A0, 0x0120) + config(
        interface(0, 0, (0xFF, 0, 0), endpoint(0x82, BULK, 512)), power=100
    )
    machine.add(Device("1-1", "480", whole[:-3], 2))
    long = config(interface(0, 0, (0xFF, 0, 0), endpoint(0x82, BULK, 512)), total=0xFFFF)
    machine.add(Device("1-2", "480", whole[:18] + long, 3))
    machine.add(Device("1-3", "480", whole[:27] + b"\0\0\0\0", 4))
    machine.add(Device("1-4", "480", b"", 5))
    machine.add(Device("1-5", "480", whole, 6, bos=bos(SUPER)[:9]))
    machine.add(Device("1-6", "480", whole[:18] + b"\xff" * 40, 7))
    machine.add(Device("1-7", "480", whole[:18] + endpoint(0x81, BULK, 512) + whole[18:], 8, bos=b"\x05\x0f"))
    return machine


def over_current() -> Machine:
    """A hub whose ports 2 and 3 have seen too much current."""
    machine = standard()
    machine.add(root(1, "480", {1: Port(state="configured"), 2: Port(over_current=1)}, 2))
    ports = {2: Port(over_current=3, state="configured"), 3: Port(over_current=1)}
    machine.add(hub("1-1", 2, 4, (0xF1C0, 2), multi=True, ports=ports))
    machine.add(guide("1-1.2", 31, connected_ms=4200))
    return machine


def hostile() -> Machine:
    """Names that try to write to a terminal, break out of YAML and hide what they are."""
    machine = standard()
    machine.add(root(1, "480", {}, 6))
    strings = (
        b"\x1b]0;owned\x07\x1b[2J\x1b[31mred",
        "\u202egnp.exe\u2066 left".encode(),
        b"camera\ndevices: {x: {plug: computer/usb2-9}}\n#",
        b'"}\r\nrig: stolen\x00\x85 {{ }} !!python/object:os.system',
        b"\xff\xfe\x80broken" + "\U0001f52d\ufeff\u2028end".encode(),
        b"A" * 300 + b"</svg><script>",
    )
    for number, text in enumerate(strings, 1):
        machine.add(guide(f"1-{number}", number + 1, strings={"manufacturer": text, "product": text, "serial": text}))
    return machine


def camera_with_hub() -> Machine:
    """A camera at 5 Gb/s with a 480 Mb/s hub in its case, a wheel on its back; beside it an old controller."""
    machine = standard()
    machine.controller("0000:00:1d.0", 0xF000, 0x001D, "ehci-pci", 3)
    low, high = twin_ports("usb1", "usb2", {1: 5}, 4, {1}, {5})
    machine.add(root(1, "480", low, 4))
    machine.add(root(2, "5000", {5: high[5]}, 6))
    machine.add(root(3, "480", {2: Port(state="configured")}, 2, "0000:00:1d.0"))
    machine.add(hub("1-1", 2, 2, (0xF1A0, 0x0B00), multi=None, ports={2: Port(state="configured")}))
    machine.add(wheel("1-1.2", 3))
    machine.add(camera("2-5", 2, (0xF1A0, 0x0620), fast=True, strings={"product": b"Main 62M"}))
    machine.add(guide("3-2", 2))
    return machine


def asleep() -> Machine:
    """A mount adapter that sleeps, and a camera whose device number shows that it came back many times."""
    machine = standard()
    machine.add(root(1, "480", {n: Port(state="configured") for n in (1, 2, 3)}, 4))
    sleeper = adapter("1-1", 2, (0xF1D0, 0x6001), "ttyUSB3", b"A0009")
    sleeper.control, sleeper.status = "auto", "suspended"
    machine.add(sleeper)
    machine.add(guide("1-2", 57, connected_ms=61_000))
    machine.add(wheel("1-3", 3))
    return machine


def crowd() -> Machine:
    """Thirty devices on four hubs of seven and a root: what a night watch is measured with."""
    machine = standard()
    machine.add(root(1, "480", {n: Port(state="configured") for n in range(1, 7)}, 8))
    devnum = 1
    for number in (1, 2, 3, 4):
        devnum += 1
        ports = {n: Port(state="configured") for n in range(1, 8)}
        machine.add(hub(f"1-{number}", devnum, 7, (0xF1C0, number), multi=True, ports=ports))
        for below in range(1, 7):
            devnum += 1
            serial = f"W-{number}{below}".encode()
            place = f"1-{number}.{below}"
            machine.add(guide(place, devnum) if below % 2 else adapter(place, devnum, (0xF1D0, 0x6001), None, serial))
    for number in (5, 6):
        devnum += 1
        machine.add(wheel(f"1-{number}", devnum))
    return machine


MACHINES = {
    "pier": pier,
    "fallback": fallback,
    "translators": translators,
    "twins": twins,
    "empty": empty,
    "lying": lying,
    "over-current": over_current,
    "hostile": hostile,
    "camera-with-hub": camera_with_hub,
    "asleep": asleep,
    "crowd": crowd,
}


def main() -> None:
    """Writes every recording into the folder given, or this one."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else HERE
    for name, made in MACHINES.items():
        (folder / f"{name}.umockdev").write_text(made().text(), encoding="ascii")


if __name__ == "__main__":
    main()
