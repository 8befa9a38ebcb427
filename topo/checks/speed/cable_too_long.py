"""A cable is longer than its speed allows.

USB 2 allows 5 m (26 ns at 5.2 ns/m: USB 2.0 7.1.16). For USB 3 the standard gives a loss budget and no length; about
3 m is what good copper does at 5 Gb/s, about 1 m at 10 Gb/s (published guidance of cable makers, not the standard).
Past that a link may come up and fail in the cold, or fall back to 480 Mb/s. An active cable has a repeater for this:
say `active: true` of it, or enter it as a hub with its profile. The length of a hub with one socket, which is what an
extension is, is taken to be active too. Where the copper of the data pairs is declared (`data_gauge_awg`), it counts at
5 Gb/s: AWG 28 carries about 1 m, 26 about 2 m (published, cable makers).

A fault for USB 2 past 5 m and for low-speed devices past 3 m; a risk for SuperSpeed past its guidance.

Wrong if the device holds its speed for a night with that cable, swapped in elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.usb.limits import longest_cable_m
from topo.wiring.reach import is_extension

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Part
    from topo.model.speed import Speed


def leg_speed(study: Study, part_id: str) -> Speed | None:
    """The fastest speed that runs on a part's leg tonight: its own, and for a hub that of anything behind it."""
    leg = study.topology.leg(part_id)
    if leg is None or leg.socket.kind != "usb":
        return None
    speeds = [study.topology.speed(name) for name in (part_id, *study.topology.below(part_id))]
    return max((min(speed, leg.carries) for speed in speeds if speed is not None), default=None)


def too_long(study: Study, part_id: str) -> bool:
    """Whether a part's passive cable is longer than the speed on it allows. False where its length is unknown.

    False for an extension too: it is a hub with one socket, and its length is between its two ends.
    """
    part = study.rig.part(part_id)
    speed, length_m = leg_speed(study, part_id), value_of(part.cable.length_m)
    if speed is None or length_m is None or value_of(part.cable.active) or is_extension(part):
        return False
    return length_m > longest_m(part, speed)


THIN_PAIRS_M = {28: 1.0, 26: 2.0}
"""Metres that thin data pairs carry at 5 Gb/s, by AWG; thicker ones carry what the speed allows."""


def longest_m(part: Part, speed: Speed) -> float:
    """Metres that a part's passive cable may be long at a speed, as far as its copper is known."""
    allowed, gauge = longest_cable_m(speed), value_of(part.cable.data_gauge_awg)
    if gauge is None or not speed.is_superspeed:
        return allowed
    thin = [metres for awg, metres in THIN_PAIRS_M.items() if gauge >= awg]
    return min([allowed, *thin])


def find(study: Study) -> Iterator[Finding]:
    """One finding for each cable past its length."""
    for part in study.rig.plugged:
        speed = leg_speed(study, part.id)
        length_m = value_of(part.cable.length_m)
        if speed is None or length_m is None or not too_long(study, part.id):
            continue
        yield Finding(
            name="cable-too-long",
            severity="risk" if speed.is_superspeed else "fault",
            certainty="possible" if speed.is_superspeed else "certain",
            part=part.id,
            place=part.place,
            message=f"The cable of {plain(part.id)} is {length_m:g} m, and {speed.label} "
            f"runs safely on {longest_m(part, speed):g} m{_of_copper(part, speed)}.",
            figures=(
                Figure("length", length_m, "m", basis_of(part.cable.length_m)),
                Figure("longest for its speed", longest_m(part, speed), "m", "profile"),
            ),
            refuted_by="the same cable holds the speed for a night elsewhere",
            fix=Fix(
                f"For {plain(part.id)}, use a cable of {longest_m(part, speed):g} m or less, or an active one "
                "(`active: true` in the file); or move the hub or the computer up to the telescope."
            ),
        )


def _of_copper(part: Part, speed: Speed) -> str:
    return f" of AWG {value_of(part.cable.data_gauge_awg)}" if longest_m(part, speed) < longest_cable_m(speed) else ""


CHECK = Check(
    name="cable-too-long",
    summary="a cable is longer than its speed allows",
    tested_by="`topo watch RIG` notes each drop through a night",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="controller",
    cases=(
        Case("a short cable", rig(imaging("computer/usb3-1", "cable: {length_m: 1.5}")), 0),
        Case("2 m of thin pairs at 5 Gb/s",
             rig(imaging("computer/usb3-1", "cable: {length_m: 2, data_gauge_awg: 28}")), 1),
        Case("2 m of thick pairs at 5 Gb/s",
             rig(imaging("computer/usb3-1", "cable: {length_m: 2, data_gauge_awg: 22}")), 0),
        Case("5 m passive at 5 Gb/s", rig(imaging("computer/usb3-1", "cable: {length_m: 5}")), 1),
        Case(
            "10 m of active extension",
            rig(imaging("far/1"), hubs="  far: {speed: super, ports: 1, powered: true, plug: computer/usb3-1, "
                "cable: {length_m: 10}}\n"),
            0,
        ),
        Case(
            "25 m of network cable to an extender",
            rig(imaging("far/1"), hubs="  far: {speed: high, ports: 4, powered: true, over: network, "
                "plug: computer/usb3-1, cable: {length_m: 25}}\n"),
            0,
        ),
        Case("5 m active", rig(imaging("computer/usb3-1", "cable: {length_m: 5, active: true}")), 0),
        Case("6 m at 480 Mb/s", rig(imaging("computer/usb2-1", "cable: {length_m: 6}")), 1),
    ),
)
