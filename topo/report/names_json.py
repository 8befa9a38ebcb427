"""The names of a rig as one JSON object, `topo.names.1`; its schema is `names.schema.json` beside this file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from topo.compare.rules import label_lines
from topo.report.names import ABOUT_NAMES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from topo.compare.names import PartName, RigNames
    from topo.model.comparison import Comparison
    from topo.model.finding import Finding


def names_json(comparison: Comparison, names: RigNames, findings: Sequence[Finding]) -> dict[str, Any]:
    """The names as a dictionary for `json.dumps`, with the keys of the schema in a fixed order."""
    holding = comparison.scan.holding
    return {
        "format": "topo.names.1",
        "rig": comparison.declared.rig.name,
        "file": comparison.declared.rig.file,
        "everyone_looked_at": None if holding is None else holding.everyone and holding.whole,
        "parts": [_part(each) for each in names.parts],
        "labels": list(label_lines(comparison)),
        "cameras": [{"part": told.camera, "now": list(told.now), "after_restart": list(told.after_restart)}
                    for told in names.cameras],
        "findings": [{"name": f.name, "part": f.part, "severity": f.severity, "certainty": f.certainty}
                     for f in findings if f.name in ABOUT_NAMES],
    }


def _part(each: PartName) -> dict[str, Any]:
    lasting = each.lasting
    return {
        "id": each.part,
        "port": None if each.port is None else each.port.port.name,
        "guessed": None if each.port is None else each.port.guessed,
        "opens": each.opens,
        "opens_is": each.means,
        "opens_part": each.means_part,
        "lasting_name": None if lasting is None else lasting.name,
        "lasts": None if lasting is None else lasting.lasts,
        "why": None if lasting is None else lasting.why,
        "held_by": list(each.holders),
    }
