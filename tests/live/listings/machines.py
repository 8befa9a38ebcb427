"""Invented machines, as the truth that listings are printed from and readings are held against.

A thing is plugged into a numbered socket of a hub or of a controller. `speed` decides its side of USB; a hub of speed
5000 or more has a USB 2 half in the same socket. Names and numbers are made up.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class Thing:
    socket: int
    name: str
    ids: tuple[str, str]
    speed: float
    maker: str = "Made-up Makers"
    serial: str = ""
    ma: int = 0
    codes: tuple[int, int, int] = (0, 0, 0)
    functions: tuple[tuple[int, int, int, str], ...] = ()
    ports: int = 0
    below: tuple[Thing, ...] = ()
    com: str = ""

    @property
    def is_hub(self) -> bool:
        return self.ports > 0


@dataclass(frozen=True)
class Controller:
    name: str
    pci: tuple[str, str]
    sockets: int
    below: tuple[Thing, ...] = ()
    apple: str = "AppleUSBXHCIPCI"


@dataclass(frozen=True)
class Machine:
    controllers: tuple[Controller, ...]


@dataclass(frozen=True)
class Half:
    """What a system shows as one device: a thing on one side of USB of one controller, with its chain of sockets."""

    controller: int
    fast: bool
    chain: tuple[int, ...]
    thing: Thing
    devnum: int

    @property
    def speed(self) -> float:
        return self.thing.speed if self.fast == (self.thing.speed >= 5000) else 480.0

    @property
    def product_id(self) -> str:
        """The USB 2 half of a USB 3 hub has a number of its own, the next one."""
        own = int(self.thing.ids[1], 16)
        return f"{own + (self.thing.is_hub and self.thing.speed >= 5000 and not self.fast):04x}"

    @property
    def codes(self) -> tuple[int, int, int]:
        return (9, 0, 3 if self.fast else 1 if self.speed == 480 else 0) if self.thing.is_hub else self.thing.codes


def halves(machine: Machine) -> list[Half]:
    """Every half, by controller, USB 2 first, depth first: the order of the kernel's text."""
    found: list[Half] = []
    for n, controller in enumerate(machine.controllers):
        for fast in (False, True):
            found += [Half(n, fast, chain, thing, i) for i, (chain, thing) in enumerate(_on(controller.below, fast), 2)]
    return found


def _on(things: tuple[Thing, ...], fast: bool, above: tuple[int, ...] = ()) -> Iterator[tuple[tuple[int, ...], Thing]]:
    for thing in things:
        there = (thing.is_hub and thing.speed >= 5000) or (thing.speed >= 5000) == fast
        if there:
            yield (*above, thing.socket), thing
            yield from _on(thing.below, fast, (*above, thing.socket))


BULK = (0xFF, 0, 0, "(none)")
MAIN = Thing(1, "Main camera 26M", ("f1a0", "0260"), 5000, serial="M-0007", ma=400, functions=(BULK,))
GUIDE = Thing(2, "Guide: mono (1M)", ("f1a0", "0120"), 480, serial="G1", ma=300, functions=(BULK,))
ADAPTER = Thing(3, "Serial adapter", ("f1b0", "6001"), 12, ma=90, functions=((0xFF, 0xFF, 0xFF, "ftdi_sio"),), com="7")
WHEEL = Thing(4, "Wheel", ("f1b1", "0003"), 12, maker="", ma=100, functions=((3, 0, 0, "usbhid"),))
HUB = Thing(1, "Pier USB3 Hub", ("f1c0", "0830"), 5000, ports=4, below=(MAIN, GUIDE, ADAPTER, WHEEL))
KEYS = Thing(3, "Keyboard", ("f1d0", "0001"), 1.5, ma=98, functions=((3, 1, 1, "usbhid"),))

PIER = Machine((Controller("0000:00:14.0", ("8086", "a36d"), 6, (HUB, KEYS)),))

SKY = Thing(2, "All-sky", ("f1a0", "0700"), 480, ma=500, codes=(0xEF, 2, 1), functions=((14, 1, 0, "uvcvideo"),
            (14, 2, 0, "uvcvideo")))  # fmt: skip
TWIN_A = Thing(1, "Focuser", ("f1b0", "7523"), 12, maker="", functions=((0xFF, 1, 2, "ch341"),), com="3")
TWIN_B = Thing(3, "Focuser", ("f1b0", "7523"), 12, maker="", functions=((0xFF, 1, 2, "ch341"),), com="4")
INNER = Thing(2, "Inner Hub", ("f1c1", "2513"), 480, ports=3, below=(TWIN_A, TWIN_B))
OUTER = Thing(4, "Outer Hub", ("f1c1", "2514"), 480, ports=4, below=(TWIN_A, INNER))
DISK = Thing(1, "Disk", ("f1e0", "5591"), 10000, serial="D000000001", ma=896, functions=((8, 6, 0x50, "usb-storage"),))
MEADOW = Machine((
    Controller("0000:03:00.0", ("1912", "0014"), 4, (DISK, SKY, OUTER), "AppleUSBXHCITR"),
    Controller("xhci-hcd.7.auto", ("", ""), 2, (Thing(1, "Müller's µ-rotator", ("f1b2", "0001"), 12, serial="ß 1",
               functions=((2, 2, 1, "cdc_acm"), (10, 0, 0, "cdc_acm"))),), "AppleUSBXHCIAR"),
))  # fmt: skip

EVIL = "x\x1b[31m</svg>\u202e`|$(id)\" <class Y: {[% ' 'E: A=B"
HOSTILE = Machine((
    Controller("0000:00:1a.0", ("8086", "1e2d"), 2, (
        Thing(1, EVIL, ("ffff", "fffe"), 480, maker=EVIL, serial=EVIL, functions=(BULK,)),
        Thing(2, "Hub", ("f1c9", "0001"), 480, ports=2, below=(Thing(2, "T:  Bus=01 Lev=09", ("0001", "0002"), 12),)),
    ), "AppleUSBEHCIPCI"),
))  # fmt: skip

MACHINES = {"pier": PIER, "meadow": MEADOW, "hostile": HOSTILE}
