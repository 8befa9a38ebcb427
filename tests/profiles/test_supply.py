"""Currents and volts against the USB standards and against what is measured or usual on the 12 V side."""

from __future__ import annotations

import pytest

from tests.profiles.shipped import DEVICES, FAMILY, HUBS, PROFILES, by_name, speed_of
from topo.model.facts import value_of
from topo.model.profile import Profile

# USB 2.0 7.2.1: five unit loads of 100 mA; USB 3.1 11.4.1: six of 150 mA.
UNIT_MA = {False: 100, True: 150}
MOST_MA = {False: 500, True: 900}

# Peak current at 12 V by family, A. Cooled cameras: 4 to 24 W measured, a supply of 3 A asked for (published). The
# rest: common practice, no source, with room for the rough.
PEAK_AMPS = {
    "deep_sky_cameras": (2.0, 5.0), "mounts": (0.5, 4.0), "focusers": (0.2, 1.5), "filter_wheels": (0.1, 0.5),
    "rotators": (0.1, 0.5), "flat_panels": (0.2, 2.0), "hubs": (0.2, 5.0), "computers": (0.5, 3.0),
    "dew_and_power": (0.2, 7.0), "weather": (0.0, 0.1), "cables_and_extenders": (0.2, 5.0),
}


@pytest.mark.parametrize("profile", [p for p in (*DEVICES, *HUBS) if p.facts.bus_ma is not None], ids=by_name)
def test_no_more_is_drawn_from_a_socket_than_it_gives(profile: Profile) -> None:
    assert value_of(profile.facts.bus_ma) <= MOST_MA[speed_of(profile).is_superspeed]


@pytest.mark.parametrize("profile", HUBS, ids=by_name)
def test_sockets_of_hubs_give_what_the_standard_says(profile: Profile) -> None:
    facts, fast = profile.facts, speed_of(profile).is_superspeed
    if value_of(facts.powered):
        assert value_of(facts.port_ma) == MOST_MA[fast], "a hub states what a socket of it gives: the standard's figure"
        assert value_of(facts.bus_ma) == 0, "a hub with a supply takes nothing from the socket above"
        return
    assert value_of(facts.port_ma) == value_of(facts.bus_ma) == UNIT_MA[fast], "one unit load, and as much a socket"
    assert facts.amps_peak is None and facts.volts_min is None
    if value_of(facts.ports) > 1:  # the hub's own load and its sockets' together stay within the socket above
        assert value_of(facts.bus_ma) + value_of(facts.all_ports_ma) == MOST_MA[fast]


@pytest.mark.parametrize("profile", HUBS, ids=by_name)
def test_hubs_are_what_their_names_say(profile: Profile) -> None:
    facts, name = profile.facts, profile.name
    assert f"-{value_of(facts.ports)}port" in name or (value_of(facts.ports) == 1 and "port" not in name)
    assert speed_of(profile).is_superspeed == ("usb3" in name)
    assert ("industrial" in name) == (value_of(facts.lowest_celsius, 0.0) < 0.0)
    if FAMILY[name] == "hubs":
        assert value_of(facts.powered) == ("bus-powered" not in name)


@pytest.mark.parametrize("profile", PROFILES.values(), ids=by_name)
def test_twelve_volts_are_within_every_window(profile: Profile) -> None:
    facts = profile.facts
    assert (facts.volts_min is not None) == (facts.volts_max is not None)
    assert (value_of(facts.volts_min) or 0) < 12.0 < (value_of(facts.volts_max) or 99)


@pytest.mark.parametrize("profile", [p for p in PROFILES.values() if p.facts.amps_typical is not None], ids=by_name)
def test_amps_are_in_order_and_of_the_size_that_is_usual(profile: Profile) -> None:
    facts = profile.facts
    idle = value_of(facts.amps_idle, 0.0) if profile.kind == "device" else 0.0
    typical = value_of(facts.amps_typical)
    peak = value_of(facts.amps_peak) or typical
    assert 0 <= idle <= typical <= peak
    low, high = PEAK_AMPS[FAMILY[profile.name]]
    assert low <= peak <= high


def test_guide_cameras_are_fed_by_their_lead_alone() -> None:
    for profile in DEVICES:
        if FAMILY[profile.name] in ("guide_cameras", "planetary_cameras", "all_sky_cameras"):
            assert profile.facts.bus_ma is not None and profile.facts.amps_typical is None
