"""What `system_profiler SPUSBDataType` prints as text, and the text of the data type that followed it.

A name ends in a colon with nothing behind it and may hold colons itself; properties stand deeper than their name.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from topo.live.listings.mac_profiler import (
    BUILT_IN_KEYS,
    CLAIMED_KEYS,
    DRIVER_KEYS,
    LOCATION_KEYS,
    MAKER_KEYS,
    PRODUCT_KEYS,
    SERIAL_KEYS,
    SPEED_KEYS,
    VENDOR_KEYS,
    ProfilerItem,
    profiler_scan,
)
from topo.live.listings.values import lines_of
from topo.model.sighting import Scan

HEAD = re.compile(r"^[> \t]*USB:[ \t]*$", re.MULTILINE)
SIGN = re.compile(r"^[> \t]*(?:Host Controller Driver|USB Vendor ID|Link Speed|Vendor ID|Location ID): ", re.MULTILINE)
KEYS = frozenset((
    *LOCATION_KEYS, *PRODUCT_KEYS, *VENDOR_KEYS, *SPEED_KEYS, *SERIAL_KEYS, *MAKER_KEYS, *CLAIMED_KEYS, *BUILT_IN_KEYS,
    *DRIVER_KEYS, "Version",
))  # fmt: skip

"""Properties that may be empty and then look like a name."""

OTHER_TYPE = re.compile(r"[A-Z][A-Za-z/ ]{1,30}:")
"""The head of another data type, where a whole report was pasted."""


def looks_like(text: str) -> bool:
    """True where the text has the head and a line of a bus or device."""
    return HEAD.search(text) is not None and SIGN.search(text) is not None


@dataclass
class _Node:
    """An item while its lines are read."""

    name: str
    indent: int
    facts: dict[str, str] = field(default_factory=dict)
    items: list[_Node] = field(default_factory=list)

    def item(self) -> ProfilerItem:
        return ProfilerItem(self.name, self.facts, tuple(node.item() for node in self.items))


MOST_DEEP = 30


def read(text: str) -> Scan:
    """The scan of the text. Raises ScanError where it has no bus."""
    top = _Node("", -1)
    open_: list[_Node] = [top]
    inside = False
    for line in lines_of(text):
        body = line.strip()
        if body == "USB:":
            inside, open_ = True, [top]
            continue
        if not inside or not body:
            continue
        if line[0] not in " \t" and OTHER_TYPE.fullmatch(body):
            inside = False
            continue
        _take(line, body, open_)
    return profiler_scan(tuple(node.item() for node in top.items), "system-profiler-text")


def _take(line: str, body: str, open_: list[_Node]) -> None:
    indent = len(line) - len(line.lstrip())
    key, colon, value = body.partition(":")
    if body.endswith(":") and body[:-1].rstrip() not in KEYS:
        while len(open_) > 1 and open_[-1].indent >= indent:
            open_.pop()
        if len(open_) < MOST_DEEP:
            node = _Node(body[:-1].rstrip(), indent)
            open_[-1].items.append(node)
            open_.append(node)
    elif colon and len(open_) > 1:
        while len(open_) > 2 and open_[-1].indent >= indent:
            open_.pop()
        open_[-1].facts.setdefault(key.rstrip(), value.strip())
