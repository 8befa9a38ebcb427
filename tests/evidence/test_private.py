"""Private words planted in what every reader reads: none reaches a pack. A new reader has to be planted too."""

from __future__ import annotations

import gzip
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.evidence.captures import Packet, pcap, pcapng, reads
from tests.samples import share
from topo.checks.evidence_cases import NIGHT_RIG
from topo.checks.scans import hub, scan, seen
from topo.evidence.open import gather
from topo.evidence.readers import readers
from topo.live.notes import line_of
from topo.model.answers import DeclaredTimes
from topo.model.watchnote import WATCH_FORMAT, Note, Watched
from topo.pipeline import pack_of
from topo.rigfile.read import read

SECRET = "SN-77-PRIVATE nightowl /home/nightowl/sky MY_DISK 88:71:b1:81:93:1b"
PRIVATE = ("SN-77-PRIVATE", "nightowl", "/home", "MY_DISK", "88:71:b1", "2026-11-24", "21:13", "51.47", "Hilltop")
RIG = NIGHT_RIG.replace("main-camera", "nightowl-desk")
DAY = "2026-11-24T21:13"
KERNEL = (
    "usb 3-1: New USB device found, idVendor=2222, idProduct=0610, bcdDevice= 6.56",
    f"usb 3-1: SerialNumber: {SECRET}",
    "usb 3-1.1: New USB device found, idVendor=3333, idProduct=1201, bcdDevice= 1.00",
    "usb 3-1.2: New USB device found, idVendor=4444, idProduct=6001, bcdDevice= 6.00",
    f"usb 3-1.1: Manufacturer: {SECRET}",
    f"sd 2:0:0:0: [sda] {SECRET}",
    "usb 3-1.2: nightowl converter now attached to ttyUSB0",
    "usb 3-1.2: usbfs: interface 0 claimed by nightowl while 'nightowl-sky' sets config #1",
    "usb 3-1.2: usbfs: process 7 (MY_DISK) did not claim interface 0 before use",
    f"nightowl-drv 3-1.1:1.0: {SECRET} status -71",
    "nightowl 3-1.1: USB disconnect, device number 3",
    f"xhci_hcd 0000:00:14.0: {SECRET} error -71",
    f"usb 3-9: {SECRET} timed out",
    "usb 3-9: USB disconnect, device number 7",
    "nightowl-host nightowl.auto: HC died; cleaning up",
)


def _logs() -> Iterator[tuple[str, bytes]]:
    """The kernel's log in the forms that name a host, a user or more beside each line."""
    for number, form in enumerate(("{day}:{s:02}Z nightowl-desk kernel: {text}", "<6>{day}:{s:02}Z nightowl {text}",
                                   "Nov 24 21:13:{s:02} nightowl-desk kernel: [ {s}.5] {text}")):
        lines = [form.format(day=DAY, s=s, text=text) for s, text in enumerate(KERNEL)]
        if number != 1:
            yield f"nightowl-{number}.log", "\n".join((*lines, "")).encode()
    entries = [{"__CURSOR": f"s={SECRET}", "__REALTIME_TIMESTAMP": f"{1_764_000_005_000_000 + s}",
                "__MONOTONIC_TIMESTAMP": f"{5_000_000 + s}", "_BOOT_ID": "nightowl", "_HOSTNAME": "nightowl-desk",
                "_CMDLINE": SECRET, "MESSAGE": text} for s, text in enumerate(KERNEL)]
    yield "SN-77-PRIVATE.json", "".join(json.dumps(entry) + "\n" for entry in entries).encode()
    export = ("".join(f"{key}={value}\n" for key, value in entry.items()) for entry in entries)
    yield "nightowl.journal.gz", gzip.compress("\n".join(export).encode())


def _captures() -> Iterator[tuple[str, bytes]]:
    """Descriptors, payloads and names that hold the words, of both systems."""
    words = SECRET.encode()
    begin = 1_764_000_000_000_000
    packets = [Packet(begin, "C", 1, kind="control", endpoint=0x80, data=bytes([18, 1]) + words[:16])]
    packets += [Packet(begin + n, "C", 2 + n, length=len(words), data=words) for n in range(20)]
    packets += reads(begin + 1000, [4096] * 5, 4096)
    yield "nightowl.pcapng", pcapng(packets)
    yield "nightowl-w.pcap", pcap(packets, 249)


def _tables() -> Iterator[tuple[str, bytes]]:
    """Words in headings, comments and cells."""
    guide = f"# observer {SECRET}\ntime,ra [nightowl],dec,nightowl\n" + "".join(
        f"{DAY}:{s:02}Z,0.{s % 9},0.1,{SECRET}\n" for s in range(0, 60, 2))
    yield "guide-nightowl.csv", guide.encode()
    yield "frames.csv", f"start,exposure,closed,nightowl\n{DAY}:01Z,20,{DAY}:22Z,{SECRET}\n".encode()
    actions = f"time;event;until;by\n{DAY}:01Z;dither nightowl;{DAY}:05Z;{SECRET}\n{DAY}:08Z;nightowl;;x\n"
    yield "actions.csv", actions.encode()


def _headers() -> Iterator[tuple[str, bytes]]:
    cards = (f"OBSERVER= '{SECRET[:50]}'", "SITELAT = 51.47", "INSTRUME= 'nightowl'", f"DATE-OBS= '{DAY}:00.0'",
             "EXPTIME = 20.0", "OBJECT  = 'Hilltop'")
    text = "".join(card.ljust(80) for card in ("SIMPLE  =                    T", *cards, "END"))
    yield "nightowl-desk.fits", text.ljust(2880).encode("ascii")


def _watches() -> Iterator[tuple[str, bytes]]:
    notes = [
        Note("start", f"{DAY}:00+00:00", 10.0, format=WATCH_FORMAT, every_s=2.0,
             devices=(Watched("3-2", "nightowl-desk", "5555", "2601", 5, 480.0),)),
        Note("dropped", f"{DAY}:20+00:00", 30.0, device="3-2", devnum=5, name="nightowl-desk", text=SECRET),
        Note("port", f"{DAY}:22+00:00", 32.0, device="3-1.2", name="mount",
             ports_before=("/dev/ttyUSB0", "/dev/nightowl"), ports=("/dev/ttyUSB1", "/dev/serial/by-id/SN-77-PRIVATE")),
    ]  # fmt: skip
    yield "w.jsonl", "".join(map(line_of, notes)).encode()


def _scans() -> Iterator[tuple[str, bytes]]:
    for number, when in enumerate((f"{DAY}:00+00:00", f"{DAY}:50+00:00")):
        camera = seen("3-2", 480, vendor_id="5555", product_id="2601", devnum=5 + number, serial="SN-77-PRIVATE",
                      product="nightowl", manufacturer="MY_DISK")
        yield f"nightowl-{number}.json", scan(hub("3-1", vendor_id="2222", product_id="0610"), camera,
                                              when=when).encode()


PLANTED = {"kernel-log": _logs, "usb-capture": _captures, "table": _tables, "fits": _headers, "watch-log": _watches,
           "saved-scan": _scans}


def test_every_reader_is_planted() -> None:
    assert set(PLANTED) == {reader.name for reader in readers()}, "a new reader gets a file of private words here"


@pytest.mark.parametrize("reader", share(["all", *PLANTED], 1))
def test_nothing_private_reaches_a_pack(reader: str, tmp_path: Path) -> None:
    """Serial numbers, user, host, paths, volume names, places and times of day, in names of files and in them."""
    rig = tmp_path / "nightowl-rig.yaml"
    rig.write_text(RIG, encoding="utf-8")
    files = [(name, each) for name in PLANTED if reader in (name, "all") for each in PLANTED[name]()]
    for _, (name, data) in files:
        (tmp_path / name).write_bytes(data)
    paths = [str(tmp_path / name) for _, (name, _) in files]
    assert [source.reader for source in gather(paths, readers(), {})] == [name for name, _ in files]
    times = DeclaredTimes(((paths[0], 0.5),), None, (("mass", "nightowl"),))
    made = pack_of(read(str(rig)), None, None, None, (*paths, str(tmp_path / "missing-nightowl.log")), times)
    told = b"\n".join(made.files.values()).decode("utf-8", "replace") + "\n".join((*made.warnings, *made.removed))
    for word in PRIVATE:
        assert not re.search(re.escape(word), told, re.IGNORECASE), word
    post = made.files["post.txt"].decode()
    assert "Evidence of a night" in post
    assert ("dropped" in post) == (reader in ("kernel-log", "watch-log", "all"))
