"""What a plan comes to, put together from what hangs on each controller, each computed once.

Parts on two controllers share no link, so what most checks find, and what devices get, can be asked of one controller
at a time: the rig with nothing else but mounts and shutters. The same parts in the same classes of sockets give the
same answer, and most plans of a search differ in one or two controllers from plans seen before.

From a bad state a clash is learned: a few parts in their places that are bad with nothing else plugged in. Since more
parts never take a finding away (`model.check.Check.scope`), every state that holds a clash is bad, and it stays so
until one of the clash's own parts moves. What was bad before is asked first, of its own few parts where they are now:
a bad state is nearly always bad for a reason that is known, and then nothing else of it is computed. Controllers that
are alike (`symmetry.py`) count as one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

from topo.model.finding import AnyFinding, Finding, Severity
from topo.model.rig import COMPUTER, Plug
from topo.place.asked_once import AskedOnce
from topo.place.consequence import RANK, Consequence, Sums, key_of, weighed
from topo.place.examiner import LocalCheck
from topo.place.moves import Ground, Moves
from topo.place.remembered import Piece, Remembered
from topo.place.symmetry import AlikeControllers, Entry, State

Severities = tuple[Severity, ...]
"""Those to clear."""

SLACK = 1e-9
"""Sums over controllers come in another order than over the rig: this much less is surely not more."""


class Domain:
    """What is computed of one controller's parts, each thing when it is first asked for."""

    def __init__(self, piece: Piece, checks: tuple[LocalCheck, ...], clear: Severities) -> None:
        self.piece, self.checks, self.clear = piece, checks, clear
        self.told: dict[str, tuple[AnyFinding, ...]] = {}
        """What was asked of it alone, check by check."""

    @cached_property
    def is_bad(self) -> bool:
        """Whether there is anything to clear. Ends at the first thing found."""
        return any(finding.severity in self.clear for finding in self._telling())

    @cached_property
    def to_clear(self) -> tuple[AnyFinding, ...]:
        """Every finding to clear."""
        return tuple(finding for finding in self._telling() if finding.severity in self.clear) if self.is_bad else ()

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What all local checks find."""
        return tuple(finding for check in self.checks for finding in self.piece.found(check.name))

    @cached_property
    def sums(self) -> Sums:
        """What it adds to a consequence."""
        return self.piece.sums

    def _telling(self) -> Iterator[AnyFinding]:
        """Findings of the checks that can find something to clear."""
        for check in self.checks:
            if any(severity in self.clear for severity in check.severities):
                yield from self.piece.glimpsed(check.name)


class Domains:
    """Domains of one rig by their state, computed when first asked for."""

    def __init__(
        self, ground: Ground, kept: Remembered, fixed: tuple[Finding, ...], clear: Severities
    ) -> None:
        examiner = kept.examiner
        self.ground, self.kept, self.checks, self.fixed, self.clear = ground, kept, examiner.local, fixed, clear
        self.known: dict[tuple[str, State], Domain] = {}
        self.learned: dict[str, list[State]] = {}
        self.asked = AskedOnce(kept)
        self.alike = AlikeControllers(ground)
        self.suspects: dict[tuple[str, frozenset[str]], bool] = {}
        """What was bad so far: a check and the parts its finding names; whether it is to clear."""
        self.left: dict[tuple[str, State], tuple[int, tuple[tuple[tuple[str, str], Severity], ...]]] = {}
        """What a controller has at the least, and how many were suspected when that was asked."""
        self.start: dict[str, State] = {}
        entries: dict[str, set[Entry]] = {}
        for socket in ground.rig.computer.sockets:
            entries.setdefault(str(socket.controller), set())
        for name in ground.above:
            entries.setdefault(self._controller(name, {}), set()).add(self._entry(name, {}))
        self.start = {controller: frozenset(these) for controller, these in entries.items()}
        self.home = {name: self._controller(name, {}) for name in ground.above}
        self.suspect(kept.base.telling(("fault", "risk")))

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
        """What hangs on each controller after moves that form no loop; those where something changes come first."""
        if not moves:
            return self.start
        changed: dict[str, State] = {}
        moved = tuple(dict.fromkeys(below for part in moves for below in (part, *self.ground.topology.below(part))))
        for name in moved:
            controller = self.home[name]
            changed[controller] = changed.get(controller, self.start[controller]) - {self._entry(name, {})}
        for name in moved:
            controller = self._controller(name, moves)
            changed[controller] = changed.get(controller, self.start[controller]) | {self._entry(name, moves)}
        return {**changed, **{name: state for name, state in self.start.items() if name not in changed}}

    # -- what is to clear ----------------------------------------------------------------------------------------------

    def clashes(
        self, controller: str, state: State, assigned: Mapping[str, Plug], every: bool = True
    ) -> list[State]:
        """Clashes in a state: entries that are bad by themselves, so that one of their parts has to move. At least one
        where the state is bad, none where it is not; one is enough where not `every`."""
        controller, state, assigned = self.alike.first(controller, state, assigned)
        if not (known := self._known_clashes(controller, state)):
            self._ask_suspects(controller, state, assigned, every)
            known = self._known_clashes(controller, state)
        if known:
            return known
        domain = self.domain(controller, state, assigned)
        if not domain.is_bad:
            return []
        self.suspect(domain.to_clear)
        for finding in domain.to_clear:
            named = (finding.part, *finding.others)
            needed = {leg.part for name in named for leg in domain.piece.study.topology.path(name)}
            clash = frozenset(entry for entry in state if entry[0] in needed)
            if not clash or not self._has(finding.name, controller, clash, assigned):
                clash = state
            self._learn(finding.name, controller, clash, assigned)
        return self._known_clashes(controller, state)

    def suspect(self, findings: tuple[AnyFinding, ...]) -> None:
        """Findings of any plan, to be asked after in others, as far as they hang on one controller."""
        for finding in findings:
            if finding.name in self.kept.examiner.one_controller and finding.part in self.home:
                parts = frozenset(name for name in (finding.part, *finding.others) if name in self.home)
                self.suspects.setdefault((finding.name, parts), finding.severity in self.clear)

    def _ask_suspects(self, controller: str, state: State, assigned: Mapping[str, Plug], every: bool) -> None:
        """Learns a clash from whatever was bad before and is bad here too: its parts and their ways up alone."""
        for check, clash in self._suspected(state):
            if self._has(check, controller, clash, assigned):
                self._learn(check, controller, clash, assigned)
                if not every:
                    return

    def _known_clashes(self, controller: str, state: State) -> list[State]:
        return [clash for clash in self.learned.get(controller, ()) if clash <= state]

    def _suspected(self, state: State, all_: bool = False) -> Iterator[tuple[str, State]]:
        """Each check that found something in a few parts of a state, with these and their ways up as they are now."""
        at = {entry[0]: entry for entry in state}
        for (check, parts), to_clear in self.suspects.items():
            if (to_clear or all_) and parts <= at.keys():
                yield check, frozenset(entry for name in parts for entry in _way(at, name))

    def _learn(self, check: str, controller: str, clash: State, assigned: Mapping[str, Plug]) -> None:
        """Keeps a clash without each part that is not needed for what a check finds in it."""
        learned = self.learned.setdefault(controller, [])
        order = self.ground.order
        for entry in sorted(clash, key=lambda entry: -order[entry[0]]):
            if any(other[1].above == entry[0] for other in clash):
                continue  # parts hang on it
            less = clash - {entry}
            if less and self._has(check, controller, less, assigned):
                clash = less
        if clash not in learned:
            learned.append(clash)

    def _has(self, check: str, controller: str, state: State, assigned: Mapping[str, Plug]) -> bool:
        """Whether a check finds anything to clear in a state."""
        return any(each.severity in self.clear for each in self._found(check, controller, state, assigned))

    def _found(self, check: str, controller: str, state: State, assigned: Mapping[str, Plug]) -> tuple[AnyFinding, ...]:
        """The faults and risks a check finds in a few parts, by its kind and part."""
        domain = self.domain(controller, state, assigned)
        if check not in domain.told:
            piece = domain.piece
            domain.told[check] = self.asked.found(check, self.ground.rig, piece.topology, piece.here, lambda: piece)
        return domain.told[check]

    # -- what is left at the least -----------------------------------------------------------------------------------

    def least(self, moves: Moves, assigned: Mapping[str, Plug]) -> tuple[int, int]:
        """Faults and risks that moves leave at the least: what no plug changes, and what is still found in the few
        parts that something was found in before, with nothing else plugged in."""
        worst: dict[tuple[str, str], Severity] = {}
        for controller, state in self.states(moves).items():
            for key, severity in self._least_of(controller, state, assigned):
                worst[key] = max(severity, worst.get(key, "note"), key=RANK.__getitem__)
        found = (*worst.values(), *(finding.severity for finding in self.fixed))
        return found.count("fault"), found.count("risk")

    def _least_of(
        self, controller: str, state: State, assigned: Mapping[str, Plug]
    ) -> tuple[tuple[tuple[str, str], Severity], ...]:
        """The same of one controller; asked again where more was found to be bad since."""
        first, there, sockets = self.alike.first(controller, state, assigned)
        known = self.left.get((first, there))
        if known is None or known[0] != len(self.suspects):
            found = (each for check, small in self._suspected(there, all_=True)
                     for each in self._found(check, first, small, sockets))
            known = self.left[first, there] = len(self.suspects), tuple((key_of(f), f.severity) for f in found)
        return known[1]

    # -- what is computed ----------------------------------------------------------------------------------------------

    def domain(self, controller: str, state: State, assigned: Mapping[str, Plug]) -> Domain:
        """What is computed of one controller; `assigned` the sockets of the parts that moved."""
        controller, state, assigned = self.alike.first(controller, state, assigned)
        key = controller, state
        found = self.known.get(key)
        if found is None:
            here = {entry[0] for entry in state}
            piece = self.kept.some(self.ground.after({name: assigned[name] for name in assigned if name in here}), here)
            found = self.known[key] = Domain(piece, self.checks, self.clear)
        return found

    def bound(self, domains: list[Domain]) -> Consequence:
        """A consequence that the whole rig's is at least: findings of the whole rig's checks are still to come."""
        once = {(*key_of(f), f.severity): f for domain in domains for f in domain.findings}
        return weighed(Sums.together(domain.sums for domain in domains), (*self.fixed, *once.values()), SLACK)


def _way(at: Mapping[str, Entry], name: str) -> Iterator[Entry]:
    """A part and the hubs above it, up to the computer."""
    while name in at:
        yield at[name]
        name = at[name][1].above
