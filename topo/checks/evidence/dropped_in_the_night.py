"""A part of the rig dropped off the bus during the night, as a log or a watch tells.

Drops within one second count as one event, and what the dropped parts have in common is named. If a hub dropped with
all that is plugged into it, look at that hub's cable, plug, supply or the socket above it. If only things below a hub
dropped and the hub stayed, they have only that hub in common. If one part dropped and its neighbours stayed, it is
its own cable or plug. If all that dropped are on one 12 V lead and nothing that stayed is, the lead explains it as
well, and better if they share no USB part. A computer that slept does not count, nor does a device that is not in the
rig file. The kernel does not tell why a device dropped.

A fault for cameras and the mount, a risk for the rest.

Wrong if it was unplugged, switched off or updated by hand at that time.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.evidence_cases import LOG_OF_A_BRANCH, NIGHT_RIG, logged
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import COMPUTER
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.answers import DropGroup, HeldEvidence

WEIGHTY = ("imaging", "guiding", "mount")


def find(held: HeldEvidence) -> Iterator[Finding]:
    """One finding for each set of parts that dropped together, however often."""
    events: dict[tuple[tuple[str, ...], str | None], list[DropGroup]] = {}
    for group, feed in zip(held.answers.groups, held.feeds, strict=True):
        parts = tuple(dict.fromkeys(drop.part for drop in group.drops if drop.part and drop.part != COMPUTER))
        if parts and not group.drops[0].asleep:
            events.setdefault((parts, feed), []).append(group)
    for (parts, feed), groups in events.items():
        yield _finding(held, parts, feed, groups)


def _finding(held: HeldEvidence, parts: tuple[str, ...], feed: str | None, groups: list[DropGroup]) -> Finding:
    rig, topology = held.study.rig, held.study.topology
    common = topology.common_ancestor(parts) if len(parts) > 1 else parts[0]
    first = rig.part(parts[0] if common in (None, COMPUTER) else str(common))
    weighty = any(rig.part(name).role in WEIGHTY for name in parts)
    words, todo = _suspects(groups[0], parts, first.id, common, feed)
    times = f"{len(groups)} times" if len(groups) > 1 else "once"
    if len(parts) > 1:
        times = f"together {times}, {'each time ' * (len(groups) > 1)}within one second"
    return Finding(
        "dropped-in-the-night", "fault" if weighty else "risk", "certain", first.id, first.place,
        f"{listed(parts)} dropped {times}. {words}", _figures(groups),
        "it was unplugged, switched off or updated by hand at that time", Fix(todo),
        tuple(name for name in parts if name != first.id),
    )


def _figures(groups: list[DropGroup]) -> tuple[Figure, ...]:
    away = [drop.away_s for group in groups for drop in group.drops if drop.part]
    back = [seconds for seconds in away if seconds is not None]
    figures = [Figure("drops", len(groups), "", "measured")]
    if back:
        figures.append(Figure("longest time away", round(max(back), 3), "s", "measured"))
    if len(back) < len(away):
        figures.append(Figure("not back by the end of the log", len(away) - len(back), "times", "measured"))
    return tuple(figures)


def _suspects(
    group: DropGroup, parts: tuple[str, ...], first: str, common: str | None, feed: str | None
) -> tuple[str, str]:
    """What they have in common, and what to try first."""
    name = plain(first)
    power = f" All that left is fed by {plain(feed)} on the 12 V side, and nothing that stayed." if feed else ""
    after = f" Then measure the volts at the far end of {plain(feed)}. {SHORT}" if feed else ""
    swap = f"Swap the cable of {name} first, then give it another socket.{after}"
    if group.kind == "controller":
        return (f"The whole controller went with them, so look at the computer first.{power}",
                f"See what the computer's log says of the controller at that time.{after}")
    if common in (None, COMPUTER):
        if feed:
            return (f"They share no USB part but the computer.{power}",
                    f"Measure the volts at the far end of {plain(feed)} when loads switch on. {SHORT}")
        return ("They share no USB part but the computer.",
                "See what else happened in that second: a load that switched on, the computer's supply, a controller.")
    if first in parts and len(parts) > 1:
        return f"{name} left with all below it: its cable, plug or supply, or the socket above.{power}", swap
    if len(parts) > 1:
        return (f"They have {name} in common, which stayed itself: its supply or its inside.{power}",
                f"Give {name} a supply of its own, or move one of them to another hub.{after}")
    stayed = f" {len(group.stayed)} neighbours stayed, so what it shares with them is not it." if group.stayed else ""
    return f"It left alone: its own cable, plug, socket or supply, or itself.{stayed}{power}", swap


CHECK = Check(
    name="dropped-in-the-night",
    summary="a part dropped off the bus during the night, as a log tells, and what the dropped have in common",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    needs="evidence",
    cases=(
        Case("a branch with its hub", NIGHT_RIG, 1, evidence=(LOG_OF_A_BRANCH,)),
        Case("only the computer slept", NIGHT_RIG, 0, evidence=(logged(
            "[ 5000.000000] PM: suspend entry (deep)", "[ 5000.500000] usb 3-1.1: USB disconnect, device number 3",
            "[ 5004.500000] PM: suspend exit"),)),
        Case("somebody else's disk", NIGHT_RIG, 0, evidence=(logged(
            "[  300.050000] usb 7-3: New USB device found, idVendor=7777, idProduct=0552, bcdDevice= 1.00",
            "[ 4000.000000] usb 7-3: USB disconnect, device number 9"),)),
        Case("one guide camera", NIGHT_RIG, 1, evidence=(logged(
            "[  900.000000] usb 3-1.1: USB disconnect, device number 3"),)),
    ),
)
