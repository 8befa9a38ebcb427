"""The kernel's usb/devices text, and that of the `usb-devices` script, as people paste them, read as a scan.

Tolerated: quote marks before each line, Windows line ends, lines wrapped by a mail program, buses in any order, a cut
end, prose around it. Line kinds and fields: Linux `Documentation/driver-api/usb/usb.rst`,
`drivers/usb/core/devices.c`. The kernel stars what is in use; the script prints only that, and no star.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from topo.errors import ScanError
from topo.frozen import replace
from topo.live.descriptors import TRANSFER_KINDS
from topo.live.listings.usb_devices_tree import UsbDevicesBlock, controllers_of, planted
from topo.live.words import MOST_CHARACTERS
from topo.model.limits import Limits
from topo.model.sighting import Endpoint, Interface, Scan, Sighting

TAGGED = re.compile(r"([TBDPSCAIE]):([ *])\s*(.*)")
QUOTE = re.compile(r"(?:[ \t]{0,20}[>|]){0,20}[ \t]*")
FIELD = re.compile(r"(?<![A-Za-z#])([A-Za-z#]{1,12})=\s*([^\s=]+)(?=\s|$)")
TOPOLOGY = re.compile(r"^(?:[ \t]{0,20}[>|]){0,20}[ \t]{0,200}T:[ \t]+Bus=[ \t]*[0-9]", re.MULTILINE)
STARRED = re.compile(r"^(?:[ \t]{0,20}[>|]){0,20}[ \t]{0,200}(?:[CI]:\*|B:[ \t])", re.MULTILINE)
LIMITS = Limits(
    abilities="none", halves="some", sockets="some", sleep="none", over_current="none", history="some",
    serial_ports="none", controllers="some",
)  # fmt: skip
MOST_DEVICES = 5000
MOST_LINE = 4 * MOST_CHARACTERS


def looks_like(text: str) -> bool:
    """True where the text has at least one topology line."""
    return TOPOLOGY.search(text) is not None


def read(text: str) -> Scan:
    """The tree that the text describes. Raises ScanError where it has no device at all."""
    script = STARRED.search(text) is None
    blocks = _blocks(text, script)
    if not blocks:
        raise ScanError("no line of this text describes a USB device")
    problems = [problem for block in blocks for problem in block.problems]
    sightings = planted([block.placed() for block in blocks], problems)
    controllers, named = controllers_of(sightings)
    ends = any(interface.endpoints for seen in named for interface in seen.interfaces)
    return Scan(
        when="",
        system="linux",
        kernel=None,
        scanner="usb-devices-script-text" if script else "usb-devices-text",
        controllers=controllers,
        sightings=tuple(sorted(named, key=lambda s: s.order)),
        problems=tuple(dict.fromkeys(problems))[:50],
        limits=replace(LIMITS, classes="all" if ends else "some"),
    )


@dataclass
class _Block:
    """One device while its lines are read."""

    bus: int
    level: int
    parent: int
    port: int
    devnum: int
    sighting: Sighting
    script: bool
    in_use: bool = True
    interfaces: list[Interface] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)

    def placed(self) -> UsbDevicesBlock:
        """The block read. Old kernels star no interface line: then which setting is in use is not told."""
        stars = any(i.active for i in self.interfaces)
        interfaces = self.interfaces if stars else [replace(i, active=None) for i in self.interfaces]
        whole = replace(self.sighting, interfaces=tuple(interfaces))
        return UsbDevicesBlock(self.bus, self.level, self.port, self.parent, self.devnum, whole)


def _blocks(text: str, script: bool) -> list[_Block]:
    blocks: list[_Block] = []
    for tag, star, rest in _lines(text):
        if tag == "T":
            block = _topology(rest, script)
            if block is not None and len(blocks) < MOST_DEVICES:
                blocks.append(block)
        elif blocks:
            _add(blocks[-1], tag, star, rest)
    return blocks


def _lines(text: str) -> Iterator[tuple[str, bool, str]]:
    """Tagged lines as (tag, starred, rest), with what a mail program wrapped put back."""
    held: tuple[str, bool, str] | None = None
    for raw in text.splitlines():
        line = raw[:MOST_LINE]
        line = line[QUOTE.match(line).end() :].rstrip()  # type: ignore[union-attr]  # it matches nothing at least
        match = TAGGED.match(line)
        if match:
            if held:
                yield held
            held = (match[1], match[2] == "*", match[3])
        elif not line:
            if held:
                yield held
            held = None
        elif held:
            held = (held[0], held[1], f"{held[2]} {line.strip()}"[:MOST_LINE])
    if held:
        yield held


def _fields(rest: str) -> dict[str, str]:
    """The NAME=value pairs of a line; a value is one word."""
    return dict(FIELD.findall(rest))


def _int(fields: dict[str, str], name: str, base: int = 10, most: int = 1 << 20) -> int | None:
    match = re.match(r"[0-9a-fA-F]{1,7}" if base == 16 else r"[0-9]{1,7}", fields.get(name, ""))
    value = int(match[0], base) if match else None
    return value if value is not None and value <= most else None


def _topology(rest: str, script: bool) -> _Block | None:
    fields = _fields(rest)
    bus, level, devnum = _int(fields, "Bus", most=65_535), _int(fields, "Lev", most=30), _int(fields, "Dev#")
    if bus is None or level is None or devnum is None:
        return None
    parent, port = _int(fields, "Prnt") or 0, _int(fields, "Port", most=254)
    speed = re.match(r"[0-9]{1,6}(?:\.[0-9]{1,2})?", fields.get("Spd", ""))
    sighting = Sighting(
        id=f"{bus}-?{devnum}",
        bus=bus,
        ports=(),
        devnum=devnum,
        speed_mbit=float(speed[0]) if speed else None,
        max_child=_int(fields, "MxCh", most=255),
    )
    return _Block(bus, level, parent, (port or 0) + 1, devnum, sighting, script)


def _add(block: _Block, tag: str, star: bool, rest: str) -> None:
    fields = _fields(rest)
    if tag == "D":
        version = re.match(r"[0-9]{1,2}\.[0-9]{1,2}", fields.get("Ver", ""))
        block.sighting = replace(
            block.sighting,
            usb_version=float(version[0]) if version else None,
            usb_class=_int(fields, "Cls", 16, 255),
            subclass=_int(fields, "Sub", 16, 255),
            protocol=_int(fields, "Prot", 16, 255),
        )
    elif tag == "P":
        vendor, product = _int(fields, "Vendor", 16, 0xFFFF), _int(fields, "ProdID", 16, 0xFFFF)
        block.sighting = replace(
            block.sighting,
            vendor_id=None if vendor is None else f"{vendor:04x}",
            product_id=None if product is None else f"{product:04x}",
        )
    elif tag == "S":
        _string(block, rest)
    elif tag == "C":
        block.in_use = star or block.script
        if block.in_use:
            attributes = _int(fields, "Atr", 16, 255)
            block.sighting = replace(
                block.sighting,
                max_power_ma=_int(fields, "MxPwr"),
                self_powered=None if attributes is None else bool(attributes & 0x40),
            )
    elif tag == "I" and block.in_use:
        _interface(block, star, fields)
    elif tag == "E" and block.in_use:
        _endpoint(block, fields)


def _string(block: _Block, rest: str) -> None:
    name, _, value = rest.partition("=")
    value = value[:MOST_CHARACTERS]
    if value and name == "Manufacturer":
        block.sighting = replace(block.sighting, manufacturer=value)
    elif value and name == "Product":
        block.sighting = replace(block.sighting, product=value)
    elif value and name == "SerialNumber":
        block.sighting = replace(block.sighting, serial=value)


def _interface(block: _Block, star: bool, fields: dict[str, str]) -> None:
    number, setting = _number(fields.get("If#", "")), _int(fields, "Alt", most=255)
    if number is None or setting is None:
        block.problems.append(f"bus {block.bus} device {block.devnum}: an interface line could not be read")
        return
    driver = fields.get("Driver")
    block.interfaces.append(
        Interface(
            number,
            setting,
            star or block.script,
            _int(fields, "Cls", 16, 255) or 0,
            _int(fields, "Sub", 16, 255) or 0,
            _int(fields, "Prot", 16, 255) or 0,
            None if driver in (None, "(none)") else driver,
        )
    )


def _number(text: str) -> int | None:
    """An interface's number: "0", or "0x1" as some versions of the script print it."""
    match = re.fullmatch(r"0x([0-9a-fA-F]{1,2})|([0-9]{1,3})", text)
    value = None if match is None else int(match[1], 16) if match[1] else int(match[2])
    return value if value is not None and value <= 255 else None


def _endpoint(block: _Block, fields: dict[str, str]) -> None:
    address, attributes, packet = _int(fields, "Ad", 16, 255), _int(fields, "Atr", 16, 255), _int(fields, "MxPS")
    if address is None or attributes is None or packet is None or not block.interfaces:
        block.problems.append(f"bus {block.bus} device {block.devnum}: an endpoint line could not be read")
        return
    kind = TRANSFER_KINDS[attributes & 3]
    times = -(-packet // 1024) if packet > 1024 else 1
    interval = re.match(r"([0-9]{1,7})(ms|us)", fields.get("Ivl", ""))
    length = float(interval[1]) * (1000 if interval[2] == "ms" else 1) if interval else 0.0
    last = block.interfaces[-1]
    told = Endpoint(address, kind, packet // times, packet, length if length and kind in ("iso", "interrupt") else None)
    block.interfaces[-1] = replace(last, endpoints=(*last.endpoints, told))
