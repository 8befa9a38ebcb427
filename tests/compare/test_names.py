"""`topo names`, its rules for udev, and names and twins through every order of plugging."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import topo.report
from tests.compare.pieces import COMPUTER, compared
from topo.checks import scans
from topo.checks.scans import BOS, adapter, held, hub, scan, seen, tty
from topo.cli.main import status_of
from topo.compare.names import rig_names
from topo.compare.rules import new_names, rules_text
from topo.pipeline import compare_study

SCHEMA = json.loads(Path(topo.report.__file__).with_name("names.schema.json").read_text(encoding="utf-8"))
HUB = "hubs:\n  hub: {speed: high, ports: 4, plug: computer/usb3-1}\n"
DEVICES = """\
devices:
  mount: {role: mount, interface: serial, plug: hub/1, opens: /dev/ttyUSB0,
          identity: {vendor_id: f1a0, product_id: '0001', serial: A1}}
  focuser: {role: focuser, interface: serial, plug: hub/2, opens: /dev/ttyUSB1}
  rotator: {role: rotator, interface: serial, plug: hub/3}
"""
RIG = COMPUTER + HUB + DEVICES
SHARED = "/dev/serial/by-id/usb-Made_up_Adapter-if00-port0"
LIVE = scan(hub("1-1"), adapter("1-1.1", serial="A1"), adapter("1-1.2"), adapter("1-1.3"), serial_ports=[
    tty(1, "1-1.1", serial="A1"), tty(0, "1-1.2", shared=[SHARED]), tty(2, "1-1.3", shared=[SHARED])],
    holding=held({"name": "/dev/ttyUSB0", "how": "open", "program": "planner"}))


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "rig.yaml").write_text(RIG, encoding="utf-8")
    (tmp_path / "scan.json").write_text(LIVE, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_each_part_with_its_port_and_the_name_that_lasts(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["names", "rig.yaml", "scan.json", "--width", "80"]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80
    told = " ".join(out.split())
    assert "mount /dev/ttyUSB1 /dev/ttyUSB0: that is focuser NOW in any socket" in told
    assert "/dev/serial/by-id/usb-Made_up_Adapter_A1-if00-port0" in told
    assert "/dev/serial/by-path/pci-0000:00:14.0-usb-0:1.2:1.0-port0" in told
    assert "hub/2: focuser" in told and "Open in: focuser: planner" in told
    assert "is a guess by socket or kind" in told


def test_json_follows_its_schema(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["names", "rig.yaml", "scan.json", "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    Draft202012Validator(SCHEMA).validate(made)
    parts = {part["id"]: part for part in made["parts"]}
    assert (parts["mount"]["lasts"], parts["focuser"]["lasts"]) == ("anywhere", "in its socket")
    assert (parts["mount"]["opens_is"], parts["mount"]["opens_part"]) == ("another part", "focuser")
    assert [parts[name]["guessed"] for name in ("mount", "focuser", "rotator")] == [False, True, True]


def test_nothing_is_installed(files: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    assert status_of(["names", "rig.yaml", "scan.json", "-o", "/etc/udev/rules.d/70-rig.rules"]) == 2
    assert "topo installs none" in " ".join(capsys.readouterr().err.split())
    (files / "aside").symlink_to("/etc/udev/rules.d")
    assert status_of(["names", "rig.yaml", "scan.json", "-o", "aside/70-rig.rules"]) == 2
    assert status_of(["names", "rig.yaml", "scan.json", "-o", "mine.rules"]) == 0
    assert (files / "mine.rules").read_text(encoding="ascii").count("SYMLINK+=") == 3


def test_rules_are_for_linux(files: Path) -> None:
    (files / "other.json").write_text(LIVE.replace('"system": "linux"', '"system": "windows"'), encoding="utf-8")
    assert status_of(["names", "rig.yaml", "other.json", "-o", "mine.rules"]) == 2
    assert not (files / "mine.rules").exists()


LINE = re.compile(r'SUBSYSTEM=="tty"(, ENV\{[A-Z_.]+\}=="[0-9A-Za-z_.:+=@-]+")+, SYMLINK\+="rig-[0-9a-z-]+"')


def lines_of(rules: str) -> list[str]:
    return [line for line in rules.splitlines() if line and not line.startswith("#")]


@pytest.mark.parametrize("hostile", [
    'x", RUN+="/bin/sh -c id', "a\nSUBSYSTEM==\"tty\", RUN+=\"x\"", "*", "A[0-9]?", "tail\\", "\x1b]0;x\x07",
    "é\u202e", "",
])
def test_hostile_names_stay_out_of_the_rules(hostile: str) -> None:
    """Whatever a device says: each line is a rule of ours, or a comment that ends where it ends."""
    live = json.loads(LIVE)
    for one in live["sightings"]:
        if one["id"] == "1-1.1":
            one["serial"] = one["product"] = hostile
    for port in live["serial_ports"]:
        port["links"] = [link.replace("Made_up", hostile) for link in port["links"]]
        port["links"].append(f"/dev/serial/by-path/{hostile}")
    for device in ("mount", 'a"b\\', "é"):
        rig = RIG.replace("  mount:", f"  {json.dumps(device)}:")
        rig = rig.replace("serial: A1", f"serial: {json.dumps(hostile)}")
        if not hostile.isprintable() or not hostile:
            rig = RIG
        rules = rules_text(compared(rig, json.dumps(live)))
        assert rules.isascii() and all(LINE.fullmatch(line) for line in lines_of(rules)), rules
        assert not any(line.endswith("\\") for line in rules.splitlines())


def test_no_two_parts_get_one_name() -> None:
    devices = "".join(f"  {name}: {{interface: serial, plug: hub/{n}}}\n" for n, name in enumerate(
        ("Mount 1", "mount-1", "mount_1", "é"), 1))
    live = scan(hub("1-1"), *(adapter(f"1-1.{n}") for n in range(1, 5)),
                serial_ports=[tty(n, f"1-1.{n}") for n in range(1, 5)])
    names = new_names(compared(COMPUTER + HUB + "devices:\n" + devices, live))
    assert list(names.values()) == ["rig-mount-1", "rig-mount-1-2", "rig-mount-1-3", "rig-part"]


def test_an_adapter_with_several_sockets_gives_each_its_own_line() -> None:
    rig = COMPUTER + """\
devices:
  adapter: {interface: serial, serial_sockets: 2, plug: computer/usb3-1}
  mount: {role: mount, interface: serial, plug: adapter/serial-1}
  focuser: {role: focuser, interface: serial, plug: adapter/serial-2}
"""
    ports = [tty(0, "1-1", serial="Q"), {**tty(1, "1-1", serial="Q"), "interface": 1}]
    comparison = compared(rig, scan(adapter("1-1", serial="Q"), serial_ports=ports))
    assert [(each.part, each.port and each.port.port.name) for each in rig_names(comparison).parts] == [
        ("mount", "/dev/ttyUSB0"), ("focuser", "/dev/ttyUSB1")]
    rules = rules_text(comparison)
    assert 'ENV{ID_USB_INTERFACE_NUM}=="00"' in rules and 'ENV{ID_USB_INTERFACE_NUM}=="01"' in rules


def read_by_udev(rules: Path) -> str:
    """What udev says of a file of rules: by its own verifier, else by its test run in a file system of its own."""
    tool = shutil.which("udevadm")
    if tool is None:
        pytest.skip("udevadm is not installed")
    done = subprocess.run([tool, "verify", str(rules)], capture_output=True, text=True, check=False)
    if "Unknown command verb" not in done.stderr:
        return "" if done.returncode == 0 else done.stdout + done.stderr
    if os.geteuid() != 0 or shutil.which("unshare") is None or not Path("/sys/class/tty").is_dir():
        pytest.skip("this udevadm verifies nothing, and its test run needs root")
    port = next(iter(sorted(Path("/sys/class/tty").iterdir())))
    script = ("set -e; mkdir -p /run/udev/rules.d; mount -t tmpfs none /run/udev/rules.d; "
              f"cp '{rules}' /run/udev/rules.d/70-rig.rules; udevadm test --action=add {port}")
    done = subprocess.run(["unshare", "-m", "sh", "-c", script], capture_output=True, text=True, check=False)
    told = done.stdout + done.stderr
    if "70-rig.rules" not in told:
        pytest.skip("udevadm's test run did not read the rules here")
    return "\n".join(line for line in told.splitlines() if re.search(r"70-rig\.rules:\d+", line))


def test_udev_reads_the_rules(tmp_path: Path) -> None:
    rules = tmp_path / "70-rig.rules"
    rules.write_text(rules_text(compared(RIG, LIVE)), encoding="ascii")
    assert read_by_udev(rules) == ""
    wrong = 'SUBSYSTEM=="tty", NOSUCHKEY=="x", SYMLINK+="a"\n'
    rules.write_text(rules_text(compared(RIG, LIVE)) + wrong, encoding="ascii")
    assert "NOSUCHKEY" in read_by_udev(rules), "a wrong rule was not seen"


# -- every order of plugging -----------------------------------------------------------------------------------------

NAMES = ("mount", "focuser", "rotator")


def plugged(order: tuple[int, ...], serials: dict[str, str | None], at: dict[str, int],
            gone: tuple[str, ...] = ()) -> str:
    """The scan where adapters came up in an order, each part's adapter in the socket that `at` says."""
    there = [NAMES[n] for n in order if NAMES[n] not in gone]
    seen_, ports = [hub("1-1")], []
    for number, name in enumerate(there):
        place, serial = f"1-1.{at[name]}", serials[name]
        seen_.append(adapter(place, devnum=number + 3, **({"serial": serial} if serial else {})))
        ports.append(tty(number, place, serial=serial))
    links = [link for port in ports for link in port["links"]]
    for port in ports:
        port["shared"] = [link for link in port["links"] if links.count(link) > 1]
    return scan(*sorted(seen_, key=lambda s: s["ports"]), serial_ports=ports)


def rig_of(serials: dict[str, str | None]) -> str:
    """Each program opens the number its adapter has when they come up in the order of the file."""
    lines = []
    for n, name in enumerate(NAMES):
        ids = f", identity: {{vendor_id: f1a0, product_id: '0001', serial: {serials[name]}}}" if serials[name] else ""
        lines.append(f"  {name}: {{role: {name}, interface: serial, plug: hub/{n + 1}, opens: /dev/ttyUSB{n}{ids}}}\n")
    return COMPUTER + HUB + "devices:\n" + "".join(lines)


ALL = {"mount": "A1", "focuser": "A2", "rotator": "A3"}
NONE: dict[str, str | None] = dict.fromkeys(NAMES)
PLACES = [dict(zip(NAMES, p, strict=True)) for p in permutations((1, 2, 3))]


@pytest.mark.parametrize("at", PLACES, ids=str)
@pytest.mark.parametrize("order", list(permutations(range(3))), ids=str)
def test_with_serial_numbers_each_part_is_found_and_each_wrong_name_is_certain(
    order: tuple[int, ...], at: dict[str, int]
) -> None:
    """In every order and every exchange of sockets: who is who is known, and just the names that changed are told."""
    report = compare_study(compared(rig_of(ALL), plugged(order, ALL, at)).declared, _scan(plugged(order, ALL, at)))
    for name in NAMES:
        match = report.comparison.match(name)
        assert match is not None and match.own is not None and not match.guessed
        assert (match.own.serial, match.own.ports[-1]) == (ALL[name], at[name])
    changed = {NAMES[n] for position, n in enumerate(order) if position != n}
    told = {f.part: f for f in report.report.findings if f.name == "port-name-changed"}
    assert set(told) == changed
    for name, finding in told.items():
        now = NAMES[order[NAMES.index(name)]]
        assert (finding.severity, finding.certainty, finding.others) == ("fault", "certain", (now,))
    moved = {f.part for f in report.report.findings if f.name == "part-moved"}
    assert moved <= {name for n, name in enumerate(NAMES) if at[name] != n + 1}, "an innocent part was named"


@pytest.mark.parametrize("at", PLACES, ids=str)
@pytest.mark.parametrize("order", list(permutations(range(3))), ids=str)
def test_twins_are_guesses_in_every_order_and_exchange(order: tuple[int, ...], at: dict[str, int]) -> None:
    """Without serial numbers nothing is certain of any one of them, the guess is said, and a test that decides."""
    text = plugged(order, NONE, at)
    report = compare_study(compared(rig_of(NONE), text).declared, _scan(text))
    assert all(match.guessed for match in report.comparison.matches if match.part in NAMES)
    named = [f for f in report.report.findings if f.name in ("port-name-changed", "part-moved", "part-missing")]
    assert all(f.certainty == "possible" for f in named)
    twins = [f for f in report.report.findings if f.name == "told-apart-by-socket"]
    assert len(twins) == 1 and "guess" in twins[0].message and "unplug the USB lead of" in (twins[0].fix or "").text
    # By socket the guess is the part of the file, and it is right wherever the plugs were left as they were.
    for name in NAMES:
        match = report.comparison.match(name)
        assert match is not None and match.thing.port == NAMES.index(name) + 1


@pytest.mark.parametrize("gone", NAMES)
@pytest.mark.parametrize("order", list(permutations(range(3))), ids=str)
def test_one_of_the_twins_gone(order: tuple[int, ...], gone: str) -> None:
    text = plugged(order, NONE, dict(zip(NAMES, (1, 2, 3), strict=True)), gone=(gone,))
    report = compare_study(compared(rig_of(NONE), text).declared, _scan(text))
    assert report.comparison.missing == (gone,)
    assert all(match.guessed for match in report.comparison.matches if match.part in NAMES)


@pytest.mark.parametrize("victim", NAMES)
@pytest.mark.parametrize("serial", ["B9", None])
@pytest.mark.parametrize("order", list(permutations(range(3))), ids=str)
def test_a_part_replaced_by_its_twin(order: tuple[int, ...], serial: str | None, victim: str) -> None:
    """One risk in place of missing and unexpected; the hub and the other two stay sure; nobody else is named."""
    text = plugged(order, {**ALL, victim: serial}, dict(zip(NAMES, (1, 2, 3), strict=True)))
    report = compare_study(compared(rig_of(ALL), text).declared, _scan(text))
    names = {f.name: f for f in report.report.findings}
    assert not {"part-missing", "part-unexpected", "part-moved"} & set(names)
    assert (names["replaced-by-a-twin"].part, names["replaced-by-a-twin"].certainty) == (victim, "possible")
    assert report.comparison.match("hub") is not None
    assert {m.part for m in report.comparison.matches if m.by == "twin"} == {victim}


def test_two_things_at_once_exchanged_and_no_driver() -> None:
    at = {"mount": 2, "focuser": 1, "rotator": 3}
    live = json.loads(plugged((0, 1, 2), ALL, at))
    live["serial_ports"] = [port for port in live["serial_ports"] if port["device"] != "1-1.3"]
    for one in live["sightings"]:
        if one["id"] == "1-1.3":
            one["interfaces"] = [scans.interface(0xFF, "bulk", "usbfs")]
    report = compare_study(compared(rig_of(ALL), json.dumps(live)).declared, _scan(json.dumps(live)))
    found = {(f.name, f.part) for f in report.report.findings}
    assert {("no-serial-port", "rotator"), ("part-moved", "mount"), ("part-moved", "focuser")} <= found
    assert not {f for f in found if f[0] == "port-name-changed" and f[1] != "rotator"}


def _scan(text: str) -> Any:
    from topo.live.recording import read_scan

    return read_scan(text)


def test_a_camera_is_taken_by_its_place_in_the_list(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    camera = "role: imaging, width_px: 6248, height_px: 4176, speed: super, picks: order, picks_number: 1"
    guide = "role: guiding, width_px: 1280, height_px: 960, speed: high, picks: order, picks_number: 2"
    rig = COMPUTER + f"""\
devices:
  main: {{{camera}, plug: computer/usb3-1}}
  guide: {{{guide}, plug: computer/usb3-2}}
"""
    live = scan(seen("2-1", 5000, product_id="0260", could_mbit=BOS), seen("1-2"))
    report = compare_study(compared(rig, live).declared, _scan(live))
    taken = {f.part: f for f in report.report.findings if f.name == "another-camera-taken"}
    assert set(taken) == {"main", "guide"} and taken["main"].severity == "fault"
    assert "1280x960 in place of 6248x4176" in taken["main"].message
    assert "choose place 2" in (taken["main"].fix.text if taken["main"].fix else "")
    better = rig.replace("picks_number: 1", "picks_number: 3").replace("picks_number: 2", "picks_number: 1").replace(
        "picks_number: 3", "picks_number: 2")
    report = compare_study(compared(better, live).declared, _scan(live))
    assert not [f for f in report.report.findings if f.name == "another-camera-taken"], "the advice did not hold"
