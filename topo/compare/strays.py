"""Parts that are not behind the part the file has them behind: found by their ids, by what hangs on them, or by being
the only one of their kind on both sides. Last come those for which the file has no plug.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.compare.align import Aligner, Pairing, is_usb, laid
from topo.compare.likeness import BASE, IDS, KIND, kind_of_part, kind_value, speeds_agree
from topo.model.rig import COMPUTER
from topo.wiring.matching import best_pairs

if TYPE_CHECKING:
    from topo.model.plugged import Thing


DRAFTED = ("other", "storage", "network")


def strays(aligner: Aligner, placed: Sequence[Pairing]) -> list[Pairing]:
    """Parts left over by the tree, placed wherever they are."""
    found: list[Pairing] = []
    for pick in (_by_identity, _by_what_is_behind, _by_kind, _by_elimination):
        while pairs := pick(aligner, *_left(aligner, [*placed, *found])):
            found += _apart(aligner, pairs, [*placed, *found])
    for pick in (_by_identity, _by_what_they_are):
        now = [*placed, *found]
        found += _apart(aligner, pick(aligner, _unplaced(aligner, now), _left(aligner, now)[1]), now)
    return found


def _unplaced(aligner: Aligner, placed: Sequence[Pairing]) -> list[str]:
    """Parts on USB for which the file has no plug, in no pair yet."""
    taken = {each.part for each in placed}
    free = [part for part in aligner.topology.rig.parts if part.id != COMPUTER and part.plug is None]
    return [part.id for part in free if part.id not in taken and part.interface != "none"]


def _by_what_they_are(aligner: Aligner, parts: Sequence[str], things: Sequence[Thing]) -> list[tuple[str, Thing]]:
    """Parts and things that neither the file nor the scan gives a place, so that they fit best together.

    Only hubs and roles that a first rig file has: a dew heater without a plug is not on USB at all.
    """
    named = [p for p in parts if (part := aligner.topology.part(p)).kind == "hub" or part.role in DRAFTED]
    loose = [thing for thing in things if thing.plug is None]
    values = [[aligner.value(part, thing) for thing in loose] for part in named]
    return [(named[i], loose[j]) for i, j in best_pairs(values)[1]]


def _left(aligner: Aligner, placed: Sequence[Pairing]) -> tuple[list[str], list[Thing]]:
    """Parts and things that are in no pair yet, each top down."""
    parts = {each.part for each in placed}
    keys = {thing.key for each in placed for thing in things_of(each)}
    left = [part for part in aligner.topology.wired if part not in parts and is_usb(aligner.topology, part)]
    return left, [thing for thing in aligner.live.things if thing.key not in keys]


def things_of(placed: Pairing) -> tuple[Thing, ...]:
    """Everything seen that a part takes up."""
    way = placed.fit
    return (placed.thing, *((way.inside,) if way.inside is not None else ()), *way.extra)


def _apart(
    aligner: Aligner, pairs: Sequence[tuple[str, Thing]], placed: Sequence[Pairing]
) -> list[Pairing]:
    """The pairs with what is behind them, as far as it is not taken already."""
    parts = {each.part for each in placed}
    keys = {thing.key for each in placed for thing in things_of(each)}
    found: list[Pairing] = []
    for each in laid(aligner, None, pairs, numbered=False):
        things = things_of(each)
        if each.part in parts or any(thing.key in keys for thing in things):
            continue
        parts.add(each.part)
        keys.update(thing.key for thing in things)
        found.append(each)
    return found


def _by_identity(aligner: Aligner, parts: Sequence[str], things: Sequence[Thing]) -> list[tuple[str, Thing]]:
    """Parts whose ids in the file are those of a thing."""
    named = [part for part in parts if aligner.topology.part(part).identity.vendor_id or _serial(aligner, part)]
    values = [[_if(aligner.fit(aligner.topology.part(part), thing), IDS) for thing in things] for part in named]
    return [(named[i], things[j]) for i, j in best_pairs(values)[1]]


def _serial(aligner: Aligner, part: str) -> bool:
    return aligner.topology.part(part).identity.serial is not None


def _if(value: int, least: int) -> int:
    return value if value >= least else 0


def _by_what_is_behind(aligner: Aligner, parts: Sequence[str], things: Sequence[Thing]) -> list[tuple[str, Thing]]:
    """Hubs, and cameras with one inside, that have two parts of theirs behind them, or one known by its ids."""
    hubs = [part for part in parts if aligner.topology.part(part).has_hub]
    free = {thing.key for thing in things}
    values = []
    for part in hubs:
        row = []
        for thing in things:
            choice = aligner.choice(part, thing) if thing.kind == "hub" else None
            known = [pair for pair in choice.pairs if pair[1].key in free] if choice is not None else []
            sure = len(known) >= 2 or (choice is not None and choice.value >= IDS)
            row.append(choice.value if choice is not None and known and sure else 0)
        values.append(row)
    return [(hubs[i], things[j]) for i, j in best_pairs(values)[1]]


def _by_kind(aligner: Aligner, parts: Sequence[str], things: Sequence[Thing]) -> list[tuple[str, Thing]]:
    """A part and a thing that can only be each other: unmistakable kind, and no other of that kind left over."""
    pairs = []
    movable = [thing for thing in things if not thing.built_in]
    for part in parts:
        able = [thing for thing in movable if _unmistakable(aligner, part, thing)]
        rivals = [p for p in parts if p != part and able and _possible(aligner, p, able[0])]
        if len(able) == 1 and not rivals:
            pairs.append((part, able[0]))
    return pairs


def _by_elimination(aligner: Aligner, parts: Sequence[str], things: Sequence[Thing]) -> list[tuple[str, Thing]]:
    """The one part and the one thing that are left, where neither the file nor the scan has ids of anything.

    Of roles that a first rig file has only: of a camera or mount that is gone, nothing unknown is taken for it.
    """
    left = [part for part in parts if aligner.topology.part(part).role in DRAFTED]
    movable = [thing for thing in things if not thing.built_in]
    if len(parts) != 1 or len(left) != 1 or len(movable) != 1:
        return []
    silent = movable[0].own.vendor_id is None and aligner.topology.part(left[0]).identity.vendor_id is None
    return [(left[0], movable[0])] if silent and _possible(aligner, left[0], movable[0]) else []


def _unmistakable(aligner: Aligner, part_id: str, thing: Thing) -> bool:
    part = aligner.topology.part(part_id)
    if part.kind == "hub" or kind_of_part(part) is None:
        return False
    return _possible(aligner, part_id, thing) and kind_value(part, thing.word) >= KIND - 1


def _possible(aligner: Aligner, part_id: str, thing: Thing) -> bool:
    part = aligner.topology.part(part_id)
    return aligner.fit(part, thing) >= BASE and speeds_agree(part, thing)
