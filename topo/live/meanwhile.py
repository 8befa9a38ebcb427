"""What changed while no watch ran: the state at the end of a log, held against the first look of the next watch."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime

from topo.frozen import frozen, replace
from topo.model.sighting import Scan, Sighting
from topo.model.watchnote import Note, Watched


@frozen
class LastSeen:
    """What was there at the end of a log, by place, and when that was: local time, and the monotonic clock in s."""

    devices: Mapping[str, Watched]
    at: str
    monotonic_s: float


@frozen
class Meanwhile:
    """One thing that changed: its place, what is told of it, as it was and as it is."""

    device: str
    words: str
    before: Watched | None = None
    now: Sighting | None = None


def last_seen(notes: Iterable[Note]) -> LastSeen | None:
    """The state at the end of a log; None where no watch of it began."""
    devices: dict[str, Watched] = {}
    last: Note | None = None
    for note in notes:
        last = note
        if note.kind == "start":
            devices = {each.device: each for each in note.devices}
        elif note.device is None:
            continue
        elif note.kind == "dropped":
            devices.pop(note.device, None)
        elif note.kind in ("returned", "appeared"):
            devices[note.device] = Watched(
                note.device, note.name, note.vendor_id, note.product_id, note.devnum, note.speed_mbit
            )
        elif note.kind == "speed" and note.device in devices:
            devices[note.device] = replace(devices[note.device], speed_mbit=note.speed_mbit)
    return LastSeen(devices, last.at, last.monotonic_s) if last is not None and devices else None


def started_anew(before: LastSeen, now: datetime, monotonic_s: float) -> bool:
    """True where the computer surely started again in between: then device numbers count from the beginning.

    The monotonic clock goes back, or runs on by more than the time that went by.
    """
    try:
        went_by = (now - datetime.fromisoformat(before.at)).total_seconds()
    except (ValueError, TypeError, OverflowError):
        return monotonic_s < before.monotonic_s
    ran = monotonic_s - before.monotonic_s
    return ran < 0 or ran > went_by + 5


def meanwhile(before: LastSeen, scan: Scan, anew: bool) -> Iterator[Meanwhile]:
    """What is gone, new, another one, back with another number, or at another speed; in the order of places."""
    now = {seen.id: seen for seen in scan.sightings}
    old = before.devices
    moved = _moved(old, now)
    for place in sorted({*old, *now}, key=lambda name: (now[name].order if name in now else (1 << 30, (), 0, name))):
        was, there = old.get(place), now.get(place)
        if was is None and there is not None:
            if place not in moved.values():
                yield Meanwhile(place, "is new", now=there)
        elif there is None and was is not None:
            at = moved.get(place)
            yield Meanwhile(place, "is gone" if at is None else f"is now at {at}", was, now.get(at or ""))
        elif was is not None and there is not None and (words := _other(was, there, anew)):
            yield Meanwhile(place, words, was, there)


def _other(was: Watched, there: Sighting, anew: bool) -> str:
    """What is different of what is at one place; empty where nothing is."""
    if (was.vendor_id, was.product_id) != (there.vendor_id, there.product_id) and None not in (
        was.vendor_id, there.vendor_id
    ):
        return "is something else now"
    said = []
    if not anew and None not in (was.devnum, there.devnum) and was.devnum != there.devnum:
        said.append("left and came back")
    if None not in (was.speed_mbit, there.speed_mbit) and was.speed_mbit != there.speed_mbit:
        said.append(f"runs at {there.speed_mbit:g} Mb/s, before at {was.speed_mbit:g} Mb/s")
    return " and ".join(said)


def _moved(old: Mapping[str, Watched], now: Mapping[str, Sighting]) -> dict[str, str]:
    """From where to where: what is gone from one place and new at another, by ids that only it has."""
    gone = [each for place, each in old.items() if place not in now and each.vendor_id is not None]
    new = [seen for place, seen in now.items() if place not in old]
    found = {}
    for each in gone:
        ids = (each.vendor_id, each.product_id)
        same = [seen for seen in new if (seen.vendor_id, seen.product_id) == ids]
        if len(same) == 1 and sum((one.vendor_id, one.product_id) == ids for one in gone) == 1:
            found[each.device] = same[0].id
    return found
