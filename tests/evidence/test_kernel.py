"""Kernel logs: every form of line, what is an event, and what must not be taken for one.

Own logs follow the kernel's source texts (drivers/usb/core/hub.c, hcd.c, host/xhci.c, kernel/printk) and the manual
pages of dmesg and journalctl; those of other people's machines are read where they are at hand.
"""

from __future__ import annotations

import io
from collections import Counter
from pathlib import Path

import pytest

from topo.evidence.kernel.messages import child, happened, speed_of
from topo.evidence.kernel.prefixes import Prefixes
from topo.evidence.kernel.reader import read, recognises
from topo.model.evidence import (
    Arrival,
    ClockStep,
    Drop,
    Handed,
    Reading,
)

HERE = Path(__file__).parent / "recordings"
SHARED = Path(__file__).resolve().parents[3] / "shared" / "recordings"
NOVEMBER_2026 = 1_795_600_000.0


def log(name: str) -> Reading:
    data = (HERE / name).read_bytes()
    assert recognises(data[:65536])
    return read(io.BytesIO(data), Handed(name, NOVEMBER_2026))


def tally(reading: Reading) -> dict[str, int]:
    def key(event: object) -> str:
        word = getattr(event, "kind", "") or getattr(event, "why", "")
        if isinstance(event, Arrival):
            word = "answered" if event.answered else "begun"
        return f"{type(event).__name__} {word}".strip()

    return dict(Counter(key(event) for event in reading.events))


FORMS = (
    ("dmesg", "[ 6376.553655] usb usb2-port3: x", "usb usb2-port3: x"),
    ("dmesg", "<5>[  652.406137][ T3715] usb usb1: y", "usb usb1: y"),
    ("dmesg", "[    6.507865][ 3] [  T159] usb 2-1.4: y", "usb 2-1.4: y"),
    ("dmesg", "> > [ 1662.832221] usb usb3-port1: z", "usb usb3-port1: z"),
    ("dmesg", ">>>        [    0.000000] Linux version 6.12.0", "Linux version 6.12.0"),
    ("dmesg", "[\xa0 182.552343] usb usb2-port1: config error", "usb usb2-port1: config error"),
    ("dmesg, wall time", "[Wed Apr 21 21:48:03 2021] usb 2-2: z", "usb 2-2: z"),
    ("dmesg, iso", "2026-05-03T11:37:36,123456+02:00 usb 1-1: a", "usb 1-1: a"),
    ("dmesg, differences", "[  +0.000298] usb 8-1: h", "usb 8-1: h"),
    ("dmesg, differences", ">> [  +0,032011] usb 8-1: h", "usb 8-1: h"),
    ("dmesg, differences", "[Nov25 13:45] usb 8-1: h", "usb 8-1: h"),
    ("dmesg, differences", "[<    0.000298>] usb 8-1: i", "usb 8-1: i"),
    ("syslog", "May 09 15:29:37 pier kernel: usb 7-1: j", "usb 7-1: j"),
    ("syslog", "Jun  4 08:58:52 pier kernel: [  998.928731] hub 2-1:1.0: k", "hub 2-1:1.0: k"),
    ("syslog", "Jun 27 15:49:03 pier user.info kernel: [    3.557674] hub 2-1:1.0: l", "hub 2-1:1.0: l"),
    ("syslog", "Nov 05 22:10:01.123456 pier kernel: usb 1-1: b", "usb 1-1: b"),
    ("syslog", "Aug 06 16:51:36 kernel: usb 1-2: g", "usb 1-2: g"),
    ("journal, iso", "2024-11-16T22:14:09.701229+08:00 pier kernel: usb 3-2: c", "usb 3-2: c"),
    ("journal, iso", "2024-11-16T22:14:09+0800 pier kernel: usb 3-2: c", "usb 3-2: c"),
    ("journal, full", "Sat 2024-11-16 22:14:09 CST pier kernel: usb 3-2: c", "usb 3-2: c"),
    ("journal, monotonic", "[ 1593.115466] pier kernel: usb 3-1.1.2: d", "usb 3-1.1.2: d"),
    ("journal, unix time", "1625657838.011498 pier kernel: usb 1-1: e", "usb 1-1: e"),
    ("rfc5424", "<6>1 2024-11-16T22:14:09.7Z pier kernel - - - usb 1-1: f", "usb 1-1: f"),
    (None, "xhci_hcd", ""),
    (None, "idProduct=0612, bcdDevice=92.24", ""),
    (None, "# dmesg", ""),
    (None, "[fr. mai 14 15:12:48 2021] usb 1-1: a day of another language is not guessed", ""),
)


@pytest.mark.parametrize(("form", "line", "rest"), FORMS)
def test_every_form_of_line(form: str | None, line: str, rest: str) -> None:
    found = Prefixes(2026).split(line)
    assert (found[0], found[2]) == (form, rest) if form else found is None


MESSAGES = (
    ("arrived", "usb 1-4: new high speed USB device using ehci_hcd and address 60"),
    ("arrived", "usb 2-1: new high speed USB device number 5 using ehci_hcd"),
    ("arrived", "usb 2-1: new SuperSpeed Gen 1 USB device number 8 using xhci_hcd"),
    ("arrived", "usb 2-1: new SuperSpeedPlus Gen 2 USB device number 8 using xhci_hcd"),
    ("arrived", "usb 2-1: new SuperSpeed Plus Gen 2x1 USB device number 8 using xhci_hcd"),
    ("arrived", "usb 3-2: new high-speed USB device number 3"),
    ("reset", "usb 9-1.1: reset SuperSpeed Gen 1 USB device"),
    ("reset", "some-driver 4-1.1.3: reset SuperSpeed USB device number 6 using xhci_hcd"),
    ("left", "usb 2-4: USB disconnect, address 4"),
    ("left", "some-driver 2-4: USB disconnect, device number 4"),
    ("never-enabled", "hub 2-4:1.0: Cannot enable port 1.  Maybe the USB cable is bad?"),
    ("never-enabled", "usb usb2-port3: Cannot enable. Maybe the USB cable is bad?"),
    ("gave-up", "hub 2-0:1.0: unable to enumerate USB device on port 1"),
    ("gave-up", "usb usb3-port3: unable to enumerate USB device"),
    ("unstable", "hub 1-0:1.0: connect-debounce failed, port 3 disabled"),
    ("shut-by-hub", "hub 1-0:1.0: port 2 disabled by hub (EMI?), re-enabling..."),
    ("shut-by-hub", "usb 1-2.1-port1: disabled by hub (EMI?), re-enabling..."),
    ("over-current", "hub 2-1:1.0: over-current condition on port 2"),
    ("over-current", "usb usb4-port2: over-current condition"),
    ("hub-unreachable", "usb 1-1.3-port2: cannot disable (err = -71)"),
    ("hub-unreachable", "hub 2-4:1.0: hub_port_status failed (err = -71)"),
    ("descriptor-error", "usb 4-2: device descriptor read/64, error 18"),
    ("address-error", "usb 4-2: device not accepting address 12, error -71"),
    ("config-error", "usb usb2-port1: config error"),
    ("bandwidth", "usb 2-2.4.3: Not enough bandwidth for new device state."),
    ("resources", "usb 1-3: Not enough host controller resources for new device state."),
    ("dead", "xhci_hcd 0000:00:14.0: HC died; cleaning up"),
    ("dead", "xhci_hcd 0000:00:14.0: xHCI host not responding to stop endpoint command"),
    ("bus-gone", "xhci_hcd 0000:39:00.0: USB bus 4 deregistered"),
    ("bus-new", "dwc2 3f980000.usb: new USB bus registered, assigned bus number 1"),
    ("timed-out", "usb 1-3: usbfs: process 77 (capture) timed out on ep2in"),
    ("driver-error", "cdc_acm 1-1.2:1.0: failed to submit interrupt in, status -19"),
    (None, "hub 1-0:1.0: individual port over-current protection"),
    (None, "usb usb3-port1: over-current change #1"),
    (None, "xhci_hcd 0000:00:14.0: Bus suspend bailout, port over-current detected"),
    (None, "usb 1-3.4.3.1: config 1 interface 2 altsetting 0 endpoint 0x82 has wMaxPacketSize 0, skipping"),
    (None, "usb 3-1: Direct firmware load for camera.fw failed with error -2"),
    (None, "usb 1-1.1: usb auto-suspend, wakeup 1"),
    (None, "ucsi_acpi USBC000:00: ucsi_handle_connector_change: ACK failed (-110)"),
    (None, "usbcore: registered new interface driver uas"),
    (None, "hub 1-1:1.0: USB hub found"),
    (None, "nvme nvme0: I/O 1 QID 1 timeout, status -110"),
)


@pytest.mark.parametrize(("kind", "text"), MESSAGES)
def test_every_message(kind: str | None, text: str) -> None:
    found = happened(text)
    assert (found.kind if found else None) == kind


def test_places() -> None:
    assert [child("usb2", 3), child("2-1", 4), child("1-1.1", 2)] == ["2-3", "2-1.4", "1-1.1.2"]
    told = [
        happened(text)
        for text in (
            "usb usb2-port3: Cannot enable. Maybe the USB cable is bad?",
            "hub 2-0:1.0: unable to enumerate USB device on port 1",
            "usb 1-1.1-port2: over-current condition",
            "hub 1-1:1.0: over-current condition",
            "usb usb4: USB disconnect, device number 1",
        )
    ]
    assert [(each.path, each.port) for each in told if each] == [
        ("2-3", True),
        ("2-1", True),
        ("1-1.1.2", True),
        ("1-1", False),
        ("usb4", True),
    ]


def test_rates_of_the_kernels_words() -> None:
    words = (
        "low",
        "full",
        "high",
        "SuperSpeed",
        "SuperSpeed Gen 1",
        "SuperSpeedPlus Gen 2",
        "SuperSpeed Plus Gen 2x2",
        "SuperSpeed Plus Gen 1x2",
        "SuperSpeed Plus",
    )
    assert [speed_of(word) for word in words] == [1.5, 12, 480, 5000, 5000, 10000, 20000, 10000, 10000]


WANTED = {
    "branch-lost.dmesg.log": {
        "Arrival answered": 8,
        "Arrival begun": 7,
        "Identified": 8,
        "Drop": 3,
        "Noise driver-error": 1,
    },
    "one-of-three.old-kernel.log": {
        "Arrival answered": 5,
        "Arrival begun": 6,
        "Identified": 5,
        "Drop": 1,
        "PortTrouble descriptor-error": 2,
    },
    "siblings.syslog.log": {"Arrival answered": 6, "Arrival begun": 1, "Identified": 6, "Drop": 2},
    "suspend-takes-all.log": {
        "Arrival answered": 4,
        "Identified": 4,
        "Drop": 2,
        "ControllerNote power-lost": 1,
        "Asleep": 1,
        "Reset waking": 1,
    },
    "banners.log": {},
    "over-current.log": {"OverCurrent": 4},
    "strangers-disk-resets.log": {
        "Arrival answered": 1,
        "Arrival begun": 1,
        "Identified": 1,
        "Reset starting": 1,
        "Reset unknown": 3,
    },
    "two-boots.journal.json": {"Arrival answered": 1, "Identified": 1, "Drop": 2, "Reset unknown": 1, "ClockStep": 1,
                               "Booted": 1},
    "mailed-and-quoted.log": {
        "PortTrouble config-error": 1,
        "Arrival begun": 1,
        "Arrival answered": 1,
        "Identified": 1,
        "Drop": 1,
    },
    "staged.short-iso.log": {"Arrival answered": 2, "Identified": 2, "Drop": 2},
    "callers-and-levels.log": {
        "ControllerNote power-lost": 1,
        "PortTrouble address-error": 1,
        "Arrival answered": 1,
        "Identified": 1,
    },
    "differences.log": {"Arrival answered": 1, "Identified": 1, "Drop": 2},
    "only-super-side.log": {"Arrival answered": 6, "Arrival begun": 1, "Identified": 6, "Drop": 2},
    "short-full.log": {"Arrival answered": 1, "Identified": 1, "Refusal bandwidth": 1, "Refusal not-configured": 1},
    "export.journal": {"Arrival answered": 1, "Identified": 1, "Drop": 1},
}


@pytest.mark.parametrize("name", WANTED)
def test_own_logs(name: str) -> None:
    assert tally(log(name)) == WANTED[name]


def test_wrapped_lines_are_joined_and_prose_is_not() -> None:
    arrivals = [e for e in log("mailed-and-quoted.log").events if isinstance(e, Arrival)]
    assert [(e.number, e.speed_mbit, e.answered) for e in arrivals] == [(5, 480.0, False), (5, 480.0, True)]


def test_two_clocks_of_one_line_give_the_offset() -> None:
    reading = log("siblings.syslog.log")
    (sync,) = reading.syncs
    assert (sync.clock, sync.to, sync.give_s) == ("boot-1", "local", 0.5)
    wall = [sync.offset_s + e.at.seconds for e in reading.events if isinstance(e, Drop)]
    midnight = 1_795_564_800.0  # 2026-11-25 00:00:00, taken as it stands
    assert all(-2.5 <= each - midnight <= -1.4 for each in wall)


def test_a_journal_tells_boots_and_a_step_of_the_clock() -> None:
    reading = log("two-boots.journal.json")
    assert [span.clock for span in reading.spans] == ["boot-1", "boot-2", "boot-3"]
    assert [round(sync.offset_s) for sync in reading.syncs] == [1_764_000_000, 1_764_020_000, 1_764_023_600]
    (step,) = [e for e in reading.events if isinstance(e, ClockStep)]
    assert step.seconds == 3600


def test_a_year_goes_on_over_new_year() -> None:
    text = (
        b"Dec 31 23:59:59 pier kernel: usb 1-1: USB disconnect, device number 2\n"
        b"Jan  1 00:00:01 pier kernel: usb 1-2: USB disconnect, device number 3\n"
    )
    reading = read(io.BytesIO(text), Handed("x", 1_767_100_000.0))
    first, second = [e.at.seconds for e in reading.events]
    assert second - first == 2.0


def test_a_file_that_is_no_log() -> None:
    assert not recognises(b"frame,time\n1,2\n")
    with pytest.raises(ValueError, match="no line of it"):
        read(io.BytesIO(b"nothing\nof the kind\n"), Handed("x"))


SHARED_COUNTS = {
    "cannot-enable.klog": {"PortTrouble never-enabled": 12, "PortTrouble power-cycled": 3, "PortTrouble gave-up": 3},
    "no-over-current.klog": {"Arrival begun": 9, "ControllerNote bus-new": 2},
    "one-bad-hub-port.klog": {
        "Arrival begun": 7,
        "Arrival answered": 7,
        "Identified": 7,
        "Reset starting": 3,
        "Drop": 4,
        "PortTrouble never-enabled": 2,
    },
    "translator-bandwidth.klog": {
        "Arrival begun": 8,
        "Arrival answered": 8,
        "Identified": 8,
        "Drop": 4,
        "Refusal bandwidth": 2,
        "Refusal not-configured": 2,
    },
    "subtree-cycles.klog": {
        "Arrival begun": 20,
        "Arrival answered": 22,
        "Identified": 22,
        "Drop": 35,
        "Reset waking": 12,
        "Reset starting": 2,
        "ControllerNote power-lost": 2,
        "Noise changed-identity": 1,
        "ControllerNote dead": 4,
        "ControllerNote bus-gone": 4,
        "ControllerNote bus-new": 2,
        "Noise driver-error": 2,
        "Asleep": 1,
    },
}


@pytest.mark.parametrize("name", SHARED_COUNTS)
def test_logs_of_other_machines(name: str) -> None:
    if not (SHARED / name).exists():
        pytest.skip("the recordings of other machines are not beside this checkout")
    with (SHARED / name).open("rb") as file:
        assert tally(read(file, Handed(name, None))) == SHARED_COUNTS[name]


def test_nothing_of_a_host_is_kept() -> None:
    for path in HERE.iterdir():
        assert "pier" not in repr(log(path.name)), path


def test_names_of_ports_and_programs_that_take_them() -> None:
    from topo.evidence.kernel.messages import happened

    told = happened("usb 1-1.4: Common USB serial converter now attached to ttyUSB12")
    assert told is not None and (told.kind, told.path, told.name) == ("port-named", "1-1.4", "ttyUSB12")
    told = happened("cdc_acm 3-2:1.0: ttyACM0: USB ACM device")
    assert told is not None and (told.kind, told.path, told.name) == ("port-named", "3-2", "ttyACM0")
    told = happened("usb 1-1: usbfs: interface 0 claimed by ch341 while 'brltty' sets config #1")
    assert told is not None and (told.kind, told.path, told.name, told.program) == ("claimed", "1-1", "ch341", "brltty")
    for text in ("usb 1-1: now attached to ttyUSB0; rm -rf", "usb 1-1: now attached to ../../x",
                 "usb 1-1: usbfs: interface 0 claimed by x while '\x1b[0m' sets config #1"):
        told = happened(text)
        assert told is None or told.kind not in ("port-named", "claimed"), text
