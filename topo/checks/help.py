"""What several checks need: figures of a device, whether a figure holds at all ends, and moves tried by recomputing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import compress
from typing import TYPE_CHECKING

from topo.errors import CommandError
from topo.model.change import Change, MovePlug
from topo.model.facts import Basis, Figure, Range3, basis_of, value_of
from topo.model.finding import Certainty, Fix
from topo.model.plain import plain
from topo.model.rig import Device
from topo.wiring.reach import NEVER_SENT, Reach, reach

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.outcome import DeviceOutcome
    from topo.wiring.topology import Topology


def certainty_of(holds: Iterable[bool]) -> Certainty | None:
    """`certain` if something holds at every end of what is uncertain, `possible` if at some, None if at none."""
    answers = list(holds)
    if not any(answers):
        return None
    return "certain" if all(answers) else "possible"


def timing_basis(study: Study, part: Device) -> Basis:
    """Basis of a download time: that of the frame size, since the delivered rates are published ranges."""
    return basis_of(part.facts.width_px)


def guide_figures(study: Study, guide: str) -> tuple[Figure, ...]:
    """The figures of a guide camera that a shared link changes, in a fixed order."""
    device = study.device(guide)
    basis = timing_basis(study, study.rig.device(guide))
    return tuple(
        Figure(name, value, unit, basis)
        for name, value, unit in (
            ("download alone", device.alone_s, "s"),
            ("download together", device.together_s, "s"),
            ("added delay, fair sharing", device.delay_fair_s, "s"),
            ("added delay, others served first", device.delay_serialised_s, "s"),
            ("drift meanwhile, fair sharing", device.drift_fair_arcsec, "arcsec"),
            ("drift meanwhile, others served first", device.drift_serialised_arcsec, "arcsec"),
            ("chance that a download meets a guide frame", device.overlap_chance, ""),
        )
        if value is not None
    )


def speed_figures(device: DeviceOutcome, basis: Basis) -> tuple[Figure, ...]:
    """The speed a device gets and could get, and its download."""
    figures = []
    if device.speed is not None:
        figures.append(Figure("speed", device.speed.mbit, "Mb/s", basis))
    if device.could_be is not None:
        figures.append(Figure("could be", device.could_be.mbit, "Mb/s", basis))
    if device.alone_s is not None:
        figures.append(Figure("download alone", device.alone_s, "s", basis))
    return tuple(figures)


def moves_of(study: Study, part_id: str) -> Iterator[MovePlug]:
    """Moves of one part to free sockets of the right kind, one socket of each class, in the order of the rig.

    Sockets below the part itself are left out, and so are those that would make it, or what hangs on it, slower. Those
    that carry more than the part can use come last: a USB 2 camera leaves the USB 3 sockets to others.
    """
    part = study.rig.part(part_id)
    leg = study.topology.leg(part_id)
    below = {part_id, *study.topology.below(part_id)}
    tried = set()
    own = study.topology.could_be(part_id)
    free = study.topology.free_sockets()
    wasted = [s.speed.is_superspeed and own is not None and not own.is_superspeed for _, s in free]
    for above, socket in (*compress(free, (not w for w in wasted)), *compress(free, wasted)):
        kind_key = (above, socket.kind, socket.speed, socket.controller, socket.usb2_bus)
        if above in below or kind_key in tried or (leg is not None and socket.kind != leg.socket.kind):
            continue
        tried.add(kind_key)
        move = MovePlug(part_id, above, socket.name)
        try:
            after = study.what_if(move).topology
        except CommandError:
            continue
        if part.plug is None or all(_as_fast(study.topology, after, name) for name in below):
            yield move


def _as_fast(before: Topology, after: Topology, part_id: str) -> bool:
    """Whether a part is no slower after a change."""
    was, now = before.speed(part_id), after.speed(part_id)
    return was is None or (now is not None and now >= was)


def words_of_move(move: Change) -> str:
    """A move as an instruction: the words of `fix_by` for checks that offer moves alone."""
    assert isinstance(move, MovePlug)
    return f"Plug {plain(move.part)} into {plain(move.to_part)}/{plain(move.to_socket)}."


def _reach(study: Study, change: Change) -> Reach | None:
    """Whether the cable of a moved part reaches its new socket; None for other changes and parts that are not wired."""
    if not isinstance(change, MovePlug):
        return None
    part = study.rig.part(change.part)
    if part.plug is None or study.topology.leg(part.id) is None:
        return None
    return reach(study.topology, part.id, part.plug.part, change.to_part, value_of(part.cable.length_m))


def _cables_that_reach_first(study: Study, changes: Iterable[Change]) -> Iterator[Change]:
    beyond = []
    for change in changes:
        way = _reach(study, change)
        if way is not None and way.verdict in NEVER_SENT:
            beyond.append(change)
        else:
            yield change
    yield from beyond


def _cable_needed(study: Study, change: Change) -> str:
    """What a move takes besides a free socket, where declared lengths tell that the cable there cannot do it."""
    way = _reach(study, change)
    if way is None or way.verdict not in NEVER_SENT:
        return ""
    if way.least_m is None or way.most_m is None:
        return " It is at the other end of a long cable."
    return f" That takes a cable of {way.least_m:.2g} to {way.most_m:.2g} m."


def fix_by(
    study: Study,
    changes: Iterable[Change],
    harm: Callable[[Study], float],
    figures: Callable[[Study], tuple[Figure, ...]],
    words: Callable[[Change], str],
    otherwise: str,
) -> Fix:
    """The first change that takes the harm away, else the one that leaves least of it; the words alone if none helps.

    `harm` is a number that is 0 where the finding is gone; each change is judged by computing the whole rig again,
    as long as the study may try more. Moves that the part's cable cannot make come last, and say which cable they take.
    """
    if not study.may_try_more:
        return Fix(otherwise)
    best: tuple[float, Change] | None = None
    now = harm(study)
    for change in _cables_that_reach_first(study, changes):
        left = harm(study.what_if(change))
        if best is None or left < best[0]:
            best = (left, change)
        if left <= 0 or not study.may_try_more:
            break
    if best is None or best[0] >= now * 0.5:
        return Fix(otherwise)
    left, change = best
    text = words(change) + _cable_needed(study, change)
    return Fix(text, change, figures(study.what_if(change)), left <= 0)


def worst(value: Range3 | None) -> float:
    """The highest end of a range, 0 where there is none."""
    return 0.0 if value is None else value.high
