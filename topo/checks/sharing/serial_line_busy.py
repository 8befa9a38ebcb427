"""The polls on a serial line ask for more than it has: it never catches up, or has next to nothing left.

A serial line carries one exchange at a time: question and answer at its rate (10 bits for each byte, unless `framing`
says more), the device's time to reply, and what the adapter holds short answers back: many wait for a receive timer of
16 ms. Everything that asks on one socket adds up: several parts on one adapter, several programs that ask one part
(`clients`). Where this passes what a second has, questions pile up: a program shows old positions, runs into its
time-out, or asks more seldom than it is set to. A socket of the computer itself has no receive timer, and an adapter
with `bridge: cdc` or `none` has none either.

A fault where the polls need all the time there is or more: certain if so with the fastest replies, possible with usual
ones. A risk if only slow replies bring it there. A note from four fifths up: answers come late. What guide pulses lose
on a busy line is the finding guide-pulse-late.

Wrong if the program's log shows answers sooner than computed here, and none missing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.lines import eased_by, line_figures
from topo.model.check import Case, Check
from topo.model.figures import percent
from topo.model.finding import Certainty, Finding, Fix, Severity
from topo.model.plain import plain
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.facts import Range3
    from topo.model.line import SerialLine

NEARLY_FULL = 0.8
"""From this share up answers come late (our own proposal, no source)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each serial line that is full, or nearly."""
    for line in study.traffic.lines:
        if not line.askers:
            continue
        severity, certainty = _judge(line.load)
        if severity is not None:
            yield _finding(study, line, severity, certainty)


def _judge(load: Range3) -> tuple[Severity | None, Certainty]:
    if load.low >= 1.0:
        return "fault", "certain"
    if load.likely >= 1.0:
        return "fault", "possible"
    if load.high >= 1.0:
        return "risk", "possible"
    if load.likely >= NEARLY_FULL:
        return "note", "certain" if load.low >= NEARLY_FULL else "possible"
    return None, "certain"


def _finding(study: Study, line: SerialLine, severity: Severity, certainty: Certainty) -> Finding:
    askers = tuple(dict.fromkeys(asker.part for asker in line.askers))
    part = next((name for name in askers if study.rig.part(name).role == "mount"), askers[0])
    polls = f"polls of {listed(askers)}"
    if line.load.likely >= 1.0:
        message = f"The {polls} ask for {line.load.likely:.2f} times what the {plain(line.label)} can do. " \
                  "It never catches up."
    elif severity == "risk":
        message = f"The {polls} fill {percent(line.load.likely)} of the {plain(line.label)}. If answers come slowly, " \
                  "it never catches up."
    else:
        message = f"The {polls} fill {percent(line.load.likely)} of the {plain(line.label)}. Answers come late."
    if line.pulse is not None:
        message += " Guide pulses wait behind them."
    return Finding(
        name="serial-line-busy",
        severity=severity,
        certainty=certainty,
        part=part,
        place=study.rig.part(part).place,
        message=message,
        figures=line_figures(line),
        others=tuple(name for name in askers if name != part),
        refuted_by="the program's log shows answers sooner than computed here, and none missing",
        fix=Fix(
            "Poll less often, let one program less ask, raise the baud rate if the device can, or lower the adapter's "
            "receive timer.",
            eased_by(study, line),
            lambda after: line_figures(next((each for each in after.traffic.lines if each.id == line.id), None)),
        ),
    )


def _mount(serial: str, plug: str = "computer/usb2-1") -> str:
    return f"mount: {{role: mount, speed: full, plug: {plug}, serial: {{{serial}}}}}"


ADAPTER = "adapter: {speed: full, serial_sockets: 2, plug: computer/usb2-1}"
SIX = "baud: 9600, polls_per_s: 6, bytes_out: 20, bytes_in: 40"
BESIDE = f"focuser: {{role: focuser, plug: adapter/serial-1, serial: {{{SIX}}}}}"

CHECK = Check(
    name="serial-line-busy",
    summary="the polls on a serial line ask for more than it has",
    tested_by="`topo chase RIG --symptom mount-stalls` finds whether the line or something else is to blame",
    explanation=__doc__,
    severities=("fault", "risk", "note"),
    symptoms=("the mount answers slowly or shows old positions", "serial time-outs while several programs poll"),
    find=find,
    scope="controller",
    cases=(
        Case(
            "one poll a second at 9600 baud", rig(_mount("baud: 9600, polls_per_s: 1, bytes_out: 20, bytes_in: 20")), 0
        ),
        Case(
            "twenty polls a second at 9600 baud",
            rig(_mount("baud: 9600, polls_per_s: 20, bytes_out: 20, bytes_in: 40")), 1,
        ),
        Case("a mount and a focuser on one socket", rig(ADAPTER, _mount(SIX, "adapter/serial-1"), BESIDE), 1),
        Case("the same two on two sockets", rig(ADAPTER, _mount(SIX, "adapter/serial-2"), BESIDE), 0),
        Case("three programs that ask one mount", rig(_mount(f"{SIX}, clients: 3")), 1),
    ),
)
