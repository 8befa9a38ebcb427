"""The fewest plug moves that clear the faults, found exactly.

A plan is a set of parts that change their socket, and where each goes. Plans are searched by size: none, one, two, …
What is to clear is held as clashes (`domains.py`): a few parts in their places, bad whatever else is plugged in.
Every plan that clears the rig moves, for each clash there is, one of its parts: trying each of them in each class of
sockets, and then the same for the clashes that are left or new, meets every plan of a size that clears. A branch is
given up where clashes without a common part outnumber the moves still allowed. That no smaller plan works follows from
having searched every smaller size to its end. Findings that no plug changes are left out of this and told apart; where
only checks that read the whole rig find something, any part may be the next to move.

Only plans that make nothing slower count: no device runs at a lower USB speed than it does now (`slower.py`), and
nothing is sent to another place its cable may not reach (`reach.py`). A device made slower is a clash of its way up: it
stays slower until a part of that way moves.

Plans are judged from controllers computed once each, which can only be too kind; those that may be the
best are then computed whole, with every check. Best is: consequence, then fewest cables that may not reach, then the
parts that stand first in the file, then their sockets in the order of the rig. Two parts that exchange sockets are two
moves of one plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from topo.analysis.study import Study
from topo.errors import CommandError
from topo.frozen import frozen
from topo.model.finding import AnyFinding, Finding, Glimpse, Severity
from topo.model.plain import plain
from topo.model.rig import Plug, Rig
from topo.place.candidates import SocketClass
from topo.place.consequence import Consequence, impossible
from topo.place.domains import Domains
from topo.place.examiner import Examiner
from topo.place.moves import Blocked, Ground, Moves
from topo.place.remembered import After, Remembered
from topo.words.nearest import near_names


@frozen
class Rewiring:
    """A set of moves with the rig after them. `moves` are (part, from plug, to plug) in the order of the rig.

    `impossible` are findings it brings that make it advice nobody can follow.
    """

    moves: tuple[tuple[str, str, str], ...]
    after: After
    to_try: tuple[str, ...] = ()
    impossible: tuple[AnyFinding, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is found after them."""
        return self.after.findings

    @property
    def consequence(self) -> Consequence:
        """What the rig comes to with them."""
        return self.after.consequence

    def comes_to_less_than(self, other: Rewiring) -> bool:
        """Whether its consequence is better. Where faults and risks decide, nothing else of it is computed."""
        return self.left < other.left if self.left != other.left else self.consequence < other.consequence

    @property
    def left(self) -> tuple[int, int]:
        """Faults and risks after them."""
        severities = [finding.severity for finding in self.after.telling()]
        return severities.count("fault"), severities.count("risk")

    @property
    def rig(self) -> Rig:
        """The rig after them."""
        return self.after.rig

    @property
    def study(self) -> Study:
        """All of it, computed when it is first asked for."""
        return self.after.study


@frozen
class Searched:
    """Plans looked at for each size, from none up, and whether every size was searched to its end; `interrupted` by
    Ctrl-C, which whoever asked has to heed."""

    studied: tuple[int, ...]
    complete: bool
    interrupted: bool = False


@frozen
class Answer:
    """The rig as it is; the best plan of the fewest moves, or None; the best plan seen at all; what was searched.

    `fixed` are findings of the severities asked for that no plug changes.
    """

    start: Rewiring
    plan: Rewiring | None
    best: Rewiring
    searched: Searched
    fixed: tuple[Finding, ...] = ()


Progress = Callable[[int, int], bool]
"""Told (size searched, plans looked at so far); returns False to stop with the best so far."""


def rewire(
    rig: Rig,
    examiner: Examiner,
    clear: tuple[Severity, ...] = ("fault",),
    most_moves: int = 3,
    pinned: frozenset[str] = frozenset(),
    progress: Progress = lambda size, studied: True,
    kept: Remembered | None = None,
) -> Answer:
    """The fewest moves that leave no finding of the severities `clear`. Ctrl-C ends it with the best so far.

    Raises CommandError for an unknown pin.
    """
    known_pins(rig, pinned)
    return _Search(kept or Remembered(Study(rig), examiner), rig, clear, pinned, progress).run(most_moves)


def known_pins(rig: Rig, pinned: frozenset[str]) -> None:
    """Raises CommandError for a pinned part that the rig does not have."""
    ids = [part.id for part in rig.parts]
    for name in sorted(pinned):
        if name not in ids:
            raise CommandError(f"no part is called {plain(name)}, so it cannot be pinned{_nearest(name, ids)}")


def _nearest(name: str, ids: list[str]) -> str:
    near = near_names(name, ids, most=3)
    return f"; nearest: {', '.join(map(plain, near))}" if near else ""


@frozen
class _Fitting:
    """A plan whose controllers leave nothing to clear, and what it comes to at the least."""

    moves: Moves
    assigned: dict[str, Plug]
    bound: tuple[object, ...]


class _Search:
    def __init__(
        self, kept: Remembered, rig: Rig, clear: tuple[Severity, ...], pinned: frozenset[str], progress: Progress
    ) -> None:
        self.kept, self.rig, self.clear, self.progress = kept, rig, clear, progress
        self.ground = Ground(rig, pinned)
        self.class_order = {each: index for index, each in enumerate(self.ground.classes)}
        self.studied = 0
        self.stopped = False
        self.whole: dict[frozenset[tuple[str, SocketClass]], Rewiring] = {}
        self.fixed: tuple[Finding, ...] = ()
        self.had: tuple[AnyFinding, ...] | None = None
        start = self._plan({}, {})
        self.start, self.best, self.had = start, start, start.after.telling()
        self.fixed = start.after.fixed
        self.domains = Domains(self.ground, kept, self.fixed, clear)

    def run(self, most_moves: int) -> Answer:
        """Each size in turn. What was searched to its end is known wherever Ctrl-C comes."""
        studied: list[int] = []
        plan, interrupted = None, False
        try:
            plan = self._sizes(most_moves, studied)
            if plan is None and not self.stopped:
                self._improve(most_moves)
        except KeyboardInterrupt:
            self.stopped = interrupted = True
            studied.append(self.studied - sum(studied))
        fixed = tuple(finding for finding in self.fixed if finding.severity in self.clear)
        searched = Searched(tuple(studied), not self.stopped, interrupted)
        return Answer(self.start, plan, plan or self.best, searched, fixed)

    def _sizes(self, most_moves: int, studied: list[int]) -> Rewiring | None:
        for size in range(most_moves + 1):
            before = self.studied
            plan = self._best_of(size)
            studied.append(self.studied - before)
            if plan is not None or self.stopped:
                return plan
        return None

    # -- every plan of one size -------------------------------------------------------------------------------------

    def _best_of(self, size: int) -> Rewiring | None:
        """The best plan of a size that clears. The most promising are computed whole, until no other can be better."""
        best: tuple[tuple[object, ...], Rewiring] | None = None
        for fitting in sorted(self._fitting(size), key=lambda each: each.bound):
            if best is not None and fitting.bound > best[0]:
                break
            plan = self._plan(fitting.moves, fitting.assigned)
            if self._left_of(plan):
                continue
            key = self._key(plan.consequence, fitting.moves, fitting.assigned)
            if best is None or key < best[0]:
                best = key, plan
            if self.stopped:
                break
        return None if best is None else best[1]

    def _key(self, value: Consequence, moves: Moves, assigned: dict[str, Plug]) -> tuple[object, ...]:
        """The order of plans: consequence, cables to try, then the order of the rig."""
        order = self.ground.order
        return value, len(self.ground.to_try(assigned)), tuple((order[p], self.class_order[moves[p]]) for p in assigned)

    def _fitting(self, size: int) -> Iterator[_Fitting]:
        done: set[frozenset[tuple[str, SocketClass]]] = set()
        pending: list[dict[str, SocketClass]] = [{}]
        while pending and not self.stopped:
            moves = pending.pop()
            key = frozenset(moves.items())
            if key in done:
                continue
            done.add(key)
            self._count(size)
            found = self._look(moves, size - len(moves))
            if isinstance(found, _Fitting):
                yield found
            elif found:
                pending.extend(reversed([{**moves, part: to} for part in found for to in self.ground.targets(part)]))

    def _count(self, size: int) -> None:
        self.studied += 1
        self._goes_on(size)

    def _goes_on(self, size: int) -> bool:
        self.stopped = self.stopped or not self.progress(size, self.studied)
        return not self.stopped

    def _look(self, moves: dict[str, SocketClass], more: int) -> _Fitting | list[str]:
        """A plan that may clear, when no more moves are allowed; else the parts of which the next has to be one."""
        assigned = self.ground.assign(moves)
        if isinstance(assigned, Blocked):
            return self._next([assigned.parts], moves, more)
        clashes = self.ground.speeds.slower(assigned)
        if clashes and not more:
            return []
        states = self.domains.states(moves)
        for controller, state in states.items():
            found = self.domains.clashes(controller, state, assigned, more > 0)
            if found and not more:
                return []
            clashes += [frozenset(entry[0] for entry in clash) for clash in found]
        if not more:
            domains = [self.domains.domain(controller, state, assigned) for controller, state in states.items()]
            return _Fitting(moves, assigned, self._key(self.domains.bound(domains), moves, assigned))
        if not clashes:
            # Only checks that read the whole rig can be left, or a smaller plan that clears would have been found.
            clashes = [self.ground.movable] if self._left_of(self._plan(moves, assigned)) else []
        return self._next(clashes, moves, more)

    def _next(self, clashes: list[frozenset[str]], moves: Moves, more: int) -> list[str]:
        """The parts of which the next move has to be one, in the order of the rig; none where moves cannot suffice."""
        if not clashes or not more:
            return []
        still = sorted(({name for name in on if name in self.ground.movable and name not in moves} for on in clashes),
                       key=len)  # fmt: skip
        apart: list[set[str]] = []
        for on in still:
            if all(on.isdisjoint(other) for other in apart):
                apart.append(on)
        if len(apart) > more:
            return []
        chosen = set.intersection(*still) if more == 1 else still[0]
        return sorted(chosen, key=self.ground.order.__getitem__)

    # -- one plan ---------------------------------------------------------------------------------------------------

    def _left_of(self, plan: Rewiring) -> tuple[AnyFinding, ...]:
        """What a plan leaves to clear: of the severities asked for, without what no plug changes, and what it brings
        that makes it impossible."""
        fixed = set(map(_whole_key, self.fixed))
        left = plan.after.telling(self.clear)
        return (*plan.impossible, *(f for f in left if isinstance(f, Glimpse) or _whole_key(f) not in fixed))

    def _plan(self, moves: Moves, assigned: dict[str, Plug]) -> Rewiring:
        """A plan that makes nothing slower, computed whole, with every check."""
        key = frozenset(moves.items())
        if key not in self.whole:
            plan = self._made(assigned)
            self.whole[key] = plan
            if self.had is not None and not plan.impossible and plan.comes_to_less_than(self.best):
                self.best = plan
        return self.whole[key]

    def _made(self, assigned: dict[str, Plug]) -> Rewiring:
        rig = self.ground.after(assigned)
        after = self.kept.of(rig)
        after.pay()
        return Rewiring(
            tuple((name, str(self.ground.parts[name].plug), str(plug)) for name, plug in assigned.items()),
            after,
            self.ground.to_try(assigned),
            () if self.had is None else impossible(self.had, after.telling()),
        )

    # -- where nothing clears ---------------------------------------------------------------------------------------

    def _improve(self, most_moves: int) -> None:
        """Where no plan clears: the single move that leaves fewest faults and risks, then the next, as far as moves are
        allowed."""
        moves: dict[str, SocketClass] = {}
        for _ in range(most_moves):
            better = self._better(moves)
            if better is None or self.stopped:
                return
            moves = better

    def _better(self, moves: dict[str, SocketClass]) -> dict[str, SocketClass] | None:
        """One move more that leaves fewer faults and risks than the best so far; those that promise most are computed
        whole, until no other promises more than was found."""
        found: list[tuple[tuple[int, int], dict[str, SocketClass], dict[str, Plug]]] = []
        for part in self._that_matter(moves):
            for target in self.ground.targets(part):
                then = {**moves, part: target}
                assigned = self.ground.assign(then)
                self._count(len(then))
                if self.stopped:
                    return None
                if isinstance(assigned, Blocked) or self.ground.speeds.slower(assigned):
                    continue
                found.append((self.domains.least(then, assigned), then, assigned))
        better: dict[str, SocketClass] | None = None
        for least, then, assigned in sorted(found, key=lambda each: each[0]):
            now = self.best.left
            if least >= now or not self._goes_on(len(then)):
                break
            if self.domains.least(then, assigned) < now:  # more is known by now
                plan = self._plan(then, assigned)
                self.domains.suspect(plan.findings)
                better = then if plan is self.best else better
        return better

    def _that_matter(self, moves: Moves) -> Iterable[str]:
        return (name for name in self.ground.order if name in self.ground.movable and name not in moves)


def _whole_key(finding: Finding) -> tuple[object, ...]:
    return finding.name, finding.severity, finding.part, finding.others, finding.message
