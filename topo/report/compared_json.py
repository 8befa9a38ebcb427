"""A comparison as one JSON object, `topo.compare.1`. Its schema stands beside this file, in `compare.schema.json`.

Texts of devices stand as they were read: whoever shows them escapes them. What is not known is null.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from topo.compare.slow import could_mbit
from topo.report.asjson import finding_object, rounded

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.plugged import Thing
    from topo.model.rig import Part
    from topo.report.compared import ComparisonReport

FORMAT = "topo.compare.1"


def comparison_json(compared: ComparisonReport) -> dict[str, Any]:
    """The comparison as a dictionary for `json.dumps`, with the keys of the schema in a fixed order."""
    report = compared.report
    return {
        "format": FORMAT,
        "rig": report.rig,
        "file": report.file,
        "verdict": report.verdict,
        **compared_object(compared.comparison),
        "findings": [finding_object(finding) for finding in report.findings],
        "plugins_failed": list(report.troubles),
    }


def compared_object(comparison: Comparison) -> dict[str, Any]:
    """What was found where: the keys `scan`, `parts` and `unexpected`."""
    scan, rig = comparison.scan, comparison.declared.rig
    return {
        "scan": {
            "when": scan.when or None, "system": scan.system, "kernel": scan.kernel, "scanner": scan.scanner,
            "problems": list(scan.problems),
        },
        "parts": [_part(comparison, part) for part in rig.plugged],
        "unexpected": [_thing(thing) for thing in comparison.unexpected],
    }


def _part(comparison: Comparison, part: Part) -> dict[str, Any]:
    match = comparison.match(part.id)
    if match is None:
        found = "not-visible" if part.id in comparison.unseen else "missing"
    else:
        found = "moved" if match.moved else "found"
    thing = match.thing if match is not None else None
    best = could_mbit(comparison, thing, match)[0] if thing is not None else None
    above = thing.above if thing is not None else None
    return {
        "id": part.id,
        "kind": part.kind,
        "declared_in": None if part.plug is None else str(part.plug),
        "found": found,
        "matched_by": match.by if match is not None else None,
        "seen_in": None if above is None else {"above": comparison.part_of(above) or above, "port": _port(thing)},
        "sightings": [s.id for t in (match.things if match is not None else ()) for s in t.seen],
        "speed_mbit_per_s": rounded(match.speed_mbit) if match is not None else None,
        "could_be_mbit_per_s": rounded(best),
    }


def _port(thing: Thing | None) -> int | None:
    return None if thing is None else thing.port


def _thing(thing: Thing) -> dict[str, Any]:
    own = thing.own
    return {
        "sightings": [seen.id for seen in thing.seen],
        "kind": thing.word,
        "built_in": thing.built_in,
        "seen_in": None if thing.above is None else {"above": thing.above, "port": thing.port},
        "vendor_id": own.vendor_id,
        "product_id": own.product_id,
        "product": own.product,
        "has_serial_number": own.serial is not None,
        "speed_mbit_per_s": rounded(thing.speed_mbit),
    }
