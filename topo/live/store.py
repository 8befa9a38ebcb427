"""Saved scans: one JSON object, "format": "topo.scan.1". Written whole or not at all, read strictly, all problems told.

`scan.schema.json` beside this file is the published schema; a test holds it against the values.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

from topo.disk.whole import write_whole
from topo.errors import ScanError, reason_of
from topo.frozen import replace
from topo.live.codec import from_plain, schema_of, to_plain
from topo.live.listings.decode import decoded
from topo.model.plain import plain
from topo.model.sighting import SCAN_FORMAT, Scan

MOST_SCAN_BYTES = 16 * 1024 * 1024
MOST_SCAN_PROBLEMS = 20


def dumps(scan: Scan) -> str:
    """The scan as JSON text, the same for the same scan, ending in a newline."""
    return json.dumps(plain_of(scan), indent=1, ensure_ascii=True) + "\n"


def plain_of(scan: Scan) -> dict[str, Any]:
    """The scan as a plain dict with its format first."""
    return {"format": scan.format, **to_plain(scan)}


def save(scan: Scan, path: str | os.PathLike[str]) -> None:
    """Writes the scan to a file, whole or not at all. Raises CommandError where it cannot be written."""
    write_whole(path, dumps(scan).encode())


def read_limited(path: str | os.PathLike[str]) -> str:
    """The text of a file, no larger than a scan can be. Raises ScanError."""
    try:
        with Path(path).open("rb") as file:
            data = file.read(MOST_SCAN_BYTES + 1)
    except OSError as error:
        raise ScanError(f"{plain(str(path))} cannot be read: {reason_of(error)}") from error
    if len(data) > MOST_SCAN_BYTES:
        raise ScanError(f"{plain(str(path))} is larger than any scan ({MOST_SCAN_BYTES // 1024 // 1024} MiB)")
    return decoded(data)


def loads(text: str, path: str = "the scan") -> Scan:
    """Reads the text of a saved scan. Raises ScanError with every problem."""
    name = plain(path)
    try:
        data = json.loads(text, object_pairs_hook=_object, parse_constant=_refuse)
    except (ValueError, RecursionError) as error:
        where = f":{error.lineno}:{error.colno}" if isinstance(error, json.JSONDecodeError) else ""
        what = getattr(error, "msg", None) or (str(error) if isinstance(error, ValueError) else "nested too deeply")
        raise ScanError(f"{name}{where}: not a saved scan: {plain(what)}") from error
    told = data.get("format") if isinstance(data, dict) else None
    if told != SCAN_FORMAT:
        shown = f"its format is {plain(repr(told), 60)}" if told is not None else "it names no format"
        raise ScanError(f"{name}: not a saved scan that this version reads: {shown}, not '{SCAN_FORMAT}'")
    problems: list[str] = []
    scan = from_plain(Scan, data, problems)
    if scan is not None:
        problems += disagreements(scan)
    if problems or scan is None:
        more = len(problems) - MOST_SCAN_PROBLEMS
        lines = [f"{name}: {problem}" for problem in problems[:MOST_SCAN_PROBLEMS]]
        raise ScanError("\n".join([*lines, f"{name}: and {more} more problems"] if more > 0 else lines))
    return replace(scan, sightings=tuple(sorted(scan.sightings, key=lambda s: s.order)))


def disagreements(scan: Scan) -> list[str]:
    """What in a scan does not fit together: ids twice, parents that are not there or not above."""
    problems = []
    known = {}
    for n, seen in enumerate(scan.sightings):
        if seen.id in known:
            problems.append(f"sightings[{n}]: the id {plain(seen.id, 40)} is there twice")
        known[seen.id] = seen
    for n, seen in enumerate(scan.sightings):
        above = known.get(seen.parent) if seen.parent is not None else None
        if above is not None and (above.bus != seen.bus or above.ports != seen.ports[:-1] or above is seen):
            problems.append(f"sightings[{n}]: {plain(seen.id, 40)} is not one port below {plain(above.id, 40)}")
    return problems


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    values = dict(pairs)
    if len(values) < len(pairs):
        names = [name for name, _ in pairs]
        raise ValueError(f"the key '{next(n for n in names if names.count(n) > 1)}' is there twice")
    return values


def _refuse(constant: str) -> float:
    raise ValueError(f"{constant} is no number of JSON")


def schema() -> dict[str, Any]:
    """The JSON Schema of saved scans."""
    made = schema_of(Scan, SCAN_FORMAT)
    made["properties"]["format"] = {"const": SCAN_FORMAT}
    made["required"] = ["format", *made["required"]]
    return made
