"""Why nothing that can be plugged clears a finding, in one sentence: the nearest way, and what stands against it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.place.consequence import IMPOSSIBLE, new_findings
from topo.place.ways import named, tiers
from topo.wiring.instructions import in_one_line

if TYPE_CHECKING:
    from topo.model.change import Proposal
    from topo.model.finding import Finding
    from topo.place.judge import Judge


def why_not(judge: Judge, finding: Finding) -> str:
    """The reason; empty where no plug has to do with the finding.

    Of the ways that would clear it and cannot be done, the first of least effort speaks: what it would bring is the
    smallest conflict there is, one way against one limit.
    """
    if not judge.may_try_more or not named(judge.study.topology, finding):
        return ""
    for tier in tiers(judge, finding):
        for proposal in tier:
            if not judge.may_try_more:
                return ""
            if judge.would_clear(proposal, finding) and (stops := _stops(judge, proposal)):
                return stops
    return ""


def _stops(judge: Judge, proposal: Proposal) -> str:
    after = judge.after(proposal)
    if after is None:
        return ""
    brings = new_findings(judge.findings, (*after.findings, *judge.seen))
    bad = [f for f in brings if f.severity == "fault" or (f.severity == "risk" and f.name in IMPOSSIBLE)]
    bad = bad or [f for f in brings if f.severity == "risk"]
    if not bad:
        return ""
    return f"Something stands against what would clear it: {in_one_line(proposal)} Then {_lower(bad[0].message)}"


def _lower(message: str) -> str:
    return message if message.startswith("'") else message[:1].lower() + message[1:]
