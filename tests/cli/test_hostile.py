"""Hostile names everywhere: in file names, rig files, profiles and scans. Nothing of them acts, in any command's output
or in any file it writes.

What must not come through: control characters (they move the cursor, colour, retitle, clear), marks that reorder or
hide text (Unicode bidirectional controls and other format characters, UAX 9 and UTS 39), line and paragraph separators.
"""

from __future__ import annotations

import json
import os
import unicodedata
from pathlib import Path
from typing import Any

import pytest

from tests.cli.shell import FAULTY, arguments, write_scan
from tests.computed import compute_once
from tests.samples import share
from topo.cli.main import status_of

ACTS = "\x1b[31m\x1b]0;title\x07\x9b2J\r\x08\u202eevil\u2066\u200b\u2028\u2029\ufeff"
"""Colour, title, bell, a one-byte control sequence, return, backspace, direction, separators, a hidden mark."""

BORING = "<b>&\"'`$(id)%n{0}[bold]x|*_#\\e[31m;漢é́🔭=1"
"""What a part may be called: markup of HTML, rich, Markdown, DOT, shells and spreadsheets; an accent that joins."""

TEXT = (".svg", ".dot", ".mmd", ".txt", ".html", ".json", ".yaml", ".md")
COMMANDS = [name for name in arguments("", "", "") if name not in ("watch", "schema")]


@pytest.fixture(autouse=True)
def _alone(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TOPO_PROFILES", os.devnull)  # a folder that is named and not there is told by every command
    monkeypatch.chdir(tmp_path)
    compute_once(monkeypatch)


def check_harmless(text: str, where: str) -> None:
    bad = {f"{ord(c):04x}" for c in text if c != "\n" and unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp")}
    assert not bad, f"{where}: {bad}"


def tried(name: str, rig: str, scan: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> set[int]:
    """Runs a command in all its ways; everything it prints and writes is looked at. The exit statuses."""
    before = set(folder.rglob("*"))
    statuses = set()
    for args in arguments(rig, scan, str(folder / "made"))[name]:
        statuses.add(status_of([name, *args]))
        out, err = capsys.readouterr()
        check_harmless(out, f"standard output of {args}")
        check_harmless(err, f"standard error of {args}")
        if "--json" in args and out:
            json.loads(out, parse_constant=_no_constant)
            assert out.isascii(), args
    for path in sorted(set(folder.rglob("*")) - before):
        if path.suffix in TEXT:
            text = path.read_text(encoding="utf-8")
            check_harmless(text.replace("\t", "") if path.suffix == ".dot" else text, path.name)  # graphviz indents so
    return statuses


def _no_constant(word: str) -> Any:
    raise AssertionError(f"JSON has no {word}")


@pytest.mark.parametrize("name", share(COMMANDS, 8))
def test_names_that_a_part_may_have(name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Refused nowhere: they are printable. They come through as they are, or escaped for the format."""
    text = FAULTY.replace("Two on one bus", json.dumps(BORING, ensure_ascii=False))
    for word in ("main-camera", "guide-camera"):
        text = text.replace(f"{word}:", f"{json.dumps(word + BORING, ensure_ascii=False)}:")
    (tmp_path / "rig.yaml").write_text(text, encoding="utf-8")
    write_scan(tmp_path / "scan", BORING)
    made = tmp_path / "out"
    made.mkdir()
    assert tried(name, "rig.yaml", "scan", made, capsys) <= {0, 1}
    for path in made.rglob("*.svg"):
        assert "<b>&" not in path.read_text(encoding="utf-8")
    for path in made.rglob("*.html"):
        assert "<b>&" not in path.read_text(encoding="utf-8")


@pytest.mark.skipif(os.name != "posix", reason="no such names")
@pytest.mark.parametrize("name", share(COMMANDS, 4))
def test_files_and_folders_with_such_names(name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = tmp_path / f"f{ACTS}"
    folder.mkdir()
    rig = folder / f"rig{ACTS}\n.yaml"
    rig.write_text(FAULTY, encoding="utf-8")
    write_scan(folder / f"scan{ACTS}", "Camera")
    assert tried(name, str(rig), str(folder / f"scan{ACTS}"), folder, capsys) <= {0, 1}
    rig.unlink()
    tried(name, str(rig), str(folder / f"nothing{ACTS}"), folder, capsys)
    rig.write_text("rig: A\nhubs: {a: {plgu: 1}}\n", encoding="utf-8")
    tried(name, str(rig), str(folder), folder, capsys)


@pytest.mark.parametrize("name", share(COMMANDS, 4))
def test_scans_of_devices_that_say_such_things(name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "rig.yaml").write_text(FAULTY, encoding="utf-8")
    write_scan(tmp_path / "scan", ACTS.replace("\r", "").replace("\u2028", "").replace("\u2029", ""))
    made = tmp_path / "out"
    made.mkdir()
    assert tried(name, "rig.yaml", "scan", made, capsys) <= {0, 1}


PLACES = {
    "rig": "rig: {}\ncomputer: {{}}\n",
    "part": "rig: A\ncomputer: {{}}\ndevices: {{{}: {{role: mount}}}}\n",
    "key": "rig: A\ncomputer: {{}}\ndevices: {{a: {{{}: 1}}}}\n",
    "plug": "rig: A\ncomputer: {{}}\ndevices: {{a: {{plug: {}}}}}\n",
    "profile": "rig: A\ncomputer: {{profile: {}}}\n",
    "value": "rig: A\ncomputer: {{}}\ndevices: {{a: {{width_px: {}}}}}\n",
    "note": "rig: A\ncomputer: {{note: {}}}\n",
    "source": "rig: A\ncomputer: {{}}\nprofiles: {{a: {{source: {}}}}}\n",
    "serial number": "rig: A\ncomputer: {{}}\ndevices: {{a: {{identity: {{serial: {}}}}}}}\n",
    "profile file": "rig: A\ncomputer: {{}}\nprofile_files: [{}]\n",
    "supply": "rig: A\ncomputer: {{}}\npower: {{supplies: {{{}: {{volts: 12}}}}}}\n",
    "socket": "rig: A\ncomputer: {{ports: {{{}: {{}}}}}}\n",
}


@pytest.mark.parametrize("place", PLACES)
def test_rig_files_that_hold_such_things(place: str, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """As an escape of YAML and raw: mostly refused, and told without harm either way."""
    for written in (json.dumps(ACTS), f'"{ACTS}"', ACTS, ACTS.replace("\x1b", "").replace("\x07", "")):
        (tmp_path / "rig.yaml").write_text(PLACES[place].format(written), encoding="utf-8")
        for words in (["check"], ["draw"], ["planb"], ["place"], ["pack", "-o", "made"]):
            more = [*words[1:], *(["camera-guide-1mp"] if words[0] == "place" else [])]
            assert status_of([words[0], "rig.yaml", *more]) == 2, (words, written)
            out, err = capsys.readouterr()
            assert out == ""
            check_harmless(err, f"{words} with {place}")


@pytest.mark.parametrize("args", [
    [ACTS], ["check", ACTS], ["check", "--" + ACTS], ["check", "a", ACTS], ["check", "a", "--fail-on", ACTS],
    ["check", "a", "--width", ACTS], ["explain", ACTS], ["profiles", ACTS], ["draw", "a", "-o", "x." + ACTS],
    ["live", "--from", ACTS], ["live", "--scanner", ACTS], ["profiles", "new", ACTS, "--no-questions"],
    ["profiles", "new", "a", "--no-questions", "--set", ACTS], ["profiles", "new", "a", "--set", f"{ACTS}={ACTS}"],
    ["profiles", "new", "--from-scan", ACTS, "--device", ACTS], ["planb", "a", "-o", ACTS],
    ["place", "a", "--role", ACTS], ["rewire", "a", "--pin", ACTS], ["rewire", "rig.yaml", "--pin", ACTS],
    ["place", "rig.yaml", ACTS],
    ["place", "rig.yaml", "camera-guide-1mp", "--name", ACTS],
    ["place", "rig.yaml", "camera-guide-1mp", "--near", ACTS],
    ["place", "rig.yaml", "camera-guide-1mp", "--write", "--at", ACTS], ["diff", "rig.yaml", ACTS],
    ["pack", "rig.yaml", "-o", "made", "--scan", ACTS], ["pack", "rig.yaml", "-o", "made", "--watch", ACTS],
    ["draw", "rig.yaml", "-o", f"no-such-folder/{ACTS}.svg"], ["report", "rig.yaml", "-o", f"no-such-folder/{ACTS}"],
], ids=lambda args: " ".join(args).replace(ACTS, "ACTS"))  # fmt: skip
def test_words_on_the_command_line(args: list[str], capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "rig.yaml").write_text(FAULTY, encoding="utf-8")
    status = status_of(args)
    out, err = capsys.readouterr()
    assert status in (0, 1, 2, 3), err
    assert "Traceback" not in err
    check_harmless(out, "standard output")
    check_harmless(err, "standard error")


@pytest.mark.parametrize("name", ["compare", "names", "live", "pack", "draw", "report"])
def test_names_of_ports_and_programs_that_say_such_things(
    name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Links, groups, programs and what a program opens, all hostile, through everything that shows them."""
    from topo.checks.scans import adapter, held, scan, tty

    said = ACTS.replace("\r", "").replace("\u2028", "").replace("\u2029", "")
    serial = "plug: computer/usb2-1, role: mount, interface: serial"
    rig = "rig: A\ncomputer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}}}\ndevices:\n"
    rig += f"  mount: {{{serial}, opens: {json.dumps(BORING, ensure_ascii=False)}}}\n"
    rig += "  focuser: {plug: computer/usb2-2, role: focuser, interface: serial, opens: /dev/ttyUSB0}\n"
    (tmp_path / "rig.yaml").write_text(rig, encoding="utf-8")
    links = [f"/dev/serial/by-id/{said}", f"/dev/serial/by-path/{BORING}", f"/dev/{said}"]
    ports = [tty(0, "3-1", links=links, shared=links[:1], group=said, mode=0o660, allowed=False),
             {**tty(1, "3-2", links=links, shared=links[:1]), "name": f"/dev/{said}"}]
    holders = [{"name": "/dev/ttyUSB0", "how": how, "program": said} for how in ("open", "lock", "lock-file")]
    live = scan(adapter("3-1", serial=said), adapter("3-2", serial=said), serial_ports=ports,
                holding=held(*holders, services=(said, "ModemManager")))
    (tmp_path / "scan").write_text(live, encoding="utf-8")
    made = tmp_path / "out"
    made.mkdir()
    assert tried(name, "rig.yaml", "scan", made, capsys) <= {0, 1}
