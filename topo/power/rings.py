"""Things that two ways from one source lead to. What each way carries is not worked out: the first in the file counts
as if it carried all, and here each other one, as it is once the first is open."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from topo.frozen import replace
from topo.model.power import PowerOutcome, Ring
from topo.model.rig import Rig
from topo.power.tree import FedTree, fed_by


def rings_of(rig: Rig, trees: Iterable[FedTree], power_of: Callable[[Rig], PowerOutcome]) -> tuple[Ring, ...]:
    """Every ring, in the order of its second leads. `power_of` computes a rig."""
    found: list[Ring] = []
    for tree in trees:
        for lead in tree.doubled:
            first = next(
                (branch.lead.id for branch in tree.branches if set(lead.ends) & set(branch.lead.ends)), None
            )
            if first is None or lead.source in (lead.to, *fed_by(rig, lead.to)):
                continue  # fed by another source: `fed-twice` tells it; or a lead that runs back to where it came from
            others = tuple(each for each in rig.leads
                           if each.id == lead.id or not set(lead.ends) & set(each.ends))  # fmt: skip
            power = power_of(replace(rig, leads=others)).lead(lead.id)
            if power is not None:
                found.append(Ring(lead.to, first, power))
    return tuple(found)
