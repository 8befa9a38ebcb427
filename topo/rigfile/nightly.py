"""What the section `night:` names: parts that copy, the adapter the screen goes out by. Names of nothing are told."""

from __future__ import annotations

from functools import partial
from typing import Any

from topo.rigfile.content import Content
from topo.rigfile.problems import Problems, nearest, shown

MOVERS = ("network", "storage")


def check_night(content: Content, devices: dict[str, Any], problems: Problems) -> None:
    """Notes each part of the night's copying and remote desktop that is no device, or none that moves files."""
    night = content.data.get("night")
    if not isinstance(night, dict):
        return
    copying, remote = night.get("copying"), night.get("remote_desktop")
    for name, entry in copying.items() if isinstance(copying, dict) else ():
        _known(content, ("night", "copying", name), name, devices, problems)
        if isinstance(entry, dict):
            _spans(content, name, entry, problems)
    through = remote.get("through") if isinstance(remote, dict) else None
    if isinstance(through, str) and through:
        _known(content, ("night", "remote_desktop", "through"), through, devices, problems)


def _known(content: Content, path: tuple[str, ...], name: str, devices: dict[str, Any], problems: Problems) -> None:
    place = content.key_at(*path) if path[-1] == name else content.value_at(*path)
    if name not in devices:
        message = f"there is no device '{shown(name)}' here"
        problems.add(place.line, place.column, message, partial(nearest, name, devices))
        return
    entry = devices[name]
    role = entry.get("role") if isinstance(entry, dict) else None
    if isinstance(role, str) and role not in MOVERS:
        message = f"'{shown(name)}' moves no files: its role is {shown(role)}"
        problems.add(place.line, place.column, message, "name a device of the role storage or network")


def _spans(content: Content, name: str, entry: dict[str, Any], problems: Problems) -> None:
    """`for_s` and `every_s` belong together, and say no other time than `when`."""
    both = [key for key in ("for_s", "every_s") if key in entry]
    place = content.key_at("night", "copying", name)
    if len(both) == 1:
        other = "every_s" if both == ["for_s"] else "for_s"
        message = f"'{shown(name)}' has `{both[0]}` and lacks `{other}`"
        problems.add(place.line, place.column, message, "for instance {for_s: 60, every_s: 600}")
    elif both and "when" in entry:
        message = f"'{shown(name)}' says when it copies twice"
        problems.add(place.line, place.column, message, "leave out `when`, or `for_s` and `every_s`")
