"""Mistakes planted in `topo/analysis/` and `topo/flows/` that no test noticed, each with a case of its own."""

from __future__ import annotations

import itertools
import random

import pytest

from topo.analysis.cut import crossing
from topo.analysis.levels import levels
from topo.analysis.study import Study
from topo.frozen import replace
from topo.model.facts import Range3
from topo.model.traffic import Flow, Resource, Traffic, Use
from topo.pipeline import rig_of
from topo.rigfile.read import read_text

ONE_BUS = "{ports: {usb2-1: {speed: high}, usb2-2: {speed: high}}}"


def study(*devices: str, computer: str = ONE_BUS) -> Study:
    lines = "".join(f"  {device}\n" for device in devices)
    return Study(rig_of(read_text(f"rig: r\ncomputer: {computer}\ndevices:\n{lines}", "rig.yaml")))


@pytest.mark.parametrize("seed", range(12))
def test_flows_clash_where_a_link_cannot_carry_both_and_nowhere_else(seed: int) -> None:
    """Every two flows and every link of both, against what each gets alone."""
    chance = random.Random(seed)
    camera = "{role: imaging, width_px: 900, height_px: 900, use: {exposure_s: 60}, speed: "
    found = study(
        f"fast: {camera} super, readout_mb_per_s: 300, plug: computer/usb3-1}}",
        *(f"c{n}: {camera} high, readout_mb_per_s: {chance.choice((2, 9, 14, 18, 23, 30))}, plug: computer/usb2-{n}}}"
          for n in range(1, 6)),
        computer="{ports: {usb3-1: {speed: super}, "
        + ", ".join(f"usb2-{n}: {{speed: high}}" for n in range(1, 6)) + "}}",
    )
    for level in levels(found.traffic):
        wanted: dict[tuple[str, str], set[str]] = {}
        for one, two in itertools.combinations(found.traffic.flows, 2):
            for use, other in itertools.product(one.uses, two.uses):
                both = use.seconds_per_byte * level.alone[one.device] + other.seconds_per_byte * level.alone[two.device]
                if use.resource == other.resource and both > level.capacities[use.resource] * (1 + 1e-9):
                    wanted.setdefault((one.device, two.device), set()).add(use.resource)
        assert {pair: set(links) for pair, links in level.clashes.items()} == wanted


def test_what_matters_on_every_controller() -> None:
    """Every mount and imaging camera, and of focusers and filter wheels the first of each."""
    names = (("f1", "focuser"), ("g", "guiding"), ("m1", "mount"), ("w1", "filter-wheel"), ("f2", "focuser"),
             ("c1", "imaging"), ("w2", "filter-wheel"), ("m2", "mount"), ("c2", "imaging"), ("r", "rotator"))
    rig = study(*(f"{name}: {{role: {role}}}" for name, role in names)).topology.rig
    assert [part.id for part in crossing(rig)] == ["f1", "m1", "w1", "c1", "m2", "c2"]


def test_the_links_of_a_device_that_moves_nothing_are_known() -> None:
    camera = "width_px: 900, height_px: 900, readout_mb_per_s: 10, speed: high"
    rig = study(f"cam: {{role: imaging, {camera}, plug: computer/usb2-1}}",
                "f: {role: focuser, speed: full, plug: computer/usb2-2}")
    assert rig.knows_links("f") and not rig.knows_links("cam"), "that all sockets share one bus is assumed"
    said = study(f"cam: {{role: imaging, {camera}, plug: computer/usb2-1}}",
                 computer="{controllers: {a: {}}, ports: {usb2-1: {speed: high, controller: a, usb2_bus: a}}}")
    assert said.knows_links("cam")


def test_two_that_fill_a_link_to_the_last_bit_do_not_clash() -> None:
    """Ten tenths of a bus: added as floats they make 0.9999999999999999 or 1.0000000000000002, by their order."""
    for part in range(1, 10):
        shares = (part * 1e7 + 1e-7, (10 - part) * 1e7 + 1e-7)
        flows = tuple(Flow(f"c{n}", "still", "in", 1e6, 60.0, rate, rate, Range3.of(0.0), 512.0, (Use("bus", 1e-8),))
                      for n, rate in enumerate(shares))
        bus = Resource("bus", "usb2-bus", "both", "bus", 100.0, Range3.of(100.0), Range3.of(1.0))
        assert not any(level.clashes for level in levels(Traffic((bus,), flows)))
        more = replace(flows[0], demand_bytes_per_s=shares[0] * 1.001)
        assert all(level.clashes == {("c0", "c1"): ("bus",)} for level in levels(Traffic((bus,), (more, flows[1]))))
