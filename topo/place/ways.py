"""Ways to be rid of a finding, in tiers of what they ask of a person, the least first.

1. a plug moved with the cable it has; 2. one whose cable has to be tried; 3. two plugs that change places; 4. a cable
bought, with or without a move; 5. a setting, which costs pictures; 6. a hub bought. (The order is our own proposal, no
source: a plug is moved in a minute and costs nothing, a setting is paid for every night, a hub is one more thing that
fails.)
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.model.change import Proposal, SetCable, SetUse
from topo.model.rig import COMPUTER
from topo.place.proposals import cables, card_for, hub_for, moves, powered_in_place, swaps
from topo.place.settings import offers as settings_for

if TYPE_CHECKING:
    from topo.model.finding import AnyFinding, Finding
    from topo.place.judge import Judge
    from topo.wiring.topology import Topology

Tier = tuple[Proposal, ...]
TIERS_OF_PLUGS = 3
"""The first tiers: plugs alone."""


def tiers(judge: Judge, finding: Finding) -> Iterator[Tier]:
    """Every way that could clear a finding, not judged yet, each once."""
    topology = judge.study.topology
    if finding.name in judge.examiner.no_plug:
        yield finding.fix.offers if finding.fix is not None else ()
        return
    names = involved(topology, finding)
    own = tuple(proposal for name in names for proposal in judge.ways(moves, name))
    offers = finding.fix.offers if finding.fix is not None else ()
    yield (*(o for o in offers if _is_free(o)), *(p for p in own if not p.buys and not p.to_try))
    yield tuple(p for p in own if not p.buys and p.to_try)
    if finding.severity != "note":  # nobody pulls two plugs for a note
        yield tuple(p for name in named(topology, finding) for p in judge.ways(_swaps, name))
    yield (
        *(o for o in offers if any(isinstance(step, SetCable) for step in o.steps)),
        *(p for name in names for p in judge.ways(cables, name)),
        *(p for p in own if p.buys),
    )
    if finding.severity == "note":  # nobody pays for a note with pictures; what its own check offers may be free
        yield tuple(o for o in offers if o.settings)
        yield tuple(o for o in offers if o.buys)
        return
    yield (*(o for o in offers if o.settings), *settings_for(judge, finding))
    yield tuple(p for name in names for p in (*judge.ways(powered_in_place, name), *judge.ways(hub_for, name)))
    yield tuple(p for name in names for p in judge.ways(card_for, name))


def _is_free(offer: Proposal) -> bool:
    return not offer.buys and not offer.plugs and not any(isinstance(s, SetUse | SetCable) for s in offer.steps)


def named(topology: Topology, finding: AnyFinding) -> tuple[str, ...]:
    """The wired parts that a finding names, each once; of one about the computer all that hang on its sockets."""
    at_computer = topology.children(COMPUTER) if finding.part == COMPUTER else ()
    names = dict.fromkeys((finding.part, *finding.others, *at_computer))
    return tuple(name for name in names if name != COMPUTER and topology.leg(name) is not None)


def involved(topology: Topology, finding: AnyFinding) -> tuple[str, ...]:
    """The wired parts that a finding names, and then the hubs they hang on, from the nearest up."""
    names = named(topology, finding)
    above = (leg.part for name in names for leg in topology.path(name))
    return tuple(dict.fromkeys((*names, *above)))


def _swaps(topology: Topology, name: str) -> Iterator[Proposal]:
    yield from swaps(topology, name, (other for other in topology.wired[1:] if other != name))
