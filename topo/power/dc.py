"""From a rig to amps and volts at every plug of its 12 V side: each tree solved for each state of the loads, at the
low, likely and high end of everything uncertain.

The low end of volts has the supply low, wires thin and warm, contacts worn, and loads high; the high end the reverse.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Literal

from topo.model.facts import Basis, Range3, basis_of, value_of
from topo.model.feeds import Supply
from topo.model.power import (
    LOAD_STATES,
    ByState,
    LeadPower,
    LoadState,
    PlugPower,
    PowerOutcome,
    SourcePower,
    Unfed,
)
from topo.model.rig import Rig
from topo.power.bases import (
    bases_drawn,
    basis_behind,
    basis_of_lead,
    basis_of_limit,
    basis_of_source,
    basis_of_volts,
    basis_of_way,
    weakest,
    window,
)
from topo.power.copper import wire_limit_a
from topo.power.forest import TERMINALS, AsPower, Forest, Solution, all_solved, forest_of
from topo.power.guard import guard_of
from topo.power.loads import Drawing
from topo.power.missing import not_judged
from topo.power.rings import rings_of
from topo.power.solve import Flowing, Joint, share_that_can_be_fed, solved
from topo.power.tree import FedTree

LEVEL_WORDS: tuple[Literal["low", "likely", "high"], ...] = ("low", "likely", "high")
SolvedStates = dict[tuple[LoadState, int], Flowing | None]


def power_of(rig: Rig) -> PowerOutcome:
    """All of the 12 V side. Remembered by what it hangs on, since no plug of USB changes it."""
    return _power_of(AsPower(rig))


@lru_cache(maxsize=64)
def _power_of(held: AsPower) -> PowerOutcome:
    rig, forest = held.rig, forest_of(held)
    found, loads = forest.trees, forest.loads
    answers, unfed = _answers(forest)
    drawn = bases_drawn(rig, found, loads)
    amps = {tree.source.id: basis_of_source(rig, tree, drawn) for tree in found}
    return PowerOutcome(
        tuple(_source(tree, answers[tree.source.id], amps[tree.source.id]) for tree in found),
        tuple(lead for tree in found for lead in _leads(rig, tree, answers[tree.source.id], drawn)),
        tuple(plug for tree in found for plug in _plugs(rig, tree, answers[tree.source.id], loads, drawn,
                                                        amps[tree.source.id])),
        tuple(unfed),
        not_judged(rig, found, loads),
        rings_of(rig, found, power_of),
    )  # fmt: skip


def _answers(forest: Forest) -> tuple[dict[str, SolvedStates], list[Unfed]]:
    """Every tree solved for each state and level, by its source; and what cannot be fed."""
    answers: dict[str, SolvedStates] = {tree.source.id: {} for tree in forest.trees}
    unfed: list[Unfed] = []
    for state in LOAD_STATES:
        for level in range(3):
            for tree, solution in zip(forest.trees, all_solved(forest, state, level), strict=True):
                answers[tree.source.id][state, level] = solution.flowing
                if solution.flowing is None:
                    unfed.append(_unfed(tree, solution, state, level))
    return answers, unfed


def _unfed(tree: FedTree, solution: Solution, state: LoadState, level: int) -> Unfed:
    share = share_that_can_be_fed(solution.volts, solution.joints)
    lead = _narrowest(tree, solution.volts, solution.joints, share)
    return Unfed(tree.source.id, state, LEVEL_WORDS[level], share, lead)


def _narrowest(tree: FedTree, volts: float, points: list[Joint], share: float) -> str:
    """The lead that costs most volts when as much is drawn as can be fed."""
    less = [Joint(p.above, p.ohm, p.amps * share, p.watts * share, p.siemens * share) for p in points]
    flowing = solved(volts, less)
    lost = [(amps * each.ohm, -index) for index, (each, amps) in enumerate(zip(less, flowing.amps, strict=True))
            if index > TERMINALS] if flowing is not None else []  # fmt: skip
    return tree.branches[-max(lost)[1] - TERMINALS - 1].lead.id if lost else ""


def _range(answer: SolvedStates, state: LoadState, index: int, what: Literal["volts", "amps"]) -> Range3 | None:
    """A figure of one joint over the levels; None where it cannot be fed at the likely one."""
    found = [answer[state, level] for level in range(3)]
    likely = found[1]
    if likely is None:
        return None
    if what == "volts":
        return Range3.of(*(0.0 if each is None else each.volts[index] for each in found))
    return Range3.of(*(likely.amps[index] if each is None else each.amps[index] for each in found))


def _states(answer: SolvedStates, index: int, what: Literal["volts", "amps"]) -> ByState:
    return ByState(*(_range(answer, state, index, what) for state in LOAD_STATES))


def _source(tree: FedTree, answer: SolvedStates, basis: Basis) -> SourcePower:
    source = tree.source
    fed = tuple(dict.fromkeys(end for branch in tree.branches for end in branch.lead.ends))
    may_give = source.amps if isinstance(source, Supply) else value_of(source.facts.amps)
    return SourcePower(
        source.id, "supply" if isinstance(source, Supply) else "converter", tree.volts, _states(answer, 0, "amps"),
        may_give, fed, basis, basis_of_volts(source),
    )  # fmt: skip


def _leads(rig: Rig, tree: FedTree, answer: SolvedStates, drawn: dict[str, Basis]) -> Iterable[LeadPower]:
    for index, branch in enumerate(tree.branches):
        joint, above = index + TERMINALS + 1, branch.above + TERMINALS + 1
        amps, volts_from, volts_to = (_states(answer, joint, "amps"), _states(answer, above, "volts"),
                                      _states(answer, joint, "volts"))  # fmt: skip
        names = [lead.id for lead, _ in branch.strands]
        for number, (lead, steps) in enumerate(branch.strands):
            limit = wire_limit_a(lead.facts)
            guard = guard_of(rig, tree, index, limit)
            yield LeadPower(
                lead.id, lead.source, lead.to, tree.source.id,
                _shared(amps, branch.share(number)) if branch.beside else amps, volts_from, volts_to,
                steps or (), branch.starts_m, value_of(lead.facts.length_m, 0.0), limit,
                guard.amps, guard.name, guard.maybe_less, basis_of_lead(rig, lead),
                basis_behind(rig, tree, index, drawn),
                basis_of_limit(lead), guard.basis, tuple(name for name in names if name != lead.id),
                amps if branch.beside else None,
            )  # fmt: skip


def _shared(amps: ByState, share: Range3) -> ByState:
    """A share of a current."""
    return ByState(*(
        None if each is None else Range3(each.low * share.low, each.likely * share.likely, each.high * share.high)
        for each in map(amps.of, LOAD_STATES)
    ))  # fmt: skip


def _plugs(
    rig: Rig, tree: FedTree, answer: SolvedStates, loads: dict[str, Drawing], drawn: dict[str, Basis], basis: Basis
) -> Iterable[PlugPower]:
    parts = {part.id: part for part in rig.parts}
    converters = {each.id: each for each in rig.converters}
    known: list[bool] = []
    for index, branch in enumerate(tree.branches):
        known.append(branch.known and (branch.above < 0 or known[branch.above]))
        if not known[-1]:
            continue
        volts = _states(answer, index + TERMINALS + 1, "volts")
        for end in branch.lead.ends:
            thing = parts.get(end) or converters.get(end)
            if thing is None:
                continue
            floor, ceiling = window(thing)
            whole = weakest((basis, basis_of_way(rig, tree, index)))
            yield PlugPower(
                end, branch.lead.id, _drawn(loads.get(end), volts), volts, tree.at_rest, value_of(floor),
                value_of(ceiling), whole, basis_of_volts(tree.source), drawn[end], basis_of(floor), basis_of(ceiling),
            )  # fmt: skip


def _drawn(load: Drawing | None, volts: ByState) -> ByState:
    """What one part draws, at the volts it gets."""
    if load is None:
        return ByState(None, None, None)
    made: list[Range3 | None] = []
    for state in LOAD_STATES:
        amps, there = load.amps.of(state), volts.of(state)
        if amps is None or there is None:
            made.append(None)
            continue
        ends = []
        for drawn, here in zip(amps, (there.high, there.likely, there.low), strict=True):
            at = here or there.likely  # where it cannot be fed at that end, what it asks for at the likely one
            factor = load.volts / at if load.draws == "watts" else at / load.volts
            ends.append(drawn * (factor if load.draws != "amps" else 1.0))
        made.append(Range3.of(*ends))
    return ByState(*made)
