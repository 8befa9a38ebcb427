"""What a plan comes to, put together from what hangs on each controller, each computed once.

Parts on two controllers share no link, so what most checks find, and what devices get, can be asked of one controller
at a time: the rig with everything else unplugged. The same parts in the same classes of sockets give the same answer,
and most plans of a search differ in one or two controllers from plans seen before.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from topo.analysis.study import Study
from topo.model.finding import Finding
from topo.model.rig import COMPUTER, Part, Plug, Rig
from topo.place.candidates import SocketClass
from topo.place.consequence import Consequence, Sums, key_of, weighed
from topo.place.depends import depends_on
from topo.place.examiner import Examiner
from topo.place.moves import Ground, Moves

Entry = tuple[str, SocketClass, str]
"""A part, the class of its socket, and the socket's name where two parts claim it."""

State = frozenset[Entry]
"""Everything that hangs on one controller."""

SLACK = 1e-9
"""Sums over controllers come in another order than over the rig: this much less is surely not more."""


@dataclass(frozen=True, slots=True)
class Domain:
    """What is computed of one controller's parts: local findings, and the parts each hangs on."""

    findings: tuple[Finding, ...]
    hang_on: tuple[frozenset[str], ...]
    sums: Sums


class Domains:
    """Domains of one rig by their state, computed when first asked for."""

    def __init__(self, ground: Ground, examiner: Examiner, fixed: tuple[Finding, ...]) -> None:
        self.ground, self.examiner, self.fixed = ground, examiner, fixed
        self.known: dict[tuple[str, State], Domain] = {}
        self.start: dict[str, State] = {}
        entries: dict[str, set[Entry]] = {}
        for socket in ground.rig.computer.sockets:
            entries.setdefault(str(socket.controller), set())
        for name in ground.above:
            entries.setdefault(self._controller(name, {}), set()).add(self._entry(name, {}))
        self.start = {controller: frozenset(these) for controller, these in entries.items()}

    def _entry(self, name: str, moves: Moves) -> Entry:
        if name in moves:
            return name, moves[name], ""
        plug = self.ground.parts[name].plug
        return name, self.ground.home[name], plug.socket if plug and name in self.ground.doubled else ""

    def _controller(self, name: str, moves: Moves) -> str:
        while True:
            target = moves.get(name) or self.ground.home[name]
            if target.above == COMPUTER:
                return str(target.controller)
            name = target.above

    def states(self, moves: Moves) -> dict[str, State]:
        """What hangs on each controller after moves that form no loop, in the order of the computer's sockets."""
        if not moves:
            return self.start
        gone: dict[str, list[Entry]] = {}
        come: dict[str, list[Entry]] = {}
        for name in dict.fromkeys(below for part in moves for below in (part, *self.ground.topology.below(part))):
            gone.setdefault(self._controller(name, {}), []).append(self._entry(name, {}))
            come.setdefault(self._controller(name, moves), []).append(self._entry(name, moves))
        states = dict(self.start)
        for controller, entries in gone.items():
            states[controller] = states[controller].difference(entries)
        for controller, entries in come.items():
            states[controller] = states[controller].union(entries)
        return states

    def domain(self, controller: str, state: State, assigned: Mapping[str, Plug]) -> Domain:
        """What is computed of one controller; `assigned` the sockets of the parts that moved."""
        key = controller, state
        found = self.known.get(key)
        if found is None:
            found = self.known[key] = self._computed({entry[0] for entry in state}, assigned)
        return found

    def _computed(self, here: set[str], assigned: Mapping[str, Plug]) -> Domain:
        study = Study(_only(self.ground.rig, here, assigned), fixes=False)
        findings = self.examiner.local(study)
        movable = self.ground.movable & here
        return Domain(
            findings,
            tuple(depends_on(study, finding, movable) & movable for finding in findings),
            Sums.of(study),
        )

    def bound(self, domains: list[Domain]) -> Consequence:
        """A consequence that the whole rig's is at least: findings of the whole rig's checks are still to come."""
        once = {(*key_of(f), f.severity): f for domain in domains for f in domain.findings}
        return weighed(
            Sums.together(domain.sums for domain in domains), (*self.fixed, *once.values()), SLACK
        )


def _only(rig: Rig, here: set[str], assigned: Mapping[str, Plug]) -> Rig:
    """The rig with the parts of one controller where a plan has them, and all others unplugged."""

    def kept(part: Part) -> Part:
        if part.id not in here:
            return part if part.plug is None else replace(part, plug=None)
        return replace(part, plug=assigned[part.id]) if part.id in assigned else part

    return replace(rig, hubs=tuple(map(kept, rig.hubs)), devices=tuple(map(kept, rig.devices)))
