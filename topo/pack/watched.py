"""What a watch log says, in counts and in minutes since its start. Nothing of it is copied, no time and no text."""

from __future__ import annotations

from collections.abc import Mapping
from os import PathLike

from topo.live.notes import read_watch
from topo.model.watchnote import Note
from topo.pack.removed import Removed

TOLD = {"dropped": "dropped", "returned": "came back", "speed": "changed speed", "over-current": "over-current",
        "port": "came back under another port name", "silent": "was there and moved nothing",
        "together": "several dropped at once below it"}
"""Kinds of notes that helpers ask for."""
MOST_TIMES = 4
MOST_PARTS_TOLD = 6
STRANGER = "something not of the rig"


def watched(path: str | PathLike[str], names: Mapping[str, str], removed: Removed) -> list[str]:
    """Lines for the post from a watch log; `names` are the new names of parts by their old ones.

    Raises ScanError where it cannot be read.
    """
    log = read_watch(path)
    removed.count("times", len(log.notes))
    removed.count("lines of the log", len(log.notes) + log.torn + len(log.problems))
    start = log.notes[0].monotonic_s
    events: dict[tuple[str, str], list[float]] = {}
    for note in log.notes:
        if note.kind == "start":
            start = note.monotonic_s
        elif note.kind in TOLD:
            events.setdefault((_who(note, names), TOLD[note.kind]), []).append((note.monotonic_s - start) / 60)
    lines = [f"- {who} {what}: {_times(minutes)}" for (who, what), minutes in events.items()]
    more = [f"- and {len(lines) - MOST_PARTS_TOLD} more kinds"] if len(lines) > MOST_PARTS_TOLD else []
    head = f"Watched for {max(0.0, log.notes[-1].monotonic_s - start) / 60:.0f} min" + ("" if lines else ": no change")
    return [head, *lines[:MOST_PARTS_TOLD], *more]


def _who(note: Note, names: Mapping[str, str]) -> str:
    name = note.common_name if note.kind == "together" else note.name
    return names.get(name or "", STRANGER)


def _times(minutes: list[float]) -> str:
    shown = ", ".join(f"{minute:.0f}" for minute in minutes[:MOST_TIMES])
    count = "once" if len(minutes) == 1 else f"{len(minutes)} times"
    return f"{count}, {shown}{' …' if len(minutes) > MOST_TIMES else ''} min after the start"
