"""What a scan or the logs of a night told, as facts that stay in the file of a chase: one short text each.

`NAME/certain/PART/PART` or `NAME/possible/…`: the name of a finding, or a word of this file for what was looked for and
not found. A scan cannot be taken again once plugs were moved, so what it told is kept, not where it lies.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Literal

from topo.errors import CommandError
from topo.frozen import frozen
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.answers import Answers
    from topo.model.comparison import Comparison
    from topo.model.finding import Finding

SPEEDS_HOLD, NO_OVER_CURRENT = "speeds-hold", "no-over-current"
AT_DOWNLOADS, AT_SLEWS, NOT_AT_DOWNLOADS = "at-downloads", "at-slews", "not-at-downloads"
NO_FINDINGS = {
    SPEEDS_HOLD: "a scan shows every part as fast as it could be",
    NO_OVER_CURRENT: "a scan shows no over-current",
    AT_DOWNLOADS: "the trouble comes with downloads, more often than chance",
    AT_SLEWS: "the trouble comes with slews, more often than chance",
    NOT_AT_DOWNLOADS: "the trouble does not come with downloads",
    "not-plug": "no departure, reset or error in the log while the trouble went on",
    "not-supply": "one left while others on the same supply stayed",
    "not-controller": "others on the same controller stayed",
    "not-host": "frames of other cameras came in time meanwhile",
    "not-data-path": "the star jumps while its frames come in time",
}
"""What is no finding, in words. `not-CAUSE` is a cause that the logs speak against."""


@frozen
class Heard:
    """One thing told: a finding's name or a word of `NO_FINDINGS`, how sure, and the parts it is about."""

    name: str
    certainty: Literal["certain", "possible"]
    parts: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """As it stands in the file of a chase."""
        return "/".join((self.name, self.certainty, *self.parts))


def heard(text: str) -> Heard:
    """One thing from the file. Raises CommandError."""
    name, _, rest = text.partition("/")
    certainty, *parts = rest.split("/")
    if certainty == "certain":
        return Heard(name, "certain", tuple(parts))
    if certainty == "possible":
        return Heard(name, "possible", tuple(parts))
    raise CommandError(f"the file of the chase says '{plain(text, 80)}' was told: it must be NAME/certain/PART or "
                       "NAME/possible/PART")


def of_findings(findings: Iterable[Finding]) -> tuple[Heard, ...]:
    """Findings as things told."""
    return tuple(Heard(each.name, each.certainty, (each.part, *each.others)) for each in findings)


def of_scan(comparison: Comparison, findings: Sequence[Finding]) -> tuple[Heard, ...]:
    """What a scan was asked for and did not show; nothing where a part was not found. `findings` are its own."""
    scan, names = comparison.scan, {finding.name for finding in findings}
    found: list[Heard] = []
    if comparison.missing or not comparison.matches:
        return ()
    if scan.limits.speeds == "all" and scan.limits.abilities == "all" and "fell-back" not in names:
        found.append(Heard(SPEEDS_HOLD, "possible"))
    counted = any(port.over_current_count is not None for port in scan.ports)
    if counted and "over-current-counted" not in names:
        found.append(Heard(NO_OVER_CURRENT, "possible"))
    return tuple(found)


def of_answers(answers: Answers) -> tuple[Heard, ...]:
    """What the logs of a night line up, and what they speak against; each once."""
    return tuple(dict.fromkeys((*_lined_up(answers), *_refuted(answers))))


def _lined_up(answers: Answers) -> Iterator[Heard]:
    for link in answers.links:
        if link.verdict == "shown" and link.cause in ("download", "slew"):
            yield Heard(AT_DOWNLOADS if link.cause == "download" else AT_SLEWS, "certain")


def _refuted(answers: Answers) -> Iterator[Heard]:
    for each in answers.refuted:
        if each.cause == "sharing":
            yield Heard(NOT_AT_DOWNLOADS, "possible")
        elif f"not-{each.cause}" in NO_FINDINGS:
            whole = each.cause in ("host", "controller", "data-path")
            yield Heard(f"not-{each.cause}", "possible", () if whole or not each.part else (each.part,))
