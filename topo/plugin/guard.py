"""Runs one check so that it cannot stop the others, and judges what it found.

A stranger's check runs in isolation with a time-out. A check that ships runs as it is, but what it raises does not stop
the run either.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice
from typing import TYPE_CHECKING, Any

from topo.errors import PluginError
from topo.model.facts import BASES, Figure, Range3
from topo.model.finding import SEVERITIES, Finding, Fix
from topo.model.rig import Place
from topo.plugin.isolate import Outcome, run, words
from topo.plugin.values import Supplier, Trouble

if TYPE_CHECKING:
    from topo.model.check import Check

CHECK_TIME_S = 5.0
"""How long a stranger's check may take, in seconds. Those that ship take milliseconds."""

SLOW_TIME_OUT_S = 60.0
"""How long a stranger may take to draw, to scan or to read a file, in seconds."""

MOST_FINDINGS = 5_000
"""No rig has more parts than 2,000; a check that finds more than this does not end."""


@dataclass(frozen=True, slots=True)
class Stranger:
    """The finder of a check that did not ship, with who brought it."""

    find: Callable[[Any], Iterable[Finding]]
    supplier: Supplier

    def __call__(self, study: Any) -> Iterable[Finding]:
        return self.find(study)


@dataclass(frozen=True, slots=True)
class Fenced:
    """A stranger's function (a renderer, a scan, a reader) that runs in isolation. Raises PluginError, nothing else."""

    function: Callable[..., Any]
    supplier: Supplier
    what: str
    timeout_s: float = SLOW_TIME_OUT_S

    def __call__(self, *arguments: Any) -> Any:
        outcome = run(lambda: (self.function(*arguments),), self.timeout_s)
        if outcome.value is None:
            raise PluginError(str(Trouble.of(self.supplier, f"{self.what} {outcome.failure}")))
        return outcome.value[0]


def run_check(check: Check, study: Any, timeout_s: float = CHECK_TIME_S) -> tuple[tuple[Finding, ...], Trouble | None]:
    """The findings of one check on a study (or a comparison), and what went wrong with it.

    Findings that break the rules are left out and told; those that are right stay.
    """
    if isinstance(check.find, Stranger):
        supplier = check.find.supplier
        outcome = run(lambda: _collect(check, study), timeout_s)
    else:
        supplier = Supplier("topo.builtin", "topo-rig", "")
        outcome = _as_it_is(check, study)
    findings, wrong = outcome.value or ((), "")
    wrong = outcome.failure or wrong or ("writes to standard output" if outcome.printed else "")
    trouble = Trouble.of(supplier, f"check {check.name} {wrong}") if wrong else None
    signature = str(supplier) if isinstance(check.find, Stranger) else ""
    return tuple(replace(finding, supplied_by=signature) for finding in findings), trouble


def _as_it_is(check: Check, study: Any) -> Outcome[tuple[list[Finding], str]]:
    try:
        return Outcome(_collect(check, study))
    except Exception as error:
        return Outcome(None, words(error))


def _collect(check: Check, study: Any) -> tuple[list[Finding], str]:
    """Findings that follow the rules; what is wrong with the first that does not, or with what raised."""
    findings: list[Finding] = []
    first = ""
    returned = check.find(study)
    if not isinstance(returned, Iterable) or isinstance(returned, str | bytes | dict):
        return [], f"returned a value of type {type(returned).__name__}, not findings"
    iterator = iter(returned)
    try:
        for number, finding in enumerate(islice(iterator, MOST_FINDINGS + 1), 1):
            if number > MOST_FINDINGS:
                return findings, f"found more than {MOST_FINDINGS} things; the rest is left out"
            wrong = next(wrong_with(finding, check), "")
            if not wrong:
                findings.append(finding)
            first = first or (wrong and f"gave finding {number} that is left out: {wrong}")
    except (Exception, SystemExit) as error:
        return findings, words(error)
    return findings, first


def wrong_with(finding: Any, check: Check) -> Iterator[str]:
    """In words, everything that makes a finding one that cannot be reported."""
    if type(finding) is not Finding:
        yield f"it is a value of type {type(finding).__name__}, not a Finding"
        return
    if finding.name != check.name:
        yield f"its name is {finding.name!r}, and the check's is {check.name!r}"
    if finding.severity not in SEVERITIES or finding.severity not in check.severities:
        yield f"its severity is {finding.severity!r}, and the check says {', '.join(check.severities)}"
    if finding.certainty not in ("certain", "possible"):
        yield f"its certainty is {finding.certainty!r}"
    if not isinstance(finding.part, str) or not isinstance(finding.place, Place):
        yield "its part is not text, or its place not a Place"
    if not isinstance(finding.message, str) or not finding.message.strip():
        yield "it has no message"
    if not isinstance(finding.refuted_by, str):
        yield "what would refute it is not text"
    if not isinstance(finding.others, tuple) or not all(isinstance(other, str) for other in finding.others):
        yield "its other parts are not a tuple of text"
    fix = finding.fix
    if fix is not None and (type(fix) is not Fix or not isinstance(fix.text, str)):
        yield "its fix is not a Fix"
        fix = None
    yield from _wrong_figures(finding.figures)
    yield from _wrong_figures(fix.after if fix else ())


def _wrong_figures(figures: Any) -> Iterator[str]:
    if not isinstance(figures, tuple):
        yield "its figures are not a tuple"
        return
    for figure in figures:
        if type(figure) is not Figure:
            yield f"a figure is a value of type {type(figure).__name__}"
        elif not isinstance(figure.name, str) or not isinstance(figure.unit, str) or figure.basis not in BASES:
            yield "a figure has no name, no unit or no basis"
        elif not _tellable(figure.value):
            yield f"the value of figure {figure.name!r} cannot be told"


def _tellable(value: Any) -> bool:
    """A figure without an upper end can be told (a download over a link with nothing left); no number cannot."""
    if value is None or isinstance(value, str):
        return True
    numbers = (value.low, value.likely, value.high) if type(value) is Range3 else (value,)
    return all(isinstance(number, int | float) and -math.inf < number <= math.inf for number in numbers)
