"""The libusb scanner: real pyusb and real libusb under umockdev, held against what is known and against sysfs."""

from __future__ import annotations

import json
import sys
from types import SimpleNamespace
from typing import Any

import pytest

from tests.live.recordings.make import MACHINES
from tests.live.test_sysfs import seen_in
from tests.live.tools import recording, shared, topo_under, under_umockdev
from tests.samples import share
from topo.errors import ScanError
from topo.live.libusb import scan
from topo.live.store import loads
from topo.model.sighting import Scan

KINDS = {0: "control", 1: "iso", 2: "bulk", 3: "interrupt"}


def by_libusb(device: Any) -> Scan:
    done = topo_under(device, "live", "--scanner", "libusb", "--json")
    assert done.returncode == 0, done.stderr
    return loads(json.dumps(json.loads(done.stdout)["scan"]))


@pytest.mark.parametrize("scanner", ["libusb", "sysfs"])
def test_the_camera_of_a_real_machine(scanner: str) -> None:
    """`camera.expected.json` is what pyusb tells of the recording, written by others."""
    expected = json.loads(shared("camera.expected.json").read_text(encoding="utf-8"))["devices"]
    done = topo_under(shared("camera.umockdev"), "live", "--scanner", scanner, "--json")
    assert done.returncode == 0, done.stderr
    found = loads(json.dumps(json.loads(done.stdout)["scan"]))
    assert len(found.sightings) == len(expected)
    for want in expected:
        ports = tuple(want["port_numbers"] or ())
        seen = next(s for s in found.sightings if (s.bus, s.ports) == (want["bus"], ports))
        assert seen.devnum == want["address"] and seen.speed_mbit == {"high": 480}[want["speed_name"]]
        assert f"{seen.vendor_id}:{seen.product_id}" == want["vid_pid"]
        assert round((seen.usb_version or 0) * 100) == int(f"{int(want['bcdUSB'], 16):x}")
        assert seen.usb_class == want["bDeviceClass"]
        parent = found.sighting(seen.parent) if seen.parent else None
        assert (want["parent"] and want["parent"][1]) == (parent.devnum if parent else None)
        (config,) = want["configurations"]
        assert seen.max_power_ma == config["bMaxPower_mA"]
        assert seen.self_powered == bool(int(config["bmAttributes"], 16) & 0x40)
        assert [
            (i.number, i.setting, f"{i.usb_class:02x}/{i.subclass:02x}/{i.protocol:02x}") for i in seen.interfaces
        ] == [(i["num"], i["alt"], i["cls"]) for i in config["interfaces"]]
        assert [(e.address, e.kind, e.max_packet) for i in seen.interfaces for e in i.endpoints] == [
            (int(e["addr"], 16), KINDS[int(e["attr"], 16) & 3], e["wMaxPacketSize"])
            for i in config["interfaces"]
            for e in i["endpoints"]
        ]


@pytest.mark.parametrize("name", share([name for name in sorted(MACHINES) if name != "lying"], 3))
def test_libusb_and_sysfs_agree(name: str) -> None:
    """Two independent readers of one recording: place, number, speed, ids, power and endpoints are the same."""

    def facts(found: Scan) -> list[Any]:
        return [
            (
                *(s.id, s.parent, s.devnum, s.speed_mbit, s.vendor_id, s.product_id, s.usb_version, s.usb_class),
                *(s.max_power_ma, s.self_powered),
                [(i.number, i.setting, len(i.endpoints)) for i in s.interfaces],
            )
            for s in found.sightings
        ]

    assert facts(by_libusb(recording(name))) == facts(seen_in(name))


def test_what_libusb_does_not_tell_is_said() -> None:
    found = by_libusb(recording("pier"))
    assert all(s.serial is None and s.product is None for s in found.sightings)
    assert any("not known to this scanner" in problem for problem in found.problems)


def test_descriptors_that_lie_do_not_break_libusb() -> None:
    found = by_libusb(recording("lying"))
    assert "1-2" in [s.id for s in found.sightings]


def test_no_device_is_opened() -> None:
    """pyusb's own record: no device has a handle after a scan, and no string was asked for."""
    code = (
        "import usb.core, usb.backend.libusb1 as b\n"
        "def never(*a, **k): raise SystemExit('a device was opened')\n"
        "b._LibUSB.open_device = never; b._LibUSB.ctrl_transfer = never\n"
        "from topo.live.libusb import scan\n"
        "print(len(scan().sightings))\n"
    )
    done = under_umockdev(recording("pier"), sys.executable, "-c", code)
    assert done.stdout.strip() == "8", done.stderr


def test_no_libusb_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    import libusb_package

    monkeypatch.setattr(libusb_package, "get_libusb1_backend", lambda: None)
    with pytest.raises(ScanError, match="no libusb could be loaded"):
        scan()


def test_libusb_that_fails_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    import usb.core

    def failing(**_: object) -> None:
        raise usb.core.USBError("Other error", -99, 5)

    monkeypatch.setattr("usb.core.find", failing)
    with pytest.raises(ScanError, match="could not list devices"):
        scan()


@pytest.mark.parametrize("missing", ["usb.core", "libusb_package"])
def test_no_pyusb_is_told(monkeypatch: pytest.MonkeyPatch, missing: str) -> None:
    monkeypatch.setitem(sys.modules, missing, None)
    with pytest.raises(ScanError, match="not installed"):
        scan()


@pytest.mark.parametrize("system", ["Windows", "Darwin"])
def test_other_systems_through_libusb_s_own_model(monkeypatch: pytest.MonkeyPatch, system: str) -> None:
    """What can be tested here of Windows and macOS: libusb's values, and what is said of how it lists. Not hardware."""
    device = SimpleNamespace(bus=20, address=3, port_numbers=(1, 4), speed=3, bDeviceClass=0, bDeviceSubClass=0)
    vars(device).update(bDeviceProtocol=0, idVendor=0xF1A0, idProduct=0x0120, bcdUSB=0x0200)

    class Device(SimpleNamespace):
        def __iter__(self) -> Any:
            raise OSError("no configuration here")

    monkeypatch.setattr("usb.core.find", lambda **_: [Device(**vars(device))])
    monkeypatch.setattr("topo.live.libusb.platform.system", lambda: system)
    monkeypatch.setattr(
        "serial.tools.list_ports.comports",
        lambda: [SimpleNamespace(device="COM3", vid=0xF1A0, pid=0x0120, location="20-1.4:x.0")],
    )
    found = scan()
    assert [(s.id, s.speed_mbit) for s in found.sightings] == [("20-1.4", 480.0)]
    assert [(p.name, p.device, p.interface) for p in found.serial_ports] == [("COM3", "20-1.4", 0)]
    assert any("libusb" in problem for problem in found.problems)
    assert any("its configuration is not known" in problem for problem in found.problems)
