"""The fewest plug moves that clear the faults, found exactly.

A plan is a set of parts that change their socket, and where each goes. Plans are searched by size: none, one, two, …
A fault lasts as long as nothing it names moves: its part, the other parts it concerns, what shares their links, and
the hubs above them. So a plan that clears the rig must move one of those, for every fault there is; trying each of
them, in each class of sockets, and then the same for the faults still left, meets every plan of a size. That no
smaller plan works follows from having searched every smaller size to its end.

Two parts that exchange sockets are two moves of one plan (pull both, then plug both).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from topo.analysis.study import Study
from topo.errors import CommandError
from topo.model.finding import Finding, Severity
from topo.model.plain import plain
from topo.model.rig import COMPUTER, Part, Plug, Rig
from topo.place.candidates import SocketClass, kind_needed
from topo.place.consequence import Consequence, Examine, consequence, new_findings
from topo.place.options import IMPOSSIBLE
from topo.place.reach import reach
from topo.wiring.topology import Topology

Moves = Mapping[str, SocketClass]
"""Where each moved part goes: part id → class of sockets."""


@dataclass(frozen=True, slots=True)
class Plan:
    """A set of moves with the rig after them. `moves` are (part, from plug, to plug) in the order of the rig."""

    moves: tuple[tuple[str, str, str], ...]
    rig: Rig
    study: Study
    findings: tuple[Finding, ...]
    consequence: Consequence
    to_try: tuple[str, ...] = ()
    impossible: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class _Blocked:
    """Moves that do not fit as they are, and the parts one of which has to move for them to fit."""

    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Searched:
    """What was searched: plans studied at each size, from none up, and whether each size was searched to its end."""

    studied: tuple[int, ...]
    complete: bool


@dataclass(frozen=True, slots=True)
class Answer:
    """The rig as it is; the best plan of the fewest moves, or None; the best plan seen at all; what was searched."""

    start: Plan
    plan: Plan | None
    best: Plan
    searched: Searched


Progress = Callable[[int, int], bool]
"""Told (size searched, plans studied so far); returns False to stop with the best so far."""


def rewire(
    rig: Rig,
    examine: Examine,
    clear: tuple[Severity, ...] = ("fault",),
    most_moves: int = 3,
    pinned: frozenset[str] = frozenset(),
    progress: Progress = lambda size, studied: True,
) -> Answer:
    """The fewest moves that leave no finding of the severities `clear`. Raises CommandError for an unknown pin."""
    ids = [part.id for part in rig.parts]
    for name in sorted(pinned):
        if name not in ids:
            raise CommandError(f"no part is called {plain(name)}, so it cannot be pinned")
    return _Search(rig, examine, clear, pinned, progress).run(most_moves)


class _Search:
    def __init__(
        self, rig: Rig, examine: Examine, clear: tuple[Severity, ...], pinned: frozenset[str], progress: Progress
    ) -> None:
        self.rig, self.examine, self.clear = rig, examine, clear
        self.progress = progress
        self.topology = Topology(rig)
        self.order = {part.id: index for index, part in enumerate(rig.parts)}
        self.movable = frozenset(
            part.id
            for part in rig.parts
            if part.plug is not None and part.id not in pinned and self.topology.leg(part.id) is not None
        )
        self.classes = self._classes()
        self.seen: dict[frozenset[tuple[str, SocketClass]], Plan | _Blocked] = {}
        self.studied = 0
        self.stopped = False
        self.had: tuple[Finding, ...] | None = None
        start = self._make({})
        assert isinstance(start, Plan)
        self.start, self.best, self.had = start, start, start.findings
        self.seen[frozenset()] = start

    def _classes(self) -> dict[SocketClass, list[str]]:
        """Socket classes of parts that are wired, with their socket names, in the order of the rig."""
        found: dict[SocketClass, list[str]] = {}
        for part in self.rig.parts:
            if part.id != COMPUTER and self.topology.leg(part.id) is None:
                continue
            for socket in part.sockets:
                found.setdefault(SocketClass.of(part, socket), []).append(socket.name)
        return found

    def run(self, most_moves: int) -> Answer:
        studied = []
        for size in range(most_moves + 1):
            before = self.studied
            plans = list(self._plans_of(size))
            studied.append(self.studied - before)
            if plans:
                plan = min(plans, key=lambda plan: (plan.consequence, len(plan.to_try), self._stated_order(plan)))
                return Answer(self.start, plan, plan, Searched(tuple(studied), True))
            if self.stopped:
                break
        return Answer(self.start, None, self.best, Searched(tuple(studied), not self.stopped))

    def _stated_order(self, plan: Plan) -> tuple[tuple[int, str], ...]:
        """Ties fall to the parts that stand first in the file, then to the socket's name."""
        return tuple((self.order[part], to) for part, _, to in plan.moves)

    # -- every plan of one size -------------------------------------------------------------------------------------

    def _plans_of(self, size: int) -> Iterator[Plan]:
        done: set[frozenset[tuple[str, SocketClass]]] = set()
        pending: list[dict[str, SocketClass]] = [{}]
        while pending and not self.stopped:
            moves = pending.pop()
            key = frozenset(moves.items())
            if key in done:
                continue
            done.add(key)
            plan = self._studied(moves)
            left = self._left(plan)
            if isinstance(plan, Plan) and not left:
                if len(moves) == size:
                    yield plan
                continue
            if len(moves) < size:
                pending.extend(reversed(list(self._next(moves, plan, left))))

    def _next(
        self, moves: dict[str, SocketClass], plan: Plan | _Blocked, left: tuple[Finding, ...]
    ) -> Iterator[dict[str, SocketClass]]:
        """One more move, of a part that the first fault left, or the block in the way, depends on."""
        for part in plan.parts if isinstance(plan, _Blocked) else self._depends_on(plan, left[0]):
            if part in moves or part not in self.movable:
                continue
            for target in self.classes:
                if self._fits(part, target):
                    yield {**moves, part: target}

    def _depends_on(self, plan: Plan, finding: Finding) -> list[str]:
        """Parts one of which has to move for a finding to go, in the order of the rig."""
        topology = plan.study.topology
        named = [finding.part, *finding.others]
        links = {use.resource for name in named if (flow := plan.study.flow(name)) for use in flow.uses}
        sharing = [flow.device for flow in plan.study.traffic.flows if any(u.resource in links for u in flow.uses)]
        found: set[str] = set()
        for name in (*named, *sharing):
            if name == COMPUTER:
                found |= self.movable
            found.add(name)
            found.update(leg.part for leg in topology.path(name))
            found.update(topology.below(name) if name in named and name != COMPUTER else ())
        return sorted((name for name in found if name in self.order), key=self.order.__getitem__)

    def _fits(self, name: str, target: SocketClass) -> bool:
        """Whether a part may go to a class at all: its kind, not where it is, not onto itself, cable long enough."""
        part = self.topology.part(name)
        leg = self.topology.leg(name)
        assert leg is not None and part.plug is not None
        if target.kind != kind_needed(self.topology, part) or target.above == name:
            return False
        if target == SocketClass.of(self.topology.part(leg.above), leg.socket):
            return False
        return reach(self.topology, name, part.plug.part, target.above, part.cable.length_m).verdict != "too-short"

    # -- one plan ---------------------------------------------------------------------------------------------------

    def _left(self, plan: Plan | _Blocked) -> tuple[Finding, ...]:
        """What a plan leaves to clear: findings of the severities asked for, and whatever it makes impossible."""
        if isinstance(plan, _Blocked):
            return ()
        return plan.impossible + tuple(finding for finding in plan.findings if finding.severity in self.clear)

    def _studied(self, moves: Moves) -> Plan | _Blocked:
        """The plan of some moves, or what blocks them (no socket left, a loop)."""
        key = frozenset(moves.items())
        if key in self.seen:
            return self.seen[key]
        plan = self._make(moves)
        self.seen[key] = plan
        if isinstance(plan, Plan) and not plan.impossible and plan.consequence < self.best.consequence:
            self.best = plan
        return plan

    def _make(self, moves: Moves) -> Plan | _Blocked:
        assigned = self._assign(moves)
        if isinstance(assigned, _Blocked):
            return assigned
        rig = self.rig
        for name, plug in assigned.items():
            rig = rig.with_part(replace(rig.part(name), plug=plug))
        try:
            study = Study(rig, fixes=False)
        except CommandError:
            return _Blocked(tuple(sorted(self.movable, key=self.order.__getitem__)))
        self.studied += 1
        if not self.progress(len(moves), self.studied):
            self.stopped = True
        findings = self.examine(study)
        fresh = () if self.had is None else new_findings(self.had, findings)
        return Plan(
            tuple((name, str(self.rig.part(name).plug), str(plug)) for name, plug in assigned.items()),
            rig,
            study,
            findings,
            consequence(study, findings),
            self._to_try(assigned),
            tuple(finding for finding in fresh if finding.name in IMPOSSIBLE),
        )

    def _assign(self, moves: Moves) -> dict[str, Plug] | _Blocked:
        """Gives each moved part the first socket of its class that nobody keeps; else who keeps them."""
        holders = {
            (p.plug.part, p.plug.socket): p.id for p in self.rig.parts if p.plug is not None and p.id not in moves
        }
        kept = set(holders)
        assigned: dict[str, Plug] = {}
        for name in sorted(moves, key=self.order.__getitem__):
            target = moves[name]
            own = self._part(name).plug
            sockets = [(target.above, socket) for socket in self.classes[target]]
            free = next((socket for above, socket in sockets if (above, socket) not in kept), None)
            if free is None or own is None:
                return _Blocked(tuple(holders[socket] for socket in sockets if socket in holders))
            kept.add((target.above, free))
            assigned[name] = Plug(target.above, free, own.place)
        return assigned

    def _part(self, name: str) -> Part:
        return self.topology.part(name)

    def _to_try(self, assigned: Mapping[str, Plug]) -> tuple[str, ...]:
        """Moved parts whose cable may not reach, with how much may be needed, in words."""
        words = []
        for name, plug in assigned.items():
            part = self._part(name)
            assert part.plug is not None
            way = reach(self.topology, name, part.plug.part, plug.part, part.cable.length_m)
            if way.verdict == "try":
                words.append(
                    f"{plain(name)}: up to {way.most_m:.2g} m may be needed, its cable has {part.cable.length_m:g} m"
                )
        return tuple(words)
