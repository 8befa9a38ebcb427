"""The night watch: looks every few seconds and notes what dropped, came back, changed speed or drew too much current.

`Watcher` turns looks into notes and knows no file; `watch` is the loop around it. A look is cheap (a pulse); a whole
scan is made only when a pulse shows a change.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime

from topo.errors import TopoError
from topo.frozen import frozen, replace
from topo.live.changes import came_as, changed, common_sightings, identity, pulse_of
from topo.live.meanwhile import LastSeen, meanwhile, started_anew
from topo.live.portwatch import PortNames, Renamed, names_of_ports
from topo.live.pressure import busy_words
from topo.live.roll import Roll
from topo.live.silence import Silence, Stood
from topo.model.plain import plain
from topo.model.scanner import Scanner
from topo.model.sighting import Pulse, Scan, Sighting
from topo.model.watchnote import WATCH_FORMAT, Note, NoteKind, Pressure, Watched

TOGETHER_S = 2.0
"""Drops seen within this time of the first count as one event."""

ALIVE_S = 60.0
CLOCK_STEP_S = 1.5

Calling = Callable[[Scan], Roll]
"""From the first scan to who of the rig is there."""

Naming = Callable[[Scan], Mapping[str, str]]
"""From a scan to the rig file's names for its sightings, by id."""

Pressing = Callable[[], Pressure | None]
"""What programs wait for now, where the system keeps that."""


@frozen
class Clock:
    """Local time with its UTC offset, the monotonic clock in seconds, and waiting."""

    now: Callable[[], datetime] = lambda: datetime.now().astimezone()
    monotonic: Callable[[], float] = time.monotonic
    sleep: Callable[[float], None] = time.sleep


@frozen
class _Away:
    seen: Sighting
    since_s: float
    ports: tuple[str, ...] = ()


class Watcher:
    """Turns looks into notes. `names` gives the rig file's names; `clock` the times of the notes.

    `call` calls the roll at the first look; `before` is what the log's last watch saw last. `cycles` is how often each
    of the rig's parts moves something, in seconds; `pressure` what programs wait for now.
    """

    def __init__(
        self, scanner: Scanner, every_s: float, names: Naming, clock: Clock, call: Calling | None = None,
        before: LastSeen | None = None, cycles: Mapping[str, float] | None = None,
        pressure: Pressing = lambda: None,
    ) -> None:
        self._scanner = scanner
        self._every_s = every_s
        self._names = names
        self._clock = clock
        self._call = call
        self._before = before
        self._scan: Scan | None = None
        self._pulse = Pulse(())
        self._named: Mapping[str, str] = {}
        self._known: dict[str, Sighting] = {}
        self._away: dict[str, _Away] = {}
        self._dropped: list[str] = []
        self._first_drop_s = 0.0
        self._before_drop: Scan | None = None
        self._last: tuple[datetime, float] | None = None
        self._alive_s = 0.0
        self._failing = False
        self._silence = Silence(cycles or {})
        self._ports = PortNames()
        self._pressing = pressure

    def look(self) -> Iterator[Note]:
        """Looks once: the notes of what changed since the look before. The first says what programs waited for."""
        first = True
        for note in self._look():
            told = self._pressing() if first else None
            first = False
            text = note.text if note.kind in ("alive", "start") else note.text + busy_words(told)
            yield note if told is None else replace(note, pressure=told, text=text)

    def _look(self) -> Iterator[Note]:
        yield from self._time_notes()
        if self._dropped and self._clock.monotonic() - self._first_drop_s >= TOGETHER_S:
            yield from self._together()
        try:
            pulse = self._scanner.pulse() if self._scanner.pulse else None
            if self._scan is None or pulse is None:
                scan = self._scanner.scan()
                pulse = pulse_of(scan) if pulse is None else pulse
            elif changed(self._pulse, pulse).any or self._ports.waiting:
                scan = self._scanner.scan()
            else:
                scan = self._scan
        except TopoError as error:
            if not self._failing:
                self._failing = True
                yield self._note("scan-failed", f"cannot read what is plugged in: {error}")
            return
        if self._failing:
            self._failing = False
            yield self._note("scan-works", "reading works again")
        yield from self._start(scan) if self._scan is None else self._changes(scan, pulse)
        for renamed in self._ports.look(scan, self._clock.monotonic()):
            yield self._renamed(renamed)
        for stood in self._silence.look(pulse, self._named, self._clock.monotonic(), self._every_s):
            yield self._stood(stood)
        self._remember(scan, pulse)
        yield from self._alive()

    def _remember(self, scan: Scan, pulse: Pulse) -> None:
        """Keeps this look. What the pulse saw and the scan just missed is left out, and so is new at the next look."""
        seen = {s.id for s in scan.sightings} | {name for name, _ in self._pulse.beats}
        self._pulse = replace(pulse, beats=tuple((name, beat) for name, beat in pulse.beats if name in seen))
        self._known.update((s.id, s) for s in scan.sightings)
        self._scan = scan

    def stop(self) -> Iterator[Note]:
        """The last notes of a watch that ends in order."""
        yield from self._together()
        yield self._note("stop", "the watch was ended")

    def _start(self, scan: Scan) -> Iterator[Note]:
        roll = self._call(scan) if self._call is not None else Roll({})
        self._named = {**roll.names, **self._names(scan)}
        devices = tuple(
            Watched(s.id, self._named.get(s.id), s.vendor_id, s.product_id, s.devnum, s.speed_mbit)
            for s in scan.sightings
        )
        self._alive_s = self._clock.monotonic()
        yield replace(
            self._note("start", f"watching {len(devices)} devices and hubs every {self._every_s:g} s"),
            format=WATCH_FORMAT,
            every_s=self._every_s,
            scanner=scan.scanner,
            system=scan.system,
            kernel=scan.kernel,
            devices=devices,
        )
        if scan.low_volts:
            yield self._note("low-volts", "the board's own supply sagged at some time since its start")
        yield from self._roll_notes(roll)
        if self._before is not None:
            yield from self._meanwhile_notes(self._before, scan)

    def _roll_notes(self, roll: Roll) -> Iterator[Note]:
        """Who of the rig is not there, and who can be told from another by the socket alone."""
        if roll.absent:
            names = ", ".join(plain(name, 64) for name in roll.absent)
            yield replace(self._note("absent", f"in the rig file but not found: {names}"), parts=roll.absent)
        for twins in roll.twins:
            names = ", ".join(plain(name, 64) for name in twins)
            text = f"of one kind, named by the sockets they are in now: {names}"
            yield replace(self._note("twins", text), parts=twins)

    def _meanwhile_notes(self, before: LastSeen, scan: Scan) -> Iterator[Note]:
        """What is not as the log's last watch saw it last."""
        anew = started_anew(before, self._clock.now(), self._clock.monotonic())
        since = f"since {plain(before.at[11:19], 8)}, when no watch ran"
        if anew:
            yield self._note("meanwhile", f"the computer started again {since}")
        for each in meanwhile(before, scan, anew):
            known = each.before.name if each.before is not None and each.before.name else self._named.get(each.device)
            called = f"{plain(known, 64)} ({each.device})" if known else each.device
            note = replace(self._note("meanwhile", f"{called} {each.words} {since}"), device=each.device, name=known)
            if each.before is not None:
                note = replace(note, devnum_before=each.before.devnum, speed_before_mbit=each.before.speed_mbit)
            if each.now is not None:
                now = each.now
                note = replace(note, devnum=now.devnum, speed_mbit=now.speed_mbit, vendor_id=now.vendor_id,
                               product_id=now.product_id)
            yield note

    def _changes(self, scan: Scan, pulse: Pulse) -> Iterator[Note]:
        found = changed(self._pulse, pulse)
        if not found.any or self._scan is None:
            return
        for name in (*found.gone, *found.renewed):
            yield self._drop(name, self._known.get(name))
        self._named = {**self._named, **self._names(scan)}
        after = {s.id: s for s in scan.sightings}
        for name in (*found.new, *found.renewed):
            if name in after:
                yield from self._come(after[name], renewed=name in found.renewed)
        for name, old, new in found.speeds:
            yield replace(
                self._device_note("speed", after.get(name), name, f"now at {_mbit(new)}, before at {_mbit(old)}"),
                speed_before_mbit=old,
                speed_mbit=new,
            )
        if found.low_volts:
            yield self._note("low-volts", "the board's own supply sagged")
        for hub, port, old_count, count in found.over_current:
            yield self._over_current(scan, hub, port, old_count, count)

    def _drop(self, name: str, seen: Sighting | None) -> Note:
        now = self._clock.monotonic()
        if not self._dropped:
            self._first_drop_s, self._before_drop = now, self._scan
        self._dropped.append(name)
        if seen is not None:
            ports = names_of_ports(self._scan, name) if self._scan is not None else ()
            self._away[name] = _Away(seen, now, ports)
        return self._device_note("dropped", seen, name, "dropped")

    def _come(self, seen: Sighting, renewed: bool) -> Iterator[Note]:
        match = came_as(seen, [away.seen for away in self._away.values()])
        if match is None:
            yield replace(
                self._device_note("appeared", seen, seen.id, f"appeared at {_mbit(seen.speed_mbit)}"),
                devnum=seen.devnum,
                speed_mbit=seen.speed_mbit,
            )
            return
        old, how = match
        away = self._away.pop(old.id)
        if how != "unknown":
            self._ports.came_back(seen.id, away.ports, self._clock.monotonic())
        self._named = {
            **self._named,
            **({seen.id: self._named[old.id]} if old.id in self._named and how != "unknown" else {}),
        }
        seconds = 0.0 if renewed else round(self._clock.monotonic() - away.since_s, 3)
        words = {"same": "came back", "elsewhere": f"came back at {seen.id}", "unknown": "something else came up there"}
        yield replace(
            self._device_note("returned", seen, seen.id, f"{words[how]} after {seconds:g} s"),
            came_as=how,
            place_before=None if old.id == seen.id else old.id,
            devnum_before=old.devnum,
            devnum=seen.devnum,
            speed_before_mbit=old.speed_mbit,
            speed_mbit=seen.speed_mbit,
            away_s=seconds,
        )
        if how != "unknown" and old.speed_mbit != seen.speed_mbit:
            text = f"now at {_mbit(seen.speed_mbit)}, before at {_mbit(old.speed_mbit)}"
            yield replace(
                self._device_note("speed", seen, seen.id, text),
                place_before=None if old.id == seen.id else old.id,
                speed_before_mbit=old.speed_mbit,
                speed_mbit=seen.speed_mbit,
            )

    def _renamed(self, one: Renamed) -> Note:
        """Another name of a port, and who still holds the old one."""
        before, now = ", ".join(one.before), ", ".join(one.now)
        text = f"its port is {now} now, before {before}" if one.now else f"its port {before} did not come back"
        if one.holders:
            text += f"; {', '.join(plain(name, 64) for name in one.holders)} still holds the old one: reconnect it"
        note = self._device_note("port", self._known.get(one.device), one.device, text)
        return replace(note, ports_before=one.before, ports=one.now, held_by=one.holders)

    def _stood(self, stood: Stood) -> Note:
        """A part that is there and moves nothing, or moves again."""
        words = (f"is there but has moved nothing for {stood.seconds:g} s" if stood.silent
                 else f"moves again after {stood.seconds:g} s")
        kind: NoteKind = "silent" if stood.silent else "moves"
        note = self._device_note(kind, self._known.get(stood.device), stood.device, words)
        return replace(note, seconds=stood.seconds)

    def _over_current(self, scan: Scan, hub: str, port: int, before: int, count: int) -> Note:
        device = next((p.device for p in scan.ports if (p.hub, p.number) == (hub, port)), None)
        words = f"over-current at port {port} of {self._called(hub)}, counted {count} now and {before} before"
        return replace(
            self._note("over-current", words),
            device=device,
            name=self._named.get(device) if device else None,
            hub=hub,
            port=port,
            count_before=before,
            count=count,
        )

    def _together(self) -> Iterator[Note]:
        dropped, self._dropped = tuple(dict.fromkeys(self._dropped)), []
        if len(dropped) < 2:
            return
        listed = ", ".join(self._called(name) for name in dropped)
        common = common_sightings(self._before_drop, dropped) if self._before_drop else ()
        name = next((self._named[m] for m in common if m in self._named), None)
        below = f"what they share: {name or ' + '.join(common)}" if common else "they share no part"
        if common and set(common) & set(dropped):
            below += ", which dropped itself: its plug, cable, supply or the socket above"
        yield replace(
            self._note("together", f"dropped within {TOGETHER_S:g} s: {listed}; {below}"),
            together=dropped,
            common=common,
            common_name=name,
        )

    def _time_notes(self) -> Iterator[Note]:
        now = (self._clock.now(), self._clock.monotonic())
        if self._last is not None:
            wall, steady = (now[0] - self._last[0]).total_seconds(), now[1] - self._last[1]
            if abs(wall - steady) > CLOCK_STEP_S:
                step = f"the clock jumped by {wall - steady:+.1f} s"
                text = f"{step}: it was set, or the computer slept"
                yield replace(self._note("clock", text), seconds=round(wall - steady, 3))
            elif steady > max(3 * self._every_s, self._every_s + 5):
                yield replace(self._note("gap", f"nothing was read for {steady:.1f} s"), seconds=round(steady, 3))
        self._last = now

    def _alive(self) -> Iterator[Note]:
        if self._clock.monotonic() - self._alive_s >= ALIVE_S:
            self._alive_s = self._clock.monotonic()
            yield replace(self._note("alive", ""), count=len(self._pulse.beats))

    def _called(self, name: str) -> str:
        return plain(self._named.get(name, name), 64)

    def _device_note(self, kind: NoteKind, seen: Sighting | None, name: str, words: str) -> Note:
        vendor, product, _ = identity(seen) if seen else (None, None, None)
        known = self._named.get(name)
        text = f"{plain(known, 64)} ({name}) {words}" if known else f"{name} {words}"
        note = replace(self._note(kind, text), device=name, name=known, vendor_id=vendor, product_id=product)
        return replace(note, devnum=seen.devnum, speed_mbit=seen.speed_mbit) if seen and kind == "dropped" else note

    def _note(self, kind: NoteKind, text: str) -> Note:
        return Note(kind, self._clock.now().isoformat(timespec="milliseconds"), round(self._clock.monotonic(), 3), text)


def _mbit(speed: float | None) -> str:
    return "an unknown speed" if speed is None else f"{speed:g} Mb/s"


def watch(
    scanner: Scanner,
    keep: Callable[[Note], None],
    every_s: float = 2.0,
    names: Naming = lambda scan: {},
    clock: Clock | None = None,
    looks: int | None = None,
    call: Calling | None = None,
    before: LastSeen | None = None,
    cycles: Mapping[str, float] | None = None,
    pressure: Pressing = lambda: None,
) -> None:
    """Looks every `every_s` seconds and hands each note to `keep`, until interrupted or for so many `looks`."""
    clock = clock or Clock()
    watcher = Watcher(scanner, every_s, names, clock, call, before, cycles, pressure)
    done = 0
    due = clock.monotonic()
    try:
        while looks is None or done < looks:
            for note in watcher.look():
                keep(note)
            done += 1
            due = max(due + every_s, clock.monotonic())
            clock.sleep(max(0.0, due - clock.monotonic()))
    finally:
        for note in watcher.stop():
            keep(note)
