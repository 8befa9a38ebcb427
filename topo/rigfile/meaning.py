"""What only the whole document shows: names used twice, names of nothing, plugs that go round in a loop.

Works on the plain content, so that it tells its problems even where the schema found others. What needs profiles
(sockets that exist, sockets used twice) is not known here.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from topo.model.rig import COMPUTER
from topo.rigfile.content import Content
from topo.rigfile.document import KeyPath
from topo.rigfile.meant import meant_by_key
from topo.rigfile.measured import check_measured
from topo.rigfile.nightly import check_night
from topo.rigfile.order import check_order
from topo.rigfile.problems import Problems, nearest, shown


def check_meaning(content: Content, problems: Problems) -> None:
    """Notes every name that refers to nothing or to the wrong thing, and every loop."""
    hubs, devices = _section(content.data, "hubs"), _section(content.data, "devices")
    for name in devices:
        if name in hubs:
            place = content.key_at("devices", name)
            line = content.key_at("hubs", name).line
            message = f"'{shown(name)}' is the name of a hub already, on line {line}"
            problems.add(place.line, place.column, message, "every part has a name of its own")
    _plugs(content, hubs, devices, problems)
    for key in ("guides", "pulse_lead"):
        _mounts(content, hubs, devices, problems, key)
    check_order(content, hubs, devices, problems)
    check_measured(content, devices, problems)
    _ways_in(content, devices, problems)
    _leads(content, (*hubs, *devices), problems)
    check_night(content, devices, problems)
    for path, entry in _computers(content.data):
        check_controllers(content, path, entry, problems)


def _section(data: Any, name: str) -> dict[str, Any]:
    found = data.get(name) if isinstance(data, dict) else None
    return found if isinstance(found, dict) else {}


def _text(entry: Any, key: str) -> str | None:
    found = entry.get(key) if isinstance(entry, dict) else None
    return found if isinstance(found, str) and found else None


def _plugs(content: Content, hubs: dict[str, Any], devices: dict[str, Any], problems: Problems) -> None:
    names = (COMPUTER, *hubs, *devices)
    known = set(names)
    above: dict[str, str] = {}
    where: dict[str, str] = {}
    for section, entries in (("hubs", hubs), ("devices", devices)):
        for name, entry in entries.items():
            plug = _text(entry, "plug")
            if plug is None or plug.count("/") != 1:
                continue
            part = plug.split("/")[0]
            place = content.value_at(section, name, "plug")
            if part == name:
                problems.add(place.line, place.column, f"'{shown(name)}' is plugged into itself")
            elif part not in known:
                if _misplaced(content.data, part):
                    continue  # it is in a section that does not exist, which is told there
                message = f"there is no part '{shown(part)}' to plug into"
                problems.add(place.line, place.column, message, partial(_part_meant, part, names, content.data))
            elif name not in above:
                above[name], where[name] = part, section
    for loop in _loops(above):
        place = content.value_at(where[loop[0]], loop[0], "plug")
        listed = ", which is plugged into ".join(f"'{shown(name)}'" for name in (*loop[1:6], loop[0]))
        more = " (and more between)" if len(loop) > 6 else ""
        message = f"'{shown(loop[0])}' is plugged into {listed}{more}: a loop that never reaches the computer"
        problems.add(place.line, place.column, message, "plug one of them into the computer or a hub")


SECTIONS = ("rig", "computer", "hubs", "devices", "power", "night", "profiles", "profile_files")


def _misplaced(data: dict[str, Any], part: str) -> bool:
    """Whether a part of that name is below a key that no rig file has (`hub:` for `hubs:`)."""
    return any(isinstance(below, dict) and part in below for key, below in data.items() if key not in SECTIONS)


def _part_meant(part: str, names: tuple[str, ...], data: dict[str, Any]) -> str:
    """The part that was perhaps meant: by its profile, the nearest name, or the computer under another name for it."""
    from topo.rigfile.shorthand import part_of_profile

    if named := part_of_profile(part, data):
        return named
    near = nearest(part, names)
    if not near and meant_by_key(part, (COMPUTER,)):
        return f"the computer is called `{COMPUTER}`"
    return near or f"parts here are {', '.join(shown(name) for name in names[:8])}{', …' if len(names) > 8 else ''}"


def _loops(above: dict[str, str]) -> Iterator[list[str]]:
    """Each loop once, beginning at the part of it that comes first in the file."""
    done: set[str] = set()
    for start in above:
        trail: dict[str, int] = {}
        name: str | None = start
        while name is not None and name not in done and name not in trail:
            trail[name] = len(trail)
            name = above.get(name)
        if name is not None and name in trail:
            yield list(trail)[trail[name] :]
        done.update(trail)


def _mounts(content: Content, hubs: dict[str, Any], devices: dict[str, Any], problems: Problems, key: str) -> None:
    """What a guide camera names by `key` has to be a mount."""
    for name, entry in devices.items():
        mount = _text(entry, key)
        if mount is None:
            continue
        place = content.value_at("devices", name, key)
        role = _text(devices.get(mount), "role")
        if mount == name:
            problems.add(place.line, place.column, f"'{shown(name)}' names itself by `{key}`", "name its mount")
        elif mount in devices:
            if role not in (None, "mount"):
                message = f"'{shown(mount)}' is no mount: its role is {shown(role or '')}"
                hint = f"`{key}` stands at the guide camera and names a mount"
                problems.add(place.line, place.column, message, hint)
        elif mount in hubs or mount == COMPUTER:
            problems.add(place.line, place.column, f"'{shown(mount)}' is no mount", f"`{key}` names a device")
        else:
            message = f"there is no device '{shown(mount)}' to guide"
            problems.add(place.line, place.column, message, partial(nearest, mount, devices))


WAYS_IN = ("network", "wifi", "screen")
"""Ways to reach a computer that are no part of the rig."""


def _ways_in(content: Content, devices: dict[str, Any], problems: Problems) -> None:
    ways = _section(content.data, "computer").get("ways_in")
    for index, way in enumerate(ways if isinstance(ways, list) else ()):
        if isinstance(way, str) and way not in WAYS_IN and way not in devices:
            place = content.value_at("computer", "ways_in", str(index))
            message = f"'{shown(way)}' is no way in: say network, wifi, screen, or the name of a device"
            problems.add(place.line, place.column, message, partial(nearest, way, (*WAYS_IN, *devices)))


FEEDS = ("blocks", "boxes", "converters")
"""Sections of things that leads may end at and begin at, besides parts."""


def _leads(content: Content, parts: tuple[str, ...], problems: Problems) -> None:
    power = content.data.get("power")
    supplies, leads = _section(power, "supplies"), _section(power, "leads")
    ends = (*parts, COMPUTER)
    _names_of_power(content, power, dict.fromkeys(parts, "part"), problems)
    between = tuple(name for section in FEEDS for name in _section(power, section))
    known = {*ends, *between}
    for name, entry in leads.items():
        source, to = _text(entry, "from"), _text(entry, "to")
        place = content.value_at("power", "leads", name, "to")
        if to is not None and to in supplies and to not in known:
            message = f"a lead cannot end at the supply '{shown(to)}'"
            problems.add(place.line, place.column, message, "`from` is the supply, `to` the part")
        elif to is not None and to not in known:
            message = f"there is no part '{shown(to)}' for this lead to end at"
            problems.add(place.line, place.column, message, partial(nearest, to, (*ends, *between)))
        elif to is not None and source is not None and source.partition("/")[0] == to:
            problems.add(place.line, place.column, f"this lead goes from '{shown(to)}' to itself")
        _also(content, name, entry, (*ends, *between), problems)
        _source(content, name, source, power, (*supplies, *ends, *between), problems)


def _names_of_power(content: Content, power: Any, taken: dict[str, str], problems: Problems) -> None:
    """Notes names that are used twice; a box may have the name of the device it is."""
    for section, kind in (("supplies", "supply"), ("blocks", "block"), ("boxes", "box"), ("converters", "converter")):
        for name in _section(power, section):
            if name in taken and not (kind == "box" and taken[name] == "part"):
                place = content.key_at("power", section, name)
                message = f"'{shown(name)}' is the name of a {taken[name]} already"
                problems.add(place.line, place.column, message, f"every {kind} has a name of its own")
            else:
                taken[name] = kind


def _also(content: Content, name: str, entry: Any, ends: tuple[str, ...], problems: Problems) -> None:
    """Further parts at the end of a lead have to be there, and each only once."""
    also = entry.get("also") if isinstance(entry, dict) else None
    seen = [_text(entry, "to")]
    for index, end in enumerate(also if isinstance(also, list) else ()):
        place = content.value_at("power", "leads", name, "also", str(index))
        if isinstance(end, str) and end not in ends:
            message = f"there is no part '{shown(end)}' for this lead to end at"
            problems.add(place.line, place.column, message, partial(nearest, end, ends))
        elif end in seen:
            problems.add(place.line, place.column, f"'{shown(str(end))}' is named twice at the end of this lead")
        seen.append(end if isinstance(end, str) else None)


def _source(
    content: Content, name: str, written: str | None, power: Any, known: tuple[str, ...], problems: Problems
) -> None:
    """A lead begins at something that is there, and at a channel only where a box lists it."""
    if written is None:
        return
    source, _, channel = written.partition("/")
    place = content.value_at("power", "leads", name, "from")
    if source not in known:
        message = f"there is no supply or part '{shown(source)}' for this lead to come from"
        problems.add(place.line, place.column, message, partial(nearest, source, known))
    elif channel:
        channels = _section(_section(_section(power, "boxes"), source), "channels")
        if channel not in channels:
            message = f"'{shown(source)}' has no channel '{shown(channel)}'"
            hint = "list it under `channels:` of the box, under `boxes:`"
            problems.add(place.line, place.column, message, nearest(channel, channels) or hint)


def _computers(data: dict[str, Any]) -> Iterator[tuple[KeyPath, Any]]:
    yield ("computer",), data.get("computer")
    for name, entry in _section(data, "profiles").items():
        yield ("profiles", name), entry


def check_controllers(content: Content, path: KeyPath, entry: Any, problems: Problems) -> None:
    """Notes each port that names a controller which the same entry does not list, where it lists any."""
    known = _section(entry, "controllers")
    for name, port in _section(entry, "ports").items() if known else ():
        controller = _text(port, "controller")
        if controller is not None and controller not in known:
            place = content.value_at(*path, "ports", name, "controller")
            message = f"there is no controller '{shown(controller)}'"
            problems.add(place.line, place.column, message, partial(nearest, controller, known, 0.4))
