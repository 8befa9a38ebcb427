"""Cameras against published frame sizes and against what the bus carries."""

from __future__ import annotations

import math
import re

import pytest

from tests.profiles.shipped import CAMERAS, FAMILY, by_name, speed_of
from topo.model.facts import value_of
from topo.model.profile import Profile
from topo.model.speed import Speed

# Frames at 16 bits of the classes, in MB to one decimal, by width and height (the survey of test_sources.py; two of
# them are published as such: 'about 120 MB' for 61 MP, 'about 30 MB' for the same binned 2 x 2).
FRAMES_MB = {
    (1280, 960): 2.5, (1440, 1080): 3.1, (1936, 1096): 4.2, (1936, 1216): 4.7, (2048, 1536): 6.3, (3096, 2080): 12.9,
    (3840, 2160): 16.6, (3008, 3008): 18.1, (4144, 2822): 23.4, (4656, 3520): 32.8, (4968, 3378): 33.6,
    (5496, 3672): 40.4, (5320, 4600): 48.9, (6248, 4176): 52.2, (8288, 5644): 93.6, (9576, 6388): 122.3,
    (11760, 8896): 209.2, (14304, 10748): 307.5,
}

# Payload ceilings of bulk in MB/s: 13 packets of 512 bytes in a microframe (USB 2.0 table 5-10); 5 Gb/s after 8b/10b,
# packet framing, link commands and skips (USB 3.2 6.3, 6.4.3, 7.2).
CEILING_MB_PER_S = {Speed.HIGH: 13 * 512 * 8000 / 1e6, Speed.SUPER: 474.93}

# Most that is published as seen with cameras: 37.7 to 45.4 at USB 2, 336 to 371 at 5 Gb/s.
SEEN_MB_PER_S = {Speed.HIGH: 45.4, Speed.SUPER: 371.0}

# Published frame rates: width, height, bytes a sample, frames a second. The depth of the first is not told.
RATES = {("camera-guide-1mp-usb3", 1): 60, ("camera-guide-3mp-usb3", 1): 118, ("camera-planet-3mp-usb3", 1): 118,
         ("camera-global-24mp", 1): 15, ("camera-apsc-16mp", 2): 10, ("camera-apsc-26mp", 2): 6.8,
         ("camera-guide-1mp", 1): 30, ("camera-planet-1mp", 1): 30}
BY_NAME = {profile.name: profile for profile in CAMERAS}


def size_of(profile: Profile) -> tuple[int, int]:
    return value_of(profile.facts.width_px), value_of(profile.facts.height_px)


def is_of_a_class(profile: Profile) -> bool:
    return not re.search("ccd|mirrorless", profile.name)


def test_the_survey_agrees_with_itself() -> None:
    for (width, height), frame_mb in FRAMES_MB.items():
        assert width * height * 2 / 1e6 == pytest.approx(frame_mb, abs=0.05)
    assert FRAMES_MB[9576, 6388] == pytest.approx(120, rel=0.02)
    binned_mb = (9576 // 2) * (6388 // 2) * 2 / 1e6
    assert binned_mb == pytest.approx(30, rel=0.02)


def test_every_class_has_a_profile_and_no_other_frame_is_sold() -> None:
    sold = {size_of(profile) for profile in CAMERAS if is_of_a_class(profile)}
    assert sold == set(FRAMES_MB), "a frame of a new size is added to FRAMES_MB, after asking whether it is a class"


def test_guide_cameras_come_in_every_variant() -> None:
    guides = [profile for profile in CAMERAS if FAMILY[profile.name] == "guide_cameras"]
    assert all(profile.role == "guiding" for profile in guides)
    told = [p for p in guides if p.facts.frame_memory_mb is not None]
    memory = {(speed_of(p), value_of(p.facts.frame_memory_mb) > 0) for p in told}
    assert memory == {(Speed.HIGH, False), (Speed.SUPER, False), (Speed.SUPER, True)}
    assert {min(size_of(p)) for p in guides} >= {960, 1080, 1096, 1216, 1536, 2080, 2160}


@pytest.mark.parametrize("profile", CAMERAS, ids=by_name)
def test_readout_is_what_its_bus_is_seen_to_carry(profile: Profile) -> None:
    readout = value_of(profile.facts.readout_mb_per_s)
    assert 0 < readout <= SEEN_MB_PER_S[speed_of(profile)]


@pytest.mark.parametrize("profile", [p for p in CAMERAS if p.facts.max_fps is not None], ids=by_name)
def test_frame_rates_fit_bus_and_readout(profile: Profile) -> None:
    width, height = size_of(profile)
    rate = value_of(profile.facts.max_fps) * width * height / 1e6  # at 8 bits, the least
    assert rate <= CEILING_MB_PER_S[speed_of(profile)]
    assert rate <= value_of(profile.facts.readout_mb_per_s) * 1.01


@pytest.mark.parametrize(("name", "width_bytes", "fps"), [(*key, fps) for key, fps in RATES.items()])
def test_published_rates_are_kept_and_the_readout_follows(name: str, width_bytes: int, fps: float) -> None:
    facts = BY_NAME[name].facts
    assert value_of(facts.max_fps) == fps
    rate = fps * math.prod(size_of(BY_NAME[name])) * width_bytes / 1e6
    assert value_of(facts.readout_mb_per_s) == pytest.approx(rate,
                                                            rel=0.01)


@pytest.mark.parametrize("profile", CAMERAS, ids=by_name)
def test_frame_memory_is_none_or_holds_a_frame(profile: Profile) -> None:
    memory = value_of(profile.facts.frame_memory_mb)
    frame_mb = math.prod(size_of(profile)) * 2 / 1e6
    assert memory is None or memory == 0 or memory >= frame_mb * 0.999


@pytest.mark.parametrize("name", ["camera-ccd-1mp", "camera-ccd-8mp", "camera-ccd-16mp"])
def test_charge_coupled_sensors_read_out_in_seconds_to_tens_of_seconds(name: str) -> None:
    profile = BY_NAME[name]
    seconds = math.prod(size_of(profile)) * 2 / 1e6 / value_of(profile.facts.readout_mb_per_s)
    assert 1 <= seconds <= 60


def test_reserved_bandwidth_of_the_video_camera_is_one_endpoint_of_the_standard() -> None:
    """USB 2.0 9.6.6: at most 3 x 1024 bytes a microframe; two such endpoints pass 80 % of a microframe (5.6.4)."""
    profile = BY_NAME["camera-webcam-iso"]
    assert value_of(profile.facts.iso_bytes_per_ms) == 3 * 1024 * 8
    assert value_of(profile.facts.readout_mb_per_s) == pytest.approx(3 * 1024 * 8000 / 1e6)
