"""What to do about the faults of a rig: the fewest moves, and what settings, which are free, save of them."""

from __future__ import annotations

from topo.frozen import frozen
from topo.model.change import Change, MovePlug, SwapPlugs
from topo.model.finding import Severity
from topo.place.remembered import Remembered
from topo.place.search import Answer, Progress, rewire
from topo.place.settings import Settings, eased, settings
from topo.wiring.apply import apply


@frozen
class Mixed:
    """Fewer moves than without settings, as (part, from plug, to plug), and the settings that clear what they leave."""

    moves: tuple[tuple[str, str, str], ...]
    to_try: tuple[str, ...]
    settings: Settings


@frozen
class Advice:
    """Moves alone; settings alone, on the rig as it is wired; both, where that takes fewer moves than moves alone."""

    moves: Answer
    settings: Settings
    mixed: Mixed | None

    def cleared_by_settings(self, clear: tuple[Severity, ...]) -> bool:
        """Whether settings alone leave nothing that could be cleared."""
        fixed = {(f.name, f.part) for f in self.moves.fixed}
        return all((f.name, f.part) in fixed for f in self.settings.after.telling(clear))


def advise(
    kept: Remembered,
    answer: Answer,
    clear: tuple[Severity, ...] = ("fault",),
    most_moves: int = 3,
    pinned: frozenset[str] = frozenset(),
    progress: Progress = lambda size, studied: True,
) -> Advice:
    """To the fewest moves, the settings that help, and the fewest moves with settings free.

    The last is the fewest moves of the rig with every camera at its easiest settings, exact where it was searched to
    its end; among plans of so few moves that with the best consequence there.
    """
    rig = answer.start.rig
    advice = Advice(answer, settings(kept, rig, clear), None)
    most = most_moves if answer.plan is None else len(answer.plan.moves) - 1
    if most < 1 or not answer.searched.complete or advice.cleared_by_settings(clear):
        return advice
    easy = rewire(eased(kept, rig), kept.examiner, clear, most, pinned, progress, kept)
    if easy.searched.interrupted:
        raise KeyboardInterrupt
    if easy.plan is None or not easy.plan.moves:
        return advice
    for part, _, to in easy.plan.moves:
        above, _, socket = to.partition("/")
        rig = apply(rig, MovePlug(part, above, socket))
    return Advice(answer, advice.settings, Mixed(easy.plan.moves, easy.plan.to_try, settings(kept, rig, clear)))


def steps_of(moves: tuple[tuple[str, str, str], ...]) -> tuple[Change, ...]:
    """Moves in an order in which each socket is free when its turn comes; two that exchange sockets are a swap."""
    steps: list[Change] = []
    for ring in in_order(moves):
        if len(ring) == 2:
            steps.append(SwapPlugs(ring[0][0], ring[1][0]))
        else:
            steps += [MovePlug(part, *to.split("/", 1)) for part, _, to in ring]
    return tuple(steps)


def in_order(moves: tuple[tuple[str, str, str], ...]) -> tuple[tuple[tuple[str, str, str], ...], ...]:
    """Moves in an order in which each socket is free when its turn comes. Those that wait for each other in a ring
    stand together: their plugs are all pulled first. A ring of two is a swap."""
    left, steps = list(moves), []
    while left:
        taken = {was for _, was, _ in left}
        free = next((move for move in left if move[2] not in taken), None)
        step = (free,) if free is not None else _ring(left)
        steps.append(step)
        left = [move for move in left if move not in step]
    return tuple(steps)


def _ring(moves: list[tuple[str, str, str]]) -> tuple[tuple[str, str, str], ...]:
    """The first move with those that wait for each other, round to one that was there already."""
    leaves = {move[1]: move for move in moves}
    ring = [moves[0]]
    while leaves[ring[-1][2]] not in ring:
        ring.append(leaves[ring[-1][2]])
    return tuple(ring[ring.index(leaves[ring[-1][2]]) :])
