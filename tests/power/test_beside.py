"""Leads side by side: volts and shares against a nodal solution of the network with its loop; their guards; rings."""

from __future__ import annotations

import random

import numpy
import pytest

from tests.power.rigs import METER, outcome, part
from topo.model.facts import value_of
from topo.pipeline import examine_text, rig_of
from topo.power.dc import power_of
from topo.power.tree import trees
from topo.rigfile.read import read_text

LEADS = "leads:\n  a: {{from: s, to: x, {a}}}\n  b: {{from: s, to: x, {b}}}"


def two(a: str, b: str, amps: float = 6, supply: str = METER) -> str:
    return f"supplies: {{s: {{volts: 12, {supply}}}}}\n" + LEADS.format(a=a, b=b)


def test_equal_leads_carry_half_each_and_cost_half() -> None:
    wire = "length_m: 2, gauge_awg: 18, contact_milliohm: 0"
    both, one = outcome(two(wire, wire), part("x", 6)), outcome(
        f"supplies: {{s: {{volts: 12, {METER}}}}}\nleads: {{a: {{from: s, to: x, {wire}}}}}", part("x", 6))
    first, second, alone = both.lead("a"), both.lead("b"), one.lead("a")
    assert first is not None and second is not None and alone is not None
    assert first.beside == ("b",) and second.beside == ("a",)
    for lead in (first, second):
        assert lead.amps.peak is not None and lead.amps.peak.likely == pytest.approx(3.0)
        assert lead.all_amps.peak is not None and lead.all_amps.peak.likely == pytest.approx(6.0)
    assert both.plugs[0].volts.peak is not None and one.plugs[0].volts.peak is not None
    assert 12 - both.plugs[0].volts.peak.likely == pytest.approx((12 - one.plugs[0].volts.peak.likely) / 2)


@pytest.mark.parametrize("seed", range(60))
def test_against_kirchhoffs_equations(seed: int) -> None:
    """Two to four leads of any wire side by side, a lead behind them: node equations by numpy, each branch its own."""
    rng = random.Random(seed)
    amps = rng.uniform(1, 8)
    count = rng.randint(2, 4)
    lines = [f"  l{i}: {{from: s, to: block, length_m: {rng.uniform(0.3, 3):.2f}, "
             f"gauge_awg: {rng.choice((12, 14, 16, 18))}"
             + (", fuse_amps: 10" if rng.random() < 0.5 else "") + "}" for i in range(count)]
    lines.append("  out: {from: block, to: x, length_m: 1, gauge_awg: 14}")
    text = "supplies: {s: {volts: 12, " + METER + "}}\nblocks: {block: {}}\nleads:\n" + "\n".join(lines)
    rig = rig_of(read_text(rig_text(text, part("x", amps)), "r"))
    found = power_of(rig)
    ohm = {lead.id: sum(step.ohm.likely for step in lead.steps) for lead in found.leads}
    g = [1 / ohm[f"l{i}"] for i in range(count)]
    matrix = numpy.array([[sum(g) + 1 / ohm["out"], -1 / ohm["out"]], [-1 / ohm["out"], 1 / ohm["out"]]])
    volts = numpy.linalg.solve(matrix, numpy.array([12 * sum(g), -amps]))
    assert found.plugs[0].volts.peak is not None
    assert found.plugs[0].volts.peak.likely == pytest.approx(volts[1], abs=1e-9)
    for i in range(count):
        lead = found.lead(f"l{i}")
        assert lead is not None and lead.amps.peak is not None
        assert lead.amps.peak.likely == pytest.approx((12 - volts[0]) * g[i], rel=1e-9)
        assert lead.amps.peak.low <= lead.amps.peak.likely <= lead.amps.peak.high
    together = [lead.amps.peak.likely for lead in found.leads if lead.id != "out" and lead.amps.peak]
    assert sum(together) == pytest.approx(amps)
    assert not trees(rig)[0].doubled and value_of(rig.leads[0].facts.length_m) is not None


def rig_text(power: str, *devices: str) -> str:
    from tests.power.rigs import text

    return text(power, *devices)


def names(power: str, amps: float) -> dict[tuple[str, str], str]:
    report = examine_text(rig_text(power, part("x", amps, more=", volts_min: 9, volts_max: 15")))
    return {(each.name, each.severity): each.message for each in report.findings}


def test_a_short_in_one_is_fed_over_the_other() -> None:
    """A thin lead with its 3 A fuse beside a thick one of 15 A: what can feed a short in the thin one is 15 A."""
    power = two("length_m: 1, gauge_awg: 24, fuse_amps: 2", "length_m: 1, gauge_awg: 14, fuse_amps: 15", supply=METER)
    found = outcome(power, part("x", 4))
    thin, thick = found.lead("a"), found.lead("b")
    assert thin is not None and (thin.fuse_a, thin.guard) == (15, "b")
    assert thick is not None and (thick.fuse_a, thick.guard) == (15, "b")
    assert any(name == "fuse-does-not-protect" for name, _ in names(power, 4))
    bare = outcome(two("length_m: 1, gauge_awg: 18, fuse_amps: 5", "length_m: 1, gauge_awg: 18"), part("x", 4))
    assert [lead.fuse_a for lead in bare.leads] == [None, None]


def test_fuses_that_hold_only_together_are_a_note() -> None:
    wire = "length_m: 1, gauge_awg: 16, fuse_amps: 5, from_plug: ring, to_plug: ring"
    said = names(two(wire, wire), 7)
    assert ("fuse-blows-in-use", "note") in said and "once" in said["fuse-blows-in-use", "note"]
    assert not any(name == "wire-runs-hot" for name, _ in said)


def test_of_one_without_a_gauge_both_are_listed() -> None:
    found = outcome(two("length_m: 1, gauge_awg: 16, fuse_amps: 5", "length_m: 1, fuse_amps: 5"), part("x", 2))
    missing = {each.name: " ".join(each.missing) for each in found.not_judged if each.what == "lead"}
    assert "gauge_awg" in missing["b"] and "beside it" in missing["a"] and found.plugs == ()


RING = """\
supplies: {s: {volts: 12, amps: 20, kind: mains}}
blocks: {here: {}, there: {}}
leads:
  f: {from: s, to: here, length_m: 1, gauge_awg: 12, fuse_amps: 10}
  g: {from: s, to: there, length_m: 1, gauge_awg: 12, fuse_amps: 10}
  a: {from: here, to: x, length_m: 1, gauge_awg: 16, fuse_amps: 5}
  b: {from: there, to: x, length_m: 1, gauge_awg: AWG, fuse_amps: 5}"""


def test_a_ring_is_told_and_its_second_way_is_looked_at_alone() -> None:
    found = outcome(RING.replace("AWG", "16"), part("x", 4))
    [ring] = found.rings
    assert (ring.end, ring.first, ring.other.id) == ("x", "a", "b")
    assert ring.other.amps.peak is not None and ring.other.amps.peak.likely == pytest.approx(4.0)
    first = found.lead("a")
    assert first is not None and first.amps.peak is not None and first.amps.peak.likely == pytest.approx(4.0)
    assert found.lead("b") is None
    assert [each.missing[0] for each in found.not_judged if each.name == "b"] == [
        "how much it carries, and how much the other way to its end"]
    assert ("fed-in-a-ring", "note") in names(RING.replace("AWG", "16"), 4)
    assert ("fed-in-a-ring", "risk") in names(RING.replace("AWG", "26"), 4)
