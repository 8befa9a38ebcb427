"""A serial line is too busy for its polls, and guide pulses wait in the queue behind them.

A serial line of 8 data bits sends 10 bits for each byte, so 9600 baud is 960 bytes a second, one question at a time.
While a poll and its answer are on the line a guide pulse has to wait for them; many adapters also hold an answer back
until their receive timer runs out (16 ms is the usual default: common practice, no source). If polls take all the time
there is, the queue grows and the mount falls ever further behind.

A fault where polls need more than the line has; a risk where they take half of it, or where one poll holds a guide
pulse up longer than a tenth of a second.

Refuted if the program's log shows answers within the time computed here.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.model.check import Case, Check
from topo.model.facts import Figure, basis_of, value_of
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Device

BITS_PER_BYTE = 10
"""Start bit, 8 data bits, stop bit."""

USUAL_TIMER_MS = 16.0
"""Receive timer of adapters by default: common practice, no source."""

LATE_PULSE_S = 0.1
"""A wait that shows beside pulses of half a second (our own proposal, no source)."""


def exchange_s(part: Device) -> float | None:
    """Seconds a question and its answer hold the line, with the adapter's timer. None where they are unknown."""
    baud = value_of(part.serial.baud)
    size = (value_of(part.serial.bytes_out) or 0.0) + (value_of(part.serial.bytes_in) or 0.0)
    if not baud or not size:
        return None
    timer_ms = value_of(part.serial.latency_timer_ms)
    return size * BITS_PER_BYTE / baud + (USUAL_TIMER_MS if timer_ms is None else timer_ms) / 1000.0


def find(study: Study) -> Iterator[Finding]:
    """One finding for each serial line that is too busy."""
    for part in study.rig.devices:
        took, polls = exchange_s(part), value_of(part.serial.polls_per_s)
        if took is None or not polls:
            continue
        busy = took * polls
        severity = _severity(part, took, busy)
        if severity is not None:
            yield _finding(part, took, busy, severity)


def _severity(part: Device, took: float, busy: float) -> Severity | None:
    if busy >= 1.0:
        return "fault"
    if busy > 0.5 or (part.role == "mount" and took > LATE_PULSE_S):
        return "risk"
    return None


def _finding(part: Device, took: float, busy: float, severity: Severity) -> Finding:
    waits = " A guide pulse waits behind them." if part.role == "mount" else ""
    basis = basis_of(part.serial.baud)
    return Finding(
        name="serial-line-busy",
        severity=severity,
        certainty="certain"
        if part.serial.latency_timer_ms is not None
        or (busy >= 1 and took - USUAL_TIMER_MS / 1000 >= 1 / (value_of(part.serial.polls_per_s) or 1))
        else "possible",
        part=part.id,
        place=part.place,
        message=f"The polls of {plain(part.id)} take {min(busy, 9.99):.0%} of its serial line's time.{waits}",
        figures=(
            Figure("one poll with its answer", took, "s", basis),
            Figure("polls", value_of(part.serial.polls_per_s), "polls/s", basis_of(part.serial.polls_per_s)),
            Figure("line in use", round(100 * busy, 1), "%", basis),
            Figure("a guide pulse waits up to", took, "s", basis),
        ),
        refuted_by="the program's log shows answers sooner than computed here",
        fix=Fix("Poll less often, raise the baud rate if the device can, or lower the adapter's receive timer."),
    )


def _mount(serial: str) -> str:
    return rig(f"mount: {{role: mount, speed: full, plug: computer/usb2-1, serial: {{{serial}}}}}")


CHECK = Check(
    name="serial-line-busy",
    summary="a serial line is too busy for its polls, and guide pulses wait",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(
        Case("one poll a second at 9600 baud", _mount("baud: 9600, polls_per_s: 1, bytes_out: 20, bytes_in: 20"), 0),
        Case(
            "twenty polls a second at 9600 baud", _mount("baud: 9600, polls_per_s: 20, bytes_out: 20, bytes_in: 40"), 1
        ),
    ),
)
