"""The system may put a part to sleep that cannot handle it.

With power control "auto" the system suspends a device that has been idle for a while. Wheels, focusers, rotators and
flat panels are silent for long. After it some answer late or not at all: the first command fails. A hub sleeps only
when everything behind it does, so hubs are named together with their parts. What is read here is the setting in
force, not what a configuration file says.

A risk for a part known not to handle it (`must_not_sleep`), else a note for parts that idle for long. All other parts
that have slept already are told in one note, whatever their role. Certain if the system counts time that the part has
slept. Switching sleep off takes away a cause; if the fault goes with it, that is the proof.

Wrong if its active time stays equal to its connected time through an idle hour.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.scans import hub, scan, wheel
from topo.model.check import Case, Check
from topo.model.facts import Figure, value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Device
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.comparison import Comparison, Match
    from topo.model.rig import Part
    from topo.model.sighting import Sighting, Sleep

IDLE_ROLES = ("filter-wheel", "focuser", "rotator", "flat-panel")
SLEPT_MS = 2_000
"""Less than this between connected and active time is how the two are rounded, not sleep."""


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each part that may be put to sleep and cannot handle it, or idles for long; one for others."""
    others = []
    for match in comparison.matches:
        part = comparison.study.rig.part(match.part)
        told = value_of(part.facts.must_not_sleep) if isinstance(part, Device) else None
        if told is False or match.own is None or not isinstance(part, Device) or not may_sleep(match.own.sleep):
            continue
        if told or part.role in IDLE_ROLES:
            yield _finding(comparison, part, match, match.own.sleep, bool(told))
        elif slept_ms(match.own.sleep) is not None:
            others.append(match)
    if others:
        yield _slept(comparison, others)


def may_sleep(sleep: Sleep) -> bool:
    """True where the system may suspend it: control "auto", and a delay that is not "never" (below 0)."""
    return sleep.control == "auto" and (sleep.delay_ms is None or sleep.delay_ms >= 0)


def slept_ms(sleep: Sleep) -> int | None:
    """How long it has slept since it was plugged in, where that is counted and more than rounding."""
    if sleep.connected_ms is None or sleep.active_ms is None:
        return None
    slept = sleep.connected_ms - sleep.active_ms
    return slept if slept > SLEPT_MS else None


def _finding(comparison: Comparison, part: Part, match: Match, sleep: Sleep, told_not_to: bool) -> Finding:
    slept = slept_ms(sleep)
    hubs = tuple(name for thing in comparison.live.path(match.thing)[:-1] if may_sleep(thing.own.sleep)
                 and (name := comparison.part_of(thing.key)) is not None and name != part.id)
    told = "" if slept is None else " and it has slept"
    along = f"; the same goes for {listed(hubs)} above it" if hubs else ""
    return Finding(
        name="may-be-put-to-sleep",
        severity="risk" if told_not_to else "note",
        certainty="certain" if slept is not None else "possible",
        part=part.id,
        place=part.place,
        others=hubs,
        message=f"The system may put {plain(part.id)} to sleep when it is idle (power control is auto){told}{along}.",
        figures=_figures(sleep, slept),
        refuted_by="its active time stays equal to its connected time through an idle hour",
        fix=Fix(f"Set its power control to on ({_how(comparison, match)}; needs an administrator), then look again: "
                "only the value in force counts."),
    )


def _how(comparison: Comparison, match: Match) -> str:
    line = sleep_line(match.own) if match.own is not None and comparison.scan.system.lower() == "linux" else None
    return f"a udev rule: {line}" if line is not None else "a udev rule on Linux, the power plan on Windows"


def _slept(comparison: Comparison, matches: list[Match]) -> Finding:
    """Parts of other roles that have slept since they were plugged in."""
    names = tuple(match.part for match in matches)
    part = comparison.study.rig.part(names[0])
    figures = tuple(
        Figure(f"{plain(match.part)} slept so far", slept / 1000, "s", "measured")
        for match in matches if match.own is not None and (slept := slept_ms(match.own.sleep)) is not None)
    return Finding(
        name="may-be-put-to-sleep",
        severity="note",
        certainty="certain",
        part=part.id,
        place=part.place,
        others=names[1:],
        message=f"The system has put {listed(names)} to sleep since it was plugged in; some parts answer late after "
        "that, or not at all.",
        figures=figures,
        refuted_by="the first command after an idle hour is answered at once",
        fix=Fix(f"Nothing, where all works after an idle hour. Else {_lines(matches)}"),
    )


def _lines(matches: list[Match]) -> str:
    """The lines to paste, one for each kind of device."""
    lines = [sleep_line(match.own) for match in matches if match.own is not None]
    told = list(dict.fromkeys(line for line in lines if line is not None))
    if not told:
        return "set the power control of each to on, and look again: only the value in force counts."
    return f"a file below /etc/udev/rules.d with: {'  '.join(told)} Then unplug and plug in again, and look again."


def sleep_line(seen: Sighting) -> str | None:
    """The line of a udev rule that keeps devices with these ids awake."""
    if seen.vendor_id is None or seen.product_id is None:
        return None
    return (f'ACTION=="add", SUBSYSTEM=="usb", ATTR{{idVendor}}=="{plain(seen.vendor_id, 4)}", '
            f'ATTR{{idProduct}}=="{plain(seen.product_id, 4)}", ATTR{{power/control}}="on"')


def _figures(sleep: Sleep, slept: int | None) -> tuple[Figure, ...]:
    figures = []
    if sleep.delay_ms is not None:
        figures.append(Figure("idle time before sleep", sleep.delay_ms / 1000, "s", "measured"))
    if slept is not None:
        figures.append(Figure("slept so far", slept / 1000, "s", "measured"))
    return tuple(figures)


ONE = "wheel: {role: filter-wheel, interface: hid, must_not_sleep: true, plug: computer/usb2-1}"
AUTO = {"control": "auto", "delay_ms": 2000, "connected_ms": 900_000, "active_ms": 20_000}

CHECK = Check(
    name="may-be-put-to-sleep",
    summary="the system may put a part to sleep that cannot handle it",
    tested_by="`topo live` shows what sleeps now",
    explanation=__doc__,
    symptoms=(
        "fails after idle", "first command times out", "works at first, then times out",
        "stops answering after a while",
    ),
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("power control is on", rig(ONE), 0, scan(wheel("3-1", sleep={"control": "on"}))),
        Case("it sleeps", rig(ONE), 1, scan(wheel("3-1", sleep=AUTO))),
        Case("a part of another role that slept", rig(ONE.replace("filter-wheel", "mount").replace(
            ", must_not_sleep: true", "")), 1, scan(wheel("3-1", sleep=AUTO))),
        Case("told to stand it", rig(ONE.replace("true", "false")), 0, scan(wheel("3-1", sleep=AUTO))),
        Case("only its hub may", rig(ONE.replace("computer/usb2-1", "hub/1"),
             hubs="  hub: {speed: high, ports: 4, plug: computer/usb2-1}\n"), 0,
             scan(hub("3-1", sleep=AUTO), wheel("3-1.1", sleep={"control": "on"}))),
    ),
)
