"""Delimited tables as `Reading`s: guiding, frames and actions, told apart by the columns they have."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from io import BytesIO
from typing import BinaryIO, cast

from topo.evidence.tables.columns import Table, decoded, layout, number_of, rows
from topo.evidence.tables.times import Times
from topo.model.evidence import Action, ActionKind, EvidenceEvent, FrameTime, GuideSample, Handed, Reading
from topo.model.reader import EvidenceReader

MOST_TABLE_EVENTS = 500_000
MOST_UTF16 = 64 * 1024**2
LONGEST_EXPOSURE_S = 86_400.0
YES = {"1", "true", "yes", "y", "lost", "dropped", "settling", "dither", "dithering", "begin", "started"}
KINDS = {"dither": "dither", "slew": "slew", "goto": "slew", "flip": "slew", "focus": "focus", "autofocus": "focus",
         "filter": "filter", "download": "download", "settle": "dither", "refocus": "focus"}
"""Words of actions, by what they begin with."""
_ARCSEC = re.compile(r"arc ?sec|\"\]|\[\"", re.IGNORECASE)
_PIXELS = re.compile(r"\bpx\b|pixels?|_px", re.IGNORECASE)


def recognises(head: bytes) -> bool:
    """True for text with a heading that names a time and something topo knows what to do with."""
    if b"\x00" in head[:1024] and head[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        return False
    table = layout(decoded(head).splitlines()[:200], {})
    return table is not None and _kind(table) is not None


def _kind(table: Table) -> str | None:
    places = table.places
    if "first" in places and "second" in places:
        return "guiding"
    if "event" in places:
        return "actions"
    if "exposure" in places or "end" in places:
        return "frames"
    if "lost" in places or "mass" in places:
        return "guiding"
    return None


def read(stream: BinaryIO, handed: Handed) -> Reading:
    """Reads a table. Raises ValueError where its columns say nothing that is known."""
    asked = dict(handed.columns)
    head = decoded(stream.read(65_536))
    stream.seek(0)
    table = layout(head.splitlines()[:200], asked)
    kind = _kind(table) if table is not None else None
    if table is None or kind is None:
        raise ValueError("no column of it is known as a time with errors, an exposure or an event beside it; "
                         "name them with --column, such as --column time=HEADING")
    if stream.read(2) in (b"\xff\xfe", b"\xfe\xff"):
        stream.seek(0)
        stream = BytesIO(decoded(stream.read(MOST_UTF16)).encode("utf-8", "replace"))
    stream.seek(0)
    times = Times(table.comma)
    wrong: list[int] = []
    events: list[EvidenceEvent] = []
    for event in _events(stream, table, asked, kind, times, wrong):
        events.append(event)
        if len(events) >= MOST_TABLE_EVENTS:
            break
    if not events:
        raise ValueError("it has a heading, and no row below it that can be read")
    unit = "arcsec" if _ARCSEC.search(head[:4096]) else "px" if _PIXELS.search(head[:4096]) else ""
    skipped = []
    if wrong:
        skipped.append(f"{len(wrong)} rows cannot be read, the first at line {wrong[0]}")
    if len(events) >= MOST_TABLE_EVENTS:
        skipped.append(f"only its first {MOST_TABLE_EVENTS} rows are read")
    if kind == "guiding" and not unit:
        skipped.append("it does not say whether its errors are in pixels or arcseconds, so they have no unit here")
    return Reading(f"table of {kind}", times.spans(), events=(*events, *times.steps), unit=unit,
                   skipped=tuple(skipped))


def _events(
    stream: BinaryIO, table: Table, asked: Mapping[str, str], kind: str, times: Times, wrong: list[int]
) -> Iterator[EvidenceEvent]:
    for line, row in rows(stream, table, asked):
        made = None if row is None else _ROWS[kind](row, table, times, line)
        if made is None:
            wrong.append(line)
        else:
            yield made


def _guiding(row: Mapping[str, str], table: Table, times: Times, line: int) -> EvidenceEvent | None:
    at = times.moment(row["time"], line)
    if at is None:
        return None
    first, second = number_of(row.get("first"), table.comma), number_of(row.get("second"), table.comma)
    mass = number_of(row.get("mass"), table.comma)
    told = row.get("lost", "").lower()
    both_zero = first == 0 and second == 0 and mass == 0
    lost = told in YES or ("first" in row and (first is None or second is None)) or both_zero
    exposure = number_of(row.get("exposure"), table.comma)
    settling = row.get("settling", "").lower() in YES
    if lost:
        first = second = None
    return GuideSample(at, first, second, lost, settling, exposure if exposure and exposure > 0 else None, mass)


def _frame(row: Mapping[str, str], table: Table, times: Times, line: int) -> EvidenceEvent | None:
    at = times.moment(row["time"], line)
    exposure = number_of(row.get("exposure"), table.comma)
    if at is None or (exposure is not None and not 0 <= exposure <= LONGEST_EXPOSURE_S):
        return None
    closed = times.moment(row.get("end"), line, keep_order=False)
    return FrameTime(at, exposure, closed, "a table", "")


def _action(row: Mapping[str, str], table: Table, times: Times, line: int) -> EvidenceEvent | None:
    at = times.moment(row["time"], line)
    if at is None:
        return None
    word = row["event"].strip().lower()
    kind = next((found for start, found in KINDS.items() if word.startswith(start)), "other")
    until = times.moment(row.get("until"), line, keep_order=False)
    return Action(at, cast(ActionKind, kind), until if until is not None and until.seconds >= at.seconds else at)


_ROWS = {"guiding": _guiding, "frames": _frame, "actions": _action}


def reader() -> EvidenceReader:
    """The reader of tables."""
    return EvidenceReader("table", "tables of frames, guiding or actions with named columns", (".csv", ".tsv", ".txt"),
                          recognises, read)
