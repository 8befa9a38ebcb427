"""The USB part of the text that DxDiag saves: root hubs, hubs, composite devices and input devices, nothing else.

A camera that is missing there may be plugged in all the same. Keys are English in every language. The location of an
interface holds the controller and the whole chain; that of a device only the socket of its hub.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from topo.errors import ScanError
from topo.frozen import replace
from topo.live.listings.assemble import assembled, loose, root_hub, short
from topo.live.listings.values import hex4, told
from topo.live.listings.win import SOCKET
from topo.model.limits import Limits
from topo.model.sighting import HostController, Interface, Scan, Sighting, device_id

LIMITS = Limits(
    devices="none", places="some", speeds="none", abilities="none", serials="none", classes="some", halves="none",
    sockets="none", power="none", sleep="none", over_current="none", history="none", serial_ports="none",
)  # fmt: skip

HEAD = re.compile(r"^[> \t]*USB Devices[ \t]*$", re.MULTILINE)
NODE = re.compile(r"^((?:\| ?)*)\+(-\+)? (.*)$")
FACT = re.compile(r"^(?:\| ?)*([A-Z][A-Za-z/ ]{1,40}): ?(.*)$")
DOTTED = re.compile(r"([0-9]{4})\.([0-9A-Fa-f]{4})\.([0-9]{4})((?:\.[0-9]{3}){6})")
FUNCTION = re.compile(r"USB\\Class_([0-9A-F]{2})(?:&SubClass_([0-9A-F]{2}))?(?:&Prot_([0-9A-F]{2}))?", re.IGNORECASE)


@dataclass
class _Node:
    """One entry while its lines are read."""

    depth: int
    name: str
    facts: dict[str, str] = field(default_factory=dict)
    above: _Node | None = None
    below: list[_Node] = field(default_factory=list)

    @property
    def matching(self) -> str:
        return self.facts.get("Matching Device ID", "").upper()

    @property
    def is_root(self) -> bool:
        return self.matching.startswith("USB\\ROOT_HUB")

    @property
    def dotted(self) -> tuple[str, tuple[int, ...]] | None:
        """Controller's address and whole chain, of an interface."""
        match = DOTTED.fullmatch(self.facts.get("Location", "").strip())
        if match is None:
            return None
        chain = tuple(int(part) for part in match[4].split(".")[1:] if int(part))
        return f"0000:{int(match[1]):02x}:{int(match[2], 16):02x}.{int(match[3])}", chain

    @property
    def ids(self) -> tuple[str | None, str | None]:
        vendor, _, product = self.facts.get("Vendor/Product ID", "").partition(",")
        return hex4(vendor), hex4(product.strip())


def looks_like(text: str) -> bool:
    """True where the text has the section and an entry's key."""
    return HEAD.search(text) is not None and "Matching Device ID:" in text


def read(text: str) -> Scan:
    """The scan of the section. Raises ScanError where it has no entry."""
    roots = list(_trees(text))
    if not roots:
        raise ScanError("the section 'USB Devices' of this text is empty")
    seen: list[Sighting] = []
    names: dict[int, str] = {}
    problems: list[str] = []
    hubs = {}
    for bus, top in enumerate(roots, 1):
        names[bus] = _controller(top) or f"root hub {bus}"
        hubs[bus] = replace(root_hub(bus, names[bus]), product=told(top.name) if top.is_root else None)
        for node in top.below if top.is_root else (top,):
            seen += _devices(node, bus, (), len(seen))
    tree = assembled(seen, problems, hubs)
    return Scan(
        when="",
        system="windows",
        kernel=None,
        scanner="dxdiag-text",
        controllers=tuple(HostController(names[b], (b,), *roots[b - 1].ids) for b in names),
        sightings=tuple(replace(s, controller=names.get(s.bus)) for s in tree),
        problems=short(problems),
        limits=LIMITS,
    )


def _trees(text: str) -> Iterator[_Node]:
    """The entries that stand at the left edge, each with what is below it."""
    match = HEAD.search(text)
    lines = text[match.end() :].split("\n")[2:] if match else []
    open_: list[_Node] = []
    tops: list[_Node] = []
    for raw in lines:
        line = re.sub(r"^[> \t]+", "", raw[:4096])
        if re.match(r"-{5,}\s*$", line):
            break
        if node := NODE.match(line):
            depth = node[1].count("|") + (1 if node[2] else 0)
            made = _Node(depth, node[3].strip())
            del open_[max(0, min(depth, len(open_))) :]
            if open_:
                made.above = open_[-1]
                open_[-1].below.append(made)
            else:
                tops.append(made)
            open_.append(made)
        elif (fact := FACT.match(line)) and open_:
            open_[-1].facts.setdefault(fact[1], fact[2].strip())
    yield from (top for top in tops if top.facts)


def _every(node: _Node) -> Iterator[_Node]:
    pending = [node]
    while pending:
        one = pending.pop()
        yield one
        pending += reversed(one.below)


def _controller(top: _Node) -> str | None:
    return next((node.dotted[0] for node in _every(top) if node.dotted), None)


def _is_device(node: _Node) -> bool:
    """Entries of USB devices: interfaces have a chain as location, and what is below them is no USB."""
    return node.dotted is None and SOCKET.match(node.facts.get("Location", "")) is not None


def _devices(node: _Node, bus: int, above: tuple[int, ...] | None, count: int) -> list[Sighting]:
    """Devices at and below an entry. `above` is the chain of the hub it hangs on, None where that is not known."""
    if not _is_device(node):
        return []
    socket = SOCKET.match(node.facts["Location"])
    number = int(socket[1]) if socket else 0
    chain = (*above, number) if above is not None and number else None
    told_ = next((inner.dotted[1] for inner in node.below if inner.dotted), None)
    chain = told_ or chain
    found = [_sighting(node, bus, chain, count + 1)]
    for inner in node.below:
        found += _devices(inner, bus, chain, count + len(found))
    return found


def _sighting(node: _Node, bus: int, chain: tuple[int, ...] | None, number: int) -> Sighting:
    vendor, product = node.ids
    service = node.facts.get("Service", "")
    is_hub = service.lower().startswith("usbhub") or any(_is_device(inner) for inner in node.below)
    interfaces = [made for n, inner in enumerate(node.below) if (made := _function(inner, n)) is not None]
    own = _function(node, 0)
    return Sighting(
        id=device_id(bus, chain) if chain else loose(number, bus),
        bus=bus,
        ports=chain or (),
        vendor_id=vendor,
        product_id=product,
        usb_class=9 if is_hub else None,
        product=told(node.name),
        interfaces=() if is_hub else tuple(interfaces) or ((own,) if own else ()),
    )


def _function(node: _Node, number: int) -> Interface | None:
    match = FUNCTION.fullmatch(node.facts.get("Matching Device ID", "").strip())
    if match is None:
        return None
    usb_class, subclass, protocol = (int(part, 16) if part else 0 for part in match.groups())
    return Interface(number, 0, None, usb_class, subclass, protocol, told(node.facts.get("Service")))
