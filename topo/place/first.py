"""The advice of a rig: what to do first, and what to do about each finding. `check` and `rewire` take it from here.

For the worst finding that anything clears, the tier of least effort in which something does; among its ways the one
that leaves the fewest faults and risks, wastes no SuperSpeed socket, and comes to least (`consequence.py`). Where that
costs pictures, plugs that make a risk of a fault for nothing and leave no more come before it. What it clears besides
is cleared by it too; other findings get a way of their own. A way counts only as it was computed: all that is done,
every check run again, nothing made slower, no new fault, and no new risk unless a fault goes.
"""

from __future__ import annotations

from itertools import chain, islice
from typing import TYPE_CHECKING, Any

from topo.frozen import frozen, replace
from topo.model.cautions import SHORT
from topo.model.change import AddPart, MovePlug, Proposal
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain
from topo.model.speed import Speed
from topo.place.judge import moved
from topo.place.price import share_lost
from topo.place.settings import settings
from topo.place.ways import TIERS_OF_PLUGS, Tier, named, tiers
from topo.place.why_not import why_not
from topo.progress import stopped
from topo.wiring.instructions import in_one_line, outcome_of

if TYPE_CHECKING:
    from topo.model.change import Change
    from topo.place.judge import Judge, Judged
    from topo.place.remembered import Remembered
    from topo.place.search import Progress


MOST_TOGETHER = 20_000
"""Work (`remembered.py`) spent on the search for two plugs."""

MOST_SEARCHED = 24
"""Rigs of more devices are left to `topo rewire` where nothing done alone clears anything."""


@frozen(slots=False)
class Advised:
    """The findings, each with what to do about it, in the order they came; and what to do first, None where nothing
    computed helps."""

    findings: tuple[Finding, ...]
    first: Judged | None


def advised(judge: Judge) -> Advised:
    """What to do about the findings of a rig, worst first. Ctrl-C ends it with the best so far: findings that were not
    reached keep what their checks say of them."""
    found: Judged | None = None
    told: list[Finding] = []
    try:
        found = first(judge)
        for finding in judge.findings:
            told.append(_with_fix(judge, finding, found))
    except KeyboardInterrupt:
        stopped("stopped: the advice is the best so far; `topo rewire` proves how few plugs it takes")
        return Advised((*told, *judge.findings[len(told) :]), found)
    return Advised(tuple(told), found)


def first(judge: Judge, clear: tuple[Severity, ...] = ("fault", "risk")) -> Judged | None:
    """What to do first: the least that clears the worst finding which anything clears."""
    for finding in judge.findings:
        if finding.severity in clear and (best := least_way(judge, finding)) is not None:
            return _for_nothing(judge, finding, best) or best
    return _together(judge, clear) if any(finding.severity in clear for finding in judge.findings) else None


def _for_nothing(judge: Judge, finding: Finding, paid: Judged) -> Judged | None:
    """Plugs that make a risk of a fault for nothing, and leave no more than what is paid for with pictures: what they
    leave then costs less."""
    if finding.severity != "fault" or not paid.price:
        return None
    fit: list[tuple[tuple[Any, ...], Judged]] = []
    for proposal in chain.from_iterable(islice(tiers(judge, finding), TIERS_OF_PLUGS)):
        judged = judge.judge(proposal) if judge.may_try_more else None
        if judged is None or judged.price or judged.left > paid.left or not judge.harmless(judged):
            continue
        if judged.eases(finding):
            fit.append(((judged.left, wasted(judged)), judged))
    return _least(fit)


def _together(judge: Judge, clear: tuple[Severity, ...]) -> Judged | None:
    """Where nothing done alone clears anything: several settings, else two plugs."""
    if len(judge.study.rig.devices) > MOST_SEARCHED:
        return None
    from topo.place.advice import steps_of
    from topo.place.search import rewire  # only here: most rigs need neither

    found = judge.judge(Proposal(settings(judge.kept, judge.study.rig, clear).changes))
    if found is None or not found.proposal.steps or not judge.helps(found) or not judge.harmless(found):
        answer = rewire(judge.study.rig, judge.examiner, clear, 2, judge.pinned, _within(judge.kept), judge.kept)
        if answer.searched.interrupted:
            raise KeyboardInterrupt
        plan = answer.plan
        found = None if plan is None else judge.judge(Proposal(steps_of(plan.moves), to_try=plan.to_try))
    if found is None or not found.proposal.steps or not judge.helps(found) or not judge.harmless(found):
        return None
    return found


def _within(kept: Remembered) -> Progress:
    """Goes on as long as the work allowed for two plugs lasts."""
    end = kept.work + MOST_TOGETHER
    return lambda size, studied: kept.work < end


def least_way(judge: Judge, finding: Finding) -> Judged | None:
    """The best of the first tier in which something clears a finding and does no harm. What was found of it once is
    found again, as long as more may be tried."""
    known = judge.least.get(id(finding))
    if known is not None and known[0] is finding and judge.may_try_more:
        return known[1]
    best = _least_way(judge, finding)
    if judge.may_try_more:
        judge.least[id(finding)] = finding, best
    return best


def _least_way(judge: Judge, finding: Finding) -> Judged | None:
    for tier in tiers(judge, finding) if judge.may_try_more else ():
        best = _best(judge, finding, tier)
        if best is not None or not judge.may_try_more:
            return best
    return None


def _best(judge: Judge, finding: Finding, tier: Tier) -> Judged | None:
    fit: list[tuple[tuple[Any, ...], Judged]] = []
    for proposal in tier:
        if not judge.may_try_more:
            break
        if not judge.would_clear(proposal, finding):
            continue
        judged = judge.judge(proposal)
        if judged is None or not judged.clears(finding) or not judge.harmless(judged):
            continue
        if finding.severity == "note":
            return judged  # notes are no reason to weigh one way against the other
        if judge.helps(judged):
            fit.append(((judged.left, share_lost(judge.study, judged.rig_after), wasted(judged)), judged))
    return _least(fit)


def _least(fit: list[tuple[tuple[Any, ...], Judged]]) -> Judged | None:
    """The one of the least key; what all of it comes to takes the whole night: asked only of those that are equal."""
    least = min((key for key, _ in fit), default=None)
    equal = [judged for key, judged in fit if key == least]
    if len(equal) > 1:
        soonest = min(judged.rig_after.soon for judged in equal)
        equal = [judged for judged in equal if judged.rig_after.soon == soonest]
    return min(equal, key=lambda each: each.consequence) if len(equal) > 1 else next(iter(equal), None)


def _with_fix(judge: Judge, finding: Finding, first_: Judged | None) -> Finding:
    fix, best = finding.fix, first_
    if finding.supplied_by:  # a stranger's check is asked again of what it offers, and of nothing else
        best = _best(judge, finding, fix.offers) if fix is not None else None
        return finding if best is None else replace(finding, fix=_done(finding, best))
    if best is None or not best.clears(finding):
        best = least_way(judge, finding)
        if first_ is not None and best is not None and best.price and not first_.price and first_.eases(finding):
            best = first_
    if best is not None:
        done = _done(finding, best)
        if first_ is not None and best is not first_ and (wanted := clash(first_.proposal, best.proposal)):
            done = replace(done, text=f"{done.text} Not together with DO FIRST: both {wanted}.")
        return replace(finding, fix=done)
    words = [] if fix is None else [fix.text]
    if finding.severity != "note" and judge.may_try_more and (reason := why_not(judge, finding)):
        words.append(reason)
    offers = () if fix is None else fix.offers  # whoever asks again finds the same ways
    untried = _left_to_rewire(judge, finding, first_)
    return replace(finding, fix=Fix(" ".join(words), offers, untried=untried)) if words else finding


def _left_to_rewire(judge: Judge, finding: Finding, first_: Judged | None) -> bool:
    """Whether there are ways against a fault or risk that were not tried."""
    if finding.severity == "note" or judge.examiner.one(finding.name) is None:
        return False
    if finding.name in judge.examiner.no_plug or not named(judge.study.topology, finding):
        return False
    return not judge.may_try_more or (first_ is None and len(judge.study.rig.devices) > MOST_SEARCHED)


def _done(finding: Finding, best: Judged) -> Fix:
    fix = finding.fix if finding.fix is not None else Fix("")
    figures_of = fix.figures_of
    caution = f" {SHORT}" if SHORT in fix.text else ""
    return Fix(
        in_one_line(best.proposal) + outcome_of(best.plan) + caution,
        fix.offers,
        figures_of,
        best.plan,
        after=figures_of(best.study) if figures_of is not None else (),
    )


def clash(one: Proposal, other: Proposal) -> str:
    """What two proposals both do, so that only one can be done, as a verb and its object; empty for nothing."""
    wants = tuple({str(thing): None for step in each.steps for thing in _wanted(step)} for each in (one, other))
    both = next((thing for thing in wants[0] if thing in wants[1]), "")
    return both and f"{'need' if '/' in both else 'move'} {plain(both)}"


def _wanted(step: Change) -> tuple[str, ...]:
    """The sockets that a step fills and the parts whose plugs it pulls."""
    if isinstance(step, MovePlug):
        return f"{step.to_part}/{step.to_socket}", step.part
    if isinstance(step, AddPart):
        return () if step.part.plug is None else (str(step.part.plug),)
    return moved(step)


def wasted(judged: Judged) -> int:
    """Parts that a proposal puts into sockets that carry more than they can use: others may need these."""
    topology = judged.rig_after.topology
    legs = (topology.leg(step.part) for step in judged.proposal.steps if isinstance(step, MovePlug))
    return sum(
        leg.socket.speed.is_superspeed and not (topology.could_be(leg.part) or Speed.HIGH).is_superspeed
        for leg in legs
        if leg is not None
    )
