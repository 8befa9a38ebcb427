"""The system may put a part to sleep that does not stand it.

With power control "auto" the system suspends a device that has been idle for a while. Wheels, focusers, rotators and
flat panels are silent for long and some answer late or not at all after it: the first command fails. A hub only sleeps
when all behind it does, so hubs are named along and not told by themselves. Read here is what is in force, not what a
configuration file says.

A risk for a part known not to stand it (`must_not_sleep`), else a note for parts that idle for long. 'Certain' where
the system counts time that it has slept already. Switching it off takes away a cause; that the fault goes with it is
the proof.

Refuted if its active time stays equal to its connected time through an idle hour.
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
    from topo.model.sighting import Sleep

IDLE_ROLES = ("filter-wheel", "focuser", "rotator", "flat-panel")
SLEPT_MS = 2_000
"""Less than this between connected and active time is how the two are rounded, not sleep."""


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each part that may be put to sleep and does not stand it, or idles for long."""
    for match in comparison.matches:
        part = comparison.study.rig.part(match.part)
        told = value_of(part.facts.must_not_sleep) if isinstance(part, Device) else None
        if told is False or (told is None and part.role not in IDLE_ROLES):
            continue
        if match.own is not None and may_sleep(match.own.sleep):
            yield _finding(comparison, part, match, match.own.sleep, bool(told))


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
        fix=Fix("Set its power control to on (a udev rule on Linux, the power plan on Windows; needs an "
                "administrator), then look again: only the value in force counts."),
    )


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
    summary="the system may put a part to sleep that does not stand it",
    explanation=__doc__,
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("power control is on", rig(ONE), 0, scan(wheel("3-1", sleep={"control": "on"}))),
        Case("it sleeps", rig(ONE), 1, scan(wheel("3-1", sleep=AUTO))),
        Case("told to stand it", rig(ONE.replace("true", "false")), 0, scan(wheel("3-1", sleep=AUTO))),
        Case("only its hub may", rig(ONE.replace("computer/usb2-1", "hub/1"),
             hubs="  hub: {speed: high, ports: 4, plug: computer/usb2-1}\n"), 0,
             scan(hub("3-1", sleep=AUTO), wheel("3-1.1", sleep={"control": "on"}))),
    ),
)
