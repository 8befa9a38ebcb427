"""Who left, when and for how long; and what those that left within a second have in common.

A branch is lost parent first (the kernel's `usb_disconnect` prints a part's line and then walks its ports), so the
first lines of a burst say where it began, not the worst-sounding one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from topo.evidence.clocks import Axis, events_on
from topo.evidence.kernel.reader import WAKING_S
from topo.evidence.open import Source
from topo.frozen import frozen, replace
from topo.model.answers import Away, DropGroup, GroupKind
from topo.model.evidence import Arrival, Asleep, ControllerNote, Drop, Identified

BURST_S = 1.0
SAME_S = 6.0
TWIN_S = 2.0
PLACE_SHAPE = re.compile(r"usb\d{1,4}|\d{1,4}-\d{1,3}(\.\d{1,3}){0,9}")
"""How a place is written; what looks otherwise in a log of ours was not written by us."""


@frozen
class LogPlaces:
    """What the files show of the tree: ids by place, the controller of each bus, and the halves of USB 3 hubs."""

    ids: Mapping[str, tuple[str, str, str | None]]
    controllers: Mapping[int, str]
    twins: Mapping[str, str]
    places: tuple[str, ...]


def above(path: str) -> str:
    """The place above one: of "3-1.2" it is "3-1", of "3-1" the root hub "usb3"."""
    bus, dash, chain = path.partition("-")
    if not dash:
        return ""
    return f"{bus}-{chain.rsplit('.', 1)[0]}" if "." in chain else f"usb{bus}"


def bus_of(path: str) -> int:
    """The number of the bus a place is on; -1 for what is no place, as a reader of somebody else's may name one."""
    number = _bus(path)
    return int(number) if number.isdecimal() and len(number) <= 9 else -1


def line_of(path: str) -> list[str]:
    """A place and everything above it, from the root hub down."""
    found = [path]
    while (up := above(found[-1])) and len(found) < 12:
        found.append(up)
    return found[::-1]


def common_place(paths: Sequence[str]) -> str:
    """The lowest place that all hang on or are; "" where they are on several buses."""
    lines = [line_of(path) for path in paths]
    common = ""
    for steps in zip(*lines, strict=False):
        if any(step != steps[0] for step in steps):
            break
        common = steps[0]
    return common


def log_places(sources: Sequence[Source]) -> LogPlaces:
    """The tree as logs, watches and scans show it."""
    ids: dict[str, tuple[str, str, str | None]] = {}
    came: dict[str, float] = {}
    controllers: dict[int, str] = {}
    places: dict[str, None] = {}
    for source in sources:
        for event in source.reading.events if source.reading else ():
            if isinstance(event, Identified):
                ids[event.path] = (event.vendor_id, event.product_id, event.release)
                came.setdefault(event.path, event.at.seconds)
            elif isinstance(event, ControllerNote) and event.kind == "bus-new" and event.bus is not None:
                controllers[event.bus] = event.controller
            if isinstance(event, Arrival | Drop | Identified) and ("-" in event.path or event.path.startswith("usb")):
                places.setdefault(event.path)
    return LogPlaces(ids, controllers, _twins(ids, came), tuple(places))


def _twins(ids: Mapping[str, tuple[str, str, str | None]], came: Mapping[str, float]) -> dict[str, str]:
    """Halves of one USB 3 hub: same vendor and release, different product, on different buses; the nearest in time."""
    found: dict[str, str] = {}
    for one in ids:
        alike = [other for other in ids if other != one and ids[other][0] == ids[one][0]
                 and ids[one][2] is not None and ids[other][2] == ids[one][2] and ids[other][1] != ids[one][1]
                 and _bus(other) != _bus(one) and ids[one][0] != "1d6b"]
        alike.sort(key=lambda other: (other.partition("-")[2] != one.partition("-")[2],
                                      abs(came[other] - came[one]) > TWIN_S, abs(came[other] - came[one]), other))
        if alike and (len(alike) == 1 or abs(came[alike[0]] - came[one]) <= TWIN_S
                      or alike[0].partition("-")[2] == one.partition("-")[2]):
            found[one] = alike[0]
    return {one: other for one, other in found.items() if found.get(other) == one}


def _bus(path: str) -> str:
    return path.partition("-")[0].removeprefix("usb")


def departures(axis: Axis, sources: Sequence[Source], names: Mapping[str, str]) -> tuple[Away, ...]:
    """Every departure in order of time. One that a log and a watch both saw is told once, by the log."""
    events = events_on(axis, sources)
    sleeps = _sleeps(axis, sources)
    found: list[Away] = []
    open_: dict[tuple[int, str], int] = {}
    for at, give, number, event in events:
        source = sources[number]
        if isinstance(event, Drop):
            asleep = any(begin <= at <= end + WAKING_S for n, begin, end in sleeps if n == number)
            away = Away(event.path, names.get(event.path), at, give, None, event.number, source.name, event.at.line,
                        event.at.seconds, event.at.clock, asleep)
            open_[(number, event.path)] = len(found)
            found.append(away)
        elif isinstance(event, Arrival) and event.answered:
            index = open_.pop((number, event.path), None)
            if index is not None:
                found[index] = replace(found[index], back_s=at)
    kinds = {source.name: source.reading.kind for source in sources if source.reading}
    return tuple(_once(found, kinds))


def _once(found: Sequence[Away], kinds: Mapping[str, str]) -> list[Away]:
    kept: list[Away] = []
    for away in found:
        watched = kinds.get(away.file, "") == "watch log"
        twice = any(
            other is not away and other.path == away.path and other.file != away.file
            and abs(other.at_s - away.at_s) <= SAME_S + away.give_s + other.give_s
            and (watched and kinds.get(other.file) != "watch log") for other in found)
        if not twice:
            kept.append(away)
    return kept


def _sleeps(axis: Axis, sources: Sequence[Source]) -> list[tuple[int, float, float]]:
    found = []
    for number, source in enumerate(sources):
        for event in source.reading.events if source.reading else ():
            if isinstance(event, Asleep):
                begin = axis.at(number, event.at)
                end = axis.at(number, event.until) if event.until is not None else begin
                if begin is not None:
                    found.append((number, begin[0], end[0] if end is not None else begin[0]))
    return found


def groups(away: Sequence[Away], tree: LogPlaces) -> tuple[DropGroup, ...]:
    """Departures in groups that fell within a second of each other, each with what its members have in common."""
    found: list[list[Away]] = []
    for one in away:
        if found and one.at_s - found[-1][-1].at_s <= BURST_S and one.asleep == found[-1][-1].asleep:
            found[-1].append(one)
        else:
            found.append([one])
    return tuple(_group(members, away, tree) for members in found)


def _group(members: Sequence[Away], away: Sequence[Away], tree: LogPlaces) -> DropGroup:
    real = [one for one in members if "-" in one.path] or list(members)
    left = {one.path for one in real}
    tops = [one for one in real if not any(up in left for up in line_of(one.path)[:-1])]
    common = common_place([one.path for one in tops])
    twin = tree.twins.get(tops[0].path) if tops else None
    both: bool | None = None
    if common == "" and len(tops) == 2 and twin == tops[1].path:
        common, both = tops[0].path, True
    elif len(tops) == 1 and twin is not None:
        both = twin in left
    roots = [one for one in members if "-" not in one.path]
    kind = _kind(tops, common, both, bool(roots), len(real) == 1)
    controller = tree.controllers.get(bus_of(real[0].path), "") if roots else ""
    part = next((one.part for one in real if one.path == common), None)
    stayed = _stayed(real, away, tree, common) if kind in ("one", "siblings", "branch") else ()
    return DropGroup(members[0].at_s, tuple(members), kind, common, part, stayed, _staged(real), both, controller)


def _kind(tops: Sequence[Away], common: str, both: bool | None, controller_left: bool, alone: bool) -> GroupKind:
    if controller_left:
        return "controller"
    if alone:
        return "one"
    if len(tops) == 1 or both:
        return "branch"
    return "siblings" if common and not common.startswith("usb") else "apart"


def _stayed(members: Sequence[Away], away: Sequence[Away], tree: LogPlaces, common: str) -> tuple[str, ...]:
    """Places next to the top of a group (or below what it has in common) that were there and did not leave."""
    top = above(common) if any(one.path == common for one in members) else common
    left = {one.path for one in members}
    at = members[0].at_s
    gone = {one.path for one in away if one.at_s < at and (one.back_s is None or one.back_s > at)}
    return tuple(sorted(
        place for place in tree.places
        if place not in left and place not in gone and above(place) == top and place != common
        and not any(up in left for up in line_of(place))
    ))


def _staged(members: Sequence[Away]) -> bool:
    """True where a child left before its parent although the parent had not come back meanwhile (a lower number)."""
    for index, one in enumerate(members):
        for later in members[index + 1:]:
            if one.path.startswith(f"{later.path}.") and (one.number or 0) > (later.number or 0):
                return True
    return False

