"""Published examples and tables, each with its source: the 17 worked examples of the fact base, and more.

Examples state solid copper at 20 C and no contacts, so they are worked with that: the tool's own likely figures lie 2 %
(stranding) above, which `test_the_likely_figures_are_a_little_above` holds.
"""

from __future__ import annotations

import itertools
import math

import pytest

from tests.facts import facts
from tests.power.rigs import IDEAL, METER, outcome, part
from tests.usb.volts import volts_at_device
from topo.model.facts import Range3
from topo.model.feeds import LeadFacts, Supply, SupplyFacts
from topo.power.battery import (
    LEAD_COLD,
    at,
    capacity_ah,
    charged_volts,
    compensated,
    inside_ohm,
    peukert,
    rest_volts,
    used_share,
)
from topo.power.copper import (
    CLASS_5_OHM_PER_KM,
    DEVICE_LIMIT_A,
    STRANDED,
    fuse_for,
    limit_of_gauge,
    wire_limit_a,
    wire_ohm_per_m,
)
from topo.power.solve import Joint, solved
from topo.usb.limits import COPPER_OHM_M, cable_ohm_per_m, conductor_ohm_per_m

FT = 0.3048


def solid(length_m: float, gauge: int) -> float:
    """Ohms there and back of a solid pair."""
    return 2 * length_m * conductor_ohm_per_m(gauge)


def drop(amps: float, ohm: float, source: float = 12.0) -> float:
    found = solved(source, [Joint(-1), Joint(0, ohm, amps=amps)])
    assert found is not None
    return source - found.volts[1]


def circular_mils(gauge: int) -> float:
    return (5 * math.pow(92, (36 - gauge) / 39)) ** 2


def size_for(amps: float, round_trip_ft: float, volts: float) -> int:
    """ABYC E-11: CM = 10.75 I L / E, the thinnest even gauge that has as many."""
    need = 10.75 * amps * round_trip_ft / volts
    return next(gauge for gauge in (18, 16, 14, 12, 10, 8, 6, 4) if circular_mils(gauge) >= need)


# -- the worked examples of the fact base ----------------------------------------------------------------------------


def test_w1_a_pump_on_a_boat() -> None:
    """10 A, 11 ft out and 10 ft back, 12 V (a marine wiring page): 12 AWG at 3 %, 16 AWG at 10 %; 0.3335 V at 20 C."""
    assert (size_for(10, 21, 0.36), size_for(10, 21, 1.2)) == (12, 16)
    assert drop(10, 21 * FT * conductor_ohm_per_m(12)) == pytest.approx(0.3335, abs=5e-4)


@pytest.mark.parametrize(("ohm", "lost"), [
    (solid(3, 18), 0.6285), (solid(3, 14), 0.2486),
    (6 * CLASS_5_OHM_PER_KM[1.5] / 1000, 0.399), (6 * CLASS_5_OHM_PER_KM[2.5] / 1000, 0.2394),
])  # fmt: skip
def test_w2_five_amps_over_three_metres(ohm: float, lost: float) -> None:
    assert drop(5, ohm) == pytest.approx(lost, abs=5e-4)


def test_w2_the_longest_run_at_3_percent() -> None:
    assert drop(5, solid(1.718, 18)) == pytest.approx(0.36, abs=5e-4)


def test_w3_contacts_cost_as_much_as_wire() -> None:
    """3 A, 2 m of 20 AWG, a barrel at each end, 30 milliohm each contact: 0.760 V, 0.36 V of it in the contacts."""
    assert drop(3, solid(2, 20) + 4 * 0.030) == pytest.approx(0.760, abs=1e-3)
    assert drop(3, 4 * 0.030) == pytest.approx(0.36, abs=1e-12)


def test_w4_usb_2_over_three_metres() -> None:
    assert volts_at_device(4.75, 0.5, 3, 28) == pytest.approx(3.994, abs=1e-9)
    assert volts_at_device(4.75, 0.5, 3, 20) == pytest.approx(4.5826, abs=1e-4)


def test_w5_the_usb_3_budget() -> None:
    """(((2 x 30) + 190) milliohm x 900 mA) x 2 = 0.450 V (USB 3.1 11.4.2)."""
    length = 0.190 / cable_ohm_per_m(22)
    assert volts_at_device(4.45, 0.9, length, 22) == pytest.approx(4.00, abs=1e-9)


def test_w6_a_tree() -> None:
    """13.8 V, 3 m of 14 AWG to a hub (0.5 A); camera 3 A, mount 2 A on 2 m of 18 AWG, strap 1.5 A on 1.5 m of 20."""
    tree = [
        Joint(-1), Joint(0, solid(3, 14), amps=0.5), Joint(1, solid(2, 18), amps=3), Joint(1, solid(2, 18), amps=2),
        Joint(1, solid(1.5, 20), amps=1.5),
    ]  # fmt: skip
    found = solved(13.8, tree)
    assert found is not None
    assert found.volts == pytest.approx([13.8, 13.452, 13.201, 13.284, 13.302], abs=1e-3)
    assert found.amps[1] == pytest.approx(7.0)
    flat = solved(12.0, tree)
    assert flat is not None and flat.volts[2] == pytest.approx(11.401, abs=1e-3)
    burnt = math.fsum(i * i * joint.ohm for i, joint in zip(found.amps, tree, strict=True))
    assert burnt == pytest.approx(3.750, abs=3e-3)
    assert fuse_for(7, DEVICE_LIMIT_A[14]) == 10


def test_w6_as_a_rig_file() -> None:
    """The same tree in a file, at the tool's own likely figures: 2 % stranding, contacts stated as none."""
    found = outcome(
        f"supplies: {{s: {{volts: 13.8, {METER}}}}}\nleads:\n"
        f"  feed: {{from: s, to: block, length_m: 3, gauge_awg: 14, {IDEAL}}}\n"
        f"  c: {{from: block, to: camera, length_m: 2, gauge_awg: 18, {IDEAL}}}\n"
        f"  m: {{from: block, to: mount, length_m: 2, gauge_awg: 18, {IDEAL}}}\n"
        f"  d: {{from: block, to: strap, length_m: 1.5, gauge_awg: 20, {IDEAL}}}\n"
        "blocks: {block: {contact_milliohm: 0}}",
        part("camera", 3), part("mount", 2), part("strap", 1.5),
    )  # fmt: skip
    lead = found.lead("feed")
    assert lead is not None and lead.amps.typical is not None and lead.amps.typical.likely == pytest.approx(6.5)
    camera = found.plug("camera")
    assert camera is not None and camera.volts.typical is not None
    exact = 13.8 - STRANDED * (6.5 * solid(3, 14) + 3 * solid(2, 18))
    assert camera.volts.typical.likely == pytest.approx(exact, abs=1e-9)


@pytest.mark.parametrize(("celsius", "factor"), [(-10, 0.8821), (60, 1.1572), (0, 0.9214), (40, 1.0786)])
def test_w7_copper_by_temperature(celsius: float, factor: float) -> None:
    """IEC 60028: 0.00393 a kelvin from 20 C."""
    warm = wire_ohm_per_m(facts(LeadFacts, gauge_awg=18), celsius)
    assert warm is not None
    assert warm.likely == pytest.approx(conductor_ohm_per_m(18) * STRANDED * factor, rel=1e-4)


def lead_acid(ah: float, **more: object) -> Supply:
    return Supply("b", 12.7, None, facts(SupplyFacts, kind="battery", ah=ah, age_years=0.0, **more))


def test_w8_a_published_sheet() -> None:
    """40 Ah sealed, 3.72 A for 10 h: its exponent between 20 h and 10 h is 1.117; ours for that kind, 1.10, is near."""
    battery = lead_acid(40, chemistry="agm", night_celsius=25.0)
    hours = 1 / used_share(3.72, 1.0, 40.0, *peukert(battery))
    assert hours == pytest.approx(10.0, rel=0.02)
    assert 1 / used_share(3.4, 1.0, 40.0, *peukert(battery)) == pytest.approx(11.06, rel=0.02)


def test_w9_a_strap_on_more_volts() -> None:
    """12 W at 12 V is 15.87 W and 1.15 A at 13.8 V."""
    found = solved(13.8, [Joint(-1), Joint(0, 0.0, siemens=12 / 144)])
    assert found is not None and found.amps[1] == pytest.approx(1.15, abs=1e-9)
    assert found.amps[1] * 13.8 == pytest.approx(15.87, abs=0.01)


def test_w10_heaters_of_resistors() -> None:
    """3 W at 12 V is 48 ohm (a magazine's article); 30 W are 2.5 A."""
    for ohm, watts in ((48, 3.0), (150, 0.96)):
        found = solved(12, [Joint(-1), Joint(0, siemens=1 / ohm)])
        assert found is not None and 12 * found.amps[1] == pytest.approx(watts)


def test_w11_a_computer_behind_a_converter() -> None:
    """60 W through 90 % from 12 V: 5.556 A."""
    found = outcome(
        f"supplies: {{s: {{volts: 12, {METER}}}}}\nconverters: {{c: {{volts: 20, efficiency_percent: 90}}}}\nleads:\n"
        f"  a: {{from: s, to: c, length_m: 0, gauge_awg: 10, {IDEAL}}}\n"
        f"  b: {{from: c, to: pc, length_m: 0, gauge_awg: 10, {IDEAL}}}",
        part("pc", 3, "watts", ", amps_at_volts: 20"),
    )  # fmt: skip
    lead = found.lead("a")
    assert lead is not None and lead.amps.typical is not None
    assert lead.amps.typical.likely == pytest.approx(5.556, abs=1e-3)


def test_w12_a_daisy_chain_loses_more_than_a_star() -> None:
    chain = solved(12, [Joint(-1), *(Joint(index, solid(1, 20), amps=1) for index in range(3))])
    star = solved(12, [Joint(-1), *(Joint(0, solid(3, 20), amps=1) for _ in range(3))])
    assert chain is not None and star is not None
    assert 12 - chain.volts[3] == pytest.approx(0.400, abs=1e-3)
    assert 12 - star.volts[3] == pytest.approx(0.200, abs=1e-3)


def test_w13_where_no_fuse_fits_the_wire_is_too_thin() -> None:
    """8 A all night: 10 A on 16 AWG; on 18 AWG (7 A) none."""
    assert (fuse_for(8, limit_of_gauge(16)), fuse_for(8, limit_of_gauge(18))) == (10, None)


def test_w15_a_cold_battery() -> None:
    """100 Ah, 6 A, 0 C: 6.45 h of half a lead-acid one with k 1.15; 12.0 h of nine tenths of LiFePO4."""
    gel = lead_acid(100, chemistry="gel", night_celsius=0.0)
    capacity = capacity_ah(gel)
    assert capacity is not None
    assert 0.5 / used_share(6, 1, capacity.likely, *peukert(gel)) == pytest.approx(6.454, abs=5e-3)
    lithium = Supply("b", 13.2, None, facts(SupplyFacts, chemistry="lifepo4", ah=100.0, age_years=0.0,
                                            night_celsius=0.0))  # fmt: skip
    left = capacity_ah(lithium)
    assert left is not None and 0.9 / used_share(6, 1, left.likely, *peukert(lithium)) == pytest.approx(12.0)


def test_w16_a_far_short() -> None:
    """12.8 V behind 8 milliohm: 3.79 A at the end of 20 m of 24 AWG, 147 A at the end of 3 m of 16 AWG."""
    inside = inside_ohm(lead_acid(40, chemistry="agm")).likely
    assert inside == pytest.approx(0.008)
    assert 12.8 / (inside + solid(20, 24)) == pytest.approx(3.79, abs=0.02)
    assert 12.8 / (inside + solid(3, 16)) == pytest.approx(147.1, abs=0.3)


# -- more that was published -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("gauge", "ohm_per_1000_ft"), [
    (10, 0.9989), (12, 1.588), (14, 2.525), (16, 4.016), (18, 6.385), (20, 10.15), (22, 16.14), (24, 25.67),
    (26, 40.81), (28, 64.90),
])  # fmt: skip
def test_a_handbooks_ohms(gauge: int, ohm_per_1000_ft: float) -> None:
    """Solid copper at 20 C by ASTM B258 diameters (a university physics table, two more reprints)."""
    found = wire_ohm_per_m(facts(LeadFacts, gauge_awg=gauge), 20.0)
    assert found is not None
    assert found.low * FT * 1000 == pytest.approx(ohm_per_1000_ft, rel=1.2e-3)


@pytest.mark.parametrize(("gauge", "stranded"), [(18, 7.95), (16, 4.99), (14, 3.14), (12, 1.98), (10, 1.24)])
def test_the_codes_ohms_at_75_c(gauge: int, stranded: float) -> None:
    """US code chapter 9 table 8, stranded, uncoated (two full reprints)."""
    found = wire_ohm_per_m(facts(LeadFacts, gauge_awg=gauge), 75.0)
    assert found is not None and found.likely * FT * 1000 == pytest.approx(stranded, rel=8e-3)


@pytest.mark.parametrize(("area", "most"), [
    (0.5, 39.0), (0.75, 26.0), (1.0, 19.5), (1.5, 13.3), (2.5, 7.98), (4.0, 4.95), (6.0, 3.30), (10.0, 1.91),
])  # fmt: skip
def test_flexible_metric_conductors(area: float, most: float) -> None:
    """IEC 60228 class 5, ohm per km at 20 C; ideal copper of that area is 10.5 to 17 % below."""
    found = wire_ohm_per_m(facts(LeadFacts, area_mm2=area), 20.0)
    assert found is not None and found.likely * 1000 == pytest.approx(most)
    assert 1.105 <= most / (COPPER_OHM_M / (area * 1e-6) * 1000) <= 1.17


GRID = {(5, 10): 18, (10, 10): 14, (15, 10): 12, (20, 10): 12, (25, 10): 10, (5, 20): 14, (10, 15): 12, (5, 25): 12,
        (5, 30): 12, (10, 30): 10, (5, 40): 10, (15, 20): 10}  # fmt: skip


@pytest.mark.parametrize(("cell", "printed"), GRID.items())
def test_a_catalogues_sizes(cell: tuple[int, int], printed: int) -> None:
    """ABYC E-11 at 3 % of 12 V, amps by feet there and back: the catalogue prints the formula's size or one thicker."""
    assert printed in (size_for(*cell, 0.36), size_for(*cell, 0.36) - 2)


@pytest.mark.parametrize(("gauge", "most"), DEVICE_LIMIT_A.items())
def test_the_codes_fuses(gauge: int, most: float) -> None:
    """US code 240.4(D), read in reprints."""
    assert wire_limit_a(facts(LeadFacts, gauge_awg=gauge)) == most


@pytest.mark.parametrize(("gauge", "bundled", "free_air"), [(20, 1.5, 11), (22, 0.92, 7), (24, 0.58, 3.5),
                                                            (28, 0.23, 1.4)])  # fmt: skip
def test_thin_wires_lie_between_a_handbooks_two_columns(gauge: int, bundled: float, free_air: float) -> None:
    """700 circular mils an ampere below, 'chassis wiring' above (Handbook of Electronic Tables and Formulas)."""
    assert bundled < limit_of_gauge(gauge) < free_air


def test_every_gauge_has_a_limit_that_falls() -> None:
    limits = [limit_of_gauge(gauge) for gauge in range(4, 41)]
    assert all(a >= b > 0 for a, b in itertools.pairwise(limits))


@pytest.mark.parametrize(("celsius", "left"), [(30, 1.03), (25, 1.0), (10, 0.90), (-10, 0.74), (0, 0.82)])
def test_lead_acid_in_the_cold(celsius: float, left: float) -> None:
    """A published 40 Ah sheet; 0 C by a straight line."""
    assert at(LEAD_COLD, celsius) == pytest.approx(left)


@pytest.mark.parametrize(("left", "volts"), [(1.0, 12.7), (0.75, 12.4), (0.5, 12.2), (0.25, 12.0), (0.0, 11.9)])
def test_lead_acid_at_rest(left: float, volts: float) -> None:
    """A vehicle manual's chart."""
    assert rest_volts("flooded", left) == pytest.approx(volts)


def test_lifepo4_at_rest_is_on_its_plateau() -> None:
    """12.9 to 13.3 V for 70 to 80 % of the charge (five charts); 13.2 V somewhere on it."""
    assert rest_volts("lifepo4", 0.2) == pytest.approx(12.9)
    assert rest_volts("lifepo4", 0.9) == pytest.approx(13.3)
    assert rest_volts("lifepo4", 0.7) == pytest.approx(13.2)


def test_at_its_rated_current_a_battery_lasts_its_rated_hours() -> None:
    """By definition, whatever the exponent: 100 Ah over 20 h is 5 A (the form with a 1 A reference gives 14.5 h)."""
    for kind in ("agm", "gel", "flooded"):
        assert 1 / used_share(5, 1, 100.0, *peukert(lead_acid(100, chemistry=kind))) == pytest.approx(20.0)


def test_the_likely_figures_are_a_little_above() -> None:
    found = wire_ohm_per_m(facts(LeadFacts, gauge_awg=14))
    assert found is not None and found.likely == pytest.approx(1.02 * conductor_ohm_per_m(14))
    assert found.low < conductor_ohm_per_m(14) and found.high > 1.1 * conductor_ohm_per_m(14)


def test_w14_a_charger_follows_temperature() -> None:
    """13.4 V of float at 25 C, 5 mV a kelvin and cell: 13.25 V at 30 C (a published example); 3 mV over -15 K is 0.27 V
    more (another source)."""
    assert compensated(13.4, 30, 0.005) == pytest.approx(13.25, abs=1e-9)
    assert compensated(13.4, 10, 0.003) == pytest.approx(13.4 + 0.27, abs=1e-9)


def test_w14_as_a_battery_with_its_charger_left_on() -> None:
    """At rest the parts have what the charger gives; whether it follows is a range where nobody says."""
    facts_ = {"chemistry": "agm", "charger_volts": 13.4, "night_celsius": 30.0}
    warm = charged_volts(lead_acid(40, **facts_, charger_compensates=True))
    assert warm is not None and warm.low == pytest.approx(13.25) and warm.high == pytest.approx(13.31)
    unknown = charged_volts(lead_acid(40, **facts_))
    assert unknown is not None and unknown.likely == unknown.high == 13.4
    assert charged_volts(lead_acid(40, **facts_, charger_compensates=False)) == Range3.of(13.4)
    found = outcome(
        "supplies: {b: {volts: 12.7, chemistry: agm, charger_volts: 13.4, charger_compensates: true, "
        "night_celsius: -10}}\nleads: {l: {from: b, to: x, length_m: 1, gauge_awg: 14}}",
        part("x", 1, more=", volts_max: 14"),
    )  # fmt: skip
    [plug] = found.plugs
    assert plug.at_rest.likely == pytest.approx(13.4 + 6 * 0.004 * 35) and plug.at_rest.high > plug.ceiling  # type: ignore[operator]
