"""A finding: one thing told to the person, with its figures, what would refute it, and what to do."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from topo.model.change import Change
    from topo.model.facts import Figure
    from topo.model.rig import Place

Severity = Literal["fault", "risk", "note"]
Certainty = Literal["certain", "possible"]
Verdict = Literal["fault", "risk", "note", "clear"]

SEVERITIES: tuple[Severity, ...] = ("fault", "risk", "note")
"""From the worst down."""


@dataclass(frozen=True, slots=True)
class Fix:
    """What to do, in words; as a change where one can be computed; and the figures once it is done (recomputed).

    `clears` says whether the finding is gone after the change, as found by running the computation again.
    """

    text: str
    change: Change | None = None
    after: tuple[Figure, ...] = ()
    clears: bool | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding. `part` is the part to look at first, `others` the further parts it concerns."""

    name: str
    severity: Severity
    certainty: Certainty
    part: str
    place: Place
    message: str
    figures: tuple[Figure, ...] = ()
    refuted_by: str = ""
    fix: Fix | None = None
    others: tuple[str, ...] = ()
    supplied_by: str = field(default="", compare=False)


def verdict(findings: tuple[Finding, ...]) -> Verdict:
    """The worst severity among findings, or `clear`."""
    return min((finding.severity for finding in findings), key=SEVERITIES.index, default="clear")
