"""A small tree of a few parts, at places that do not change: what hangs on what now, and what will. No colours."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.rig import COMPUTER

if TYPE_CHECKING:
    from topo.analysis.study import Study

MOST_LEAVES = 6


@frozen
class Hang:
    """What a part hangs on, and by which socket of it (or, on the 12 V side, by which lead)."""

    above: str
    by: str


@frozen
class Spot:
    """The column and row of a part; rows may lie between two others."""

    column: int
    row: float


@frozen
class SmallTree:
    """Parts with their places, and what each hangs on now and once all is done."""

    spots: dict[str, Spot]
    now: dict[str, Hang]
    done: dict[str, Hang]
    columns: int
    rows: int


def small_tree(now: Study, done: Study, parts: Iterable[str], on_leads: bool) -> SmallTree | None:
    """The tree of these parts and of all they hang on in either rig; None where none of them hangs on anything."""
    wanted = list(dict.fromkeys(parts))
    before, after = _hangs(now, wanted, on_leads), _hangs(done, wanted, on_leads)
    names = dict.fromkeys((*before, *after, *(hang.above for hang in (*before.values(), *after.values()))))
    if not before and not after:
        return None
    depth = {name: _depth(name, before if name in before else after) for name in names}
    inner = {hang.above for hang in (*before.values(), *after.values())}
    leaves = [name for name in _in_order(names, before, after) if name not in inner]
    kept = leaves[:MOST_LEAVES]
    columns = max(depth.values()) + 1
    spots = {name: Spot(columns - 1, float(row)) for row, name in enumerate(kept)}
    rows = len(kept)
    for name in sorted((name for name in names if name in inner), key=lambda name: -depth[name]):
        below = [child for child, hang in before.items() if hang.above == name and child in spots]
        staying = [child for child in below if after.get(child) == before[child]] or below
        row = min((spots[child].row for child in staying), default=float(rows))
        if not staying or any(_passes(child, row, name, hangs, spots, depth) for child in spots
                              for hangs in (before, after)):
            row = float(rows)
            rows += 1
        spots[name] = Spot(depth[name], row)
    return SmallTree(spots, _of(before, spots), _of(after, spots), columns, max(rows, 1))


def _passes(child: str, row: float, name: str, hangs: Mapping[str, Hang], spots: Mapping[str, Spot],
            depth: Mapping[str, int]) -> bool:
    """Whether a part's wire would run through a box of that name in that row, though it hangs on something else."""
    hang = hangs.get(child)
    return (hang is not None and hang.above != name and spots[child].row == row and spots[child].column > depth[name]
            and depth.get(hang.above, 0) < depth[name])


def _of(hangs: Mapping[str, Hang], spots: Mapping[str, Spot]) -> dict[str, Hang]:
    return {name: hang for name, hang in hangs.items() if name in spots and hang.above in spots}


def _hangs(study: Study, parts: Iterable[str], on_leads: bool) -> dict[str, Hang]:
    """What each of the parts, and each it hangs on, hangs on."""
    feeds = {end: Hang(lead.source, lead.id) for lead in study.rig.leads for end in lead.ends}
    found: dict[str, Hang] = {}
    for part in parts:
        name = part
        while name not in found and (on_leads or name != COMPUTER):
            leg = None if on_leads else study.topology.leg(name)
            hang = feeds.get(name) if on_leads else None if leg is None else Hang(leg.above, leg.socket.name)
            if hang is None:
                break
            found[name] = hang
            name = hang.above
    return found


def _depth(name: str, hangs: Mapping[str, Hang]) -> int:
    steps, seen = 0, {name}
    while name in hangs and hangs[name].above not in seen:
        name = hangs[name].above
        seen.add(name)
        steps += 1
    return steps


def _in_order(names: Iterable[str], *trees: Mapping[str, Hang]) -> list[str]:
    """Names depth first, by the first tree that has them, so that what hangs together stands together."""
    children: dict[str, list[str]] = {}
    for name in names:
        hang = next((tree[name] for tree in trees if name in tree), None)
        children.setdefault("" if hang is None else hang.above, []).append(name)
    order: list[str] = []
    pending = list(reversed(children.get("", [])))
    while pending:
        name = pending.pop()
        if name not in order:
            order.append(name)
            pending += reversed(children.get(name, []))
    return order
