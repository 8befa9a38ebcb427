"""A proposal: all of what a person would do at once, and what it comes to once it is done.

Plans are made in `topo/place/`; reports, pictures and packs tell them. Nothing is computed here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from topo.model.change import MovePlug, SetUse, SwapPlugs

if TYPE_CHECKING:
    from topo.model.change import Change
    from topo.model.finding import Finding


@dataclass(frozen=True, slots=True)
class Proposal:
    """Changes in the order in which they are done.

    `buys` names each thing that is not at hand, in words with an article. `to_try` names each cable that may be too
    short, with how much may be needed. `cables` are the parts that get another cable.
    """

    steps: tuple[Change, ...]
    buys: tuple[str, ...] = ()
    to_try: tuple[str, ...] = ()

    @property
    def plugs(self) -> int:
        """Plugs that have to be pulled and pushed in elsewhere. A swap is two."""
        return sum(2 if isinstance(s, SwapPlugs) else 1 for s in self.steps if isinstance(s, MovePlug | SwapPlugs))

    @property
    def settings(self) -> tuple[SetUse, ...]:
        """The settings among the steps."""
        return tuple(step for step in self.steps if isinstance(step, SetUse))


@dataclass(frozen=True, slots=True)
class Plan:
    """A proposal once it is done, as computed: findings it clears, faults and risks it leaves, findings it brings.

    `price` says in words what the pictures lose by it. `brings` holds notes too: nothing comes unnamed.
    """

    proposal: Proposal
    clears: tuple[Finding, ...]
    leaves: tuple[Finding, ...]
    brings: tuple[Finding, ...]
    price: tuple[str, ...] = ()
