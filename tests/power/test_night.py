"""Batteries through the night, against arithmetic by hand; and what happens in a night, against its own list."""

from __future__ import annotations

import pytest

from tests.power.rigs import part
from topo.model.night import Happening
from topo.model.power import PowerNight
from topo.model.rig import Rig
from topo.pipeline import rig_of
from topo.power.hours import COOLING_S, usual_happenings
from topo.power.through_night import night_power
from topo.rigfile.read import read_text


def rig(battery: str, *devices: str, hours: float = 8, lead: str = "") -> Rig:
    parts = "".join(f"  {each}\n" for each in devices)
    names = [each.split(":")[0] for each in devices]
    leads = "".join(f"    l{i}: {{from: b, to: {name}, length_m: 1, gauge_awg: 10, contact_milliohm: 0{lead}}}\n"
                    for i, name in enumerate(names))  # fmt: skip
    return rig_of(read_text(
        f"rig: T\ncomputer: {{}}\nnight: {{hours: {hours:g}}}\ndevices:\n{parts}power:\n"
        f"  supplies: {{b: {{volts: 13.2, kind: battery, internal_milliohm: 0, {battery}}}}}\n  leads:\n{leads}", "rig"
    ))  # fmt: skip


LFP = "chemistry: lifepo4, ah: 50, age_years: 0, night_celsius: 25, charge_percent: 100"


def of(made: Rig) -> PowerNight:
    return night_power(made, ())


def test_lithium_gives_its_ah() -> None:
    """50 Ah, nine tenths usable, 5 A all the time: 9 h. After 8 h 40 of 50 Ah are gone."""
    [night] = of(rig(LFP, part("x", 5))).batteries
    assert night.lasts_h.likely == pytest.approx(9.0, abs=1e-6)
    assert night.left_at_dawn.likely == pytest.approx(0.2, abs=1e-6)
    assert night.out is None


def test_cold_and_age_take_their_share() -> None:
    """0 C leaves 0.80 (one article), three years 0.97^3: 50 x 0.8 x 0.9127 x 0.9 / 5 A = 6.571 h."""
    cold = LFP.replace("night_celsius: 25", "night_celsius: 0").replace("age_years: 0", "age_years: 3")
    [night] = of(rig(cold, part("x", 5))).batteries
    assert night.lasts_h.likely == pytest.approx(50 * 0.8 * 0.97**3 * 0.9 / 5, rel=1e-6)
    assert night.lasts_h.low < night.lasts_h.likely < night.lasts_h.high


def test_lead_acid_obeys_peukert_over_what_changes() -> None:
    """100 Ah at 20 h, flooded (k 1.25): 5 A for 2 h and 10 A for 2 h take 2/20 and 2/20 x 2^1.25 of it."""
    battery = "chemistry: flooded, ah: 100, age_years: 0, night_celsius: 25, charge_percent: 100"
    text = "x: {interface: none, role: focuser, draws: amps, amps_idle: 5, amps_typical: 5, amps_peak: 10}"
    made = rig(battery, text, hours=4)
    night = night_power(made, (Happening("focus-run", 2 * 3600.0, 2 * 3600.0, "x"),))
    assert night.batteries[0].left_at_dawn.likely == pytest.approx(1 - 0.1 - 0.1 * 2**1.25, rel=1e-9)


def test_which_part_falls_out_first_and_when() -> None:
    """A part that works from 13 V is out once the battery rests below it; one that works from 10.5 V later."""
    needy = part("needy", 1, more=", volts_min: 13.0")
    tough = part("tough", 4, more=", volts_min: 10.5")
    [night] = of(rig(LFP, tough, needy, hours=12)).batteries
    assert night.out == "needy" and night.out_h is not None
    # 13.0 V at rest with 30 % left, after 35 of 50 Ah: 7 h; its lead costs 7 mV, so a little earlier
    assert 6.6 <= night.out_h <= 7.0


def test_what_lacks_volts_with_a_full_battery_is_no_matter_of_its_charge() -> None:
    [night] = of(rig(LFP, part("x", 1, more=", volts_min: 14"))).batteries
    assert night.out is None


def test_of_unknown_capacity_nothing_is_said() -> None:
    assert of(rig("chemistry: lifepo4", part("x", 5))).batteries == ()


def test_a_usual_night() -> None:
    made = rig(
        LFP, "cam: {role: imaging, width_px: 10, height_px: 10, amps_typical: 1, amps_peak: 3}",
        "m: {role: mount, amps_typical: 0.5, amps_peak: 3}", "f: {role: focuser, amps_typical: 0.1, amps_peak: 1}",
        hours=4.5,
    )  # fmt: skip
    found = usual_happenings(made)
    assert [each.at_s for each in found] == sorted(each.at_s for each in found)
    assert [(h.at_s, h.lasts_s) for h in found if h.kind == "cooler-ramp"] == [(0.0, COOLING_S)]
    assert [h.at_s for h in found if h.kind == "slew"] == [0.0, 7200.0, 14400.0]
    assert len([h for h in found if h.kind == "focus-run"]) == 5
    night = night_power(made)
    volts = dict(night.volts)["cam"]
    ramp, after = (volts[next(i for i, at in enumerate(night.times_s) if at >= when)] for when in (60.0, 1300.0))
    assert ramp is not None and after is not None and ramp.likely < after.likely


def test_a_night_that_is_handed_over_is_the_one_that_counts() -> None:
    made = rig(LFP, "m: {role: mount, amps_typical: 0.5, amps_peak: 3}")
    quiet, busy = night_power(made, ()), night_power(made, (Happening("slew", 600.0, 1200.0, "m"),))
    assert {each.likely for each in dict(quiet.volts)["m"][:3] if each} != {
        each.likely for each in dict(busy.volts)["m"][:3] if each
    }  # fmt: skip
    assert quiet.batteries[0].left_at_dawn.likely > busy.batteries[0].left_at_dawn.likely
