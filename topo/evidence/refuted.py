"""What the evidence speaks against. Only what a log would have shown counts: it must cover the time, sleep cut out."""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence

from topo.evidence.chance import LEAST_CLUMPS
from topo.evidence.departures import LogPlaces, above, bus_of, line_of
from topo.evidence.series import Series
from topo.model.answers import GLITCH_WORDS, DropGroup, GuidingSeen, Link, PortWoes, Refuted
from topo.model.evidence import FrameData
from topo.model.figures import percent
from topo.words.lists import listed

MOST_SHARE = 0.5
"""A bound above one half refutes nothing worth saying."""


def of_plugs(
    parts: Sequence[tuple[str, str]], groups: Sequence[DropGroup], ports: Sequence[PortWoes],
    troubled: Sequence[str], covered: tuple[float, float] | None, glitch_s: Sequence[float],
) -> Iterator[Refuted]:
    """No departure, reset or error of a part while glitches went on: not its plug, nor its cable letting go.

    `parts` are (place, name); `troubled` places with resets that have no harmless reason.
    """
    if covered is None:
        return
    inside = [t for t in glitch_s if covered[0] <= t <= covered[1]]
    if not inside:
        return
    left = {drop.path for group in groups for drop in group.drops if not drop.asleep}
    bad = left | {each.path for each in ports} | set(troubled)
    for path, name in parts:
        if any(step in bad for step in line_of(path)):
            continue
        yield Refuted("plug", name, f"no departure, reset or descriptor error of it in the log, while {len(inside)} "
                      f"glitches went on", "a link that was bad without being lost is not refuted by this")


def of_groups(groups: Sequence[DropGroup], parts: Mapping[str, str]) -> Iterator[Refuted]:
    """One part that left while its neighbours stayed: not what they share. One half of a hub alone: no dip of power."""
    for group in groups:
        if group.drops[0].asleep:
            continue
        if group.kind == "one" and group.stayed:
            place = above(group.drops[0].path)
            hub = parts.get(place, place)
            stayed = f"{group.drops[0].name} left alone while {len(group.stayed)} neighbours stayed"
            yield Refuted("supply", hub, stayed, "for that departure only")
        if group.both_sides is False and group.kind == "branch":
            common = group.common_part or group.common
            yield Refuted("supply", common, "one half of the USB 3 hub left and the other stayed; they share "
                          "their supply", "a very short dip is not refuted (common practice)")


def of_sharing(links: Sequence[Link]) -> Iterator[Refuted]:
    """Downloads that would have shown, and did not."""
    for link in links:
        if link.cause == "download" and link.verdict == "not-seen" and link.bound <= MOST_SHARE:
            hits = f"{link.hits} of {link.count} {GLITCH_WORDS[link.glitch]} fell in downloads"
            yield Refuted("sharing", "", f"{hits}, and chance alone gives {link.expected:.1f}",
                          f"at most {percent(link.bound)} of them can come from downloads")


def of_controllers(groups: Sequence[DropGroup], tree: LogPlaces, parts: Mapping[str, str]) -> Iterator[Refuted]:
    """Things on both buses of a controller kept running while something left: not the controller.

    Only of controllers that never left, and where something else hangs on them that did not leave at all.
    """
    awake = [group for group in groups if not group.drops[0].asleep]
    left: dict[str, dict[str, None]] = {}
    dead = {group.controller for group in awake if group.kind == "controller"}
    for group in awake:
        for drop in group.drops:
            if (name := tree.controllers.get(bus_of(drop.path))) is not None:
                left.setdefault(name, {})[drop.path] = None
    for name, gone in left.items():
        stayed = [place for place in tree.places if "-" in place and tree.controllers.get(bus_of(place)) == name
                  and not any(step in gone for step in line_of(place))]
        if stayed and name not in dead:
            told = listed(tuple(parts.get(place, place) for place in stayed[:4]))
            yield Refuted("controller", name, f"{told} stayed on it while others left",
                          "a controller that fails takes all on both its buses along")


def of_host(series: Series, guide: Sequence[FrameData], others: Sequence[FrameData]) -> Iterator[Refuted]:
    """Late guide frames while the computer took in data of others all the time: it was not too busy to ask."""
    late = {round(due, 6) for due, _ in series.late}
    served = total = 0
    ends = sorted(b.until.seconds for b in others)
    for before, after in itertools.pairwise(guide):
        due = before.until.seconds + series.cadence_s
        if round(due, 6) not in late:
            continue
        total += 1
        served += bisect_right(ends, after.until.seconds) > bisect_left(ends, due)
    if total >= LEAST_CLUMPS and served > total / 2:
        yield Refuted("host", "", f"while {served} of {total} guide frames were late, the computer completed frames of "
                      "other cameras", "for those frames; the program that guides may still have been slow")


def of_idle(series: Series, guide: Sequence[FrameData], others: Sequence[FrameData]) -> Iterator[Refuted]:
    """Late guide frames while no other camera moved data: not sharing. `others` are frames of other devices."""
    late = {round(due, 6) for due, _ in series.late}
    idle = total = 0
    spans = sorted((b.at.seconds, b.until.seconds) for b in others)
    for before, after in itertools.pairwise(guide):
        if round(before.until.seconds + series.cadence_s, 6) not in late:
            continue
        total += 1
        idle += not any(begin <= after.until.seconds and end >= before.until.seconds for begin, end in spans)
    if total >= LEAST_CLUMPS and idle > total / 2:
        yield Refuted("sharing", series.name, f"{idle} of {total} late guide frames came while no other camera moved "
                      "data on that bus", "for those frames")


def of_data_path(guiding: Sequence[GuidingSeen]) -> Iterator[Refuted]:
    """Jumps while guide frames came in time: the mount, wind or seeing, not the data path."""
    for each in guiding:
        even = sum(1 for *_, in_time in each.jumps if in_time)
        if len(each.jumps) >= LEAST_CLUMPS and even > len(each.jumps) / 2:
            yield Refuted("data-path", each.part or each.source,
                          f"{even} of {len(each.jumps)} jumps came with guide frames in time",
                          "for those jumps; the mount, wind or seeing made them")


def of_reservations(covered: tuple[float, float] | None, refusals: int, arrived: int) -> Iterator[Refuted]:
    """Devices came up and none was refused bandwidth."""
    if covered is not None and arrived and not refusals and math.isfinite(covered[1]):
        yield Refuted("reservation", "", f"{arrived} devices came up in the log and none was refused bandwidth",
                      "of reserved transfers only; bulk transfers reserve nothing")
