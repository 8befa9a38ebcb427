"""What the rig file leaves open, and the questions that only the person can answer: at most five, the telling first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.model.facts import value_of
from topo.model.rig import Device
from topo.words.lists import some_of

if TYPE_CHECKING:
    from topo.analysis.study import Study

MOST_QUESTIONS = 5
MOST_ASKED = 4


def unknown(study: Study) -> tuple[str, ...]:
    """What helpers ask for and the file does not tell, each with the parts it is about; lengths are a question."""
    found = [(what, names) for what, names in (
        ("supply of", _unpowered_unknown(study)), ("exposure", _no_exposure(study)),
        ("driver and firmware versions", ["all devices"]),
    ) if names]
    if value_of(study.rig.computer.facts.os) is None:
        found.append(("system", ["computer"]))
    if not study.rig.has_power_side:
        found.append(("12 V side", ["whole rig"]))
    return tuple(f"{what}: {some_of(names, MOST_ASKED)}" for what, names in found)


def questions(study: Study, has_scan: bool) -> tuple[str, ...]:
    """The questions to answer, chosen by what is open, the most telling first."""
    asked = []
    if not has_scan:
        asked.append("Did other devices drop or come back in the same second?")
    if names := _unmeasured(study):
        asked.append(f"How long are these cables, and are they the original ones: {some_of(names, MOST_ASKED)}?")
    if names := _unpowered_unknown(study):
        asked.append(f"Has this hub a supply of its own, and of how many amps: {some_of(names, MOST_ASKED)}?")
    asked.append("When was it seen first, and what changed since it last worked?")
    if study.rig.has_power_side:
        asked.append("How many volts reach the mount and the hub while the mount slews and the cooler runs?")
    if names := _no_exposure(study):
        asked.append(f"What exposure, binning and transfer limit are set on: {some_of(names, MOST_ASKED)}?")
    asked += [
        "How often does it happen, how long after the start, and at what temperature?",
        "What brings it back: reconnecting, unplugging, power off and on, restarting the computer?",
        "Was the mount slewing, flipping or dithering, or a cooler or heater stepping, at that moment?",
    ]
    return tuple(asked[:MOST_QUESTIONS])


def _unmeasured(study: Study) -> list[str]:
    wired = [part for part in study.rig.parts if study.topology.leg(part.id) is not None]
    telling = [part for part in wired if part.kind == "hub" or part.role in ("imaging", "guiding", "mount")]
    names = [part.id for part in telling if part.cable.length_m is None]
    return names + [part.id for part in wired if part.cable.length_m is None and part.id not in names]


def _unpowered_unknown(study: Study) -> list[str]:
    return [hub.id for hub in study.rig.hubs if value_of(hub.facts.powered) is None]


def _no_exposure(study: Study) -> list[str]:
    def is_open(part: Device) -> bool:
        return part.role in ("imaging", "guiding") and value_of(part.use.exposure_s) is None

    return [part.id for part in study.rig.devices if is_open(part)]
