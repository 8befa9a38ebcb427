"""Whether a match by identity is one: ids that two things tell, or that two parts could be, single out nobody.

A serial number that only one thing tells decides. Ids alone decide where no other thing has them and no part that was
not found could be this thing too. What is left is a guess, said as one, with who else it could be.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from topo.compare.align import Aligner, Pairing
from topo.compare.likeness import IDS, PLACE, has_serial_of, identity_value, own_sides
from topo.frozen import replace
from topo.model.rig import COMPUTER

if TYPE_CHECKING:
    from topo.model.comparison import MatchedBy
    from topo.model.plugged import Thing
    from topo.model.rig import Part

Rivals = Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]]
"""For each part: keys of other things, and ids of other parts, that fit as well as what was chosen."""


def thing_itself(each: Pairing) -> Thing:
    """The thing that is the part itself."""
    return each.fit.inside if each.fit.inside is not None else each.thing


def rivals_of(
    aligner: Aligner, placed: Sequence[Pairing], missing: Sequence[str]
) -> Rivals:
    """For each part: keys of other things, and ids of other parts, that fit as well as what was chosen."""
    known = _known_by_serial(aligner, placed)
    found = {}
    for each in placed:
        part = aligner.topology.part(each.part)
        if each.fit.only_hub or each.part in known:
            continue
        things = _other_things(aligner, part, thing_itself(each), set(known.values()))
        parts = tuple(name for name in missing if _could_be(aligner, name, thing_itself(each)))
        alike = tuple(other.part for other in placed if other is not each and thing_itself(other).key in things)
        found[each.part] = (things, tuple(dict.fromkeys((*alike, *parts))))
    return found


def _known_by_serial(aligner: Aligner, placed: Sequence[Pairing]) -> dict[str, str]:
    """Parts whose serial number their thing tells, and no other thing or part has: part to the thing's key."""
    sure = {}
    for each in placed:
        part, own = aligner.topology.part(each.part), thing_itself(each)
        if not has_serial_of(part, own):
            continue
        others = [t for t in aligner.live.things if t.key != own.key and has_serial_of(part, t)]
        named = [p for p in aligner.topology.wired if p != part.id and has_serial_of(aligner.topology.part(p), own)]
        if not others and not named:
            sure[each.part] = own.key
    return sure


def _other_things(aligner: Aligner, part: Part, own: Thing, taken: set[str]) -> tuple[str, ...]:
    """Keys of other things with the ids that this one was known by, or with the same ids as this one."""
    ids = {(side.vendor_id, side.product_id) for side in own_sides(own)}
    found = []
    for other in aligner.live.things:
        if other.key == own.key or other.key in taken or other.kind != own.kind or other.built_in:
            continue
        same = (identity_value(part.identity, own_sides(other)) or 0) >= IDS
        twins = None not in next(iter(ids)) and any((s.vendor_id, s.product_id) in ids for s in own_sides(other))
        if same or (twins and identity_value(part.identity, own_sides(other)) is not None):
            found.append(other.key)
    return tuple(found)


def _could_be(aligner: Aligner, name: str, thing: Thing) -> bool:
    """True where a part that was not found could be this thing, or this thing its twin: nothing contradicts it."""
    part = aligner.topology.part(name)
    if part.kind == "hub":
        return thing.kind == "hub" and part.identity.vendor_id is not None and aligner.fit(part, thing) >= IDS
    return aligner.fit(part, thing) > 0


def revised(
    aligner: Aligner, placed: Sequence[Pairing], missing: Sequence[str]
) -> tuple[tuple[Pairing, ...], Rivals]:
    """The pairings, each called "identity" only where it is, and the rivals of each part."""
    rivals = rivals_of(aligner, placed, missing)
    found = []
    for each in placed:
        things, parts = rivals.get(each.part, ((), ()))
        if each.by == "identity" and (things or parts):
            each = replace(each, by=_otherwise(aligner, each))
        found.append(each)
    return tuple(found), rivals


def _otherwise(aligner: Aligner, each: Pairing) -> MatchedBy:
    counts = each.fit.numbered or each.thing.above == COMPUTER
    return "place" if counts and aligner.place_value(each.part, each.thing) >= PLACE else "kind"
