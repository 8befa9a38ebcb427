"""What is bought stands in the sentence of the step it is for, in whatever order things are bought."""

from __future__ import annotations

from itertools import permutations

from topo.model.change import AddPart, Change, MovePlug, Proposal, SetCable, SetSupply
from topo.model.facts import Fact
from topo.model.records import CableFacts
from topo.model.rig import Hub, Plug
from topo.wiring.instructions import instructions

FAST = CableFacts(grade=Fact("usb3", "declared"))
SWAPPED = AddPart(Hub(id="hub-b", plug=Plug("hub-a", "4")))
ALL: tuple[tuple[tuple[Change, ...], str, str], ...] = (
    ((SWAPPED,), "a powered USB 2 hub in place of hub-b", "Use a powered USB 2 hub in place of hub-b."),
    ((MovePlug("right", "computer", "usb3-2"), SetCable("right", FAST)), "a USB 3 cable of 1 to 3 m for right",
     "Plug right into computer/usb3-2, with a USB 3 cable of 1 to 3 m for right."),
    ((SetCable("left", FAST),), "a USB 3 cable of 1 m for left", "Use a USB 3 cable of 1 m for left."),
    ((SetCable("hub-b", FAST),), "a USB cable of 5 m at most for hub-b", "Use a USB cable of 5 m at most for hub-b."),
    ((SetSupply("pier", "volts", 13.1),), "", "Set pier to 13.1 V by its own adjuster, with a meter under load."),
)


def test_each_purchase_goes_with_its_step() -> None:
    for order in permutations(ALL):
        steps = tuple(step for some, _, _ in order for step in some)
        said = instructions(Proposal(steps, tuple(words for _, words, _ in order if words)))
        assert said == tuple(sentence for _, _, sentence in order)
