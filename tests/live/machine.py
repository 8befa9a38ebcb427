"""A made-up machine as folders: sys, run, proc, dev and etc under one top, for tests of names and holders."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

PCI = "devices/pci0000:00/0000:00:14.0"
BOARD = "devices/platform/scb/fd500000.pcie/pci0000:00/0000:00:00.0/0000:01:00.0"


@dataclass
class Adapter:
    """A serial adapter in a socket: place "1-2", ids, texts, the number its port got, and what udev keeps of it."""

    place: str
    tty: str | None = "ttyUSB0"
    ids: tuple[str, str] = ("f1d0", "6001")
    serial: str | None = None
    product: str = "Adapter"
    manufacturer: str = "Made Up"
    driver: str | None = "ftdi_sio"
    minor: int = 0
    udev: bool = True
    config: int = 1
    interface: int = 0
    port_number: int = 0
    extra: list[str] = field(default_factory=list)


class FakeMachine:
    """Writes the folders. `top / "sys"` is what the scanner is given."""

    def __init__(self, top: Path, controller: str = PCI) -> None:
        self.top, self.controller = top, controller
        for folder in ("sys/bus/usb/devices", "sys/class/tty", "run/udev/data", "run/lock", "proc", "dev", "etc"):
            (top / folder).mkdir(parents=True, exist_ok=True)
        self.write("etc/group", "root:x:0:\ndialout:x:20:somebody\n")
        self.write("proc/locks", "")
        self._device("usb1", f"{controller}/usb1", ("1d6b", "0002"), "09", "480", {"maxchild": "4"})

    @property
    def sys(self) -> str:
        """The folder to scan."""
        return str(self.top / "sys")

    def write(self, path: str, text: str) -> Path:
        """A file below the top."""
        file = self.top / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
        return file

    def _device(self, name: str, folder: str, ids: tuple[str, str], code: str, speed: str,
                more: dict[str, str]) -> None:
        told = {"devnum": "1", "speed": speed, "idVendor": ids[0], "idProduct": ids[1], "bDeviceClass": code,
                "bDeviceSubClass": "00", "bDeviceProtocol": "00", **more}
        for attribute, value in told.items():
            self.write(f"sys/{folder}/{attribute}", value + "\n")
        self._list("bus/usb/devices", name, folder)

    def _list(self, listing: str, name: str, folder: str) -> None:
        link = self.top / "sys" / listing / name
        link.parent.mkdir(parents=True, exist_ok=True)
        link.symlink_to(self.top / "sys" / folder)

    def plug(self, *adapters: Adapter) -> None:
        """Plugs adapters in, each with its port, its node and its entry in udev's data."""
        for number, one in enumerate(adapters, 2):
            self._plug(one, number)

    def _plug(self, one: Adapter, number: int) -> None:
        chain = one.place.partition("-")[2].split(".")
        steps = [f"1-{'.'.join(chain[:n])}" for n in range(1, len(chain) + 1)]
        folder = f"{self.controller}/usb1/{'/'.join(steps)}"
        strings = {"product": one.product, "manufacturer": one.manufacturer}
        if one.serial is not None:
            strings["serial"] = one.serial
        self._device(one.place, folder, one.ids, "00", "12", {**strings, "devnum": str(number)})
        name = f"{one.place}:{one.config}.{one.interface}"
        inner = f"{folder}/{name}"
        for attribute, value in (("bAlternateSetting", " 0"), ("bInterfaceClass", "ff"), ("bInterfaceSubClass", "ff"),
                                 ("bInterfaceProtocol", "ff")):
            self.write(f"sys/{inner}/{attribute}", value + "\n")
        self._list("bus/usb/devices", name, inner)
        if one.driver is not None:
            (self.top / "sys" / inner / "driver").symlink_to(f"../../drivers/{one.driver}")
        if one.tty is not None:
            self._port(one, inner)

    def _port(self, one: Adapter, inner: str) -> None:
        assert one.tty is not None
        at = f"{inner}/{one.tty}"
        self.write(f"sys/{at}/latency_timer", "16\n")
        self.write(f"sys/{at}/port_number", f"{one.port_number}\n")
        (self.top / "sys" / at / "driver").symlink_to(f"../../../drivers/{one.driver}")
        self.write(f"sys/{at}/tty/{one.tty}/dev", f"188:{one.minor}\n")
        (self.top / "sys" / at / "tty" / one.tty / "device").symlink_to(self.top / "sys" / at)
        self._list("class/tty", one.tty, f"{at}/tty/{one.tty}")
        self.write(f"dev/{one.tty}", "")
        if one.udev:
            self.write(f"run/udev/data/c188:{one.minor}", "\n".join([*self.links(one), *one.extra, ""]))

    def links(self, one: Adapter) -> list[str]:
        """The `S:` lines that udev's rules make for it, written out by hand here and not by the code under test."""
        parts = self.controller.split("/")
        head = f"pci-{parts[-1]}" if "platform" not in parts else f"platform-{parts[3]}-pci-{parts[-1]}"
        chain = one.place.partition("-")[2]
        tail = f"-port{one.port_number}"
        words = "_".join(w.replace(" ", "_") for w in (one.manufacturer, one.product, one.serial) if w)
        return [f"S:serial/by-path/{head}-usb-0:{chain}:{one.config}.{one.interface}{tail}",
                f"S:serial/by-id/usb-{words}-if{one.interface:02x}{tail}"]

    def process(self, number: int, comm: str, *opens: str) -> None:
        """A running program with files open."""
        self.write(f"proc/{number}/comm", comm + "\n")
        folder = self.top / "proc" / str(number) / "fd"
        folder.mkdir(parents=True, exist_ok=True)
        for n, target in enumerate(opens):
            (folder / str(n)).symlink_to(target)
