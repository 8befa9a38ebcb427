"""Batteries through the night, against arithmetic by hand; and what happens in a night, against its own list."""

from __future__ import annotations

import random

import pytest

from tests.power.rigs import part
from topo.model.facts import Range3
from topo.model.feeds import Supply
from topo.model.night import Happening
from topo.model.power import PowerNight
from topo.model.rig import Rig
from topo.pipeline import rig_of
from topo.power.curve import Curve
from topo.power.hours import COOLING_S, usual_happenings
from topo.power.solve import Joint, solved
from topo.power.through_night import night_power
from topo.power.tree import FedTree
from topo.report.power_night import battery_words
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
    assert night.falls == ()


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
    fall = night.falls[0]
    assert (fall.part, fall.level, fall.battery_low) == ("needy", "likely", True)
    # 13.0 V at rest with 30 % left, after 35 of 50 Ah: 7 h; its lead costs 7 mV, so a little earlier
    assert 6.6 <= fall.at_s / 3600 <= 7.0


def test_what_lacks_volts_with_a_full_battery_is_no_matter_of_its_charge() -> None:
    [night] = of(rig(LFP, part("x", 1, more=", volts_min: 14"))).batteries
    assert night.falls == ()


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


HUB = """\
rig: T
computer: {ports: {a: {speed: super}, b: {speed: high}}}
night: {hours: 10}
hubs:
  hub: {speed: super, ports: 4, powered: true, plug: computer/a, amps_typical: 1, amps_peak: 1, volts_min: HUB_V}
devices:
  cam: {role: imaging, speed: super, plug: hub/1, amps_typical: 2, amps_peak: 4, volts_min: CAM_V, interface: bulk}
  guider: {role: guiding, speed: high, plug: hub/2, interface: bulk}
  mount: {role: mount, plug: computer/b, interface: serial, speed: full, amps_typical: 0.5, amps_peak: 0.5,
    volts_min: 10.6}
power:
  supplies: {s: {volts: 12.8, SUPPLY}}
  blocks: {block: {}}
  leads:
    feed: {from: s, to: block, length_m: FEED_M, gauge_awg: 14, contact_milliohm: 0}
    a: {from: block, to: hub, length_m: 0.5, gauge_awg: 14, contact_milliohm: 0}
    b: {from: block, to: cam, length_m: 0.5, gauge_awg: 14, contact_milliohm: 0}
    c: {from: block, to: mount, length_m: 0.5, gauge_awg: 14, contact_milliohm: 0}
"""
MAINS = "kind: mains, amps: 20, volts_by: meter"
CHARGED_LFP = "chemistry: lifepo4, ah: 30, age_years: 0, night_celsius: 25, charge_percent: 100, internal_milliohm: 0"


def cascade(supply: str, hub_v: float = 11.0, cam_v: float = 10.6, feed_m: float = 6.0) -> PowerNight:
    text = HUB.replace("HUB_V", str(hub_v)).replace("CAM_V", str(cam_v)).replace("FEED_M", str(feed_m))
    return night_power(rig_of(read_text(text.replace("SUPPLY", supply), "rig")))


def test_a_hub_browns_out_while_a_cooler_ramps_and_takes_its_cameras_along() -> None:
    """6 m of 14 AWG are 0.102 ohm: 3.5 A of normal work leave 12.4 V, 5.5 A of the ramp 12.2 V. A hub that works from
    12.3 V is out for the 20 min of the ramp, and so is what is plugged into it; the mount on the computer is not."""
    [fall] = [each for each in cascade(MAINS, 12.3).falls if each.level == "likely"]
    assert (fall.part, fall.at_s, fall.lasts_s, fall.battery_low) == ("hub", 0.0, COOLING_S, False)
    assert fall.raised == ("cam",) and fall.dark == () and fall.cut_off == ("cam", "guider")


def test_with_enough_volts_nothing_falls_out() -> None:
    assert cascade(MAINS, 11.0).falls == ()


def test_a_battery_that_runs_down_takes_the_hub_first_and_then_the_rest() -> None:
    [battery] = cascade(CHARGED_LFP, 12.0, 11.0, 1.0).batteries
    likely = [fall for fall in battery.falls if fall.level == "likely"]
    assert likely[0].part == "hub" and likely[0].cut_off == ("cam", "guider")
    assert [fall.at_s for fall in likely] == sorted(fall.at_s for fall in likely)
    # 30 Ah at 3.5 A (at 12 V) are 8.6 h; 12.0 V at rest are reached with 5 % left, a little earlier over the leads
    assert 7.5 <= likely[0].at_s / 3600 <= 8.6


def test_what_passes_its_12_volts_on_takes_those_behind_it() -> None:
    """A converter that needs 12.3 V takes the computer on it, and with that all that is plugged into the computer."""
    text = HUB.replace("HUB_V", "9").replace("CAM_V", "9").replace("FEED_M", "6").replace("SUPPLY", MAINS).replace(
        "  blocks:", "  converters: {up: {volts: 19, volts_min: 12.3, efficiency_percent: 90}}\n  blocks:"
    ) + "    d: {from: block, to: up, length_m: 0.5, gauge_awg: 14}\n"
    text += "    e: {from: up, to: computer, length_m: 1, gauge_awg: 18}\n"
    fall = next(each for each in night_power(rig_of(read_text(text, "rig"))).falls if each.part == "up")
    assert fall.dark == ("computer",) and fall.cut_off == ("hub", "cam", "guider", "mount")


def test_between_the_points_of_the_grid_lines_are_as_good_as_solving() -> None:
    """Within 0.3 mV of the solver on 200 random trees, wherever both points of the grid can be fed."""
    for seed in range(200):
        rng = random.Random(seed)
        tree = [Joint(-1), Joint(0, 0.01), *(Joint(rng.randrange(1, index), rng.uniform(0.01, 0.1),
                watts=rng.uniform(0, 15), siemens=rng.uniform(0, 0.1)) for index in range(2, 8))]  # fmt: skip
        curve = Curve(FedTree(Supply("s", 12.0), *(Range3.of(12.0),) * 2, Range3.of(0.0), ()), tree, {})
        for volts in (13.61, 12.87, 11.93, 10.4, 9.99):
            exact, read = solved(volts, tree), curve.at(volts)
            if exact is None or min(exact.volts) < 0.8 * volts:
                continue  # where a fifth is lost on the way, nothing works anyway
            assert max(abs((read.volts(joint) or 0) - at) for joint, at in enumerate(exact.volts)) < 3e-4


def test_a_charger_left_on_gives_its_amps_first() -> None:
    """2 A of the 5 A come from the charger: 50 Ah, nine tenths usable, last 15 h."""
    charged = LFP + ", charger_volts: 14.2, charger_amps: 2"
    [night] = of(rig(charged, part("x", 5))).batteries
    assert night.lasts_h.likely == pytest.approx(15.0, abs=1e-6)


def test_what_lasts_longer_than_it_is_followed_is_said_so() -> None:
    [night] = of(rig(LFP + ", charger_volts: 14.2, charger_amps: 6", part("x", 5))).batteries
    assert "gives what it may for more than 24 h; the night has 8 h, and 100 % of" in battery_words(night)
    [night] = of(rig(LFP, part("x", 5))).batteries
    assert "for 9.0 h (9.0 to 9.0); the night has 8 h" in battery_words(night)
