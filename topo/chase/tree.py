"""The first tests of a chase as a tree: what to do after each outcome, a few tests deep."""

from __future__ import annotations

from collections.abc import Sequence

from topo.chase.belief import Belief
from topo.chase.choose import Decision, choose
from topo.chase.follow import branches_of
from topo.frozen import frozen
from topo.model.chase import Reply

DEPTH = 3
RARE = 0.05
"""What comes less often than this, all before it counted, is not followed: the page is to be read in the dark."""


@frozen
class Twig:
    """A place in the tree: what is believed there, what to do, and what follows each outcome that can well come."""

    belief: Belief
    choice: Decision
    after: tuple[tuple[str, float, Twig], ...]


def tree_of(
    belief: Belief, answers: Sequence[Reply], cannot: Sequence[str] = (), depth: int = DEPTH, share: float = 1.0
) -> Twig:
    """The tree from here on, `depth` tests deep. `after` holds (outcome, its chance, what then).

    `share` is how likely it is to come here at all.
    """
    choice = choose(belief, answers, cannot)
    if choice.option is None or depth == 0 or share < RARE:
        return Twig(belief, choice, ())
    test, option = belief.case.tests[choice.option.number], choice.option
    after = []
    for branch in branches_of(belief, choice):
        answer = Reply(test.key, branch.outcome, option.wait)
        then = tree_of(belief.after(answer), (*answers, answer), cannot, depth - 1, share * branch.chance)
        after.append((branch.outcome, branch.chance, then))
    return Twig(belief, choice, tuple(after))
