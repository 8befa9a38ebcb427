"""Every profile that ships, held against bounds that come from elsewhere."""

from __future__ import annotations

import math
import os
import re
from pathlib import Path

import pytest

from topo.model.profile import Profile
from topo.model.speed import Speed
from topo.rigfile.profiles import read_profiles
from topo.usb.delivered import delivered
from topo.usb.limits import BUS_POWERED_PORT_MA, PORT_MA_USB2, PORT_MA_USB3

ROOT = Path(__file__).resolve().parents[2] / "plugins"
FILES = sorted(path for path in ROOT.glob("*/*.yaml") if path.parent.name != "copy-me")
PROFILES: dict[str, Profile] = {
    profile.name: profile for path in FILES for profile in read_profiles(path.read_bytes(), str(path), path.parent.name)
}
DEVICES = [profile for profile in PROFILES.values() if profile.kind == "device"]
CAMERAS = [profile for profile in DEVICES if "width_px" in profile.facts]

KINDS_OF_SOURCE = ("published", "computed", "common practice, no source", "from memory")

# Frames of published camera classes at 16 bits, in MB to one decimal: width, height, frame.
PUBLISHED_FRAMES = {
    (1280, 960): 2.5,
    (1440, 1080): 3.1,
    (1936, 1096): 4.2,
    (1936, 1216): 4.7,
    (2048, 1536): 6.3,
    (3096, 2080): 12.9,
    (3840, 2160): 16.6,
    (3008, 3008): 18.1,
    (4144, 2822): 23.4,
    (4656, 3520): 32.8,
    (4968, 3378): 33.6,
    (5496, 3672): 40.4,
    (5320, 4600): 48.9,
    (6248, 4176): 52.2,
    (8288, 5644): 93.6,
    (9576, 6388): 122.3,
    (11760, 8896): 209.2,
    (14304, 10748): 307.5,
}


def by_name(profile: Profile) -> str:
    return profile.name


def test_a_profile_is_named_by_its_file() -> None:
    assert sorted(PROFILES) == sorted(path.stem for path in FILES)
    assert len(PROFILES) >= 100


@pytest.mark.parametrize("profile", PROFILES.values(), ids=by_name)
def test_names_are_generic_and_summaries_are_there(profile: Profile) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", profile.name)
    assert 10 < len(profile.summary) <= 120
    assert profile.summary.isascii()


@pytest.mark.parametrize("profile", PROFILES.values(), ids=by_name)
def test_every_figure_says_where_it_comes_from(profile: Profile) -> None:
    for name, fact in (*profile.facts.items(), *profile.serial.items()):
        assert fact.basis == "profile"
        if not name.startswith("uplink:"):
            assert fact.source.startswith(KINDS_OF_SOURCE), (profile.name, name, fact.source)


@pytest.mark.parametrize("profile", CAMERAS, ids=by_name)
def test_frames_are_those_of_published_classes(profile: Profile) -> None:
    size = (profile.facts.value("width_px"), profile.facts.value("height_px"))
    legacy = "ccd" in profile.name or "mirrorless" in profile.name
    assert legacy or size in PUBLISHED_FRAMES
    if not legacy:
        assert math.prod(size) * 2 / 1e6 == pytest.approx(PUBLISHED_FRAMES[size], abs=0.05)


def test_every_published_class_has_a_profile() -> None:
    sizes = {(profile.facts.value("width_px"), profile.facts.value("height_px")) for profile in CAMERAS}
    assert sizes >= set(PUBLISHED_FRAMES)


@pytest.mark.parametrize("profile", CAMERAS, ids=by_name)
def test_readout_and_frame_rate_fit_the_bus(profile: Profile) -> None:
    facts = profile.facts
    what = delivered(Speed.from_word(facts.value("speed")))
    assert facts.value("readout_mb_per_s") <= what.expected.high
    if (fps := facts.number("max_fps")) is not None:
        # Rates are published at 8 or 16 bits; at 8 they must fit the bus, and the readout must reach them there.
        rate = fps * facts.value("width_px") * facts.value("height_px") / 1e6
        assert rate <= what.ceiling_mb_per_s
        assert rate <= facts.value("readout_mb_per_s") * 1.01


@pytest.mark.parametrize("profile", CAMERAS, ids=by_name)
def test_frame_memory_is_none_or_at_least_a_frame(profile: Profile) -> None:
    memory = profile.facts.number("frame_memory_mb")
    frame = profile.facts.value("width_px") * profile.facts.value("height_px") * 2 / 1e6
    assert memory is None or memory == 0 or memory >= frame * 0.999


@pytest.mark.parametrize("profile", [p for p in PROFILES.values() if "bus_ma" in p.facts], ids=by_name)
def test_current_from_the_bus_is_within_the_standard(profile: Profile) -> None:
    superspeed = Speed.from_word(profile.facts.value("speed")).is_superspeed
    assert profile.facts.value("bus_ma") <= (PORT_MA_USB3 if superspeed else PORT_MA_USB2)


@pytest.mark.parametrize("profile", [p for p in PROFILES.values() if p.kind == "hub"], ids=by_name)
def test_hubs(profile: Profile) -> None:
    facts = profile.facts
    number = re.search(r"(\d+)port", profile.name)
    assert facts.value("ports") == (int(number[1]) if number else 1)
    assert facts.value("powered") is ("bus-powered" not in profile.name and profile.name != "cable-active-usb2")
    if not facts.value("powered"):
        unit = 150 if facts.value("speed") == "super" else BUS_POWERED_PORT_MA
        assert facts.value("port_ma") == unit
    if facts.value("ports") > 4 and not facts.value("powered"):
        assert "bus-powered" in profile.name  # more than four unit loads cannot all be drawn: USB 2.0 7.2.1.1


# Peak to peak and period of published periodic errors; slope of a smooth one is pi x peak to peak / period.
DRIFTS = {
    "mount-worm-premium-serial": (0.04, 0.06),
    "mount-worm-mid-serial": (0.05, 0.16),
    "mount-worm-entry-serial": (0.16, 0.63),
    "mount-travel-serial": (0.58, 0.59),
    "mount-strain-wave-serial": (0.14, 0.35),
    "mount-worm-mid-with-hub": (0.05, 0.16),
}


@pytest.mark.parametrize(("name", "bounds"), DRIFTS.items())
def test_drift_is_within_the_published_class(name: str, bounds: tuple[float, float]) -> None:
    assert bounds[0] <= PROFILES[name].facts.value("drift_arcsec_per_s") <= bounds[1]


@pytest.mark.parametrize("profile", [p for p in PROFILES.values() if p.kind == "computer"], ids=by_name)
def test_computers(profile: Profile) -> None:
    assert profile.sockets
    for socket in profile.sockets:
        assert socket.speed.is_superspeed == socket.name.startswith(("usb3", "card"))


def usb_ids() -> str:
    """The open list of USB ids, as Debian packages it."""
    path = Path("/usr/share/misc/usb.ids")
    if not path.exists():
        if os.environ.get("CI"):
            pytest.fail("the list of USB ids is not there: install Debian's usb.ids")
        pytest.skip("the list of USB ids is not on this system (Debian's package usb.ids)")
    return path.read_text(encoding="utf-8", errors="replace")


def test_class_codes_of_the_interfaces_are_those_of_the_open_list() -> None:
    classes = dict(re.findall(r"^C ([0-9a-f]{2})  (.*)$", usb_ids(), flags=re.MULTILINE))
    words = {"hid": "03", "storage": "08", "audio": "01", "network": "02", "serial": "02", "iso": "0e", "bulk": "ff"}
    expected = {
        "03": "Human Interface Device",
        "08": "Mass Storage",
        "01": "Audio",
        "02": "Communications",
        "0e": "Video",
        "ff": "Vendor Specific Class",
    }
    for code, name in expected.items():
        assert classes[code] == name
    used = {profile.facts.value("interface") for profile in DEVICES} - {None, "none"}
    assert used <= set(words)
