"""What a watch log says in counts and seconds, with nothing of it copied: no clock times, no texts."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from topo.errors import CommandError
from topo.model.plain import plain
from topo.pack.removed import Removed

MOST_BYTES = 16 * 1024 * 1024
KINDS = {"drop": "dropped", "dropped": "dropped", "gone": "dropped", "return": "came back", "back": "came back",
         "came-back": "came back", "speed": "changed speed", "over-current": "over-current"}
"""Kinds of entries that are counted, by the words a log uses."""


def watched(path: str, names: Mapping[str, str], removed: Removed) -> list[str]:
    """Lines for the post from a watch log of one JSON object a line. Raises CommandError where it cannot be read."""
    counts: Counter[tuple[str, str]] = Counter()
    lines = _read(path)
    for line in lines:
        entry = _object(line)
        kind = KINDS.get(str(entry.get("event", entry.get("kind", ""))))
        if kind is not None:
            counts[names.get(str(entry.get("part", "")), "a device not of the rig"), kind] += 1
    removed.count("lines of the log", len(lines))
    if not counts:
        return [f"Watch log: {len(lines)} lines, nothing dropped or changed in them"]
    told = "; ".join(f"{name} {kind} {count} times" for (name, kind), count in sorted(counts.items()))
    return [f"Watch log: {told}"]


def _read(path: str) -> list[str]:
    try:
        with Path(path).open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise CommandError(f"cannot read {plain(path)}: {error.strerror}") from error
    if len(data) > MOST_BYTES:
        raise CommandError(f"{plain(path)} is larger than any watch log ({MOST_BYTES // 1_048_576} MiB)")
    return [line for line in data.decode("utf-8", "replace").splitlines() if line.strip()]


def _object(line: str) -> dict[str, Any]:
    try:
        found = json.loads(line)
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}
