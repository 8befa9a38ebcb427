"""The alignment of trees is the best there is: held against trying every alignment of small random trees."""

from __future__ import annotations

import random

import pytest

from tests.compare.pieces import COMPUTER, RandomRig, compared, found, study_of
from topo.checks.scans import adapter, disk, hub, scan, seen, wheel
from topo.compare.align import Aligner, is_usb
from topo.compare.likeness import BASE, IDS, fit
from topo.live.recording import read_scan
from topo.model.plugged import Thing
from topo.wiring.plugged import plugged_in


class Exhaustive:
    """The greatest value over every alignment of whole trees, tried one by one, with no assignment solved."""

    def __init__(self, rig: str, text: str) -> None:
        self.topology = study_of(rig).topology
        self.live = plugged_in(read_scan(text))
        self.aligner = Aligner(self.topology, self.live)
        self.parts = [p for p in self.topology.wired[1:] if is_usb(self.topology, p)]
        self.best = 0
        self.tried = 0

    def run(self) -> int:
        self._try(0, {"computer": None}, 0)
        return self.best

    def _try(self, index: int, chosen: dict[str, Thing | None], value: int) -> None:
        if index == len(self.parts):
            self.tried += 1
            if self._sensible(chosen):
                self.best = max(self.best, value)
            return
        part = self.parts[index]
        self._try(index + 1, chosen, value)
        leg = self.topology.leg(part)
        assert leg is not None
        if leg.above not in chosen:
            return
        above = chosen[leg.above]
        taken = {thing.key for thing in chosen.values() if thing is not None}
        for thing in self.live.below("computer" if above is None else above.key):
            own = fit(self.topology.part(part), thing)
            if own and thing.key not in taken:
                place = 0 if above is None else self.aligner.place_value(part, thing)
                self._try(index + 1, {**chosen, part: thing}, value + own + place)

    def _sensible(self, chosen: dict[str, Thing | None]) -> bool:
        """No hub behind which all is strange, unless its ids say that it is the one."""
        for part, thing in chosen.items():
            if thing is None or self.topology.part(part).kind != "hub":
                continue
            children = self.aligner.usb_children(part)
            known = any(child in chosen for child in children)
            if children and self.live.below(thing.key) and not known and fit(self.topology.part(part), thing) < IDS:
                return False
        return True


@pytest.mark.parametrize("seed", range(120))
def test_no_alignment_is_better(seed: int) -> None:
    made = RandomRig(seed)
    oracle = Exhaustive(made.rig, made.scan)
    total, _ = oracle.aligner.assigned("computer", oracle.live.below("computer"), numbered=False)
    assert total == oracle.run()


def test_the_random_trees_are_worth_trying() -> None:
    tried = []
    for seed in range(40):
        made = RandomRig(seed)
        oracle = Exhaustive(made.rig, made.scan)
        oracle.run()
        tried.append(oracle.tried)
    assert max(tried) > 500
    assert sum(count > 50 for count in tried) > 10


def test_the_order_of_the_scan_does_not_matter() -> None:
    for seed in range(30):
        made = RandomRig(seed)
        before = found(compared(made.rig, made.scan))
        random.Random(seed).shuffle(made.seen)
        assert found(compared(made.rig, made.scan)) == before


TWO = COMPUTER + """\
hubs:
  near: {speed: high, ports: 4, plug: computer/usb3-1}
  far: {speed: high, ports: 4, plug: computer/usb3-2}
devices:
  guide: {role: guiding, width_px: 100, height_px: 100, speed: high, plug: near/1}
  mount: {role: mount, interface: serial, speed: full, plug: near/2}
  wheel: {role: filter-wheel, interface: hid, speed: full, plug: far/1}
  disk: {role: storage, speed: high, plug: far/2}
"""


def test_a_hub_is_known_by_what_is_behind_it() -> None:
    # The hubs look the same and stand in the other order; only what is behind them tells them apart.
    swapped = scan(hub("1-1"), hub("1-2"), wheel("1-1.1"), disk("1-1.2", 480), seen("1-2.1"), adapter("1-2.2"))
    assert found(compared(TWO, swapped)) == {
        "near": "1-2", "far": "1-1", "guide": "1-2.1", "mount": "1-2.2", "wheel": "1-1.1", "disk": "1-1.2"}


def test_identity_goes_before_place_and_place_before_kind() -> None:
    rig = COMPUTER + """\
hubs:
  hub: {speed: high, ports: 4, plug: computer/usb3-1}
devices:
  a: {interface: serial, speed: full, plug: hub/1, identity: {vendor_id: f1a0, product_id: '0001', serial: A}}
  b: {interface: serial, speed: full, plug: hub/2}
  c: {interface: serial, speed: full, plug: hub/3}
"""
    live = scan(hub("1-1"), adapter("1-1.1", serial="B"), adapter("1-1.2", serial="A"), adapter("1-1.3"))
    comparison = compared(rig, live)
    assert found(comparison) == {"hub": "1-1", "a": "1-1.2", "b": "1-1.1", "c": "1-1.3"}
    assert [match.by for match in comparison.matches] == ["kind", "identity", "kind", "place"]


def test_an_identity_that_contradicts_rules_out() -> None:
    rig = COMPUTER + """\
devices:
  a: {interface: serial, speed: full, plug: computer/usb3-1, identity: {vendor_id: F1A0, product_id: '0001', serial: A}}
"""
    other = compared(rig, scan(adapter("1-1", serial="other")))
    assert [(match.part, match.by) for match in other.matches] == [("a", "twin")]  # one of its kind, and not the part
    assert compared(rig, scan(adapter("1-1", product_id="0002", serial="A"))).missing == ("a",)
    assert compared(rig, scan(adapter("1-1", product_id="0002"))).missing == ("a",)
    assert found(compared(rig, scan(adapter("1-1", serial="A")))) == {"a": "1-1"}
    assert found(compared(rig, scan(adapter("1-1")))) == {"a": "1-1"}


def test_what_cannot_be_is_not_taken_for_it() -> None:
    assert compared(TWO, scan(wheel("1-1"), disk("1-2", 480))).missing == ("near", "far", "guide", "mount")


def test_a_hub_with_only_strangers_behind_it_is_another_hub() -> None:
    strange = scan(hub("1-1"), wheel("1-1.3", product_id="0009"), hub("1-2"), seen("1-2.1"), adapter("1-2.2"))
    rig = TWO.replace("  wheel: {role: filter-wheel, interface: hid, speed: full, plug: far/1}\n", "")
    comparison = compared(rig, strange)
    assert comparison.missing == ("far", "disk")
    assert [thing.key for thing in comparison.unexpected] == ["1-1", "1-1.3"]


def test_values_of_fit_are_positive_or_nothing() -> None:
    for seed in range(20):
        made = RandomRig(seed)
        oracle = Exhaustive(made.rig, made.scan)
        for part in oracle.parts:
            for thing in oracle.live.things:
                value = fit(oracle.topology.part(part), thing)
                assert value == 0 or value >= BASE
