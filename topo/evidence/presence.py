"""Which parts the files show, and when: so that nobody takes a part that no file tells of for a healthy one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from topo.evidence.clocks import Axis
from topo.evidence.open import Source
from topo.frozen import frozen
from topo.model.evidence import Arrival, Drop, FrameTime, GuideSample, Identified, Reading

Stretch = tuple[float, float]


@frozen
class Presence:
    """Parts, or places that are none, with the stretches in which a file would have shown their going; on the axis.

    `unseen` are parts of the rig that are in no file at all.
    """

    stretches: Mapping[str, tuple[Stretch, ...]]
    unseen: tuple[str, ...]


def presence(
    axis: Axis, sources: Sequence[Source], parts: Mapping[str, str], devices: Mapping[str, str],
    roles: Mapping[str, str], plugged: Sequence[str],
) -> Presence:
    """What is seen of each part. Names as in `KnownNames`: of places, of devices in captures, roles, plugged."""
    found: dict[str, list[Stretch]] = {}
    seen: dict[str, None] = {}
    for number, source in enumerate(sources):
        if source.reading is None:
            continue
        seen.update(dict.fromkeys(_told(source.reading, parts, devices)))
        for name, stretch in (*_logged(axis, number, source.reading, parts),
                              *_captured(axis, number, source.reading, devices)):
            found.setdefault(name, []).append(stretch)
    seen |= dict.fromkeys(_by_role(sources, roles))
    merged = {name: _merged(stretches) for name, stretches in found.items()}
    return Presence(merged, tuple(part for part in plugged if part not in seen))


def _told(reading: Reading, parts: Mapping[str, str], devices: Mapping[str, str]) -> Iterator[str]:
    """Parts that a file names at all, whether or not its times could be joined."""
    for path, _ in reading.names:
        if path in parts:
            yield parts[path]
    for event in reading.events:
        named = parts.get(getattr(event, "path", ""))
        if named is not None:
            yield named
    for one in reading.transfers:
        if one.device in devices:
            yield devices[one.device]


def _logged(axis: Axis, number: int, reading: Reading, parts: Mapping[str, str]) -> Iterator[tuple[str, Stretch]]:
    """From when a place came up (or the start of a log that has it leave first) to the end of that stretch of clock."""
    for span in reading.spans if reading.covers else ():
        place = axis.placed[(number, span.clock)]
        if not math.isfinite(place.give_s):
            continue
        since: dict[str, float] = {}
        for event in reading.events:
            if event.at.clock != span.clock:
                continue
            if isinstance(event, Drop):
                since.setdefault(event.path, span.first_s)
            elif isinstance(event, Identified) or (isinstance(event, Arrival) and event.answered):
                since.setdefault(event.path, event.at.seconds)
        since = {**{path: span.first_s for path, _ in reading.names}, **since}
        for path, begin in since.items():
            yield parts.get(path, path), (begin + place.offset_s, span.last_s + place.offset_s)


def _captured(axis: Axis, number: int, reading: Reading, devices: Mapping[str, str]) -> Iterator[tuple[str, Stretch]]:
    for one in reading.transfers:
        place = axis.placed[(number, reading.spans[0].clock)]
        if one.device in devices and math.isfinite(place.give_s):
            yield devices[one.device], (one.first_s + place.offset_s, one.last_s + place.offset_s)


def _by_role(sources: Sequence[Source], roles: Mapping[str, str]) -> Iterator[str]:
    """The only camera that guides, or takes pictures, where a table or headers of its frames are there."""
    for role, kind in (("guiding", GuideSample), ("imaging", FrameTime)):
        alone = [part for part, its in roles.items() if its == role]
        if len(alone) == 1 and any(isinstance(event, kind) for source in sources if source.reading
                                   for event in source.reading.events[:1]):
            yield alone[0]


def _merged(stretches: Sequence[Stretch]) -> tuple[Stretch, ...]:
    found: list[Stretch] = []
    for begin, end in sorted(stretches):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((begin, end))
    return tuple(found)


def gaps(stretches: Sequence[Stretch], begin: float, end: float) -> list[Stretch]:
    """What is left of a time between some stretches of it."""
    found, at = [], begin
    for start, stop in _merged(stretches):
        if start > at:
            found.append((at, min(start, end)))
        at = max(at, stop)
    return [*found, *([(at, end)] if at < end else [])]
