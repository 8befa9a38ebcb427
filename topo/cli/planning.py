"""What the planning commands share: every check as one function, and a consequence in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.cli.unchecked import note

if TYPE_CHECKING:
    from topo.model.finding import Finding
    from topo.place.consequence import Consequence
    from topo.place.examiner import Examiner


def examiner() -> Examiner:
    """Every check there is, for planning. What failed is told when the command ends."""
    from topo.pipeline import examiner, plugins

    note(map(str, plugins().troubles))
    return examiner(note)


def consequence_json(value: Consequence) -> dict[str, float | int | None]:
    """A consequence as an object; null for a time that never ends."""
    from dataclasses import fields

    from topo.report.asjson import rounded

    return {field.name: rounded(getattr(value, field.name)) for field in fields(value)}


def consequence_words(value: Consequence) -> str:
    """A consequence in one line: faults, risks, late guide frames."""
    pieces = [
        f"{value.faults} fault{'s' if value.faults != 1 else ''}",
        f"{value.risks} risk{'s' if value.risks != 1 else ''}",
    ]
    if value.lost:
        pieces.append(f"{value.lost} camera{'s' if value.lost != 1 else ''} may lose frames")
    if value.delay_s == float("inf"):
        pieces.append("guide frames that may never come")
    elif value.delay_s:
        pieces.append(f"up to {value.delay_s:.2g} s added to guide frames")
    return ", ".join(pieces)


def finding_json(finding: Finding) -> dict[str, str | None]:
    """A finding as far as plans need it."""
    return {
        "name": finding.name,
        "severity": finding.severity,
        "certainty": finding.certainty,
        "part": finding.part,
        "message": finding.message,
        "supplied_by": finding.supplied_by or None,
    }
