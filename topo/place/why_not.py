"""Why no plug clears a finding, in one sentence: the nearest way, and what stands against it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.model.change import MovePlug
from topo.model.facts import value_of
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.place.candidates import candidates
from topo.place.consequence import IMPOSSIBLE, key_of, new_findings
from topo.place.proposals import moves, swaps
from topo.place.slower import made_slower
from topo.place.ways import involved, named
from topo.wiring.instructions import in_one_line
from topo.wiring.reach import reach

if TYPE_CHECKING:
    from collections.abc import Iterator

    from topo.model.change import Proposal
    from topo.model.finding import AnyFinding
    from topo.place.judge import Judge
    from topo.place.remembered import After


MOST_WONDERED = 5_000
"""Work (`remembered.py`) spent on the reason of one finding."""


def why_not(judge: Judge, finding: Finding) -> str:
    """The reason; empty where no plug has to do with the finding, or where one does clear it.

    The smallest conflict there is speaks, one way against one limit: of the ways that would clear it, the first of
    least effort and what it brings; else a cable that is too short for it; else that no socket is free, or none of the
    free ones is apart from what it shares with.
    """
    topology = judge.study.topology
    names = named(topology, finding)
    if not names or finding.name in judge.examiner.no_plug:
        return ""
    if judge.examiner.named and judge.examiner.one(finding.name) is None:
        return ""  # its check needs a scan or logs, which no plan has
    short: list[Proposal] = []
    end = judge.kept.work + MOST_WONDERED
    for proposal in _by_plugs(judge, finding):
        if judge.kept.work > end:
            return ""
        if not judge.would_clear_somehow(proposal, finding):
            continue
        if proposal.buys:
            short.append(proposal)
        elif stops := _stops(judge, proposal):
            return stops
        else:
            return ""
    if short:
        return _too_short(judge, short[0])
    return _no_socket(judge, names)


def _by_plugs(judge: Judge, finding: Finding) -> Iterator[Proposal]:
    """Plugs moved, those of the parts that it names first, and plugs that change places."""
    topology = judge.study.topology
    for name in involved(topology, finding):
        yield from moves(topology, name)
    for name in named(topology, finding):
        yield from swaps(topology, name, topology.wired[1:])


def _stops(judge: Judge, proposal: Proposal) -> str:
    after = judge.made(proposal)
    assert after is not None
    slower = made_slower(judge.study.topology, after.topology)
    if slower:
        now, then = judge.study.topology.speed(slower[0]), after.topology.speed(slower[0])
        speeds = "" if now is None or then is None else f" at {then.label} instead of {now.label}"
        return f"{_way(proposal)} Then {plain(slower[0])} would run{speeds}."
    told = (*after.telling(), *(finding for finding in judge.seen if finding.severity != "note"))
    brings = new_findings(judge.findings, told)
    bad = [f for f in brings if f.severity == "fault" or (f.severity == "risk" and f.name in IMPOSSIBLE)]
    bad = bad or [f for f in brings if f.severity == "risk"]
    return f"{_way(proposal)} Then {_lower(_in_full(after, bad[0]).message)}" if bad else ""


def _in_full(after: After, finding: AnyFinding) -> Finding:
    """A finding that may have been told without its words."""
    if isinstance(finding, Finding):
        return finding
    alike = key_of(finding), finding.severity
    return next(each for each in after.found(finding.name) if (key_of(each), each.severity) == alike)


def _way(proposal: Proposal) -> str:
    return f"Something stands against what would clear it: {in_one_line(proposal)}"


def _too_short(judge: Judge, proposal: Proposal) -> str:
    """A move that its own cable is too short for."""
    step = proposal.steps[0]
    assert isinstance(step, MovePlug)
    topology = judge.study.topology
    part, to, socket = topology.part(step.part), step.to_part, step.to_socket
    assert part.plug is not None
    length = value_of(part.cable.length_m)
    way = reach(topology, part.id, part.plug.part, to, length)
    if length is None or way.least_m is None or way.verdict != "too-short":
        return f"No single plug clears it with the cables there are: {plain(to)}/{plain(socket)} takes another one."
    return (
        f"No single plug clears it with the cables there are: from {plain(part.id)} to {plain(to)}/{plain(socket)} it "
        f"is at least {way.least_m:.2g} m, and its cable has {length:g} m."
    )


def _no_socket(judge: Judge, names: tuple[str, ...]) -> str:
    """No socket is free at all, or none that is apart from what the part shares with."""
    topology = judge.study.topology
    free = [name for name in names if candidates(topology, topology.part(name), None, None)[0]]
    who = plain(names[0]) if len(names) == 1 else f"{plain(names[0])} or {plain(names[1])}"
    if not free:
        return f"No single plug clears it: no socket that {who} fits is free."
    return f"No single plug clears it: in every free socket that {who} fits it stays as it is."


def _lower(message: str) -> str:
    return message if message.startswith("'") else message[:1].lower() + message[1:]
