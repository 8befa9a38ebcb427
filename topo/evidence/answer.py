"""From sources on one clock to `Answers`: the one verb of this room. Knows places, and names for them as handed in."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import field

from topo.evidence import known, refuted
from topo.evidence.between import between
from topo.evidence.clocks import Axis, events_on, join
from topo.evidence.departures import LogPlaces, departures, groups, log_places
from topo.evidence.happenings import happenings
from topo.evidence.nights import nights_in, over_nights
from topo.evidence.open import Source
from topo.evidence.portnames import port_histories, taken_away
from topo.evidence.presence import presence
from topo.evidence.questions import answered, asked
from topo.evidence.rows import errors_of, rows_of
from topo.evidence.series import (
    Series,
    Windows,
    action_windows,
    download_windows,
    guide_stream,
    guide_tables,
    streams,
)
from topo.frozen import frozen, replace
from topo.model.answers import (
    Answers,
    Counted,
    DropGroup,
    FileTold,
    GuidingSeen,
    Known,
    Link,
    PortWoes,
    Refuted,
)
from topo.model.evidence import (
    Arrival,
    ControllerNote,
    FrameData,
    LowVolts,
    OverCurrent,
    PortTrouble,
    Refusal,
    Reset,
    SpeedChange,
)
from topo.words.lists import counted

BIG_FACTOR = 4.0


@frozen
class KnownNames:
    """What the rig calls things: places to parts, capture devices ("bus.number") to parts, roles; what is plugged."""

    parts: Mapping[str, str] = field(default_factory=dict)
    devices: Mapping[str, str] = field(default_factory=dict)
    roles: Mapping[str, str] = field(default_factory=dict)
    plugged: tuple[str, ...] = ()


def answer(sources: Sequence[Source], offsets: Mapping[str, float], zone_s: float | None, names: KnownNames) -> Answers:
    """Everything the sources say. Same sources, same answer."""
    axis = join(sources, offsets, zone_s)
    tree = log_places(sources)
    away = departures(axis, sources, names.parts)
    together = groups(away, tree)
    ports, counts = _troubles(axis, sources, names.parts)
    capture = _Capture(axis, sources, names)
    series = [*guide_tables(axis, sources), *capture.series]
    windows = [*_downloads(axis, sources, capture), *action_windows(axis, sources)]
    covered = _covered(axis, sources)
    sure = [drop for drop in away if not drop.asleep and math.isfinite(drop.give_s)]
    links = answered(asked(series, windows, [drop.at_s for drop in sure], covered,
                           max((drop.give_s for drop in sure), default=0.0)))
    guiding = tuple(_guiding(one, sources) for one in series)
    places = [(place, names.parts.get(place)) for place in sorted(tree.places, key=_by_place)]
    there = presence(axis, sources, names.parts, names.devices, names.roles, names.plugged)
    ours = [*(part for _, part in places if part is not None), *names.devices.values()]
    return Answers(
        axis.kind, axis.zone_s, tuple(_told(axis, n, source) for n, source in enumerate(sources)), together, ports,
        counts, guiding, links,
        tuple(_refuted(together, tree, ports, counts, covered, guiding, links, capture, names)),
        tuple(capture.known), rows_of(axis, sources, away, windows, series, names.parts, there, ours),
        errors_of(axis, sources), axis.notes, covered, tuple(places), between(axis, sources, names.parts),
        port_histories(axis, sources, names.parts), taken_away(axis, sources, names.parts),
        over_nights(nights_in(axis, sources, (group.drops[0].at_s for group in together if _awake(group)))),
        capture.waits, there.unseen, happenings(axis, sources),
    )


def _awake(group: DropGroup) -> bool:
    return not group.drops[0].asleep and math.isfinite(group.drops[0].give_s)


def _by_place(place: str) -> tuple[int, list[int]]:
    bus, _, chain = place.removeprefix("usb").partition("-")
    try:
        return int(bus.split(".")[0]), [int(step) for step in chain.split(".") if step]
    except ValueError:
        return 0, []


def _told(axis: Axis, number: int, source: Source) -> FileTold:
    reading = source.reading
    if reading is None:
        return FileTold(source.name, "", source.reader, None, None, None, "", 0, False, (), source.problem)
    placed = [(span, axis.placed[(number, span.clock)]) for span in reading.spans]
    joined = [(span, place) for span, place in placed if math.isfinite(place.give_s)]
    skipped = list(reading.skipped)
    if apart := len(placed) - len(joined):
        local = all(span.kind == "local" for span, place in placed if not math.isfinite(place.give_s))
        zone = "; they are local times: --zone HOURS joins them" if local and axis.kind == "utc" else ""
        skipped.append(f"{apart} of {counted(len(placed), 'stretch')} of its clock cannot be joined to the rest{zone}")
    first = min((span.first_s + place.offset_s for span, place in joined), default=None)
    last = max((span.last_s + place.offset_s for span, place in joined), default=None)
    give = max((place.give_s for _, place in joined), default=None)
    how = joined[0][1].how if joined else ""
    return FileTold(source.name, reading.kind, source.reader, first, last, give, how,
                    len(reading.events) + len(reading.transfers), reading.covers, tuple(skipped))


def _covered(axis: Axis, sources: Sequence[Source]) -> tuple[float, float] | None:
    """The longest stretch in which a file would have shown every departure."""
    best: tuple[float, float] | None = None
    for number, source in enumerate(sources):
        for span in source.reading.spans if source.reading and source.reading.covers else ():
            place = axis.placed[(number, span.clock)]
            stretch = (span.first_s + place.offset_s, span.last_s + place.offset_s)
            if math.isfinite(place.give_s) and (best is None or stretch[1] - stretch[0] > best[1] - best[0]):
                best = stretch
    return best


# -- places that did not come up, and what is counted -----------------------------------------------------------------

def _troubles(
    axis: Axis, sources: Sequence[Source], parts: Mapping[str, str]
) -> tuple[tuple[PortWoes, ...], tuple[Counted, ...]]:
    woes: dict[str, PortWoes] = {}
    counts: dict[tuple[str, str], Counted] = {}
    for at, _, number, event in events_on(axis, sources):
        file = sources[number].name
        if isinstance(event, PortTrouble):
            old = woes.get(event.path)
            kinds = dict(old.kinds) if old else {}
            kinds[event.kind] = kinds.get(event.kind, 0) + 1
            errors = tuple(dict.fromkeys((*(old.errors if old else ()), *((event.error,) if event.error else ()))))
            woes[event.path] = PortWoes(event.path, parts.get(event.path), tuple(kinds.items()), errors,
                                        old.first_s if old else at, at, old.file if old else file,
                                        old.line if old else event.at.line, False)
        elif isinstance(event, Arrival) and event.answered and event.path in woes:
            woes[event.path] = replace(woes[event.path], settled=True)
        elif (kind := _counts_as(event)) is not None:
            path = getattr(event, "path", "") or getattr(event, "controller", "")
            seen = counts.get((kind, path))
            counts[(kind, path)] = Counted(
                kind, path, parts.get(path), (seen.count if seen else 0) + 1,  # type: ignore[arg-type]
                seen.first_s if seen else at, seen.file if seen else file, seen.line if seen else event.at.line)
    return tuple(woes.values()), tuple(counts.values())


def _counts_as(event: object) -> str | None:
    if isinstance(event, OverCurrent):
        return "over-current" if event.port else "over-current-hub"
    if isinstance(event, Refusal):
        return event.kind
    if isinstance(event, Reset):
        return "reset" if event.why == "unknown" else f"reset-{event.why}"
    if isinstance(event, SpeedChange):
        return "slower" if (event.now_mbit or 0) < (event.before_mbit or 0) else None
    if isinstance(event, LowVolts):
        return "low-volts"
    if isinstance(event, ControllerNote):
        return "controller-dead" if event.kind == "dead" else None
    return None


# -- captures ---------------------------------------------------------------------------------------------------------

class _Capture:
    """Cameras in captures: which stream guides and which downloads, by the rig's roles or by size and rhythm."""

    def __init__(self, axis: Axis, sources: Sequence[Source], names: KnownNames) -> None:
        self.axis, self.names = axis, names
        self.streams = {key: bursts for key, bursts in streams(axis, sources).items() if len(bursts) >= 3}
        self.sizes = {key: sorted(b.size_bytes for b in bursts)[len(bursts) // 2]
                      for key, bursts in self.streams.items()}
        self.imaging, self.guiding = self._roles()
        self.series: list[Series] = []
        for key in self.guiding:
            made = guide_stream(axis, key, self.streams[key], self.name(key))
            if made is not None:
                self.series.append(made)
        self.known: list[Known] = []
        for key, bursts in self.streams.items():
            place = axis.placed[(key[0], bursts[0].at.clock)]
            self.known += known.of_stream(key[1], self.part(key), bursts, place.offset_s)
        told = [known.waits_of(one, names.devices.get(one.device)) for source in sources
                for one in (source.reading.transfers if source.reading else ())]
        self.waits = tuple(each for each in told if each is not None)

    def part(self, key: tuple[int, str, int]) -> str | None:
        """The rig's name for a stream's device."""
        return self.names.devices.get(key[1])

    def name(self, key: tuple[int, str, int]) -> str:
        """The rig's name, or the device's number on its bus."""
        return self.part(key) or f"device {key[1]}"

    def _roles(self) -> tuple[list[tuple[int, str, int]], list[tuple[int, str, int]]]:
        roles = {key: self.names.roles.get(self.part(key) or "") for key in self.streams}
        imaging = [key for key in self.streams if roles[key] == "imaging"]
        guiding = [key for key in self.streams if roles[key] == "guiding"]
        unknown = [key for key in self.streams if roles[key] is None]
        if not imaging and not guiding and len(unknown) >= 2:
            largest = max(unknown, key=lambda key: (self.sizes[key], key))
            most = max((key for key in unknown if key != largest), key=lambda key: (len(self.streams[key]), key))
            if self.sizes[largest] > BIG_FACTOR * self.sizes[most] and len(self.streams[most]) > len(
                    self.streams[largest]):
                return [largest], [most]
        if not guiding and len(unknown) == 1 and not imaging:
            return [], unknown
        return imaging, guiding

    def windows(self) -> list[Windows]:
        """Downloads as the capture shows them."""
        found = []
        for key in self.imaging:
            place = self.axis.placed[(key[0], self.streams[key][0].at.clock)]
            spans = tuple((b.at.seconds + place.offset_s, b.until.seconds + place.offset_s) for b in self.streams[key])
            found.append(Windows("download", key[0], spans, place.give_s, f"frames of {self.name(key)} in the capture"))
        return found

    def idle(self) -> list[Refuted]:
        """Late guide frames while nobody else moved data."""
        found: list[Refuted] = []
        for key in self.guiding:
            others = [b for other, bursts in self.streams.items() if other[:2] != key[:2] for b in bursts]
            one = next((s for s in self.series if s.name == self.name(key)), None)
            if one is not None and others:
                place = self.axis.placed[(key[0], self.streams[key][0].at.clock)]
                moved = [replace(b, until=replace(b.until, seconds=b.until.seconds + place.offset_s))
                         for b in self.streams[key]]
                shifted: list[FrameData] = [
                    replace(b, at=replace(b.at, seconds=b.at.seconds + place.offset_s),
                            until=replace(b.until, seconds=b.until.seconds + place.offset_s)) for b in others]
                found += (*refuted.of_idle(one, moved, shifted), *refuted.of_host(one, moved, shifted))
        return found


def _downloads(axis: Axis, sources: Sequence[Source], capture: _Capture) -> list[Windows]:
    """Downloads by the capture where it has them, which says more than files' dates; else by the times of frames."""
    return capture.windows() or download_windows(axis, sources)


def _guiding(one: Series, sources: Sequence[Source]) -> GuidingSeen:
    reading = sources[one.source].reading
    unit = reading.unit if reading is not None else ""
    return GuidingSeen(one.name, len(one.due) + 1, one.cadence_s, one.spread_s, one.late, one.lost, one.jumps, unit)


def _refuted(
    together: Sequence[DropGroup], tree: LogPlaces, ports: Sequence[PortWoes], counted: Sequence[Counted],
    covered: tuple[float, float] | None, guiding: Sequence[GuidingSeen], links: Sequence[Link], capture: _Capture,
    names: KnownNames,
) -> list[Refuted]:
    troubled = [each.path for each in counted if each.kind == "reset"]
    glitches = [t for each in guiding for t in (*(a for a, _ in each.late), *each.lost, *(a for a, *_ in each.jumps))]
    known_parts = [(place, part) for place, part in sorted(names.parts.items(), key=lambda item: _by_place(item[0]))
                   if "-" in place]
    refusals = sum(each.count for each in counted if each.kind == "bandwidth")
    arrived = sum(1 for place in tree.places if "-" in place)
    return [
        *refuted.of_plugs(known_parts, together, ports, troubled, covered, glitches),
        *refuted.of_groups(together, names.parts), *refuted.of_controllers(together, tree, names.parts),
        *refuted.of_sharing(links), *capture.idle(),
        *refuted.of_data_path(guiding), *refuted.of_reservations(covered, refusals, arrived),
    ]
