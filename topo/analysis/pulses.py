"""What the serial lines of mounts do to guide pulses, and what that costs the pictures.

Lateness is not the wait alone: the command takes its time too, whatever else is on the line. What is judged is what
the line does beyond a command that finds it free. Where nobody said who times a pulse, the harsh corner takes the
computer and the mild one the mount: unknown makes no verdict milder. The guide loop and the mount are those
of the planned night.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.facts import Range3
from topo.night.forms import peak_rate, window_factor
from topo.night.mounts import mount_of_guide
from topo.night.pulses import PulseCorner, PulseCost, judge_pulses, pulse_cost
from topo.serial.waits import waits

if TYPE_CHECKING:
    from topo.model.finding import Certainty, Severity
    from topo.model.line import LineWaits, PulseCommand, SerialLine
    from topo.model.night import Guiding, NightPlan
    from topo.wiring.topology import Topology

PULSE_S = 0.3
"""Length of a pulse that is neither the shortest nor the longest."""


@frozen
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


def pulse_outcomes(topology: Topology, lines: tuple[SerialLine, ...], plan: NightPlan) -> tuple[PulseOutcome, ...]:
    """One outcome for each line with a mount on it that a guide camera steers while pictures are taken."""
    steered = [line for line in lines if line.pulse is not None and line.askers]
    if not steered:
        return ()
    pictures = [shot.exposure_s for shot in plan.shooting if shot.pictures]
    guides = {
        mount.id: guiding for guiding in plan.guiding
        if (mount := mount_of_guide(topology.rig, topology.rig.device(guiding.camera))) is not None
    }
    return tuple(
        _outcome(line, line.pulse, guides[line.pulse.part], plan.seeing_arcsec, max(pictures))
        for line in steered if line.pulse is not None and line.pulse.part in guides and pictures
    )


def _outcome(
    line: SerialLine, pulse: PulseCommand, guiding: Guiding, seeing: Range3, picture_s: float
) -> PulseOutcome:
    met = (_waits(line, "low"), _waits(line, "likely"), _waits(line, "high"))
    mild, likely, harsh = (
        pulse_cost(_corner(guiding, seeing, picture_s, number, met[number],
                           pulse.by == "computer" or (pulse.by is None and number == 2)))
        for number in range(3)
    )
    severity, certainty = judge_pulses(mild.widening, likely.widening, harsh.widening)
    mount, by_computer = guiding.mount, pulse.by != "mount"
    fastest = peak_rate(mount.peak_to_peak_arcsec.high, mount.period_s.low) * mount.rougher.high
    wrong = Range3.of(*(mount.pulse_arcsec_per_s * each.error_s for each in met))
    return PulseOutcome(
        line, pulse.part, pulse.by, met, pulse.takes_s, met[2].mean_s * (fastest + abs(mount.drift_arcsec_per_s)),
        wrong if by_computer else Range3(0.0, 0.0, 0.0),
        mount.pulse_arcsec_per_s * met[2].worst_s if by_computer else 0.0,
        _second_axis_s(pulse, met[2]) if pulse.by == "computer" else None, mild, likely, harsh, severity, certainty,
    )


def _corner(
    guiding: Guiding, seeing: Range3, picture_s: float, number: int, met: LineWaits, by_computer: bool
) -> PulseCorner:
    """The corner number 0 (mild) to 2 (harsh). A restless mount shows lateness; star noise and seeing hide it."""
    mount, up, down = guiding.mount, number, 2 - number
    period = (*mount.period_s,)[down]
    rate = peak_rate((*mount.peak_to_peak_arcsec,)[up], period) * (*mount.rougher,)[up]
    # The picture that 95 of 100 stay below lies where the mount is fastest, others see it on average.
    rate = rate if number == 2 else rate / math.sqrt(2.0)
    return PulseCorner(
        rate + abs(mount.drift_arcsec_per_s), window_factor(period, picture_s), guiding.exposure_s,
        guiding.overhead_s.likely, guiding.gain.likely, (*guiding.noise_arcsec,)[down], (*seeing,)[down],
        mount.pulse_arcsec_per_s, met.mean_s, met.error_s if by_computer else 0.0,
    )


def _waits(line: SerialLine, level: str) -> LineWaits:
    return waits(tuple((each.period_s, getattr(each.holds_s, level)) for each in line.askers), PULSE_S)


def _second_axis_s(pulse: PulseCommand, met: LineWaits) -> float | None:
    return None if pulse.longest_s is None else pulse.longest_s + 2.0 * (met.worst_s + pulse.takes_s.high)
