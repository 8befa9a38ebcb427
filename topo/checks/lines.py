"""What checks of serial lines share: the changes that ease a line, to be computed by planning, and its figures."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.model.change import Proposal, SetSerial
from topo.model.facts import Figure, Range3, value_of
from topo.model.rig import Device
from topo.serial.exchange import back_to_back_s

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.line import SerialLine

SHORT_TIMER_MS = 1
"""The shortest receive timer that adapters take."""

SLOWER = (2, 4, 10)
"""Polls are asked so many times more seldom."""

SLOWEST_PER_S = 0.2
"""Programs that ask more seldom than this are left alone (our own proposal, no source)."""

RATES = (9600, 19200, 38400, 57600, 115200)
"""Rates that devices offer, baud (common practice, no source)."""


def line_of(study: Study, part: str) -> SerialLine | None:
    """The line a part is on."""
    return next((line for line in study.traffic.lines if part in line.parts), None)


def eased_by(study: Study, line: SerialLine) -> tuple[Proposal, ...]:
    """What could ease a line: a program less, a shorter receive timer, polling more seldom, a faster rate."""
    asked = tuple(dict.fromkeys(asker.part for asker in line.askers))
    devices = [part for name in asked if isinstance(part := study.rig.part(name), Device)]
    found = [
        Proposal((SetSerial(part.id, "clients", fewer),))
        for part in devices for fewer in range(value_of(part.serial.clients, 1) - 1, 0, -1)
    ]
    if line.timer_s * 1000.0 > SHORT_TIMER_MS:
        found.append(Proposal((SetSerial(line.parts[0], "latency_timer_ms", SHORT_TIMER_MS),)))
    by_others_first = sorted(devices, key=lambda part: part.role == "mount")
    found += [Proposal((_slower(part, by),)) for part in by_others_first for by in SLOWER if _may_be_slower(part, by)]
    if len(devices) > 1:
        found += [Proposal(tuple(_slower(part, by) for part in devices)) for by in SLOWER
                  if all(_may_be_slower(part, by) for part in devices)]
    found += [Proposal(tuple(SetSerial(name, "baud", rate) for name in line.parts))
              for rate in RATES if line.baud is not None and rate > line.baud]
    return tuple(found)


def _polls(part: Device) -> float:
    return value_of(part.serial.polls_per_s, 0.0)


def _may_be_slower(part: Device, by: int) -> bool:
    return _polls(part) / by >= SLOWEST_PER_S


def _slower(part: Device, by: int) -> SetSerial:
    return SetSerial(part.id, "polls_per_s", round(_polls(part) / by, 3))


def line_figures(line: SerialLine | None) -> tuple[Figure, ...]:
    """How full a line is, what one exchange takes, and what it can answer at the most."""
    if line is None or not line.askers:
        return ()
    load = line.load
    figures = [Figure("line in use", load.scaled(100.0), "%", line.basis)]
    for part in dict.fromkeys(asker.part for asker in line.askers):
        one = next(asker for asker in line.askers if asker.part == part)
        figures.append(Figure(f"one exchange of {part}", one.holds_s, "s", line.basis))
    # What goes round without a pause: every asker once, each locked to the receive timer.
    held = Range3(0.0, line.timer_s / 2.0, line.timer_s)
    around = math.fsum(back_to_back_s(asker.holds_s.likely - held.likely, 0.0, line.timer_s) for asker in line.askers)
    if around > 0 and len(line.askers) == 1:
        figures.append(Figure("polls answered at the most", 1.0 / around, "polls/s", line.basis))
    return tuple(figures)
