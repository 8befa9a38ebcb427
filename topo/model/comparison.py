"""Declared against live: what of the rig file was found where, as frozen values that checks and reports read.

Nothing is compared here. Texts of sightings are untrusted: whoever prints them escapes them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.sighting import Scan, Sighting

MatchedBy = Literal["identity", "place", "kind"]
"""What a match rests on, from the surest down: ids or serial number; the same socket; what it is and what is behind."""


@dataclass(frozen=True, slots=True)
class Thing:
    """One physical thing as seen: a hub with its sides, or a device, with its own hub where that was told.

    `seen` has the USB 2 side first; of a device with its own hub the hub first, the device last. `key` is the id of
    the first of them. `above` is the key of the thing it is plugged into, "computer" for a root port, None where that
    is not known. `port` counts from 1, on the USB 2 side where the system tells it. `word` names the kind. `built_in`
    is True where the system says it cannot be unplugged.
    """

    key: str
    kind: Literal["hub", "device"]
    seen: tuple[Sighting, ...]
    above: str | None
    port: int | None
    word: str
    built_in: bool = False

    @property
    def own(self) -> Sighting:
        """The device itself, or the first side of a hub."""
        return self.seen[0] if self.kind == "hub" else self.seen[-1]

    @property
    def hub_sides(self) -> tuple[Sighting, ...]:
        """Its sightings that are hubs."""
        return tuple(side for side in self.seen if side.is_hub)

    @property
    def speed_mbit(self) -> float | None:
        """The fastest link it has now, in Mb/s."""
        return max((side.speed_mbit for side in self.seen if side.speed_mbit is not None), default=None)


@dataclass(frozen=True, slots=True)
class Match:
    """A part of the rig file and what it is in the scan.

    `thing` is what sits in the socket, `own` the device itself (a hub's first side); None where only the device's own
    hub was found. `inside` is the thing of a camera that shows up behind its own hub, or beside it on the other side;
    `extra` are further things of the part: active cables on the way, a second hub in one case. `moved` is True where
    it was found away from where the file has it.
    """

    part: str
    kind: Literal["hub", "device"]
    thing: Thing
    own: Sighting | None
    by: MatchedBy
    inside: Thing | None = None
    extra: tuple[Thing, ...] = ()
    moved: bool = False

    @property
    def hub_sides(self) -> tuple[Sighting, ...]:
        """The sides of the hub it is or has."""
        return self.thing.hub_sides

    @property
    def things(self) -> tuple[Thing, ...]:
        """Everything seen that belongs to the part, what sits in the socket first."""
        return (self.thing, *((self.inside,) if self.inside is not None else ()), *self.extra)

    @property
    def speed_mbit(self) -> float | None:
        """The fastest link of the part itself now, in Mb/s."""
        if self.kind == "hub":
            return self.thing.speed_mbit
        return self.own.speed_mbit if self.own is not None else None


@dataclass(frozen=True)
class Comparison:
    """A rig held against a scan.

    `declared` is the study of the file as it stands, `study` the one with measured facts in place of the file's.
    `matches` and `missing` (ids of parts not found) follow the file. `unseen` are parts that a scan cannot show: on
    serial leads, or without USB. `unexpected` are things the file does not have, top down.
    """

    declared: Study
    study: Study
    scan: Scan
    things: tuple[Thing, ...]
    matches: tuple[Match, ...]
    missing: tuple[str, ...] = ()
    unseen: tuple[str, ...] = ()
    unexpected: tuple[Thing, ...] = ()

    @cached_property
    def _of_part(self) -> dict[str, Match]:
        return {match.part: match for match in self.matches}

    @cached_property
    def _owner(self) -> dict[str, str]:
        return {thing.key: match.part for match in self.matches for thing in match.things}

    @cached_property
    def _by_key(self) -> dict[str, Thing]:
        return {thing.key: thing for thing in self.things}

    @cached_property
    def _below(self) -> dict[str, tuple[Thing, ...]]:
        below: dict[str, list[Thing]] = {}
        for thing in self.things:
            below.setdefault(thing.above or "", []).append(thing)
        return {key: tuple(things) for key, things in below.items()}

    def match(self, part_id: str) -> Match | None:
        """The match of a part, or None."""
        return self._of_part.get(part_id)

    def part_of(self, key: str) -> str | None:
        """The part that a thing belongs to, or None."""
        return self._owner.get(key)

    def thing(self, key: str | None) -> Thing | None:
        """The thing of that key, or None."""
        return self._by_key.get(key or "")

    def below(self, key: str) -> tuple[Thing, ...]:
        """What is plugged into a thing."""
        return self._below.get(key, ())

    def path(self, thing: Thing) -> tuple[Thing, ...]:
        """The things from the computer down to this one, itself last."""
        path, here = [thing], self.thing(thing.above)
        while here is not None and here not in path:
            path.append(here)
            here = self.thing(here.above)
        return tuple(reversed(path))
