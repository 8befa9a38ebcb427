"""What `udevadm info --export-db` prints: blocks of lines, one letter and a colon before each.

Keys and letters: udevadm(8) and recordings. Speeds, currents and port counts are not in that database; the root hub's
product number tells which side of USB a bus is.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import field

from topo.errors import ScanError
from topo.frozen import frozen, replace
from topo.live.listings.assemble import assembled, short
from topo.live.listings.values import hex4, lines_of, told, whole
from topo.live.places import DEVICE, INTERFACE, owner_of, place_of
from topo.live.serialports import with_shared
from topo.live.udevdata import MOST_PORT_LINKS, read_port
from topo.live.words import MOST_CHARACTERS, number
from topo.model.limits import Limits
from topo.model.sighting import HostController, Interface, Scan, SerialPort, Side, Sighting

LIMITS = Limits(
    abilities="none", classes="some", halves="some", sockets="none", power="none", sleep="none", over_current="none",
    speeds="some", history="some",
)  # fmt: skip

ONE_BRANCH = replace(LIMITS, devices="some", speeds="all", power="some", sockets="some", history="none")
"""Recordings of a test bed hold sysfs attributes too, and often the one device that was wanted, with what is above."""

SIGN = re.compile(r"^[> \t]*P: /(?:devices|bus)/", re.MULTILINE)
LETTER = re.compile(r"^\s*([A-Z]): ?(.*)$")
ROOT_SIDES: Mapping[str, Side] = {"0001": "usb2", "0002": "usb2", "0003": "superspeed"}


@frozen
class UdevBlock:
    """One device of the database: its path, its properties, and its further names below /dev.

    A recording of a test bed has its attributes too.
    """

    path: str
    facts: Mapping[str, str]
    links: tuple[str, ...] = ()
    attributes: Mapping[str, str] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The last part of the path."""
        return self.path.rpartition("/")[2]


def looks_like(text: str) -> bool:
    """True where a block has a path and properties."""
    return SIGN.search(text) is not None and "E: " in text


def read(text: str) -> Scan:
    """The scan of the text. Raises ScanError where no USB device is in it."""
    blocks = list(_blocks(text))
    devices = [b for b in blocks if DEVICE.fullmatch(b.name) and b.facts.get("DEVTYPE", "usb_device") == "usb_device"]
    if not devices:
        raise ScanError("this database of udev has no USB device in it; `udevadm info --export-db` prints all of it")
    interfaces: dict[str, list[Interface]] = {}
    for block in blocks:
        if (made := _interface(block)) is not None:
            interfaces.setdefault(owner_of(block.name), []).append(made)
    sides = {place_of(b.name)[0]: side for b in devices if (side := _root_side(b))}
    problems: list[str] = []
    seen = [_sighting(block, tuple(interfaces.get(block.name, ())), sides) for block in devices]
    tree = assembled(seen, problems)
    controllers = _controllers(devices)
    of_bus = {bus: c.id for c in controllers for bus in c.buses}
    return Scan(
        when="",
        system="linux",
        kernel=None,
        scanner="udev-text",
        controllers=controllers,
        sightings=tuple(replace(s, controller=of_bus.get(s.bus)) for s in tree),
        serial_ports=with_shared(_serial_ports(blocks)),
        problems=short(problems),
        limits=ONE_BRANCH if any(block.attributes for block in devices) else LIMITS,
    )


def _blocks(text: str) -> Iterator[UdevBlock]:
    path, facts, links, attributes = "", dict[str, str](), list[str](), dict[str, str]()
    for line in lines_of(text):
        match = LETTER.match(line)
        if match is None:
            continue
        if match[1] == "P":
            if path:
                yield UdevBlock(path, facts, tuple(links), attributes)
            path, facts, links, attributes = match[2].strip(), {}, [], {}
        elif match[1] == "S" and len(links) < MOST_PORT_LINKS:
            links.append(f"S:{match[2].strip()}")
        elif match[1] == "E":
            key, _, value = match[2].partition("=")
            facts.setdefault(key, value)
        elif match[1] == "A":
            key, _, value = match[2].partition("=")
            attributes.setdefault(key, value.removesuffix("\\n").strip())
        elif match[1] == "H" and match[2].partition("=")[0] in ("manufacturer", "product", "serial"):
            key, _, value = match[2].partition("=")
            attributes.setdefault(key, _of_hex(value))
    if path:
        yield UdevBlock(path, facts, tuple(links), attributes)


def _product(block: UdevBlock) -> tuple[str | None, str | None]:
    """Vendor and product: PRODUCT is hexadecimal without leading zeros."""
    parts = block.facts.get("PRODUCT", "").split("/")
    vendor, product = block.facts.get("ID_VENDOR_ID"), block.facts.get("ID_MODEL_ID")
    own = block.attributes
    return (
        hex4(parts[0]) or hex4(vendor) or hex4(own.get("idVendor")),
        hex4(parts[1] if len(parts) > 1 else None) or hex4(product) or hex4(own.get("idProduct")),
    )


def _root_side(block: UdevBlock) -> Side | None:
    vendor, product = _product(block)
    return ROOT_SIDES.get(product or "") if block.name.startswith("usb") and vendor == "1d6b" else None


def _sighting(block: UdevBlock, interfaces: tuple[Interface, ...], sides: Mapping[int, Side]) -> Sighting:
    bus, ports = place_of(block.name)
    vendor, product = _product(block)
    codes = [whole(part, 255) for part in block.facts.get("TYPE", "").split("/")]
    codes += [None] * (3 - len(codes))
    own = block.attributes
    if codes[0] is None:
        codes = [_hex(own.get(key)) for key in ("bDeviceClass", "bDeviceSubClass", "bDeviceProtocol")]
    return Sighting(
        id=block.name,
        bus=bus,
        ports=ports,
        devnum=whole((block.facts.get("DEVNUM") or own.get("devnum", "")).lstrip("0"), 1 << 20),
        vendor_id=vendor,
        product_id=product,
        usb_class=codes[0],
        subclass=codes[1],
        protocol=codes[2],
        manufacturer=told(own.get("manufacturer")) or _string(block, "ID_VENDOR", vendor),
        product=told(own.get("product")) or _string(block, "ID_MODEL", product),
        serial=told(own.get("serial")) or told(_decoded(block.facts.get("ID_SERIAL_SHORT", ""))),
        interfaces=interfaces,
        side=sides.get(bus),
        speed_mbit=number(own["speed"].encode("utf-8", "replace")) if "speed" in own else None,
        max_child=whole(own.get("maxchild"), 255),
        max_power_ma=whole(own.get("bMaxPower", "").removesuffix("mA"), 100_000),
    )


def _of_hex(text: str) -> str:
    """The text whose bytes are written in hexadecimal; empty where they are not."""
    try:
        return bytes.fromhex(text[: 4 * MOST_CHARACTERS]).decode("utf-8", "replace").strip()
    except ValueError:
        return ""


def _hex(text: str | None) -> int | None:
    match = re.fullmatch(r"[0-9a-fA-F]{1,2}", text or "")
    return int(match[0], 16) if match else None


def _string(block: UdevBlock, key: str, number: str | None) -> str | None:
    """The device's own word; udev puts the number in its place where there is none."""
    word = told(_decoded(block.facts.get(f"{key}_ENC") or block.facts.get(key, "")))
    return None if word is not None and word.lower() == number else word


def _decoded(text: str) -> str:
    r"""`\x20` as the byte it stands for, the bytes as UTF-8."""
    raw = re.sub(rb"\\x([0-9a-fA-F]{2})", lambda match: bytes([int(match[1], 16)]), text.encode("utf-8", "replace"))
    return raw.decode("utf-8", "replace")


def _interface(block: UdevBlock) -> Interface | None:
    match = INTERFACE.fullmatch(block.name)
    codes = [whole(part, 255) for part in block.facts.get("INTERFACE", "").split("/")]
    number = whole(match[4], 255) if match else None
    if number is None or len(codes) != 3 or None in codes:
        return None
    usb_class, subclass, protocol = (code or 0 for code in codes)
    return Interface(number, 0, None, usb_class, subclass, protocol, told(block.facts.get("DRIVER")))


def _controllers(devices: list[UdevBlock]) -> tuple[HostController, ...]:
    """The part of the path before the root hub: both sides of one controller share it."""
    buses: dict[str, set[int]] = {}
    for block in devices:
        above, mark, _ = block.path.partition("/usb")
        if mark and above:
            buses.setdefault(above.rpartition("/")[2][:200], set()).add(place_of(block.name)[0])
    return tuple(HostController(name, tuple(sorted(numbers))) for name, numbers in buses.items())


def _serial_ports(blocks: list[UdevBlock]) -> Iterator[SerialPort]:
    for block in blocks:
        name = block.facts.get("DEVNAME", "")
        if block.facts.get("SUBSYSTEM") != "tty" or not re.search(r"/tty(?:USB|ACM)[0-9]{1,4}$", name):
            continue
        above = [part for part in block.path.split("/") if INTERFACE.fullmatch(part)]
        if above:
            number = whole(above[-1].rpartition(".")[2], 255)
            kept = read_port("\n".join(block.links).encode("utf-8", "replace"))
            yield SerialPort(name, owner_of(above[-1]), number, told(block.facts.get("ID_USB_DRIVER")),
                             number=_port_number(kept.links), links=kept.links)


def _port_number(links: tuple[str, ...]) -> int | None:
    """Which port of an adapter it is, where a name of udev's rules ends with that."""
    found = {match[1] for link in links if (match := re.search(r"-port([0-9]{1,3})$", link))}
    return int(found.pop()) if len(found) == 1 else None
