"""Mounts, focusers, wheels and other slow parts: drift, serial lines, interrupt endpoints, full speed."""

from __future__ import annotations

import math

import pytest

from tests.profiles.shipped import DEVICES, FAMILY, PROFILES, by_name, speed_of
from topo.model.declare import known
from topo.model.facts import value_of
from topo.model.profile import Profile
from topo.model.records import SerialFacts
from topo.model.speed import Speed

# Published periodic errors: least and most peak to peak in arcsec, period in s. 600 s is an assumption for worms.
# The slope of a smooth error of amplitude p/2 and period T is at most 2 pi / T x p/2 = pi p / T.
ERRORS = {
    "mount-worm-premium-serial": (7, 10, 600), "mount-worm-mid-serial": (10, 30, 600),
    "mount-worm-mid-with-hub": (10, 30, 600), "mount-worm-entry-serial": (30, 120, 600),
    "mount-travel-serial": (160, 160, 861), "mount-strain-wave-serial": (19, 45, 431),
}
SIDEREAL_ARCSEC_PER_S = 15.041
"""360 degrees in 86,164.1 s."""


def test_every_class_of_mount_has_a_profile() -> None:
    mounts = {name for name, family in FAMILY.items() if family == "mounts"}
    assert mounts == {*ERRORS, "mount-direct-drive-serial", "mount-network"}, "a new mount's published error: ERRORS"
    assert {name for name in mounts if PROFILES[name].facts.drift_arcsec_per_s is not None} == set(ERRORS)


@pytest.mark.parametrize(("name", "error"), ERRORS.items())
def test_drift_is_the_steepest_slope_of_the_worst_published_error(name: str, error: tuple[int, int, int]) -> None:
    least, most, period = error
    drift = value_of(PROFILES[name].facts.drift_arcsec_per_s)
    assert drift == pytest.approx(math.pi * most / period, abs=0.001)
    assert math.pi * least / period - 0.001 <= drift < SIDEREAL_ARCSEC_PER_S


def test_pulses_are_those_published() -> None:
    assert value_of(PROFILES["mount-strain-wave-serial"].facts.longest_pulse_ms) == 500
    for name in ERRORS:
        if "worm" in name:
            assert 1500 <= value_of(PROFILES[name].facts.longest_pulse_ms) <= 2000


@pytest.mark.parametrize("profile", [p for p in DEVICES if p.serial != SerialFacts()], ids=by_name)
def test_serial_lines_keep_up_with_their_polls(profile: Profile) -> None:
    """10 bits a byte (8N1). A line is never more than half in use, bar one that talks by itself each second."""
    line = profile.serial
    assert {"baud", "polls_per_s", "bytes_out", "bytes_in"} <= set(dict(known(line)))
    assert value_of(line.baud) in (9600, 115200)
    seconds = (value_of(line.bytes_out) + value_of(line.bytes_in)) * 10 / value_of(line.baud)
    assert 0 < seconds * value_of(line.polls_per_s) <= 0.5
    assert speed_of(profile) is Speed.FULL and value_of(profile.facts.interface) == "serial"


def test_forty_bytes_take_what_is_published_for_mounts() -> None:
    line = PROFILES["mount-worm-mid-serial"].serial
    exchange = value_of(line.bytes_out) + value_of(line.bytes_in)
    assert exchange == 40
    assert exchange * 10 / value_of(line.baud) == pytest.approx(0.042, abs=0.0005)
    fast = value_of(PROFILES["mount-direct-drive-serial"].serial.baud)
    assert exchange * 10 / fast == pytest.approx(0.0035, abs=0.0001)


@pytest.mark.parametrize("profile", [p for p in DEVICES if value_of(p.facts.interface) == "hid"], ids=by_name)
def test_interrupt_endpoints_are_within_full_speed(profile: Profile) -> None:
    """USB 2.0 5.7.3 and 5.7.4: at most 64 bytes, each 1 to 255 ms."""
    assert value_of(profile.facts.interrupt_bytes) <= 64
    assert 1 <= value_of(profile.facts.interrupt_interval_ms) <= 255
    assert speed_of(profile) is Speed.FULL


def test_parts_that_wait_for_hours_must_not_sleep() -> None:
    for profile in DEVICES:
        if profile.role in ("focuser", "filter-wheel", "rotator", "flat-panel"):
            assert value_of(profile.facts.must_not_sleep, False), f"{profile.name} states `must_not_sleep: yes`"


def test_wheels_are_ready_after_the_published_times() -> None:
    ready = {value_of(p.facts.ready_after_s) for p in DEVICES if p.role == "filter-wheel"}
    assert all(11 <= seconds <= 17 or seconds == 60 for seconds in ready)


def test_adapters_have_the_sockets_of_their_names() -> None:
    for count in (1, 2, 4):
        facts = PROFILES[f"serial-adapter-{count}port"].facts
        assert value_of(facts.serial_sockets) == count
        assert value_of(facts.endpoints) == 3 * count


def test_parts_without_usb_state_nothing_of_it() -> None:
    for profile in DEVICES:
        if value_of(profile.facts.interface) == "none":
            assert not {"speed", "bus_ma", "endpoints"} & set(dict(known(profile.facts))), profile.name
