"""Names of serial ports on Linux: what udev keeps of them, and what its rules would make where it keeps nothing."""

from __future__ import annotations

import os
import random
import re
import sys
from pathlib import Path

import pytest

from tests.live.machine import BOARD, Adapter, FakeMachine
from tests.live.tools import need, recording, shared, under_umockdev
from tests.samples import share
from topo.live.serialports import may_open
from topo.live.sysfs import scan
from topo.live.udevdata import MOST_PORT_LINKS, UdevPort, read_port
from topo.wiring.lasting import by_id, by_path, canonical, controller_path, kind_of_name, udev_serial, udev_word

NODE = "S:serial/by-id/usb-Made_Up_Adapter_A1-if00-port0"


def test_a_scan_keeps_number_links_and_rights(tmp_path: Path) -> None:
    machine = FakeMachine(tmp_path)
    machine.plug(Adapter("1-2.1", serial="A1", port_number=1, tty="ttyUSB3", minor=3))
    (tmp_path / "dev/ttyUSB3").chmod(0o660)
    port = scan(machine.sys).serial_ports[0]
    assert (port.name, port.device, port.number, port.driver) == ("/dev/ttyUSB3", "1-2.1", 1, "ftdi_sio")
    assert port.links == ("/dev/serial/by-id/usb-Made_Up_Adapter_A1-if00-port1",
                          "/dev/serial/by-path/pci-0000:00:14.0-usb-0:2.1:1.0-port1")
    assert (port.composed, port.shared, port.mode) == (False, (), 0o660)


@pytest.mark.parametrize("controller", ["devices/pci0000:00/0000:00:14.0", BOARD])
def test_where_udev_keeps_nothing_its_rules_are_followed_and_that_is_said(tmp_path: Path, controller: str) -> None:
    """The same names come out as those udev would keep, on a small board too, and they are marked."""
    machine = FakeMachine(tmp_path, controller)
    one = Adapter("1-2.1", serial="A 1", udev=False)
    machine.plug(one)
    port = scan(machine.sys).serial_ports[0]
    assert port.composed
    assert sorted(port.links) == sorted(f"/dev/{line[2:]}" for line in machine.links(one))


def test_twins_claim_one_name_and_both_are_told(tmp_path: Path) -> None:
    machine = FakeMachine(tmp_path)
    machine.plug(Adapter("1-1"), Adapter("1-2", tty="ttyUSB1", minor=1), Adapter("1-3", "ttyUSB2", serial="X", minor=2))
    ports = scan(machine.sys).serial_ports
    assert [port.shared for port in ports] == [("/dev/serial/by-id/usb-Made_Up_Adapter-if00-port0",)] * 2 + [()]


def test_ports_left_alone_by_services_are_told(tmp_path: Path) -> None:
    machine = FakeMachine(tmp_path)
    machine.plug(Adapter("1-1", extra=["E:ID_MM_DEVICE_IGNORE=1"]), Adapter("1-2", "ttyUSB1", minor=1))
    assert [port.spared for port in scan(machine.sys).serial_ports] == [True, False]


@pytest.mark.parametrize(("mode", "uid", "gid", "wanted"), [
    (0o660, 1000, 20, True), (0o660, 1000, 99, False), (0o600, 1000, 20, False), (0o666, 1000, 99, True),
    (0o660, 0, 99, True), (0o060, 1000, 20, True),
])
def test_who_may_open_a_node(
    monkeypatch: pytest.MonkeyPatch, mode: int, uid: int, gid: int, wanted: bool
) -> None:
    """The node is root's, its group is 20; the person is in the group `gid`."""
    monkeypatch.setattr(os, "geteuid", lambda: uid)
    monkeypatch.setattr(os, "getegid", lambda: gid)
    monkeypatch.setattr(os, "getgroups", list)
    assert may_open(0, 20, mode) is wanted


def test_names_against_the_database_of_a_real_board() -> None:
    """Every ID_PATH and ID_SERIAL of the recording is what our own composition makes of the same blocks."""
    text = shared("board.udev.txt").read_text(encoding="utf-8")
    paths = serials = 0
    for block in text.split("\n\n"):
        facts = dict(line[3:].partition("=")[::2] for line in block.splitlines() if line.startswith("E: "))
        folder = facts.get("DEVPATH", "").lstrip("/")
        name = folder.rpartition("/")[2]
        if facts.get("DEVTYPE") == "usb_interface" and (match := re.fullmatch(r"\d+-([\d.]+):(\d+)\.(\d+)", name)):
            controller = controller_path(folder[: folder.index("/usb")])
            assert controller is not None
            made = by_path(controller, match[1], int(match[2]), int(match[3]), None)
            assert made == f"/dev/serial/by-path/{facts['ID_PATH']}"
            paths += 1
        if facts.get("DEVTYPE") == "usb_device":
            words = [facts[f"ID_{w}_ENC"].encode().decode("unicode_escape") for w in ("VENDOR", "MODEL")]
            made = by_id(words[0], words[1], facts.get("ID_SERIAL_SHORT"), 0, None)
            assert made == f"/dev/serial/by-id/usb-{facts['ID_SERIAL']}-if00"
            serials += 1
    assert (paths, serials) == (4, 4)


@pytest.mark.parametrize(("told", "written"), [
    ("Serial adapter", "Serial_adapter"), ("  two  blanks ", "two_blanks"), ("a/b*c", "a_b_c"),
    ("1.0-x:y+z", "1.0-x:y+z"),
])
def test_words_as_udev_writes_them(told: str, written: str) -> None:
    assert udev_word(told) == written


def test_a_serial_number_with_a_comma_is_none() -> None:
    assert udev_serial("A,1") is None and udev_serial("A\x01") is None and udev_serial("A-1") == "A-1"


@pytest.mark.parametrize(("typed", "name", "kind"), [
    ("ttyUSB0", "/dev/ttyUSB0", "number"), ("com7", "COM7", "com"), (r"\\.\COM12", "COM12", "com"),
    ("/dev/tty.usbserial-1", "/dev/cu.usbserial-1", "callout"),
    ("usb-a_b-if00", "/dev/serial/by-id/usb-a_b-if00", "by-id"),
    ("serial/by-path/x", "/dev/serial/by-path/x", "by-path"), ("192.168.1.4:4030", "192.168.1.4:4030", "network"),
    ("/dev/mount", "/dev/mount", "own"),
])
def test_typed_names(typed: str, name: str, kind: str) -> None:
    assert canonical(typed) == name == canonical(name)
    assert kind_of_name(name) == kind


PIECES = ("S:", "E:", "I:", "\n", "serial/by-id/", "serial/by-path/", "../../", "/etc/passwd", "ID_MM_DEVICE_IGNORE=1",
          "ID_MM_PORT_IGNORE=", "\x00", "\x1b]0;x\x07", " ", "=", "usb-a-if00", "é", "\ud83d", "A" * 300)


def mutants(count: int, seed: int) -> list[bytes]:
    """Entries of udev, spoilt: pieces put together at random, and a good one with bytes changed, cut or doubled."""
    chance = random.Random(seed)
    good = f"{NODE}\nI:1\nE:ID_BUS=usb\nE:ID_MM_CANDIDATE=1\nG:systemd\nV:1\n".encode()
    made = []
    for _ in range(count):
        if chance.random() < 0.5:
            text = "".join(chance.choice(PIECES) for _ in range(chance.randint(0, 60)))
            made.append(text.encode("utf-8", "surrogatepass"))
            continue
        data = bytearray(good)
        for _ in range(chance.randint(1, 8)):
            at = chance.randrange(len(data))
            how = chance.randrange(3)
            if how == 0:
                data[at] = chance.randrange(256)
            elif how == 1:
                del data[at : at + chance.randint(1, 20)]
                data = data or bytearray(b"S")
            else:
                data[at:at] = data[max(0, at - chance.randint(1, 50)) : at]
        made.append(bytes(data))
    return made


@pytest.mark.parametrize("seed", range(4))
def test_spoilt_entries_of_udev_give_names_below_dev_or_nothing(seed: int) -> None:
    for data in mutants(int(os.environ.get("TOPO_MUTANTS", "400")), seed):
        found = read_port(data)
        assert len(found.links) <= MOST_PORT_LINKS and found.links == tuple(sorted(set(found.links)))
        for link in found.links:
            assert link.startswith("/dev/") and len(link) <= 260
            assert ".." not in link.split("/") and not re.search(r"[\x00-\x20\x7f]", link)
    assert read_port(NODE.encode()) == UdevPort(("/dev/serial/by-id/usb-Made_Up_Adapter_A1-if00-port0",))


def udev_s_own(device: Path, tty: str) -> dict[str, str]:
    """The properties that udev's own built-ins give a port, under umockdev."""
    found: dict[str, str] = {}
    for builtin in ("path_id", "usb_id"):
        done = under_umockdev(device, need("udevadm"), "test-builtin", builtin, tty)
        found |= dict(line.partition("=")[::2] for line in done.stdout.splitlines() if re.match(r"ID_[A-Z_]+=", line))
    return found


WORDS = ((b"Serial adapter", b"A0001"), (b"  blanks  in\tit ", b" x y "), (b"pl/us+m:n=us@#", b"1,2"), (b"plain", b""),
         ("ü ß".encode(), b"a b"), (b"a\\x20b", b"0x41"), (b"*?[a]", b"\x01"), (b'q"uote\'', b"tail_"))


@pytest.mark.parametrize(("product", "serial"), share(WORDS, 2, several=True), ids=repr)
def test_names_against_udev_s_own_built_ins(tmp_path: Path, product: bytes, serial: bytes) -> None:
    """What the device says, through udev's path_id and usb_id and its rules, is what our composition makes of it."""
    text = recording("twins").read_text(encoding="ascii")
    block = text[text.index("usb1/1-1\n"):]
    block = block[: block.index("\n\n")]
    old = next(line for line in block.splitlines() if line.startswith("H: product="))
    new = "\n".join(f"H: {name}={told.hex().upper()}0A" for name, told in (("product", product), ("serial", serial)))
    device = tmp_path / "one.umockdev"
    device.write_text(text.replace(block, block.replace(old, new)), encoding="ascii")
    tty = "/sys/devices/pci0000:00/0000:00:14.0/usb1/1-1/1-1:1.0/ttyUSB0/tty/ttyUSB0"
    theirs = udev_s_own(device, tty)
    code = ("from topo.live.sysfs import scan\n"
            "p = next(p for p in scan().serial_ports if p.name == '/dev/ttyUSB0')\n"
            "print(*p.links, sep='\\n')\n")
    done = under_umockdev(device, sys.executable, "-c", code)
    assert done.returncode == 0, done.stderr
    serial_id = theirs.get("ID_SERIAL") or theirs["ID_USB_SERIAL"]
    assert done.stdout.splitlines() == [
        f"/dev/serial/by-id/usb-{serial_id}-if{theirs['ID_USB_INTERFACE_NUM']}-port0",
        f"/dev/serial/by-path/{theirs['ID_PATH']}-port0"]


def test_a_database_that_somebody_posted_tells_the_same_names() -> None:
    from topo.live.recording import read_scan

    at = "/devices/pci0000:00/0000:00:14.0/usb1/1-1"
    blocks = [f"P: {at}\nE: DEVTYPE=usb_device\nE: PRODUCT=f1d0/6001/600\nE: DEVNUM=004\nE: BUSNUM=001"]
    for number in (0, 1):
        tty = f"{at}/1-1:1.{number}/ttyUSB{number}/tty/ttyUSB{number}"
        blocks.append(f"P: {tty}\nN: ttyUSB{number}\nS: serial/by-id/usb-Same-if00-port0\n"
                      f"S: serial/by-path/pci-0000:00:14.0-usb-0:1:1.{number}-port0\nS: ../../etc/passwd\n"
                      f"E: SUBSYSTEM=tty\nE: DEVNAME=/dev/ttyUSB{number}")
    found = read_scan("\n\n".join(blocks) + "\n").serial_ports
    assert [(p.name, p.number, p.links, p.shared) for p in found] == [
        (f"/dev/ttyUSB{n}", 0, ("/dev/serial/by-id/usb-Same-if00-port0",
                                f"/dev/serial/by-path/pci-0000:00:14.0-usb-0:1:1.{n}-port0"),
         ("/dev/serial/by-id/usb-Same-if00-port0",)) for n in (0, 1)]
