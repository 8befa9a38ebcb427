"""What a check says no plug changes, no plug changes: the same findings wherever parts are plugged in."""

from __future__ import annotations

import random

import pytest

from tests.place.random_rigs import EXAMINER, rig_from, whole_text
from topo.analysis.study import Study
from topo.model.rig import Rig
from topo.place.moves import Blocked, Ground

IN_SERIAL = """\
rig: In a serial socket
computer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}, usb2-3: {speed: high}}}
devices:
  adapter: {speed: full, serial_sockets: 2, plug: computer/usb2-1}
  wheel: {speed: full, interface: hid, identity: {vendor_id: f1a0, product_id: '0001'}, plug: adapter/serial-1}
  dial: {speed: full, interface: hid, identity: {vendor_id: f1a0, product_id: '0001'}, plug: computer/usb2-2}
"""
"""Two that USB alone serves, one of them plugged where it cannot work: the right socket brings no second finding."""


def replugged(rig: Rig, seed: int) -> Rig | None:
    """The rig with up to three parts in other sockets that they fit; None where these are taken."""
    pick, ground = random.Random(seed), Ground(rig, frozenset())
    names = [name for name in ground.order if name in ground.movable and ground.targets(name)]
    chosen = pick.sample(names, min(len(names), pick.randint(1, 3)))
    assigned = ground.assign({name: pick.choice(ground.targets(name)) for name in chosen})
    return None if isinstance(assigned, Blocked) or not assigned else ground.after(assigned)


@pytest.mark.parametrize("first", range(0, 60, 15))
def test_no_plug_changes_them(first: int) -> None:
    moved = 0
    for seed in range(first, first + 15):
        rig = rig_from(whole_text(seed))
        before = EXAMINER.fixed(Study(rig))
        for number in range(8):
            then = replugged(rig, 10 * seed + number)
            if then is not None:
                moved += 1
                assert EXAMINER.fixed(Study(then)) == before, (seed, number)
    assert moved > 15


def test_nor_does_the_right_socket_for_one_in_a_wrong_one() -> None:
    rig = rig_from(IN_SERIAL)
    before = EXAMINER.fixed(Study(rig))
    assert [(f.name, f.part, f.others) for f in before] == [("adapters-look-alike", "wheel", ("dial",))]
    ground = Ground(rig, frozenset())
    there = [ground.assign({"wheel": target}) for target in ground.targets("wheel") if target.kind == "usb"]
    assert there
    for assigned in there:
        assert not isinstance(assigned, Blocked)
        assert EXAMINER.fixed(Study(ground.after(assigned))) == before
