"""Listings read field by field against the machines they were printed from, by all formats; and real ones.

The printers follow the published layouts; the account of what must be read is the machine's own (`formats.py`).
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.live.listings.formats import FORMATS, expected
from tests.live.listings.machines import HOSTILE, MACHINES, MEADOW, PIER, Half, halves
from tests.live.listings.mutants import run
from tests.live.listings.print_linux import kernel_log, usb_devices
from tests.live.listings.print_mac import profiler_json
from tests.live.listings.print_windows import pnputil, powershell
from tests.live.tools import build, recording, shared
from topo.errors import ScanError
from topo.live.listings.decode import decoded
from topo.live.listings.recognise import FORMATS as KNOWN
from topo.live.listings.recognise import read_listing, recognised
from topo.live.recording import read_scan
from topo.live.store import dumps, loads
from topo.live.sysfs import scan as scan_sysfs
from topo.live.tree import tree_lines
from topo.model.limits import EVERYTHING, cannot_tell
from topo.model.sighting import Scan, Sighting


def told(seen: Sighting, field: str) -> object:
    if field == "functions":
        return [(i.number, i.usb_class, i.subclass, i.protocol, i.driver) for i in seen.interfaces]
    return getattr(seen, field)


def close(found: object, want: object) -> bool:
    """Equal, but for the signs that a format cannot hold (a control character in XML or a text line)."""
    if isinstance(found, str) and isinstance(want, str):
        return re.sub(r"[\x1b ]", "", found) == re.sub(r"[\x1b ]", "", want)
    return found == want


@pytest.mark.parametrize("machine", sorted(MACHINES))
@pytest.mark.parametrize("form", sorted(FORMATS))
def test_every_field_is_what_the_machine_says(form: str, machine: str) -> None:
    printed = FORMATS[form]
    scan = read_scan(printed.print(MACHINES[machine]))
    shown = [half for half in halves(MACHINES[machine]) if printed.shown(half)]
    places = {place(printed.bus(half), printed.chain(half)): half for half in shown}
    assert {s.id for s in scan.sightings if not s.is_root} == set(places)
    for name, half in places.items():
        seen = scan.sighting(name)
        assert seen is not None and seen.parent == above(name)
        for field in printed.fields:
            assert close(told(seen, field), expected(half, field)), (name, field, told(seen, field))
    assert all(seen.is_hub for seen in scan.sightings if any(other.parent == seen.id for other in scan.sightings))
    assert loads(dumps(scan)) == scan


def place(bus: int, chain: tuple[int, ...]) -> str:
    return f"{bus}-{'.'.join(map(str, chain))}"


def above(name: str) -> str:
    head, dot, _ = name.rpartition(".")
    return head if dot else f"usb{name.partition('-')[0]}"


@pytest.mark.parametrize("machine", sorted(MACHINES))
@pytest.mark.parametrize("form", sorted(FORMATS))
def test_a_listing_is_one_format_and_says_what_it_cannot_know(form: str, machine: str) -> None:
    text = FORMATS[form].print(MACHINES[machine])
    fitting = [known.name for known in KNOWN if known.fits(text)]
    assert fitting[0] == recognised(FORMATS[form].print(PIER)).name  # type: ignore[union-attr]
    assert len(fitting) == 1 or machine == "hostile"
    scan = read_listing(text)
    assert scan.limits != EVERYTHING and scan.limits.abilities == "none"
    none, some = cannot_tell(scan.limits)
    assert "whether a device could run faster" in none and not set(none) & set(some)


@pytest.mark.parametrize("machine", sorted(MACHINES))
@pytest.mark.parametrize("form", sorted(FORMATS))
def test_texts_of_devices_stay_inert(form: str, machine: str) -> None:
    lines = tree_lines(read_listing(FORMATS[form].print(MACHINES[machine])))
    assert not any(re.search("[\x00-\x1f\x7f\u202e]", line) for line in lines)
    assert all(len(line) <= 100 for line in lines)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-8-sig", "utf-8", "cp1252", "cp850"])
def test_the_bytes_of_any_windows_are_read(encoding: str) -> None:
    text = pnputil(PIER, "de")
    found = read_scan(decoded(text.replace("\n", "\r\n").encode(encoding)))
    assert [s.id for s in found.sightings] == [s.id for s in read_scan(text).sightings]
    assert [s.product for s in found.sightings] == [s.product for s in read_scan(text).sightings]


def test_a_device_without_parent_or_path_is_kept_and_its_place_told_unknown() -> None:
    scan = read_scan(pnputil(PIER, "ja", properties=False))
    loose = [seen for seen in scan.sightings if not seen.ports and not seen.is_root]
    assert [(s.id, s.vendor_id, s.serial) for s in loose] == [("0-?2", "f1a0", "G1")]
    assert scan.limits.places == "some" and any("which socket one device is in" in p for p in scan.problems)


def test_sockets_that_windows_numbers_twice_are_paired_by_the_firmwares_names() -> None:
    scan = read_scan(powershell(PIER))
    assert [(p.number, p.peer, p.device) for p in scan.ports] == [(1, ("usb1", 17), "1-1"), (17, ("usb1", 1), "1-17")]


@pytest.mark.parametrize("text", [
    '{"SPUSBDataType": []}',
    "[System Summary]\r\nOS Name\tsystem\r\n[Components]\r\n[USB]\r\n",
    "Windows Registry Editor Version 5.00\n\n[HKEY_LOCAL_MACHINE\\SYSTEM\\CurrentControlSet\\Enum\\USB\\VID_1\\X]\n",
    "Bus 001 Device 002: ID 1234:5678 Some maker\n",
    "Microsoft PnP Utility\n\nNo devices were found on the system.\n",
    "hello, my camera is not found",
], ids=["macos-26", "summary", "registry", "numbers", "nothing", "prose"])  # fmt: skip
def test_what_is_no_tree_is_named_and_a_command_told(text: str) -> None:
    with pytest.raises(ScanError) as caught:
        read_scan(text)
    said = str(caught.value)
    assert "ioreg -p IOUSB" in said or "pnputil /enum-devices" in said
    assert not said.startswith("the scan: neither") or text.startswith("hello")


def test_the_last_of_each_place_is_what_a_log_shows() -> None:
    text = kernel_log(PIER)
    gone = text + "".join(f"[  99.0] usb {name}: USB disconnect, device number 2\n" for name in ("1-1", "2-1"))
    assert [s.id for s in read_scan(gone).sightings] == ["usb1", "1-3", "usb2"]
    late = "".join(line for line in text.splitlines(keepends=True) if "usb 1-1:" not in line and "hub 1-1:" not in line)
    scan = read_scan(late)
    assert scan.sighting("1-1") is not None and any("a hub must be there" in problem for problem in scan.problems)


def test_one_controller_that_is_not_pci_has_both_buses() -> None:
    scan = read_scan(usb_devices(MEADOW))
    assert [(c.id, c.buses) for c in scan.controllers] == [("0000:03:00.0", (1, 2)), ("xhci-hcd.7.auto", (3, 4))]


def test_a_parent_that_disagrees_with_level_and_order_is_told() -> None:
    wrong = read_scan(usb_devices(MEADOW, star=False, wrong_parent=True))
    right = read_scan(usb_devices(MEADOW, star=False))
    assert wrong.sightings == right.sightings and not right.problems
    assert [p for p in wrong.problems if "which is right where the two disagree" in p]


def test_a_cut_json_and_a_deep_one_are_errors_in_words() -> None:
    for text in (profiler_json(PIER)[:-40], powershell(PIER)[:90], '{"SPUSBDataType":' + "[" * 100_000):
        with pytest.raises(ScanError, match="cut or damaged"):
            read_scan(text)


def test_of_a_cut_list_of_windows_what_stands_whole_is_read_and_told() -> None:
    whole = read_scan(powershell(PIER))
    for share in (0.5, 0.75, 0.99):
        text = powershell(PIER)
        scan = read_scan(text[: int(len(text) * share)])
        assert {s.id for s in scan.sightings} <= {s.id for s in whole.sightings}
        assert scan.limits.devices == "some" and any("cut or damaged" in problem for problem in scan.problems)


def test_real_listings() -> None:
    """Public bug reports of two laptops, a desktop, a small board: what a person reads in them."""

    def tree(name: str) -> list[tuple[str, float | None, str | None]]:
        scan: Scan = read_scan(decoded(shared(name).read_bytes()))
        assert loads(dumps(scan)) == scan
        return [(s.id, s.speed_mbit, s.vendor_id) for s in scan.sightings if not s.is_root]

    assert tree("mac.system_profiler.txt") == [
        ("26-1", 480, "8087"), ("26-1.1", 480, "05ac"), ("29-1", 480, "8087"), ("29-1.8", 480, "0424"),
        ("29-1.8.1", 12, "0a5c"), ("29-1.8.1.3", None, "05ac"), ("29-1.8.2", 1.5, "05ac"), ("29-1.8.3", 12, "05ac"),
    ]  # fmt: skip
    assert [name for name, _, _ in tree("mac.ioreg.txt")] == ["1-1", "1-1.5", "1-2", "1-2.1", "1-2.2"]
    assert tree("windows.dxdiag.txt") == [("1-3", None, "046d"), ("1-4", None, "1532")]
    assert tree("board.udev.txt") == [("1-1", None, "2109"), ("2-2", None, "0781")]
    assert [name for name, _, _ in tree("translator-bandwidth.klog")] == ["4-4", "4-4.4", "4-4.4.3", "4-4.4.4"]
    script = tree("hubs.usb-devices-script.txt")
    assert ("2-1.6", 480, "12d1") in script and len(script) == 7


def test_each_half_stands_for_itself() -> None:
    """The printers' own rule: both halves of a USB 3 hub, and nothing on a side it does not run at."""
    assert [(h.fast, h.chain) for h in halves(PIER) if h.thing.is_hub] == [(False, (1,)), (True, (1,))]
    assert all(isinstance(h, Half) and h.speed in (1.5, 12, 480, 5000, 10000) for h in halves(HOSTILE))
    assert recognised("nothing") is None


@pytest.mark.parametrize("form", sorted(FORMATS))
def test_damaged_listings_never_fail(form: str) -> None:
    """A few of those that `mutants.py` makes by the ten thousand."""
    assert run(form, 25) < 25


@pytest.mark.parametrize(("text", "words"), [
    ("[  12.345678] usb usb2-port1: Cannot enable. Maybe the USB cable is bad?\n", "a kernel's log: no line of it"),
    ("Status Class InstanceId\nOK Camera USB\\VID_1234&PID_5678\\5&1\n", "a table of Windows' devices"),
    ("the mount is on COM3 and the camera is 1234:5678", "vendor and product numbers, names of serial ports; no tree"),
    ("rig: Pier\ndevices: {}\n", "a rig file of topo; no tree"),
    ("lorem ipsum", "Nothing in it was recognised"),
    ("  \n", "is empty"),
], ids=["log", "table", "numbers", "rig", "prose", "empty"])  # fmt: skip
def test_an_unknown_text_names_what_was_recognised_and_a_command_for_each_system(text: str, words: str) -> None:
    """One line each: an answer of one paragraph hid the commands between the names of formats."""
    with pytest.raises(ScanError) as caught:
        read_scan(text)
    lines = str(caught.value).split("\n")
    assert words in lines[0]
    for system, command in (("Linux:", "usb-devices"), ("macOS:", "ioreg"), ("Windows 11:", "pnputil")):
        assert [line for line in lines if line.strip().startswith(system) and command in line]


PREFIXES = {
    "dmesg": "[{n:5d}.553655] {m}", "raw": "<6>[{n:5d}.553655] {m}", "caller": "[{n:5d}.406137][ T3715] {m}",
    "vendor": "[    6.507865][ 3] [  T159] {m}", "dated": "[Wed Apr 21 21:48:03 2021] {m}",
    "dated in French": "[mer. avril 21 21:48:03 2021] {m}", "differences": "[  +0.000298] {m}",
    "iso": "2024-11-16T22:14:09,701229+08:00 {m}", "syslog": "Nov  5 22:10:01 host kernel: {m}",
    "syslog with both": "Nov 05 22:10:01 host kernel: [  998.928731] {m}",
    "short-iso": "2024-11-16T22:14:09+0800 host kernel: {m}",
    "short-full": "Sat 2024-11-16 22:14:09 CST host kernel: {m}",
    "short-unix": "1625657838.011498 host kernel: {m}", "short-monotonic": "[ 1593.115466] host kernel: {m}",
    "RFC 5424": "<6>1 2024-11-16T22:14:09.7Z host kernel - - - {m}", "nothing before": "{m}",
}


@pytest.mark.parametrize("name", [*PREFIXES, "journal as JSON"])
def test_a_kernel_log_is_read_whatever_printed_it(name: str) -> None:
    """Forms: dmesg(1), journalctl(1), RFC 3164 and 5424, and the kernel's printk."""
    text = kernel_log(MEADOW)
    said = [re.sub(r"^\[ *[0-9.]+\] ", "", line) for line in text.splitlines()]
    form = PREFIXES.get(name)
    lines = [json.dumps({"MESSAGE": m, "_TRANSPORT": "kernel"}) if form is None else form.format(n=n, m=m)
             for n, m in enumerate(said)]  # fmt: skip
    found, wanted = read_scan("\n".join(lines)), read_scan(text)
    assert (found.sightings, found.controllers) == (wanted.sightings, wanted.controllers)


@pytest.mark.parametrize("name", ["pier", "twins", "fallback", "translators", "camera-with-hub"])
def test_a_recording_of_a_test_bed_is_read_with_its_attributes(name: str, tmp_path: Path) -> None:
    """As sysfs laid out from it is: places, speeds, ids, texts, sockets; it may hold one branch of a machine only."""
    found = read_scan(recording(name).read_text(encoding="ascii"))
    wanted = scan_sysfs(str(build(recording(name), tmp_path)))
    fields = ("id", "speed_mbit", "vendor_id", "product_id", "product", "serial", "devnum", "max_child", "usb_class")
    assert [[getattr(s, f) for f in fields] for s in found.sightings] == [
        [getattr(s, f) for f in fields] for s in wanted.sightings]
    assert (found.limits.devices, found.limits.history, found.limits.speeds) == ("some", "none", "all")
