"""Changes in sets: every set of a few that could be worth more than what is known already, the small ones first.

A plan that no smaller one beats takes something away with each of its changes, whatever the order they are done in. So
a set is only widened by what touches a finding that is left with it: the parts the finding names and the hubs above
them, what hangs on those hubs, and whoever sits in a socket that one of them could use. A set is given up where a plan
is known that asks no more and leaves nothing that could be cleared, or no more than findings without a common part
leave after the changes that are still allowed. All of a set is computed only where it may be worth showing: what it
leaves at the least is known from a few parts (`screen.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.analysis.cut import groups
from topo.model.change import MovePlug, Proposal, SetSerial, SetUse, SwapPlugs
from topo.model.finding import Finding
from topo.model.rig import COMPUTER
from topo.place.candidates import kind_needed
from topo.place.price import prices
from topo.place.proposals import cables, hub_for, moves, powered_in_place, raised, swaps
from topo.place.settings import bounds
from topo.place.ways import involved

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from topo.model.change import Change
    from topo.model.finding import AnyFinding, Severity
    from topo.place.judge import Judge, Judged
    from topo.place.remembered import After
    from topo.place.screen import Screen

Asks = tuple[int, int, int, int]
"""Things bought, plugs moved, settings that cost pictures, cables to try."""

LOOK = 1
"""What looking at a set costs for each part of the rig, in the measure of `remembered.py`, about."""

MOST_BOUGHT = 1
"""Things bought in one set."""


class Combiner:
    """Widens sets of changes of one rig, and hands each that can be done to whoever keeps the good ones."""

    def __init__(
        self, judge: Judge, clear: tuple[Severity, ...], keep: Callable[[Judged], None],
        known: Callable[[], Iterable[Judged]], asks: Callable[[Judged], Asks], screen: Screen,
    ) -> None:
        self.judge, self.clear, self.keep, self.known, self.asks = judge, clear, keep, known, asks
        self.seen: set[object] = set()
        self.screen = screen
        """Sizes that were searched to their end."""

    def run(self, most: int, goes_on: Callable[[], bool]) -> None:
        """Sets of up to so many changes, as long as `goes_on`."""
        level: list[tuple[int, Proposal]] = [(0, Proposal(()))]
        for size in range(1, most + 1):
            waiting = [each for each in level if each[0] >= size]  # one step may be two changes
            then: list[tuple[tuple[object, ...], tuple[int, Proposal]]] = []
            for count, proposal in level:
                for more, wider in self._wider(proposal, most - count) if count < size else ():
                    if not goes_on():
                        return
                    if (rank := self._look(wider, most - count - more)) is not None:
                        then.append((rank, (count + more, wider)))
            level = [*waiting, *(each for _, each in sorted(then, key=lambda each: each[0]))]

    def _look(self, proposal: Proposal, more: int) -> tuple[object, ...] | None:
        """Judges a set not seen yet; where wider ones may be worth something, its rank among those to be widened."""
        after = self.judge.made(proposal)
        if after is None:
            return None
        key = self.judge.kept.key(after.rig), proposal.buys, proposal.to_try
        if key in self.seen:
            return None
        self.seen.add(key)
        self.judge.kept.work += LOOK * len(after.rig.parts)
        left = self.screen.left(after)
        least = self.screen.least(left)
        if least < self.judge.now and not self._hopeless(proposal, after, least):
            judged = self.judge.judge(proposal)
            if judged is not None:
                self.screen.learn(judged.counted)
                self.keep(judged)
        if more < 1 or self._beaten(_asked(proposal), self._bound(after, left, more)):
            return None
        return least[0], sum(least), len(self.seen)

    def _hopeless(self, proposal: Proposal, after: After, least: tuple[int, int]) -> bool:
        """Whether a plan is known that asks less, or as much and leaves less, than this set does at the least."""
        bought, plugs, settings, to_try = _asked(proposal)
        paid = settings if settings and prices(self.judge.study, after) else 0
        mine = (bought, plugs, paid, to_try), least
        return any(
            all(a <= b for a, b in zip(self.asks(each), mine[0], strict=True)) and each.left <= least
            and (self.asks(each), each.left) != mine
            for each in self.known()
        )

    def _beaten(self, asked: Asks, bound: tuple[int, int]) -> bool:
        return any(
            all(a <= b for a, b in zip(self.asks(each), asked, strict=True)) and each.left <= bound
            for each in self.known()
        )

    def _bound(self, after: After, left: tuple[AnyFinding, ...], more: int) -> tuple[int, int]:
        """Faults and risks that so many further changes leave at the least: a change clears no two findings whose
        parts, and hubs above, have none in common."""
        apart: list[tuple[AnyFinding, set[str]]] = []
        for finding in left:
            on = set(involved(after.topology, finding))
            if on and all(on.isdisjoint(other) for _, other in apart):
                apart.append((finding, on))
        faults = sum(f.severity == "fault" for f, _ in apart)
        return max(self.screen.stays[0], faults - more), self.screen.stays[1]

    # -- what a set is widened by -----------------------------------------------------------------------------------

    def _wider(self, proposal: Proposal, room: int) -> Iterator[tuple[int, Proposal]]:
        after = self.judge.made(proposal)
        if after is None:
            return
        bad = after.telling(self.clear)
        if proposal.steps and self._beaten(_asked(proposal), self._bound(after, bad, room)):
            return
        names: dict[str, None] = {}
        for finding in bad:
            if finding.name not in self.judge.examiner.no_plug:
                names.update(dict.fromkeys(involved(after.topology, finding)))
        names.update(dict.fromkeys(below for name in tuple(names) for below in after.topology.below(name)))
        if room > 1:
            names.update(dict.fromkeys(self._in_the_way(after, tuple(names))))
        touched = {part for step in proposal.steps for part in _parts(step)}
        for step in (*_offers(bad), *self._ways(after, names, touched, proposal, room)):
            if len(proposal.buys) + len(step.buys) <= MOST_BOUGHT and changes(step) <= room:
                yield changes(step), raised(self.judge.study.topology, joined(proposal, step))

    def _ways(
        self, after: After, names: Iterable[str], touched: set[str], proposal: Proposal, room: int
    ) -> Iterator[Proposal]:
        topology = after.topology
        for name in names:
            if name not in touched:
                yield from moves(topology, name)
                if room > 1:
                    yield from swaps(topology, name, (other for other in topology.wired[1:] if other not in touched))
                yield from hub_for(topology, name)
            yield from cables(topology, name)
            yield from powered_in_place(topology, name)
        done = {(step.part, step.key) for step in proposal.settings}
        near = {n for group in groups(topology).values() if not set(names).isdisjoint(group) for n in group}
        for change in bounds(self.judge.study):
            if change.part in near and (change.part, change.key) not in done:
                yield Proposal((change,))

    def _in_the_way(self, after: After, names: tuple[str, ...]) -> Iterator[str]:
        """Who sits in a socket that a part could use."""
        topology = after.topology
        kinds = {kind_needed(topology, topology.part(name)) for name in names}
        for name in topology.wired[1:]:
            leg = topology.leg(name)
            if leg is not None and leg.socket.kind in kinds and leg.above in (COMPUTER, *names):
                yield name


def changes(step: Proposal) -> int:
    """How many changes one way of `_wider` is: things bought, plugs moved, settings."""
    settings = sum(isinstance(each, SetUse | SetSerial) for each in step.steps)
    return max(1, len(step.buys) + step.plugs + settings)


def joined(one: Proposal, other: Proposal) -> Proposal:
    """Both, one after the other. What both set is set once, as the later one says."""
    again = {_set(step) for step in other.steps} - {None}
    steps = tuple(step for step in one.steps if _set(step) not in again)
    return Proposal((*steps, *other.steps), (*one.buys, *other.buys), (*one.to_try, *other.to_try))


def _set(step: Change) -> tuple[type, str, str] | None:
    """What a step gives a value to; None where it moves or adds something."""
    return (type(step), step.part, step.key) if isinstance(step, SetUse | SetSerial) else None


def _parts(step: Change) -> tuple[str, ...]:
    """The parts whose plugs a step moves."""
    if isinstance(step, SwapPlugs):
        return step.part, step.other
    return (step.part,) if isinstance(step, MovePlug) else ()


def _asked(proposal: Proposal) -> Asks:
    """What a set asks where each of its settings costs pictures."""
    return len(proposal.buys), proposal.plugs, len(proposal.settings), len(proposal.to_try)


def _offers(findings: Iterable[AnyFinding]) -> tuple[Proposal, ...]:
    """What the checks of findings alone know could help; those that are only glimpsed have no offers."""
    fixes = (finding.fix for finding in findings if isinstance(finding, Finding))
    return tuple(offer for fix in fixes if fix is not None for offer in fix.offers)
