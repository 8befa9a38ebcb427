"""What the serial lines of mounts do to guide pulses, and what that costs the pictures.

Lateness is not the wait alone: the command takes its time too, whatever else is on the line. What is judged is what
the line does beyond a command that finds it free. Where nobody said who times a pulse, the harsh corner takes the
computer and the mild one the mount: unknown makes no verdict milder.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from topo.analysis.devices import mount_of
from topo.model.facts import Range3, value_of
from topo.model.night import SEEING
from topo.night.forms import window_factor
from topo.night.pulses import PulseCorner, PulseCost, judge_pulses, pulse_cost
from topo.serial.waits import waits

if TYPE_CHECKING:
    from topo.model.finding import Certainty, Severity
    from topo.model.line import LineWaits, PulseCommand, SerialLine
    from topo.model.rig import Device
    from topo.wiring.topology import Topology

RATE_UNKNOWN = Range3(0.05, 0.13, 0.79)
"""Fastest rate of a mount of which none is declared, arcsec/s: 10 to 60 arcsec peak to peak over 600 to 240 s, likely
20 over 480 (published errors of mounts; the periods are common practice, no source)."""

ROUGHER = 1.6
"""A mount that is no pure sinusoid moves up to so much faster (computed for a term of 30 % at half the period)."""

PEAK_OVER_RMS = 2.0**0.5

PERIODS_S = Range3(240.0, 480.0, 600.0)
"""Periods of a mount's error (common practice, no source)."""

GAIN, OVERHEAD_S = 0.7, 0.3
"""Share of an error that a guide program takes out at once, and what a cycle takes besides exposure.
Both: common practice, no source."""

NOISE = Range3(0.2, 0.3, 0.6)
"""Star noise of one guide frame on one axis, arcsec (common practice, no source)."""

GUIDE_RATE = 0.5 * 15.041
"""Half the sidereal rate, arcsec/s."""

GUIDE_EXPOSURE_S, PICTURE_S = 2.0, 120.0
"""Exposures of the guide camera and the imaging camera where none is declared."""

PULSE_S = 0.3
"""Length of a pulse that is neither the shortest nor the longest."""


@dataclass(frozen=True, slots=True)
class PulseOutcome:
    """The guide pulses of one mount on its serial line: waits at the low, likely and high end of an exchange, how long
    a command takes by itself, the longest an error in length can be, and what all of it costs at each corner.

    `by` is who times the pulse, None where nobody said. `second_axis_s` is the longest a second axis waits where the
    computer times pulses and does one after the other; None else.
    """

    line: SerialLine
    mount: str
    by: str | None
    waits: tuple[LineWaits, LineWaits, LineWaits]
    takes_s: Range3
    late_arcsec: float
    error_arcsec: Range3
    worst_error_arcsec: float
    second_axis_s: float | None
    mild: PulseCost
    likely: PulseCost
    harsh: PulseCost
    severity: Severity | None
    certainty: Certainty


def pulse_outcomes(topology: Topology, lines: tuple[SerialLine, ...]) -> tuple[PulseOutcome, ...]:
    """One outcome for each line with a mount on it that a guide camera steers while pictures are taken."""
    devices = topology.rig.devices
    guides = {mount.id: part for part in devices if part.role == "guiding" and (mount := mount_of(topology, part))}
    pictures = [value_of(part.use.exposure_s, PICTURE_S) for part in devices if part.role == "imaging"]
    found = []
    for line in lines:
        if line.pulse is not None and line.pulse.part in guides and pictures and line.askers:
            found.append(_outcome(topology, line, line.pulse, guides[line.pulse.part], max(pictures)))
    return tuple(found)


def _outcome(
    topology: Topology, line: SerialLine, pulse: PulseCommand, guide: Device, picture_s: float
) -> PulseOutcome:
    met = (_waits(line, "low"), _waits(line, "likely"), _waits(line, "high"))
    rate = _rates(topology.rig.device(pulse.part))
    exposure = value_of(guide.use.exposure_s, GUIDE_EXPOSURE_S)
    costs = []
    for number, name in enumerate(("low", "likely", "high")):
        at = -1 - number
        by_computer = pulse.by == "computer" or (pulse.by is None and name == "high")
        costs.append(pulse_cost(PulseCorner(
            getattr(rate, name) / PEAK_OVER_RMS, window_factor((*PERIODS_S,)[at], picture_s), exposure, OVERHEAD_S,
            GAIN, (*NOISE,)[at], (*SEEING,)[at], GUIDE_RATE, met[number].mean_s,
            met[number].error_s if by_computer else 0.0,
        )))
    severity, certainty = judge_pulses(*(cost.widening for cost in costs))
    by_computer = pulse.by != "mount"
    return PulseOutcome(
        line, pulse.part, pulse.by, met, pulse.takes_s, met[2].mean_s * rate.high,
        Range3.of(*(GUIDE_RATE * each.error_s for each in met)) if by_computer else Range3(0.0, 0.0, 0.0),
        GUIDE_RATE * met[2].worst_s if by_computer else 0.0,
        _second_axis_s(pulse, met[2]) if pulse.by == "computer" else None,
        costs[0], costs[1], costs[2], severity, certainty,
    )


def _waits(line: SerialLine, level: str) -> LineWaits:
    return waits(tuple((each.period_s, getattr(each.holds_s, level)) for each in line.askers), PULSE_S)


def _second_axis_s(pulse: PulseCommand, met: LineWaits) -> float | None:
    return None if pulse.longest_s is None else pulse.longest_s + 2.0 * (met.worst_s + pulse.takes_s.high)


def _rates(mount: Device) -> Range3:
    told = mount.facts.drift_arcsec_per_s
    if told is None:
        return RATE_UNKNOWN
    return Range3(told.value, told.value, told.value * (ROUGHER if told.basis == "profile" else 1.0))
