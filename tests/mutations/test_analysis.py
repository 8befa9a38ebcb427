"""Mistakes planted in `topo/analysis/` and `topo/flows/` that no test noticed, each with a case of its own."""

from __future__ import annotations

import itertools
import math
import random

import pytest

from topo.analysis.cut import crossing
from topo.analysis.levels import levels
from topo.analysis.study import Study
from topo.checks.cases import guiding, imaging, rig
from topo.frozen import replace
from topo.model.facts import Range3
from topo.model.traffic import Flow, Resource, Traffic, Use
from topo.night.mounts import ROUGHER
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


def test_a_poll_presses_no_guide_camera_that_fills_its_bus_alone() -> None:
    """A guide camera that reads out faster than USB 2 delivers has no room beside it, and a few bytes a second need
    none; those of a disk do."""
    camera = "g: {role: guiding, speed: high, width_px: 900, height_px: 900, readout_mb_per_s: 300, " \
             "plug: computer/usb2-1, use: {exposure_s: 2}}"
    poll = "m: {role: mount, speed: full, plug: computer/usb2-2, serial: {baud: 9600, polls_per_s: 1, bytes_out: 10}}"
    disk = "d: {role: storage, speed: high, plug: computer/usb2-2, mb_per_s: 20, use: {mb_per_s: 5}}"
    assert study(camera, poll).shared == ()
    [shared] = study(camera, disk).shared
    assert (shared.guide, shared.other) == ("g", "d")


def test_how_far_a_star_is_when_a_late_pulse_comes() -> None:
    """As fast as the mount moves at the most, for as long as a pulse waits: pi times 20 arcsec in 400 s, 1.6 times that
    where a strain-wave gear is rough."""
    line = "serial: {baud: 1200, polls_per_s: 2, bytes_out: 10, bytes_in: 20, pulse: computer}"
    for gear, rough in (("worm", 1.0), ("strain-wave", ROUGHER["strain-wave"].high)):
        facts = f"gear: {gear}, periodic_error_arcsec: 20, periodic_error_period_s: 400, speed: full"
        mount = f"mount: {{role: mount, {facts}, plug: computer/usb2-2, {line}}}"
        text = rig(imaging("computer/usb3-1"), guiding("computer/usb2-1"), mount)
        [told] = Study(rig_of(read_text(text, "rig.yaml"))).pulses
        fastest = math.pi * 20 / 400 * rough
        assert told.waits[2].mean_s > 0.01
        assert told.late_arcsec == pytest.approx(told.waits[2].mean_s * fastest)
        assert told.worst_error_arcsec == pytest.approx(told.waits[2].worst_s * 7.52)


TWO_BUSES = ("{controllers: {a: {}, b: {}}, ports: {usb2-1: {speed: high, controller: a, usb2_bus: a}, "
             "usb2-2: {speed: high, controller: a, usb2_bus: a}, usb2-3: {speed: high, controller: b, usb2_bus: b}}}")


def test_what_is_asked_of_links_and_how_full_they_are() -> None:
    """USB 2 is likely to deliver 41.5 of its 53.248 MB/s. A camera sends 1 MB in each cycle of a minute and its own
    download; two disks ask for 5 and 8 MB/s all night."""
    camera = "role: imaging, speed: high, width_px: 1000, height_px: 500, readout_mb_per_s: 20"
    disk = "role: storage, speed: high, mb_per_s: 30"
    found = study(f"c: {{{camera}, plug: computer/usb2-1, use: {{exposure_s: 60}}}}",
                  f"d: {{{disk}, plug: computer/usb2-2, use: {{mb_per_s: 5}}}}",
                  f"e: {{{disk}, plug: computer/usb2-3, use: {{mb_per_s: 8}}}}", computer=TWO_BUSES)
    one, two = found.links
    assert (one.carries, two.carries) == (("c", "d"), ("e",))
    assert (one.asked_mb_per_s, two.asked_mb_per_s) == pytest.approx((25.0, 8.0))
    assert (one.load_peak, two.load_peak) == pytest.approx((25 / 41.5, 8 / 41.5))
    cycle = found.device("c").cadence_s
    assert cycle == pytest.approx(60 + found.device("c").alone_s.likely) and cycle > 60.05
    assert (one.load_average, two.load_average) == pytest.approx(((1 / cycle + 5) / 41.5, 8 / 41.5))
    assert found.busiest() == found.busiest(frozenset("cd")) == pytest.approx(25 / 41.5)
    assert found.busiest(frozenset("e")) == pytest.approx(8 / 41.5) and found.busiest(frozenset("x")) == 0.0


def test_a_link_that_is_asked_for_more_than_it_has_is_full() -> None:
    """A camera of 300 MB/s takes all of USB 2, beside a disk that asks for 5 of its 41.5 MB/s."""
    camera = "role: imaging, speed: high, width_px: 1000, height_px: 500, readout_mb_per_s: 300"
    found = study(f"c: {{{camera}, plug: computer/usb2-1}}",
                  "d: {role: storage, speed: high, mb_per_s: 30, plug: computer/usb2-2, use: {mb_per_s: 5}}")
    [bus] = found.links
    assert bus.load_peak == 1.0 and bus.load_average == pytest.approx(5 / 41.5)
    assert found.device("c").asked_mb_per_s == pytest.approx(45.4), "no more than USB 2 is ever seen to deliver"
    assert (*(found.device("c").gets_mb_per_s or ()),) == pytest.approx((41.5 * 11 / 13 - 5, 36.5, 40.4))
    assert found.device("c").cadence_s is None and found.device("c").frame_bytes == 1_000_000


def test_a_bus_that_is_reserved_whole_is_full_and_carries_nothing() -> None:
    """60,000 bytes of a millisecond of USB 2, with their overhead, are more than all of it."""
    found = study("w: {role: other, interface: iso, speed: high, width_px: 640, height_px: 480, "
                  "iso_bytes_per_ms: 60000, plug: computer/usb2-1, use: {mode: video}}",
                  "c: {role: imaging, speed: high, width_px: 1000, height_px: 500, readout_mb_per_s: 20, "
                  "plug: computer/usb2-2, use: {exposure_s: 60}}")
    [bus] = found.links
    assert bus.reserved > 1.0 and (bus.load_average, bus.load_peak) == (1.0, 1.0)
    assert (*(found.device("c").gets_mb_per_s or ()),) == (0.0, 0.0, 0.0)
