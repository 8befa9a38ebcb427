"""A rig and a scan full of private words, redacted, word by word: read `redacted/` before you write it anew.

TOPO_UPDATE writes `redacted/after.yaml` and `redacted/scan.json`.
"""

from __future__ import annotations

import os
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from topo.analysis.study import Study
from topo.live import store
from topo.model.facts import Fact, value_of
from topo.model.records import DeviceFacts
from topo.model.sighting import (
    Holder,
    Holding,
    HostController,
    HubPort,
    Interface,
    Scan,
    SerialPort,
    Sighting,
    Sleep,
)
from topo.pack.names import is_plain
from topo.pack.redact import Tags, _undated, redacted
from topo.pack.removed import Removed
from topo.pack.scan import own_devices, redacted_scan
from topo.pipeline import compare_scan, rig_of
from topo.rigfile.profiles import profiles_of
from topo.rigfile.read import read_text

HERE = Path(__file__).with_name("redacted")
TAGS = Tags(b"0" * 16)
SCAN = Scan(
    when="2024-03-01", system="Darwin", kernel="6.1.22-zorbl", scanner="sysfs", problems=("zorbl", "could not be read"),
    controllers=(HostController("pci-zorbl", (1, 2), "8086", "A36D", "xhci_hcd"), HostController("own", (3,))),
    sightings=(
        Sighting("usb1", 1, (), controller="pci-zorbl", product="zorbl's root", serial="0000:00:14.0"),
        Sighting("1-1", 1, (1,), "usb1", "pci-zorbl", 4, 5000, vendor_id="2109", product_id="0813", product="hub"),
        Sighting("1-1.2", 1, (1, 2), "1-1", "pci-zorbl", 7, 480, vendor_id="ABCD", product_id="0123", serial="SN4711",
                 manufacturer="zorbl", product="zorbl's camera", container_id="zorbls-box", removable="removable",
                 sleep=Sleep("on", "zorbl"), interfaces=(Interface(0, 0, True, 255, 0, 0, driver="zorbl"),
                                                        Interface(1, 0, True, 3, 0, 0, driver="usbhid"))),
        Sighting("zorbls telephone", 1, (3,), "usb1", vendor_id="dead", product_id="beef", product="zorbl's",
                 removable="zorbls", sleep=Sleep("auto", "active"), interfaces=(Interface(0, 0, True, 8, 6, 80),)),
        Sighting("3-1", 3, (1,), "usb3", "own", vendor_id="abcd", product_id="0124", serial="SN9"),
    ),
    ports=(HubPort("usb1", 1, "hotplug", 2, "zorbls", ("1-1", 3), "1-1"), HubPort("gone", 2, "zorbl", peer=("gone", 1)),
           HubPort("1-1", 2, device="1-1.2")),
    serial_ports=(
        SerialPort("/dev/ttyUSB0", "1-1.2", 1, "usbserial", latency_timer_ms=16, number=3, mode=0o660, group="zorbl",
                   links=("/dev/serial/by-id/usb-Zorbl_SN4711-if00", "/dev/zorbls", "zorbl.example:4030"),
                   shared=("/dev/zorbls", "zorbl.example:4030", "/dev/other"), allowed=True),
        SerialPort("/dev/zorbls", None, driver="zorbls"), SerialPort("zorbl.example:1", "gone"),
    ),
    usbfs_memory_mb=16,
    holding=Holding(False, (Holder("/dev/zorbls", "open", "planner", 7),), ("zorbl", "gpsd"), False),
)


def same(text: str, name: str) -> None:
    if os.environ.get("TOPO_UPDATE"):
        (HERE / name).write_text(text, encoding="utf-8")
    assert text == (HERE / name).read_text(encoding="utf-8")
    assert not [word for word in ("zorbl", "4711", "sn9", "example", "planner", "telephone") if word in text.lower()]


def test_a_rig_word_by_word() -> None:
    rigfile = read_text((HERE / "before.yaml").read_text(encoding="utf-8"), "rig.yaml")
    removed = Removed()
    own = {profile.name: profile for profile in profiles_of(rigfile)}
    made = redacted(rigfile, own.get, lambda name: name not in own, TAGS, removed)
    same(made.text + "".join(f"# {line}\n" for line in removed.lines()), "after.yaml")
    assert read_text(made.text, "rig.yaml").document.hubs.keys() == {"hub-1", "hub"}


def test_a_scan_word_by_word() -> None:
    removed = Removed()
    made = redacted_scan(SCAN, {"1-1.2", "3-1"}, TAGS, removed)
    same(store.dumps(made) + "".join(f"{line}\n" for line in removed.lines()), "scan.json")
    assert store.loads(store.dumps(made)) == made


def test_of_a_scan_that_tells_nothing_nothing_is_removed() -> None:
    removed = Removed()
    bare = Scan("", "Linux", "6.1.0", "sysfs", sightings=(Sighting("usb1", 1, ()),))
    assert redacted_scan(bare, (), TAGS, removed) == bare and removed.lines() == ()


@pytest.mark.parametrize(("told", "shown"), [
    ("sysfs", "sysfs"), ("kernel-log", "kernel-log"), ("windows-pnp-csv", "windows-pnp-csv"), ("zorbls", "other"),
    ("sysfs-zorbl", "other"), ("", "other"),
])
def test_a_scanner_that_ships_is_named_and_no_other(told: str, shown: str) -> None:
    made = redacted_scan(Scan("", "Linux", "6.1.0", told), (), TAGS, Removed())
    assert made.scanner == shown


@pytest.mark.parametrize(("told", "shown"), [
    ("6.1.22-zorbl", "6.1.22"), ("6.1", "6.1"), ("22.6.0", "22.6.0"), ("zorbl 6.1", None), (None, None), ("6", None),
])
def test_of_a_kernel_its_number_is_told(told: str | None, shown: str | None) -> None:
    assert redacted_scan(Scan("", "Linux", told, "sysfs"), (), TAGS, Removed()).kernel == shown


def test_whose_ids_may_be_shown() -> None:
    """Those of what sits in a socket of the rig, and of things with ids that the file names; nobody else's."""
    rig = rig_of(read_text("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\ndevices:\n"
                           "  cam: {role: imaging, identity: {vendor_id: abcd, product_id: '0123'}}\n", "rig.yaml"))
    seen = (Sighting("usb1", 1, ()), Sighting("1-1", 1, (1,), "usb1", vendor_id="abcd", product_id="0123"),
            Sighting("1-2", 1, (2,), "usb1", vendor_id="abcd", product_id="0123"),
            Sighting("1-3", 1, (3,), "usb1", vendor_id="abcd", product_id="9999"), Sighting("1-4", 1, (4,), "usb1"))
    told = own_devices(compare_scan(Study(rig), Scan("", "Linux", "6.1.0", "sysfs", sightings=seen))[0])
    assert told == {"1-1", "1-2"}


COMPUTERS = """\
rig: r
computer: {profile: NAME}
profiles:
  told: {kind: computer, source: own, controllers: {one: {uplink: pcie3x1}, two: {}},
    ports: {a: {controller: one, speed: super, usb2_bus: x}, b: {controller: two, speed: high}}}
  named: {kind: computer, source: own, ports: {a: {controller: one, speed: super}, b: {controller: two, speed: high}}}
  guessed: {kind: computer, source: own, ports: {a: {speed: super}, b: {speed: high}}}
"""


@pytest.mark.parametrize("name", ["told", "named", "guessed"])
def test_a_computer_of_ones_own_has_the_same_sockets_once_it_is_redacted(name: str) -> None:
    """Speed, controller and bus of each socket, with the basis of each, and each controller's uplink."""
    rigfile = read_text(COMPUTERS.replace("NAME", name), "rig.yaml")
    own = {profile.name: profile for profile in profiles_of(rigfile)}
    made = redacted(rigfile, own.get, lambda other: other not in own, TAGS, Removed())
    before, after = (rig_of(file).computer for file in (rigfile, read_text(made.text, "rig.yaml")))
    assert [(s.speed, s.basis, s.kind) for s in after.sockets] == [(s.speed, s.basis, s.kind) for s in before.sockets]
    for which in ("controller", "usb2_bus"):
        both = zip(before.sockets, after.sockets, strict=True)
        pairs = {(getattr(one, which), getattr(two, which)) for one, two in both}
        assert len(pairs) == len({one for one, _ in pairs}) == len({two for _, two in pairs})
    assert [value_of(each.uplink) for each in after.controllers] == [value_of(e.uplink) for e in before.controllers]


@pytest.mark.parametrize(("name", "plain"), [
    ("camera", True), ("main-camera-2", True), ("usb3-12", True), ("7", True), ("filter-wheel", True),
    ("camera-123", False), ("camera--1", False), ("-camera", False), ("camera-", False), ("", False), ("Camera", False),
    ("camera_1", False), ("zorbl", False), ("camera1b", False), ("-".join(["camera"] * 6), False),
    ("-".join(["camera"] * 5) + "-lead1", True), ("-".join(["camera"] * 5) + "-lead12", False),
])
def test_which_names_may_stay(name: str, plain: bool) -> None:
    """Words of the trade in lower case with numbers of up to two digits, joined by hyphens, 40 characters at most."""
    assert is_plain(name) == plain


def test_of_what_was_measured_figures_alone_are_marked_so() -> None:
    """No word that a device said of itself stands in a note."""
    facts = DeviceFacts(speed=Fact("super", "measured", "a scan"), readout_mb_per_s=Fact(9.0, "measured", "it"),
                        width_px=Fact(900, "declared"))
    entry: Any = SimpleNamespace(facts=facts, use=None, serial=None, seen=None)
    assert set(_undated(entry)) == {"readout_mb_per_s"}
