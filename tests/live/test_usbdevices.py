"""The kernel's usb/devices text: a real one, and the ways people and mail programs change it."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.live.tools import shared
from topo.errors import ScanError
from topo.live.listings.usb_devices import read as read_usbdevices
from topo.live.recording import read_scan
from topo.live.store import dumps, loads
from topo.model.sighting import Scan
from topo.wiring.joined import joined

TEXT = """\
T:  Bus=02 Lev=00 Prnt=00 Port=00 Cnt=00 Dev#=  1 Spd=5000 MxCh= 4
D:  Ver= 3.00 Cls=09(hub  ) Sub=00 Prot=03 MxPS= 9 #Cfgs=  1
P:  Vendor=1d6b ProdID=0003 Rev= 6.12
S:  SerialNumber=0000:00:14.0
C:* #Ifs= 1 Cfg#= 1 Atr=e0 MxPwr=  0mA
I:* If#= 0 Alt= 0 #EPs= 1 Cls=09(hub  ) Sub=00 Prot=00 Driver=hub
E:  Ad=81(I) Atr=03(Int.) MxPS=   4 Ivl=256ms

T:  Bus=02 Lev=01 Prnt=01 Port=01 Cnt=01 Dev#=  2 Spd=5000 MxCh= 4
D:  Ver= 3.00 Cls=09(hub  ) Sub=00 Prot=03 MxPS= 9 #Cfgs=  1
P:  Vendor=f1c0 ProdID=0831 Rev= 1.00
S:  Product=Hub of four, the one with a name that a mail program will wrap somewhere
C:* #Ifs= 1 Cfg#= 1 Atr=e0 MxPwr=  0mA
I:* If#= 0 Alt= 0 #EPs= 1 Cls=09(hub  ) Sub=00 Prot=00 Driver=hub

T:  Bus=02 Lev=02 Prnt=02 Port=02 Cnt=01 Dev#= 13 Spd=5000 MxCh= 0
D:  Ver= 3.00 Cls=00(>ifc ) Sub=00 Prot=00 MxPS= 9 #Cfgs=  1
P:  Vendor=f1a0 ProdID=0260 Rev= 1.00
S:  Manufacturer=Made-up Cameras
S:  Product=Main 26M
S:  SerialNumber=M=0007 x
C:* #Ifs= 1 Cfg#= 1 Atr=80 MxPwr=400mA
I:* If#= 0 Alt= 0 #EPs= 1 Cls=ff(vend.) Sub=00 Prot=00 Driver=(none)
E:  Ad=81(I) Atr=02(Bulk) MxPS=1024 Ivl=0ms
C:  #Ifs= 1 Cfg#= 2 Atr=80 MxPwr=900mA
I:  If#= 0 Alt= 0 #EPs= 1 Cls=08(stor.) Sub=06 Prot=50 Driver=(none)

T:  Bus=01 Lev=00 Prnt=00 Port=00 Cnt=00 Dev#=  1 Spd=480  MxCh= 4
B:  Alloc=  0/800 us ( 0%), #Int=  0, #Iso=  0
D:  Ver= 2.00 Cls=09(hub  ) Sub=00 Prot=01 MxPS=64 #Cfgs=  1
P:  Vendor=1d6b ProdID=0002 Rev= 6.12
S:  SerialNumber=0000:00:14.0
C:* #Ifs= 1 Cfg#= 1 Atr=e0 MxPwr=  0mA
I:* If#= 0 Alt= 0 #EPs= 1 Cls=09(hub  ) Sub=00 Prot=00 Driver=hub

T:  Bus=01 Lev=01 Prnt=01 Port=01 Cnt=01 Dev#=  7 Spd=480  MxCh= 4
D:  Ver= 2.10 Cls=09(hub  ) Sub=00 Prot=02 MxPS=64 #Cfgs=  1
P:  Vendor=f1c0 ProdID=0830 Rev= 1.00
C:* #Ifs= 1 Cfg#= 1 Atr=e0 MxPwr=  0mA
I:  If#= 0 Alt= 0 #EPs= 1 Cls=09(hub  ) Sub=00 Prot=01 Driver=hub
I:* If#= 0 Alt= 1 #EPs= 1 Cls=09(hub  ) Sub=00 Prot=02 Driver=hub

T:  Bus=01 Lev=02 Prnt=07 Port=00 Cnt=01 Dev#=  9 Spd=480  MxCh= 0
D:  Ver= 2.00 Cls=ef(misc ) Sub=02 Prot=01 MxPS=64 #Cfgs=  1
P:  Vendor=f1a0 ProdID=0700 Rev= 1.00
S:  Product=All-sky
C:* #Ifs= 1 Cfg#= 1 Atr=80 MxPwr=500mA
I:  If#= 0 Alt= 0 #EPs= 0 Cls=0e(video) Sub=02 Prot=00 Driver=uvcvideo
I:* If#= 0 Alt= 1 #EPs= 1 Cls=0e(video) Sub=02 Prot=00 Driver=uvcvideo
E:  Ad=81(I) Atr=05(Isoc) MxPS=3072 Ivl=125us
"""


def tree(scan: Scan) -> list[tuple[str, str | None, float | None]]:
    return [(s.id, s.parent, s.speed_mbit) for s in scan.sightings]


WHOLE = read_usbdevices(TEXT)


def test_the_tree_and_its_figures() -> None:
    assert tree(WHOLE) == [
        ("usb1", None, 480),
        ("1-2", "usb1", 480),
        ("1-2.1", "1-2", 480),
        ("usb2", None, 5000),
        ("2-2", "usb2", 5000),
        ("2-2.3", "2-2", 5000),
    ]
    camera = WHOLE.sighting("2-2.3")
    assert camera is not None
    assert (camera.devnum, camera.serial, camera.max_power_ma, camera.self_powered) == (13, "M=0007 x", 400, False)
    assert [(i.usb_class, i.driver, i.endpoints[0].max_packet) for i in camera.interfaces] == [(255, None, 1024)]
    sky = WHOLE.sighting("1-2.1")
    assert sky is not None
    end = sky.interfaces[1].endpoints[0]
    assert (end.kind, end.max_packet, end.interval_bytes, end.interval_us) == ("iso", 1024, 3072, 125.0)
    assert [c.buses for c in WHOLE.controllers] == [(1, 2)] and WHOLE.problems == ()


def test_both_sides_of_the_hub_are_joined_by_a_guess() -> None:
    box = next(box for box in joined(WHOLE) if box.kind == "hub")
    assert (box.members, box.joined_by) == (("1-2", "2-2"), "same place")


def test_the_text_of_a_real_desktop() -> None:
    """A public bug report: ten devices, two of them hubs, all on one controller."""
    text = shared("hubs.usbdevices.txt").read_text(encoding="utf-8")
    found = read_scan(text)
    assert tree(found) == [
        ("usb1", None, 480),
        ("1-2", "usb1", 12),
        ("1-9", "usb1", 480),
        ("1-9.1", "1-9", 12),
        ("1-9.2", "1-9", 480),
        ("1-9.3", "1-9", 480),
        ("1-10", "usb1", 12),
        ("1-13", "usb1", 480),
        ("1-13.1", "1-13", 12),
        ("usb2", None, 10_000),
    ]
    assert [(s.id, s.devnum) for s in found.sightings if s.devnum == 14] == [("1-9.3", 14)]
    assert sum(len(i.endpoints) for s in found.sightings for i in s.interfaces) == text.count("\nE:")
    assert loads(dumps(found)) == found and found.problems == ()


def wrapped(text: str, width: int) -> str:
    """As a mail program wraps: at the last space before the width, without a mark."""
    lines = []
    for line in text.splitlines():
        while len(line) > width and " " in line[5:width]:
            cut = line.rindex(" ", 5, width)
            lines.append(line[:cut])
            line = line[cut + 1 :]
        lines.append(line)
    return "\n".join(lines)


def other_bus_first(text: str) -> str:
    """Within a bus the order says who is whose parent; buses may stand in any order."""
    blocks = text.split("\n\n")
    return "\n\n".join([*blocks[3:], *blocks[:3]])


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace("\n", "\r\n"),
        lambda text: "".join(f"> {line}\n" for line in text.splitlines()),
        lambda text: "".join(f">> | {line}\n" for line in text.splitlines()),
        lambda text: "".join(f"    {line}\n" for line in text.splitlines()),
        lambda text: re.sub("^", "> ", wrapped(text, 60), flags=re.MULTILINE),
        lambda text: wrapped(text, 40),
        other_bus_first,
        lambda text: f"Hello, here is my output:\n\n{text}\n\nAny ideas? T: is the tag I wonder about.\n",
        lambda text: "\ufeff" + text,
        lambda text: text.replace("\n\n", "\n"),
    ],
    ids=["crlf", "quoted", "quoted-twice", "indented", "quoted-wrapped", "wrapped", "order", "prose", "bom", "joined"],
)
def test_what_mail_programs_do_changes_nothing(change: object) -> None:
    assert callable(change)
    found = read_scan(change(TEXT).removeprefix("\ufeff"))
    assert found.sightings == WHOLE.sightings


def test_old_kernels_star_no_setting() -> None:
    found = read_usbdevices(TEXT.replace("I:*", "I: "))
    assert {i.active for s in found.sightings for i in s.interfaces} == {None}


def test_a_device_whose_hub_was_cut_off_is_kept() -> None:
    found = read_usbdevices("\n\n".join(block for block in TEXT.split("\n\n") if "Dev#=  7" not in block))
    loose = found.sighting("1-?9")
    assert loose is not None and loose.parent is None and loose.product == "All-sky"
    assert any("the hub above it is not in the text" in problem for problem in found.problems)


def test_the_same_device_twice_is_told() -> None:
    found = read_usbdevices(f"{TEXT}\n\n{TEXT}")
    assert found.sightings == WHOLE.sightings and any("there twice" in problem for problem in found.problems)


@pytest.mark.parametrize("text", ["", "hello", '"a": 1', "T:", "T:  Lev=01", "\x00\x01"])
def test_other_texts_are_no_scan(text: str) -> None:
    with pytest.raises(ScanError, match="neither a saved scan"):
        read_scan(text)


def test_cut_anywhere_it_reads_what_is_there() -> None:
    for end in range(70, len(TEXT), 7):
        found = read_usbdevices(TEXT[:end])
        assert loads(dumps(found)) == found


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_damaged_text_never_fails(data: st.DataObject) -> None:
    text = TEXT
    for _ in range(data.draw(st.integers(1, 8))):
        at = data.draw(st.integers(0, len(text)))
        text = text[:at] + data.draw(st.text(max_size=12)) + text[at + data.draw(st.integers(0, 30)) :]
    try:
        found = read_usbdevices(text)
    except ScanError:
        return
    assert loads(dumps(found)) == found


def test_long_lines_take_no_long_time() -> None:
    import time

    hurt = (
        "T:  Bus=01 Lev=00 Prnt=00 Port=00 Cnt=00 Dev#=  1 Spd=480\n"
        + "\n" * 200_000
        + " " * 400_000
        + "T:"
        + "a" * 2_000_000
    )
    begin = time.process_time()
    read_scan(hurt)
    read_scan(hurt + "\nS:" + "#=" * 100_000 + "\n" + "> " * 100_000)
    assert time.process_time() - begin < 5
