"""What `after:` names: parts of the file, and no part that waits for itself in the end."""

from __future__ import annotations

from functools import partial
from typing import Any

from topo.model.rig import COMPUTER
from topo.rigfile.content import Content
from topo.rigfile.problems import Problems, nearest, shown


def check_order(content: Content, hubs: dict[str, Any], devices: dict[str, Any], problems: Problems) -> None:
    """Notes each part that is to be connected after one that does not exist, or in the end after itself."""
    waits: dict[str, str] = {}
    names = (COMPUTER, *hubs, *devices)
    for section, entries in (("hubs", hubs), ("devices", devices)):
        for name, entry in entries.items():
            first = entry.get("after") if isinstance(entry, dict) else None
            if not isinstance(first, str) or not first:
                continue
            place = content.value_at(section, name, "after")
            if first not in names:
                message = f"there is no part '{shown(first)}' to be connected after"
                problems.add(place.line, place.column, message, partial(nearest, first, names))
                continue
            waits[name] = first
            if _comes_back(name, waits):
                message = f"'{shown(name)}' would wait for itself"
                problems.add(place.line, place.column, message, "leave one `after` out")
                del waits[name]


def _comes_back(name: str, waits: dict[str, str]) -> bool:
    here, seen = waits.get(name), {name}
    while here is not None:
        if here in seen:
            return True
        seen.add(here)
        here = waits.get(here)
    return False
