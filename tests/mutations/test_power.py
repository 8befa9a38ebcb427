"""Mistakes planted in `topo/power/` that no test noticed, each with a case worked by hand."""

from __future__ import annotations

import itertools
import math
from types import SimpleNamespace
from typing import Any

import pytest

from tests.facts import facts
from tests.power.rigs import outcome, part, text
from topo.analysis.study import Study
from topo.model.facts import Range3
from topo.model.feeds import Lead, LeadFacts, Supply, SupplyFacts
from topo.model.power import BatteryNight
from topo.pipeline import rig_of
from topo.power.bases import basis_of_limit
from topo.power.battery import capacity_ah, charged_volts, inside_ohm, rest_volts, source_volts, used_share
from topo.power.dc import power_of
from topo.power.draining import Draining
from topo.power.forest import AsPower, all_solved, forest_of
from topo.power.guard import guard_of
from topo.power.hours import usual_happenings
from topo.power.night_run import FedPlan
from topo.power.tree import trees
from topo.power.vbus import _at_socket
from topo.rigfile.read import read_text


def supply(amps: float | None = None, volts: float = 13.2, **told: object) -> Supply:
    return Supply("b", volts, amps, facts(SupplyFacts, **told))


@pytest.mark.parametrize(("kind", "points"), [
    ("lifepo4", {0: 10.0, 5: 12.0, 10: 12.8, 20: 12.9, 40: 13.1, 70: 13.2, 90: 13.3, 100: 13.6}),
    ("agm", {0: 11.9, 25: 12.0, 50: 12.2, 75: 12.4, 100: 12.7}),
])
def test_a_battery_rests_at_the_volts_of_its_chart(kind: str, points: dict[int, float]) -> None:
    """At each point of the chart, half way between two, and level beyond its ends."""
    at = sorted(points)
    for left in at:
        assert rest_volts(kind, left / 100) == pytest.approx(points[left])  # type: ignore[arg-type]
    for one, two in itertools.pairwise(at):
        middle = (points[one] + points[two]) / 2
        assert rest_volts(kind, (one + two) / 200) == pytest.approx(middle)  # type: ignore[arg-type]
    assert rest_volts(kind, -0.1) == points[0] and rest_volts(kind, 1.1) == points[100]  # type: ignore[arg-type]


HOUR = 3600.0
LITHIUM = {"chemistry": "lifepo4", "ah": 100.0, "age_years": 0.0, "night_celsius": 25.0}


def test_a_battery_gives_what_it_may_then_all_it_has() -> None:
    """100 Ah, half full, of which 90 may be given: 10 A take a tenth of it each hour. After four hours it stands at the
    tenth that is to stay, after five it is flat."""
    here = Draining(supply(charge_percent=50.0, **LITHIUM), None, 1)
    assert here.left == 0.5 and here.rest_volts() == pytest.approx(13.1 + 0.1 / 3)
    here.drain(0.0, 2 * HOUR, 10.0, 12.0, night=True)
    assert here.left == here.at_dawn == pytest.approx(0.3) and not here.is_done
    here.drain(2 * HOUR, 6 * HOUR, 10.0, 12.0, night=False)
    assert here.used_up_s == pytest.approx(4 * HOUR) and here.flat_s == pytest.approx(5 * HOUR) and here.is_done
    assert here.left == 0.0 and here.at_dawn == pytest.approx(0.3)


def test_how_full_a_battery_is_where_nobody_says() -> None:
    assert [Draining(supply(**LITHIUM), None, level).left for level in range(3)] == [0.8, 1.0, 1.0]
    assert [Draining(supply(charge_percent=40.0, **LITHIUM), None, level).left for level in range(3)] == [0.4] * 3


def test_a_charger_gives_first_and_only_one_that_is_there() -> None:
    charged = supply(charge_percent=100.0, charger_volts=13.8, charger_amps=4.0, **LITHIUM)
    without = supply(charge_percent=100.0, charger_amps=4.0, **LITHIUM)
    for battery, amps, left in ((charged, 10.0, 0.94), (charged, 4.0, 1.0), (charged, 3.0, 1.0), (without, 10.0, 0.9)):
        here = Draining(battery, None, 1)
        here.drain(0.0, HOUR, amps, 12.0, night=True)
        assert here.left == pytest.approx(left) and not here.is_done


def test_a_battery_is_flat_once_it_cannot_feed_or_its_volts_fall_too_low() -> None:
    for amps, volts, flat in ((None, 12.0, True), (5.0, None, True), (5.0, 9.9, True), (5.0, 10.0, False)):
        here = Draining(supply(charge_percent=100.0, **LITHIUM), None, 1)
        here.drain(HOUR, 2 * HOUR, amps, volts, night=True)
        assert here.flat_s == (HOUR if flat else None)
    here = Draining(supply(charge_percent=100.0, cut_off_volts=11.5, **LITHIUM), None, 1)
    here.drain(HOUR, 2 * HOUR, 5.0, 11.4, night=True)
    assert here.flat_s == HOUR


def test_a_battery_rests_no_higher_than_the_file_says_but_at_the_high_end() -> None:
    rests = [Draining(supply(charge_percent=100.0, **LITHIUM), None, level).rest_volts() for level in range(3)]
    assert rests == pytest.approx([13.2, 13.2, 13.6])


def test_peukert_by_hand() -> None:
    """100 Ah at 20 h give 5 A for 20 h; 10 A for 20 / 2^1.25 h; 2 A for 50 h, in proportion; nothing takes nothing."""
    taken = [used_share(amps, 1.0, 100.0, 20.0, 1.25) for amps in (5.0, 10.0, 2.0, 0.0, -1.0)]
    assert taken == pytest.approx([1 / 20, 2**1.25 / 20, 1 / 50, 0.0, 0.0])


def test_capacity_by_cold_and_age() -> None:
    """Of 100 Ah a flooded battery has 0.82 at freezing and 0.9 of that each year; one of unknown age is 0 to 5 years
    old. Lithium has 0.8 at freezing."""
    assert (*(capacity_ah(supply(chemistry="flooded", ah=100.0, night_celsius=0.0, age_years=2.0)) or ()),) == (
        pytest.approx((82 * 0.9**3, 82 * 0.9**2, 82 * 0.9)))
    assert (*(capacity_ah(supply(chemistry="flooded", ah=100.0, night_celsius=0.0)) or ()),) == (
        pytest.approx((82 * 0.9**5, 82 * 0.9**2, 82)))
    assert (*(capacity_ah(supply(chemistry="lifepo4", ah=100.0, night_celsius=0.0, age_years=0.0)) or ()),) == (
        pytest.approx((80, 80, 80)))
    # not colder than -10 C where nobody says, and 5 and 10 K above the coldest of the night where that is known
    assert (*(capacity_ah(supply(chemistry="agm", ah=100.0, age_years=0.0)) or ()),) == pytest.approx(
        (74, 86, 90 + 10 * 10 / 15))
    assert (*(capacity_ah(supply(chemistry="agm", ah=100.0, age_years=0.0), -10.0) or ()),) == pytest.approx(
        (74, 78, 82))
    assert capacity_ah(supply(chemistry="agm")) is None


def test_volts_and_ohms_of_sources() -> None:
    def volts(told: Supply) -> tuple[float, ...]:
        return (*source_volts(told),)

    lithium = supply(**LITHIUM)
    assert volts(lithium) == (12.8, 13.2, 13.6)
    metered = volts(supply(volts_by="meter", **LITHIUM))
    assert metered[0] < 13.2 < metered[2] and metered[2] - metered[0] < 0.8
    label, knob = volts(supply(kind="mains")), volts(supply(kind="mains", adjustable=True))
    assert knob[0] < label[0] < 13.2 < label[2] < knob[2]
    assert (*inside_ohm(supply(kind="mains")),) == (0.0, 0.0, 0.0)
    assert (*inside_ohm(supply(kind="mains", internal_milliohm=12.0)),) == pytest.approx((0.012,) * 3)
    assert (*inside_ohm(lithium),) == pytest.approx((0.010, 0.020, 0.050))
    assert (*inside_ohm(supply(chemistry="agm", ah=80.0)),) == pytest.approx((0.004, 0.004, 0.012))
    assert (*inside_ohm(supply(chemistry="agm")),) == pytest.approx((0.020, 0.020, 0.060))


def test_a_charger_follows_the_cold_by_its_kind() -> None:
    """Six cells, 3 to 5 mV a kelvin each: at 5 C 0.36 to 0.6 V above what it states for 25 C."""
    def held(**told: object) -> tuple[float, ...] | None:
        found = charged_volts(supply(charger_volts=13.6, night_celsius=5.0, **told))
        return None if found is None else (*found,)

    assert charged_volts(supply(chemistry="agm")) is None
    assert held(chemistry="lifepo4") == held(chemistry="agm", charger_compensates=False) == (13.6, 13.6, 13.6)
    assert held(chemistry="agm", charger_compensates=True) == pytest.approx((13.96, 14.08, 14.2))
    assert held(chemistry="agm") == pytest.approx((13.6, 13.6, 14.2))
    night = charged_volts(supply(charger_volts=13.6, chemistry="agm", charger_compensates=True), -5.0)
    assert night is not None and (*night,) == pytest.approx((13.6 + 0.018 * 20, 13.6 + 0.024 * 25, 13.6 + 0.03 * 30))


@pytest.mark.parametrize(("told", "ours"), [
    ({"gauge_awg": 18}, False), ({"gauge_awg": 20}, True), ({"area_mm2": 0.82}, False), ({"area_mm2": 2.5}, False),
    ({"area_mm2": 0.75}, True), ({"gauge_awg": 14, "aluminium": True}, True), ({"gauge_awg": 14}, False), ({}, True),
])
def test_what_a_thin_wire_takes_is_no_published_rule(told: dict[str, object], ours: bool) -> None:
    found = basis_of_limit(Lead("l", "b", "d", facts(LeadFacts, **told)))
    assert found == ("assumed" if ours else "profile")


BOXED = """\
supplies: {b: {volts: 12.8, kind: mains, amps: AMPS}}
boxes: {box: {channels: {c1: {FIRST}, c2: {}}}}
leads:
  feed: {from: b, to: box, FEED length_m: 1, gauge_awg: 14}
  out: {from: box/c1, to: d, OUT length_m: 1, gauge_awg: 18}
"""


@pytest.mark.parametrize(("amps", "feed", "first", "out", "guard", "maybe_less"), [
    # the smallest of what lies on the way; the supply's own limit, 1.25 times its amps, where there is nothing
    (30, "fuse_amps: 10,", "", "fuse_amps: 3,", (3.0, "out"), False),
    (30, "fuse_amps: 3,", "", "fuse_amps: 10,", (3.0, "feed"), False),
    (30, "fuse_amps: 10,", "amps: 5", "", (5.0, "box/c1"), False),
    (30, "fuse_amps: 10,", "amps: 5, fuse_amps: 4", "", (4.0, "box/c1"), False),
    # a box that nobody described may limit its channel to less than what is known before it
    (30, "fuse_amps: 10,", "", "", (10.0, "feed"), True),
    (30, "", "", "", (37.5, "b"), True),
    # a small supply limits itself where that is no more than the wire takes, and a fuse lets more through
    (4, "fuse_amps: 10,", "", "", (5.0, "b"), True),
])
def test_what_guards_a_lead(
    amps: float, feed: str, first: str, out: str, guard: tuple[float, str], maybe_less: bool,
) -> None:
    told = BOXED.replace("AMPS", str(amps)).replace("FEED", feed).replace("FIRST", first).replace("OUT", out)
    rig = rig_of(read_text(text(told, "d: {amps_typical: 1}"), "rig.yaml"))
    [tree] = trees(rig)
    [index] = [number for number, each in enumerate(tree.branches) if each.lead.id == "out"]
    found = guard_of(rig, tree, index, 7.0)
    assert ((found.amps, found.name), found.maybe_less) == (guard, maybe_less)
    assert math.isfinite(found.amps or 0.0)


WHOLE = {
    "b": "volts: 13.2, amps: 30, kind: battery, chemistry: lifepo4, ah: 50, charge_percent: 90, charger_volts: 13.8, "
         "charger_amps: 5, night_celsius: 5",
    "c1": "amps: 5",
    "feed": "from: b, to: box, length_m: 1, gauge_awg: 14, from_plug: PLUG, to_plug: PLUG, fuse_amps: 9, fuse_at_m: 1",
    "out": "from: box/c1, to: d, length_m: 1, area_mm2: 1, from_plug: PLUG, to_plug: PLUG, fuse_amps: 3, fuse_at_m: 1",
    "d": "amps_typical: 1, volts_min: 11, volts_max: 14",
}


def missing(**without: str) -> list[tuple[str, str]]:
    """Of whom what is missing, in a rig of which all is told but these facts."""
    told = {}
    for name, whole in WHOLE.items():
        gone = without.get(name, "").split()
        told[name] = ", ".join(each for each in whole.split(", ") if each.split(":")[0] not in gone)
    power = (f"supplies: {{b: {{{told['b']}}}}}\nboxes: {{box: {{channels: {{c1: {{{told['c1']}}}}}}}}}\n"
             f"leads:\n  feed: {{{told['feed']}}}\n  out: {{{told['out']}}}\n").replace("PLUG", "genderless-30")
    found = power_of(rig_of(read_text(text(power, f"d: {{{told['d']}}}"), "rig.yaml"))).not_judged
    return [(each.name, what) for each in found for what in each.missing]


def test_of_what_is_told_in_full_nothing_is_missing() -> None:
    assert missing() == []


@pytest.mark.parametrize(("who", "without", "wanted"), [
    ("b", "amps", ["amps"]), ("b", "kind", []), ("b", "ah", ["ah"]), ("b", "charge_percent", ["charge_percent"]),
    ("b", "chemistry", ["chemistry"]), ("b", "charger_amps", ["charger_amps"]),
    ("b", "night_celsius", ["night_celsius, since its charger stays on"]), ("b", "night_celsius charger_volts", []),
    ("b", "kind ah chemistry", ["kind"]),
    ("feed", "from_plug", ["from_plug"]), ("feed", "to_plug", ["to_plug"]), ("feed", "fuse_at_m", ["fuse_at_m"]),
    ("feed", "fuse_at_m fuse_amps", []), ("out", "fuse_at_m", []), ("out", "from_plug", ["from_plug"]),
    ("d", "volts_min", ["volts_min"]), ("d", "volts_max", ["volts_max"]), ("d", "amps_typical", ["amps_typical"]),
])
def test_what_is_left_out_is_named_and_nothing_else(who: str, without: str, wanted: list[str]) -> None:
    assert missing(**{who: without}) == [(who, each) for each in wanted]


def test_a_channel_that_nothing_limits_and_a_lead_of_unknown_length_are_named() -> None:
    assert missing(c1="amps") == [("out", "amps of its channel of box")]
    for lead, fact, word in (("feed", "length_m", "length_m"), ("out", "area_mm2", "gauge_awg")):
        [(name, what), *behind] = missing(**{lead: fact})
        assert name == lead and what.startswith(word)
        assert ("d", "volts, since a lead before it is not known") in behind


def test_what_goes_into_a_converter_that_cannot_be_fed_is_all_that_is_asked_of_it() -> None:
    """Of 10 V at 80 %, over a lead that none of it comes through: 12 W, 2 A, and a heater of 3 A at 12 V."""
    power = ("supplies: {s: {volts: 12, kind: mains, amps: 50}}\n"
             "converters: {c: {volts: 10, amps: 9, efficiency_percent: 80}}\nleads:\n"
             "  feed: {from: s, to: c, length_m: 1, gauge_awg: 12}\n"
             "  thin: {from: c, to: w, also: [a, h], length_m: 150, gauge_awg: 28}\n")
    devices = (part("w", 1, "watts"), part("a", 2), part("h", 3, "ohms"))
    rig = rig_of(read_text(text(power, *devices), "rig.yaml"))
    forest = forest_of(AsPower(rig))
    found = all_solved(forest, "typical", 1)
    [above] = [each for each in found if each.volts == 12]
    assert [each.flowing for each in found if each.volts == 10] == [None]
    assert sum(joint.watts for joint in above.joints) == pytest.approx((12 + 10 * (2 + 10 * 3 / 12)) / 0.8)


def test_volts_of_usb_behind_a_hub_that_sits_in_no_usb_socket_are_not_known() -> None:
    line = "line: {speed: full, serial_sockets: 1, plug: computer/usb2-1}"
    focuser = "d: {role: focuser, speed: full, bus_ma: 100, plug: h/1, cable: {length_m: 1, gauge_awg: 28}}"
    rig = rig_of(read_text("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\nhubs:\n"
                           "  h: {speed: high, ports: 4, powered: false, plug: line/serial-1}\n"
                           f"devices:\n  {line}\n  {focuser}\n", "rig.yaml"))
    [found] = [each for each in Study(rig).usb_power if each.part == "d"]
    assert (found.volts, found.volts_at_socket, found.missing) == (None, None, ("volts at h",))


def test_what_a_part_draws_at_the_volts_it_gets() -> None:
    """Watts stay as they are, so amps rise as volts fall from the 12 V they are stated at; a heater's fall too."""
    power = ("supplies: {b: {volts: 11, amps: 30, kind: mains}}\nleads:\n"
             + "".join(f"  l{kind}: {{from: b, to: {kind}, length_m: 3, gauge_awg: 20}}\n"
                       for kind in ("watts", "ohms", "amps", "nobody")))
    found = outcome(power, *(part(kind, 2, kind) for kind in ("watts", "ohms", "amps")), "nobody: {interface: none}")
    plugs = {plug.part: plug for plug in found.plugs}
    factors = {"watts": lambda volts: 12 / volts, "ohms": lambda volts: volts / 12, "amps": lambda _: 1}
    for kind, factor in factors.items():
        plug = plugs[kind]
        for state in ("idle", "typical", "peak"):
            amps, volts = plug.amps.of(state), plug.volts.of(state)
            assert amps is not None and volts is not None and volts.low < volts.likely < 11 < volts.high
            assert sorted(amps) == pytest.approx(sorted(2 * factor(each) for each in volts))
    assert plugs["nobody"].amps.typical is None


def planned(supply: str) -> FedPlan:
    lead = "{from: b, to: c, length_m: 1, gauge_awg: 14}"
    power = f"supplies: {{b: {{volts: 13.2, {supply}}}}}\nleads: {{l: {lead}}}\n"
    devices = ("c: {role: imaging, amps_typical: 1, amps_peak: 2}", "x: {role: imaging, amps_peak: 1.4}",
               "m: {role: mount, amps_peak: 1}", "f: {role: focuser, amps_peak: 1}")
    rig = rig_of(read_text(text(power, *devices) + "night: {hours: 4, focus_every_min: 90}\n", "rig.yaml"))
    return FedPlan(AsPower(rig), usual_happenings(rig))


def test_a_night_is_looked_at_without_a_gap_and_a_battery_for_three_nights() -> None:
    for supply, nights in (("kind: mains, amps: 9", 1), ("chemistry: agm, ah: 50", 3)):
        stretches = planned(supply).stretches
        assert stretches[0][0] == 0.0 and stretches[-1][1] == nights * 4 * 3600
        assert all(one[1] == two[0] for one, two in itertools.pairwise(stretches))
        assert max(end - begin for begin, end, _ in stretches if begin < 4 * 3600) == 600
        assert all(end - begin == 1800 and not raised for begin, end, raised in stretches if begin >= 4 * 3600)


def test_what_draws_its_peak_in_a_usual_night() -> None:
    """Four hours: coolers of 1.5 A or more for twenty minutes, a slew of a minute at once and after each two hours, a
    focus run of two minutes after the first slew and each 90 minutes."""
    at = {0: "cm", 30: "cm", 60: "cf", 179: "cf", 180: "c", 1199: "c", 1200: "", 5459: "", 5460: "f", 5580: "",
          7200: "m", 7260: "", 10860: "f", 14399: ""}
    stretches = planned("kind: mains, amps: 9").stretches
    for second, names in at.items():
        [raised] = [raised for begin, end, raised in stretches if begin <= second < end]
        assert raised == frozenset(names), second


def test_a_battery_lasts_as_long_beside_another_as_by_itself() -> None:
    """One is used up before dawn, the other is followed until long after it."""
    def nights(*names: str) -> dict[str, BatteryNight]:
        ah = {"small": 6, "large": 60}
        supplies = ", ".join(f"{name}: {{volts: 13.2, chemistry: lifepo4, ah: {ah[name]}, age_years: 0, "
                             "night_celsius: 20, charge_percent: 100}" for name in names)
        leads = "".join(f"  to-{name}: {{from: {name}, to: d-{name}, length_m: 1, gauge_awg: 14}}\n" for name in names)
        power = f"supplies: {{{supplies}}}\nleads:\n{leads}"
        made = text(power, *(part(f"d-{name}", 4) for name in names)) + "night: {hours: 6}\n"
        return {each.supply: each for each in Study(rig_of(read_text(made, "rig.yaml"))).power_night.batteries}

    both = nights("small", "large")
    assert both == nights("small") | nights("large") and len(both) == 2


def test_a_hub_without_a_supply_takes_100_mv_at_most() -> None:
    """USB 2.0 7.2.2: from 4.75 V above it to 4.65 V, from 5.25 V to as much."""
    hub: Any = rig_of(read_text("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\nhubs: {h: {speed: high, ports: 2, "
                                "powered: false, plug: computer/usb2-1}}\ndevices: {d: {speed: full, plug: h/1}}\n",
                                "rig.yaml")).part("h")
    above: Any = SimpleNamespace(volts=Range3(4.75, 5.0, 5.25))
    volts = _at_socket(hub, hub.sockets[0], above, [])
    assert volts is not None and [round(each, 6) for each in volts] == [4.65, 4.95, 5.25]
