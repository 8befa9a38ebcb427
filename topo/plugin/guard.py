"""Runs one check so that it cannot stop the others, and takes what it found apart before anything of ours reads it.

A stranger's check runs in isolation, with a time-out, on a copy of the study. A check that ships runs as it is, but
what it raises does not stop the run either.
"""

from __future__ import annotations

import copy
import io
from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import TYPE_CHECKING, Any

from topo.errors import PluginError
from topo.frozen import frozen, replace
from topo.model.finding import Finding
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

_hung: list[tuple[Any, Trouble]] = []
"""Checks that once did not come back. A search runs each check hundreds of times: they are not asked again."""


@frozen
class Stranger:
    """The finder of a check that did not ship, with who brought it."""

    find: Callable[[Any], Iterable[Finding]]
    supplier: Supplier

    def __call__(self, study: Any) -> Iterable[Finding]:
        return self.find(study)


@frozen
class Fenced:
    """A stranger's function (a renderer, a scan, a reader) that runs in isolation on copies of what it is given.

    What it returns is made anew as `returns`, where that is named. Raises PluginError, nothing else.
    """

    function: Callable[..., Any]
    supplier: Supplier
    what: str
    returns: Any = Any
    judge: Callable[[Any], Iterable[str]] = lambda _: ()
    timeout_s: float = SLOW_TIME_OUT_S

    def __call__(self, *arguments: Any) -> Any:
        from topo.plugin.anew import Unlike, anew

        theirs = tuple(each if isinstance(each, io.IOBase) else copy.deepcopy(each) for each in arguments)
        outcome = run(lambda: (self.function(*theirs),), self.timeout_s)
        if outcome.value is None:
            raise PluginError(str(Trouble.of(self.supplier, f"{self.what} {outcome.failure}")))
        try:
            returned = anew(self.returns, outcome.value[0], "what it returns")
            for wrong in self.judge(returned):
                raise Unlike(f"in what it returns, {wrong}")
        except Unlike as error:
            raise PluginError(str(Trouble.of(self.supplier, f"{self.what}: {error}"))) from None
        return returned


def run_check(check: Check, study: Any, timeout_s: float = CHECK_TIME_S) -> tuple[tuple[Finding, ...], Trouble | None]:
    """The findings of one check on a study (or a comparison), and what went wrong with it.

    Findings that break the rules are left out and told; those that are right stay.
    """
    if not isinstance(check.find, Stranger):
        outcome = _as_it_is(check, study)
        trouble = _trouble(Supplier("topo.builtin", "topo-rig", ""), check, outcome)
        return tuple((outcome.value or ([], ""))[0]), trouble
    known = next((trouble for find, trouble in _hung if find is check.find.find), None)
    if known is not None:
        return (), known
    theirs = copy.deepcopy(study)
    outcome = run(lambda: _collect(check, theirs, anew=True), timeout_s)
    trouble = _trouble(check.find.supplier, check, outcome)
    if outcome.hangs and trouble is not None:
        _hung.append((check.find.find, trouble))
    signature = str(check.find.supplier)
    found = (outcome.value or ([], ""))[0]
    return tuple(replace(_unproven(finding), supplied_by=signature) for finding in found), trouble


def _unproven(finding: Finding) -> Finding:
    """A finding without the word of a stranger that its fix clears it, and with none of its code to be called later:
    only what topo computed is said to be so."""
    fix = finding.fix
    if fix is None:
        return finding
    return replace(finding, fix=replace(fix, plan=None, after=(), figures_of=None, untried=False))


def _trouble(supplier: Supplier, check: Check, outcome: Outcome[tuple[list[Finding], str]]) -> Trouble | None:
    wrong = outcome.failure or (outcome.value or ([], ""))[1] or ", ".join(outcome.did)
    return Trouble.of(supplier, f"check {check.name} {wrong}") if wrong else None


def _as_it_is(check: Check, study: Any) -> Outcome[tuple[list[Finding], str]]:
    try:
        return Outcome(_collect(check, study))
    except Exception as error:
        return Outcome(None, words(error))


def _collect(check: Check, study: Any, anew: bool = False) -> tuple[list[Finding], str]:
    """Findings that follow the rules; what is wrong with the first that does not, or with what raised."""
    findings: list[Finding] = []
    first = ""
    returned = check.find(study)
    if not isinstance(returned, Iterable) or isinstance(returned, str | bytes | dict):
        return [], f"returned a value of type {type(returned).__name__}, not findings"
    try:
        for number, found in enumerate(islice(iter(returned), MOST_FINDINGS + 1), 1):
            if number > MOST_FINDINGS:
                return findings, f"found more than {MOST_FINDINGS} things; the rest is left out"
            finding, wrong = _taken_apart(found) if anew else (found, "")
            wrong = wrong or next(wrong_with(finding, check), "")
            if not wrong:
                findings.append(_with_test(finding, check))
            first = first or (wrong and f"gave finding {number} that is left out: {wrong}")
    except (Exception, SystemExit) as error:
        return findings, words(error)
    return findings, first


def _with_test(finding: Finding, check: Check) -> Finding:
    """A finding that is only possible, with what tells whether it is true."""
    tested_by = check.tested_by if finding.certainty == "possible" else ""
    return finding if finding.tested_by == tested_by else replace(finding, tested_by=tested_by)


def _taken_apart(found: Any) -> tuple[Finding, str]:
    from topo.plugin.anew import Unlike, anew

    try:
        return anew(Finding, found), ""
    except Unlike as error:
        return found, str(error)


def wrong_with(finding: Finding, check: Check) -> Iterator[str]:
    """In words, what no type tells of a finding that cannot be reported."""
    if finding.name != check.name:
        yield f"its name is {finding.name!r}, and the check's is {check.name!r}"
    if finding.severity not in check.severities:
        yield f"its severity is {finding.severity!r}, and the check says {', '.join(check.severities)}"
    if not finding.message.strip():
        yield "it has no message"
    if finding.place.line < 0 or finding.place.column < 0:
        yield "its place is before the first line"
