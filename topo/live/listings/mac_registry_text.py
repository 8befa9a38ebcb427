"""What `ioreg -p IOUSB` prints as text, with `-l` or names only, and the USB part of a whole dump."""

from __future__ import annotations

import re
from collections.abc import Iterator

from topo.live.listings.mac import location_of
from topo.live.listings.mac_registry import RegistryEntry, registry_scan
from topo.live.listings.values import lines_of
from topo.model.sighting import Scan

NODE = re.compile(r"^[ \t|]*\+-o (.*)@([0-9a-fA-F]{6,8})[ \t]*<class ([\w.]+)")
PLAIN_NODE = re.compile(r"^[ \t|]*\+-o (.*?)()[ \t]*<class ([\w.]+)")
SIGN = re.compile(r"^[> \t|]*\+-o .{1,300}<class ", re.MULTILINE)
PROPERTY = re.compile(r'^[ \t|]*"([^"]{1,100})" = (.*)$')


def looks_like(text: str) -> bool:
    """True where a line has an entry with its class."""
    return SIGN.search(text) is not None


def read(text: str) -> Scan:
    """The scan of the text. Raises ScanError where nothing of it is USB."""
    return registry_scan(_entries(text), "ioreg-text")


def _entries(text: str) -> Iterator[RegistryEntry]:
    entry: RegistryEntry | None = None
    facts: dict[str, object] = {}
    for line in lines_of(text):
        if match := NODE.match(line) or PLAIN_NODE.match(line):
            if entry is not None:
                yield entry
            facts = {}
            entry = RegistryEntry(match[1], location_of(match[2]), match[3], facts)
        elif match := PROPERTY.match(line):
            facts.setdefault(match[1], _value(match[2].strip()))
    if entry is not None:
        yield entry


def _value(text: str) -> object:
    """Integers and texts; other values (data, dictionaries, yes and no) are not asked for."""
    if re.fullmatch(r"[0-9]{1,20}", text):
        return int(text)
    if text.startswith('"'):
        return text[1:].removesuffix('"')
    return None
