"""The frontier of changes: what settings alone do, what one, two or more plugs do, what one bought part does.

Each entry was computed with all of it done. One that takes no less of a person and leaves no less than another is left
out. The first is what `topo check` says to do first; the rest follow by what they ask of a person.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby, islice
from typing import TYPE_CHECKING, Any

from topo.frozen import frozen
from topo.model.change import MovePlug, Proposal, SetUse, SwapPlugs
from topo.model.finding import in_order as worst_first
from topo.model.plain import plain
from topo.place.advice import advise, steps_of
from topo.place.combine import Combiner, joined
from topo.place.consequence import key_of
from topo.place.first import first, least_way, wasted
from topo.place.judge import MOST_WORK, Judge
from topo.place.screen import Screen
from topo.place.search import known_pins, rewire
from topo.place.settings import bounds, nearer, settings
from topo.place.ways import tiers
from topo.place.why_not import why_not
from topo.words.lists import listed

if TYPE_CHECKING:
    from collections.abc import Callable

    from topo.analysis.study import Study
    from topo.model.change import Change
    from topo.model.finding import Finding, Severity
    from topo.place.examiner import Examiner
    from topo.place.judge import Judged
    from topo.place.remembered import After
    from topo.place.search import Answer, Progress

MOST_SINGLE = 12_000
"""Work (`remembered.py`) spent on single ways."""

MOST_PROVING = 12_000
"""Work (`remembered.py`) spent on proving how few plugs it takes."""

MOST_CHAINED = 12_000
"""Work (`remembered.py`) spent on one way after the other."""

MOST_COMBINED = 8_000
"""Work (`remembered.py`) spent on sets of changes besides all else."""

MOST_RIVALS = 4
"""Plans alike but for what they set that are eased and compared."""

MOST_EXPLAINED = 3
"""Findings of which it is said why no plug clears them."""

MOST_PLANS_SHOWN = 7
"""Past this nobody reads on (our own proposal, no source)."""

@frozen(slots=False)
class Frontier:
    """What can be done, best first; findings no plug or setting here has to do with; what was searched.

    `answer` is the exact search for the fewest plugs alone, None where it was stopped before it began. `why` says of
    the worst findings that no plug clears what stands against it. `stopped` is true where the person stopped it,
    `is_brief` where one change alone was enough and no sets were looked for.
    """

    now: tuple[Finding, ...]
    plans: tuple[Judged, ...]
    stuck: tuple[Finding, ...]
    why: tuple[str, ...]
    answer: Answer | None
    stopped: bool
    is_brief: bool = False


def frontier(
    study: Study,
    findings: tuple[Finding, ...],
    examiner: Examiner,
    clear: tuple[Severity, ...] = ("fault", "risk"),
    most_moves: int = 3,
    pinned: frozenset[str] = frozenset(),
    progress: Progress = lambda size, studied: True,
    judge: Judge | None = None,
    briefly: bool = False,
) -> Frontier:
    """The frontier of a rig with its findings, worst first. Ctrl-C ends the search with what was found so far.

    `judge` is one that computed advice for these findings: what it knows is not computed again. `briefly` looks for no
    sets of changes where one alone leaves nothing that could be taken away: they ask for more. `why` is left out then.

    Raises CommandError for a pinned part that the rig does not have.
    """
    known_pins(study.rig, pinned)
    if judge is None:
        judge = Judge(study, findings, examiner, pinned)
    else:
        judge.until = judge.kept.work + MOST_WORK
    search = _Search(judge, clear, briefly)
    try:
        search.begin()
        if search.is_enough:
            search.settings_alone()
        else:
            search.moves(most_moves, progress)
        if not search.stopped and not search.is_enough:
            search.chains()
            search.sets(most_moves)
        return search.result()
    except KeyboardInterrupt:
        search.stopped = True
    return search.result()  # without what takes long


class _Search:
    def __init__(self, judge: Judge, clear: tuple[Severity, ...], briefly: bool) -> None:
        self.judge, self.clear, self.briefly = judge, clear, briefly
        self.targets = tuple(finding for finding in judge.findings if finding.severity in clear)
        self.first: Judged | None = None
        self.answer: Answer | None = None
        self.stopped = False
        self.found: dict[tuple[object, ...], Judged] = {}
        self.screen = Screen(judge)
        self.at_bounds: set[tuple[object, ...]] = set()
        """The sets that were tried with each setting at the easiest that is offered."""

    @property
    def is_enough(self) -> bool:
        """Whether to look no further than single changes."""
        first = self.first
        if not self.briefly or first is None or len(first.proposal.steps) > 1:
            return False
        return first.left <= self.screen.stays

    def _asks_more(self, proposal: Proposal) -> bool:
        """Whether a way surely asks as much as one that is enough."""
        if not self.is_enough or self.first is None:
            return False
        least = len(proposal.buys), proposal.plugs, 0, len(proposal.to_try)
        return all(a <= b for a, b in zip(_asked(self.first), least, strict=True))

    def begin(self) -> None:
        """What comes first, and every single way of every finding: a plan stands before the long search starts."""
        self.first = first(self.judge, self.clear)
        self._keep(self.first)
        end = self.judge.kept.work + MOST_SINGLE
        for target in self.targets:
            for tier in tiers(self.judge, target):
                for proposal in tier:
                    if self.judge.kept.work > end:
                        return
                    if not self._asks_more(proposal) and self.judge.would_clear(proposal, target):
                        self._keep(self.judge.judge(proposal))

    def moves(self, most: int, progress: Progress) -> None:
        """The fewest plugs, exact as far as the work that is allowed goes; all settings; both."""
        judge, end = self.judge, self.judge.kept.work + MOST_PROVING

        def goes_on(size: int, studied: int) -> bool:
            self.stopped = self.stopped or not progress(size, studied)
            return not self.stopped and judge.kept.work < end

        self.answer = answer = rewire(
            judge.study.rig, judge.examiner, self.clear, most, judge.pinned, goes_on, judge.kept
        )
        plan = answer.plan or answer.best
        self._keep(judge.judge(Proposal(steps_of(plan.moves), to_try=plan.to_try)))
        self.stopped = self.stopped or answer.searched.interrupted
        if self.stopped or judge.kept.work > end:
            return
        advice = advise(judge.kept, answer, self.clear, most, judge.pinned, goes_on)
        self._keep(judge.judge(Proposal(advice.settings.changes)))
        if advice.mixed is not None:
            steps: tuple[Change, ...] = (*steps_of(advice.mixed.moves), *advice.mixed.settings.changes)
            self._keep(judge.judge(Proposal(steps, to_try=advice.mixed.to_try)))

    def settings_alone(self) -> None:
        """All settings together and each by itself, without a plug."""
        judge = self.judge
        self._keep(judge.judge(Proposal(settings(judge.kept, judge.study.rig, self.clear).changes)))
        before = set(self.found)
        for proposal in (Proposal((change,)) for change in bounds(judge.study)):
            after = judge.after(proposal)
            if after is not None and self.screen.least(self.screen.left(after)) < judge.now:
                self._keep(judge.judge(proposal))
        self.at_bounds = set(self.found) - before

    def chains(self) -> None:
        """What comes first, and after it the least that clears the worst that is left, as long as anything does."""
        here, end = self.first, self.judge.kept.work + MOST_CHAINED
        while here is not None and any(finding.severity in self.clear for finding in here.counted):
            findings = worst_first((*_of_troubled_checks(here.rig_after), *self.judge.seen))
            left = [finding for finding in findings if finding.severity in self.clear]
            next_judge = Judge(here.study, findings, self.judge.examiner, self.judge.pinned,
                               self.judge.kept, end)
            then = next(filter(None, (least_way(next_judge, finding) for finding in left)), None)
            if then is None:
                return
            here = self.judge.judge(joined(here.proposal, then.proposal))
            self._keep(here)

    def sets(self, most: int) -> None:
        """Every set of a few changes, as far as the work that is allowed goes."""
        end = self.judge.kept.work + MOST_COMBINED
        before = set(self.found)
        combiner = Combiner(self.judge, self.clear, self._keep, self.found.values, _asked, self.screen)
        combiner.run(most, lambda: self.judge.kept.work < end)
        self.at_bounds = set(self.found) - before - ({self.first.proposal.steps} if self.first is not None else set())

    def result(self) -> Frontier:
        plans = tuple(islice(_without_dominated(self.first, list(self.found.values())), MOST_PLANS_SHOWN))
        if not self.stopped:
            plans = tuple(map(self._cheapest, plans))
        cleared = {key_of(finding) for plan in plans for finding in plan.plan.clears}
        stuck = tuple(finding for finding in self.targets if key_of(finding) not in cleared)
        plugs = self.answer.plan if self.answer is not None else None
        # Where plugs alone clear everything there is nothing to explain, nor of what a plan shown clears by them.
        by_plugs = {key_of(finding) for plan in plans if _is_of_plugs(plan) for finding in plan.plan.clears}
        left = [finding for finding in self.targets if key_of(finding) not in by_plugs]
        asked = () if self.stopped or self.briefly or plugs is not None else left[:MOST_EXPLAINED]
        why = _reasons((finding, why_not(self.judge, finding)) for finding in asked)
        return Frontier(self.judge.findings, plans, stuck, why, self.answer, self.stopped, self.is_enough)

    def _cheapest(self, judged: Judged) -> Judged:
        """Of the plans that ask as much and leave as much, whose settings are others, the one that costs least once
        each setting is eased: at their bounds the one that is cheap in the end may look dear. Others stay."""
        if judged.proposal.steps not in self.at_bounds or not judged.proposal.settings:
            return judged
        rivals = {_set_by(judged): judged}
        for each in self.found.values():
            if (_asked(each), each.left, wasted(each)) == (_asked(judged), judged.left, wasted(judged)):
                rivals.setdefault(_set_by(each), each)
        return min((self._eased(each) for each in islice(rivals.values(), MOST_RIVALS)), key=lambda each: each.loss)

    def _eased(self, judged: Judged) -> Judged:
        """A plan with each setting as near to what it is now as does as well: sets are tried at the bounds alone.

        Halved, since the nearer a setting is to now, the more a link carries, and more never helps.
        """
        for step in judged.proposal.settings:
            milder, base = nearer(self.judge.study, step), judged.proposal
            low, high = 0, len(milder)
            while low < high:
                middle = (low + high) // 2
                steps = tuple(milder[middle] if each is step else each for each in base.steps)
                then = self._with(Proposal(steps, base.buys, base.to_try), judged)
                if then is not None and self._as_good(then, judged):
                    judged, high = then, middle
                else:
                    low = middle + 1
        return judged

    def _with(self, proposal: Proposal, than: Judged) -> Judged | None:
        """A proposal judged; None where it cannot be done, or where what is told soon shows that it leaves more."""
        after = self.judge.after(proposal)
        if after is None or self.screen.leaves_more(after, than.left):
            return None
        return self.judge.judge(proposal)

    def _as_good(self, one: Judged, other: Judged) -> bool:
        return self.judge.harmless(one) and one.left <= other.left and one.loss < other.loss

    def _keep(self, judged: Judged | None) -> None:
        if judged is None or not judged.proposal.steps or not self.judge.harmless(judged):
            return
        if self.judge.helps(judged):
            self.found.setdefault(judged.proposal.steps, judged)


def _of_troubled_checks(after: After) -> tuple[Finding, ...]:
    """All that those checks find which have a fault or a risk; others, with notes at the most, are not asked."""
    names = {finding.name for finding in after.telling()}
    named = after.kept.examiner.named
    return tuple(f for name in named if name in names for f in after.found(name)) if named else after.findings


def _reasons(told: Iterable[tuple[Finding, str]]) -> tuple[str, ...]:
    """Each reason once, with the findings it is the reason of."""
    of: dict[str, list[str]] = {}
    for finding, why in told:
        if why:
            of.setdefault(why, []).append(f"{finding.name} ({plain(finding.part)})")
    return tuple(f"{listed(names)}: {why}" for why, names in of.items())


def _is_of_plugs(judged: Judged) -> bool:
    """Whether nothing is bought and nothing set."""
    return not judged.proposal.buys and all(isinstance(step, MovePlug | SwapPlugs) for step in judged.proposal.steps)


def asks(judged: Judged) -> tuple[int, int, int]:
    """What a plan asks of a person: things bought, plugs moved, settings that cost pictures."""
    proposal = judged.proposal
    paid = sum(isinstance(step, SetUse) for step in proposal.steps) if judged.price else 0
    return len(proposal.buys), proposal.plugs, paid


def _asked(judged: Judged) -> tuple[int, int, int, int]:
    return (*asks(judged), len(judged.proposal.to_try))


def _set_by(judged: Judged) -> frozenset[tuple[str, str]]:
    """The parts and keys that a plan sets."""
    return frozenset((step.part, step.key) for step in judged.proposal.settings)


def _effort(judged: Judged) -> int:
    """One figure for the order of the list: a plug 2, a setting that costs pictures 5, a thing bought 6 (our own)."""
    bought, plugs, paid = asks(judged)
    return 6 * bought + 2 * plugs + 5 * paid


def _without_dominated(first_: Judged | None, plans: list[Judged]) -> Iterator[Judged]:
    """Plans by effort; none that asks as much and leaves as much as one before it. What takes long to tell, up to all
    that a plan comes to with its whole night, is asked only of those that nothing before it tells apart."""
    places: tuple[Callable[[Judged], Any], ...] = (
        lambda each: (each is not first_, _effort(each), each.left),
        lambda each: (wasted(each), len(each.proposal.to_try), each.loss),
        lambda each: each.rig_after.soon,
        lambda each: each.consequence,
    )
    kept: list[Judged] = []

    def in_order(alike: list[Judged], places: tuple[Callable[[Judged], Any], ...]) -> Iterator[Judged]:
        alike = [plan for plan in alike if not any(_dominates(other, plan) for other in kept)]
        if len(alike) < 2 or not places:
            yield from alike
            return
        for _, those in groupby(sorted(alike, key=places[0]), places[0]):
            yield from in_order(list(those), places[1:])

    for plan in in_order(plans, places):
        if not any(_dominates(other, plan) for other in kept):
            kept.append(plan)
            yield plan


def _dominates(one: Judged, other: Judged) -> bool:
    less = all(a <= b for a, b in zip(asks(one), asks(other), strict=True))
    return less and one.left <= other.left and len(one.proposal.to_try) <= len(other.proposal.to_try)
