"""How parts move data, against the open list of USB ids: a class found there by name is taken for what profiles say."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from tests.profiles.shipped import DEVICES, FAMILY, PROFILES
from topo.model.facts import value_of
from topo.model.sighting import Endpoint, Interface, Scan, Sighting
from topo.wiring.kinds import kind_of

LIST = Path("/usr/share/misc/usb.ids")

# The class of a part as the list spells it, with subclass and protocol, and a profile of that kind.
SAME = (
    ("Human Interface Device", "No Subclass", "None", "filter-wheel-hid"),
    ("Mass Storage", "SCSI", "Bulk-Only", "ssd-usb3"),
    ("Mass Storage", "SCSI", "Bulk-Only", "stick-usb2"),
    ("Communications", "Abstract (modem)", "AT-commands (v.25ter)", "gps-serial"),
    ("Communications", "Ethernet Networking", None, "network-gigabit-usb3"),
    ("Video", "Video Streaming", None, "camera-webcam-iso"),
    ("Vendor Specific Class", "Vendor Specific Subclass", "Vendor Specific Protocol", "camera-apsc-26mp"),
)


def open_list() -> str:
    """The open list of USB ids as Debian packages it. Missing is a failure where everything must run."""
    if not LIST.exists():
        if os.environ.get("CI"):
            pytest.fail("the list of USB ids is not there: install Debian's usb.ids")
        pytest.skip("the list of USB ids is not on this system (Debian's package usb.ids)")
    return LIST.read_text(encoding="utf-8", errors="replace")


def code_of(names: tuple[str, ...]) -> tuple[int, int, int]:
    """Class, subclass and protocol by name; 0 where no name is given."""
    found = [0, 0, 0]
    text = open_list()
    for depth, name in enumerate(names):
        head = ("C ", "\t", "\t\t")[depth]
        hit = re.search(rf"^{head}([0-9a-f]{{2}})  {re.escape(name)}$", text, flags=re.MULTILINE)
        assert hit, f"the list has no {name}"
        found[depth] = int(hit[1], 16)
        # What is below stands until the next line as deep as this one.
        rest = text[hit.end():]
        end = re.search(rf"^(?!{head}\t)(?:C |\t{{0,{depth}}}\S)", rest, flags=re.MULTILINE)
        text = rest[: end.start()] if end else rest
    return found[0], found[1], found[2]


def test_the_list_is_read_as_it_is_meant() -> None:
    """USB-IF, Defined Class Codes: 03 human interface, 08 mass storage (06 SCSI, 50 bulk only), 0e video, ff vendor."""
    assert code_of(("Human Interface Device",)) == (3, 0, 0)
    assert code_of(("Mass Storage", "SCSI", "Bulk-Only")) == (0x08, 0x06, 0x50)
    assert code_of(("Video", "Video Streaming")) == (0x0E, 2, 0)
    assert code_of(("Vendor Specific Class",)) == (0xFF, 0, 0)
    assert code_of(("Wireless", "Radio Frequency", "Bluetooth")) == (0xE0, 1, 1)


@pytest.mark.parametrize(("usb_class", "subclass", "protocol", "name"), SAME)
def test_a_part_of_the_class_moves_data_as_its_profile_says(
    usb_class: str, subclass: str, protocol: str | None, name: str
) -> None:
    codes = code_of(tuple(word for word in (usb_class, subclass, protocol) if word))
    endpoint = Endpoint(0x81, "iso" if usb_class == "Video" else "bulk", 64, 64)
    seen = Sighting(id="1-1", bus=1, ports=(1,), parent="usb1",
                    interfaces=(Interface(0, 0, True, *codes, endpoints=(endpoint,)),))
    scan = Scan("", "linux", None, "a test", sightings=(seen,))
    assert kind_of(seen, scan).interface == value_of(PROFILES[name].facts.interface)


def test_a_radio_of_the_class_is_one_of_the_profiles() -> None:
    codes = code_of(("Wireless", "Radio Frequency", "Bluetooth"))
    seen = Sighting(id="1-1", bus=1, ports=(1,), parent="usb1", interfaces=(Interface(0, 0, True, *codes),))
    assert kind_of(seen, Scan("", "linux", None, "a test", sightings=(seen,))).radio
    assert value_of(PROFILES["bluetooth-stick"].facts.radio_2g4) is True


def test_a_family_moves_data_in_one_way() -> None:
    told = {"storage": {"storage"}, "serial_adapters": {"serial"}, "gps": {"serial"}, "weather": {"serial"},
            "guide_cameras": {"bulk"}, "deep_sky_cameras": {"bulk"}, "planetary_cameras": {"bulk", "iso"}}
    for family, words in told.items():
        assert {value_of(p.facts.interface) for p in DEVICES if FAMILY[p.name] == family} == words
