"""Declared against live: what of the rig file was found where, as frozen values that checks and reports read.

Nothing is compared here. Texts of sightings are untrusted: whoever prints them escapes them.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.plugged import PluggedIn, Thing
    from topo.model.sighting import Scan, Sighting

MatchedBy = Literal["identity", "place", "kind", "twin"]
"""What a match rests on, from the surest down: a serial number, or ids that only one has; the same socket; what it is
and what is behind. A twin is not the part: it has its ids and another serial number, and stands in for it."""


@frozen
class Match:
    """A part of the rig file and what it is in the scan.

    `thing` is what sits in the socket, `own` the device itself (a hub's first side); None where only the device's own
    hub was found. `inside` is the thing of a camera that shows up behind its own hub, or beside it on the other side;
    `extra` are further things of the part: active cables on the way, a second hub in one case. `moved` is True where
    it was found away from where the file has it. `or_things` are keys of others that the part could be just as well as
    far as ids go, and `or_parts` parts that this thing could be: where either is there, the match is a guess.
    """

    part: str
    kind: Literal["hub", "device"]
    thing: Thing
    own: Sighting | None
    by: MatchedBy
    inside: Thing | None = None
    extra: tuple[Thing, ...] = ()
    moved: bool = False
    or_things: tuple[str, ...] = ()
    or_parts: tuple[str, ...] = ()

    @property
    def guessed(self) -> bool:
        """True where something else fits as well, or the match rests on place or kind alone."""
        return self.by != "identity" or bool(self.or_things or self.or_parts)

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

    @property
    def most_mbit(self) -> float | None:
        """The rate its fastest link runs at, or at most runs at, Mb/s; None where that is not told."""
        if self.kind == "hub":
            return self.thing.most_mbit
        return self.own.most_mbit if self.own is not None else None


@frozen(slots=False)
class Comparison:
    """A rig held against a scan.

    `declared` is the study of the file as it stands, `study` the one with measured facts in place of the file's;
    `live` is what the scan shows plugged in.
    `matches` and `missing` (ids of parts not found) follow the file. `unseen` are parts that a scan cannot show: on
    serial leads, without USB, or in a listing that need not hold every device. `unexpected` are things the file does
    not have, top down. `added` are hubs among these that parts of the file are plugged into, and the names they have in
    the measured study: key and name.
    """

    declared: Study
    study: Study
    live: PluggedIn
    matches: tuple[Match, ...]
    missing: tuple[str, ...] = ()
    unseen: tuple[str, ...] = ()
    unexpected: tuple[Thing, ...] = ()
    added: tuple[tuple[str, str], ...] = ()

    @property
    def scan(self) -> Scan:
        """The scan it was held against."""
        return self.live.scan

    @cached_property
    def _of_part(self) -> dict[str, Match]:
        return {match.part: match for match in self.matches}

    @cached_property
    def _owner(self) -> dict[str, str]:
        return {thing.key: match.part for match in self.matches for thing in match.things}

    def match(self, part_id: str) -> Match | None:
        """The match of a part, or None."""
        return self._of_part.get(part_id)

    def part_of(self, key: str) -> str | None:
        """The part that a thing belongs to, or None."""
        return self._owner.get(key)
