"""Guide pulses wait for polls on the mount's serial line, and the pictures show it.

A guide command waits until the exchange on the line is over. What this does depends on who times the pulse (`pulse:`
under `serial:`). If the mount times it, the command says how long the pulse is: it starts a few hundredths of a
second late and has the right length, which costs next to nothing. If the computer times it, with one command to start
and one to stop, each of them waits: the pulse gets longer or shorter by the difference, at half the sidereal rate 7.5
arcsec for each second of it, and a stop that is lost lets the mount run on. A lead from the guide camera's port
(`pulse_lead`) has nothing to do with the line.

Judged as everything else that comes late: by how much wider the stars get while the shutter is open, not by the wait.
A risk from 5 %, a note from 1 %, nothing below; a fault if 5 % is certain. If nobody said who times the pulse, both
are computed. The mount's rate is taken from `drift_arcsec_per_s`, else from usual mounts.

Wrong if the guide graph is as rough with the polling program closed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, imaging, rig
from topo.checks.lines import eased_by, line_figures
from topo.model.check import Case, Check
from topo.model.facts import Figure, Range3
from topo.model.figures import percent
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.pulses import PulseOutcome
    from topo.analysis.study import Study
    from topo.model.facts import Basis


def find(study: Study) -> Iterator[Finding]:
    """One finding for each mount whose pictures show what its line does to guide pulses."""
    for outcome in study.pulses:
        # A line that may never catch up is the finding serial-line-busy, whatever is steered over it.
        if outcome.severity is not None and outcome.line.load.high < 1.0:
            yield _finding(study, outcome)


def _finding(study: Study, outcome: PulseOutcome) -> Finding:
    assert outcome.severity is not None
    part = study.rig.part(outcome.mount)
    line = outcome.line
    return Finding(
        name="guide-pulse-late",
        severity=outcome.severity,
        certainty=outcome.certainty,
        part=part.id,
        place=part.place,
        message=f"Guide pulses of {plain(part.id)} wait for polls on its serial line. {_says(outcome)}",
        figures=_figures(outcome),
        others=tuple(dict.fromkeys(each.part for each in line.askers if each.part != part.id)),
        refuted_by="the guide graph is as rough with the polling programs closed",
        fix=Fix(
            "Poll the mount less often, let one program less ask, let the mount time its pulses (a setting of its "
            "driver), or steer it by a lead from the guide camera's port.",
            eased_by(study, line),
            lambda after: _figures(next((each for each in after.pulses if each.mount == part.id), None)),
        ),
    )


def _says(outcome: PulseOutcome) -> str:
    by = {"computer": "The computer times them, so that", "mount": "The mount times them, so only the start is late:"}
    words = by.get(outcome.by or "", "If the computer times them,")
    harsh = outcome.harsh
    seen = "" if outcome.severity != "note" else " That cannot be seen in the stars."
    return f"{words} stars get up to {percent(harsh.widening)} wider.{seen}"


def _figures(outcome: PulseOutcome | None) -> tuple[Figure, ...]:
    """Waits, errors in length, what they cost: mild, likely, harsh."""
    if outcome is None:
        return ()
    pulse = outcome.line.pulse
    basis: Basis = "assumed" if pulse is None else pulse.basis
    low, likely, high = outcome.waits
    figures = [
        Figure("it waits, mean", Range3.of(low.mean_s, likely.mean_s, high.mean_s), "s", basis),
        Figure("it waits, at most", Range3.of(low.worst_s, likely.worst_s, high.worst_s), "s", basis),
        Figure("that is, mean", outcome.late_arcsec, "arcsec", basis),
    ]
    if outcome.by != "mount":
        figures.append(Figure("length is wrong by", outcome.error_arcsec, "arcsec", basis))
        figures.append(Figure("at most by", outcome.worst_error_arcsec, "arcsec", basis))
    if outcome.second_axis_s is not None:
        figures.append(Figure("second axis waits", outcome.second_axis_s, "s", basis))
    figures.append(Figure("guiding without it", outcome.harsh.without_arcsec, "arcsec", "assumed"))
    figures.append(Figure("guiding with it", outcome.harsh.with_arcsec, "arcsec", "assumed"))
    return (*figures, *line_figures(outcome.line)[:1])


ON = "drift_arcsec_per_s: 0.35, speed: full, plug: computer/usb2-2"


def _guided(serial: str, *more: str) -> str:
    mount = f"mount: {{role: mount, {ON}, serial: {{{serial}}}}}"
    return rig(imaging("computer/usb3-1"), guiding("computer/usb2-1"), mount, *more)


CHECK = Check(
    name="guide-pulse-late",
    summary="guide pulses wait for polls on the mount's serial line",
    tested_by="`topo chase RIG --symptom mount-stalls` finds whether the line or something else is to blame",
    explanation=__doc__,
    severities=("fault", "risk", "note"),
    symptoms=("guiding gets rough while a second program polls the mount", "guide pulses are too long or too short"),
    find=find,
    cases=(
        Case("a pulse the mount times, 95 ms late at the worst",
             _guided("baud: 9600, polls_per_s: 1, bytes_out: 10, bytes_in: 30, pulse: mount"), 0),
        Case("a pulse the computer times, at 1200 baud",
             _guided("baud: 1200, polls_per_s: 1, bytes_out: 10, bytes_in: 30, pulse: computer"), 1),
        Case("the same line, steered by the guide camera's port",
             _guided("baud: 1200, polls_per_s: 1, bytes_out: 10, bytes_in: 30, pulse: guide-port"), 0),
    ),
)
