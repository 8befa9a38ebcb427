"""`topo evidence` as a person runs it: text, JSON after its schema, exit status, pictures, facts written."""

from __future__ import annotations

import io
import json
import re
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from jsonschema import Draft202012Validator

from tests.evidence.captures import Packet, pcapng, reads
from tests.samples import share
from topo.checks.evidence_cases import LOG_OF_A_BRANCH, NIGHT_RIG, START_S, logged, tables
from topo.checks.scans import hub, scan, seen
from topo.cli.main import status_of
from topo.draw.timeline import ON_DARK
from topo.model.answers import DeclaredTimes
from topo.model.facts import Fact
from topo.model.rig import Device
from topo.pipeline import pack_of, rig_of
from topo.rigfile.read import read, read_text

SCHEMA = Path(__file__).resolve().parents[2] / "topo" / "report" / "evidence.schema.json"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    guide, frames = tables(True)
    for name, text in {
        "rig.yaml": NIGHT_RIG,
        "kernel.log": LOG_OF_A_BRANCH,
        "guide.csv": guide,
        "frames.csv": frames,
    }.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


@dataclass(frozen=True)
class Told:
    """What a run of the command said."""

    exit_code: int
    stdout: str
    stderr: str

    @property
    def output(self) -> str:
        return self.stdout + self.stderr


def topo(*arguments: str) -> Told:
    out, error = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(error):
        status = status_of(list(arguments))
    return Told(status, out.getvalue(), error.getvalue())


def run(*arguments: str) -> Told:
    return topo("evidence", *arguments)


NIGHT = ("rig.yaml", "kernel.log", "guide.csv", "frames.csv", "--offset", f"kernel.log={START_S}")


def test_the_whole_night_in_words(folder: Path) -> None:
    told = run(*NIGHT)
    assert told.exit_code == 1, told.output
    for words in (
        "hub, guide-camera and mount dropped together once",
        "Late guide frames line up with downloads",
        "RULED OUT",
        "plug or cable of main-camera",
        "2026-11-24",
    ):
        assert words in told.output
    assert all(len(line) <= 80 for line in told.output.splitlines())


def test_json_after_its_schema(folder: Path) -> None:
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    for arguments in (NIGHT, ("kernel.log",), ("rig.yaml", "kernel.log", "missing.log")):
        data = json.loads(run(*arguments, "--json").stdout)
        Draft202012Validator(schema).validate(data)
    (dropped,) = data["dropped"]
    assert [each["part"] for each in dropped["left"]] == ["hub", "guide-camera", "mount"]
    assert [round(each["away_s"], 2) for each in dropped["left"]] == [1.46, 2.41, 2.67]


def test_exit_status(folder: Path) -> None:
    assert run(*NIGHT, "--fail-on", "never").exit_code == 0
    assert run("guide.csv").exit_code == 0
    assert run("guide.csv", "missing.log").exit_code == 3
    assert run("rig.yaml").exit_code == 2
    assert run("guide.csv", "--column", "nonsense=x").exit_code == 2
    assert run("guide.csv", "--offset", "guide.csv=later").exit_code == 2
    assert run("rig.yaml", "kernel.log", "missing.log").exit_code == 1


def test_twice_the_same(folder: Path) -> None:
    assert run(*NIGHT, "--json").output == run(*NIGHT, "--json").output


@pytest.mark.parametrize("ending", share(["svg", "png", "html"], 1))
def test_a_timeline(folder: Path, ending: str) -> None:
    pytest.importorskip("matplotlib")
    (folder / "guide.csv").write_text((folder / "guide.csv").read_text(), encoding="utf-8")
    (folder / "$x$<b>.csv").write_text((folder / "guide.csv").read_text(), encoding="utf-8")
    assert run("guide.csv", "$x$<b>.csv", "frames.csv", "-o", f"a.{ending}").exit_code == 0
    assert run("guide.csv", "$x$<b>.csv", "frames.csv", "-o", f"b.{ending}").exit_code == 0
    data = (folder / f"a.{ending}").read_bytes()
    assert data == (folder / f"b.{ending}").read_bytes()
    assert data.startswith({"png": b"\x89PNG", "svg": b"<?xml", "html": b"<!doctype html>"}[ending])
    assert b"<b>" not in data and b"<script" not in data


def test_nothing_to_draw_and_no_such_picture(folder: Path) -> None:
    (folder / "early.log").write_text("[    1.000000] usb 1-1: New USB device found, idVendor=3333, idProduct=1201\n")
    assert run("early.log", "-o", "a.svg").exit_code == 2
    assert run("guide.csv", "-o", "a.bmp").exit_code == 2


RATED_RIG = """rig: Pier     # a comment that stays
computer: {ports: {usb3-1: {speed: super}}}
devices:
  main-camera:            # ours
    {role: imaging, width_px: 1000, height_px: 800, speed: super, plug: computer/usb3-1}
"""


def test_measured_facts_are_written_and_nothing_else(folder: Path) -> None:
    packets: list[Packet] = []
    for n in range(12):  # 1.6 MB in 100 reads, one each millisecond: 16 MB/s, far below what the link carries
        packets += reads(round((START_S + n * 3) * 1e6), [16_000] * 100, 16_000, ident=1000 + n * 200, spacing_us=1000)
    (folder / "night.pcapng").write_bytes(pcapng(packets))
    (folder / "rated.yaml").write_text(RATED_RIG, encoding="utf-8")
    told = run("rated.yaml", "night.pcapng", "--write-facts")
    assert told.exit_code == 0, told.output
    text = (folder / "rated.yaml").read_text(encoding="utf-8")
    assert "# a comment that stays" in text and "# ours" in text
    added = text.partition("plug: computer/usb3-1")[2].partition("}\n")[0]
    assert text.replace(added, "") == RATED_RIG
    assert added == (
        ", readout_mb_per_s: 16, seen: {interval_s: 3}, measured: {readout_mb_per_s: '16, USB capture of 2026-11-24', "
        "seen.interval_s: '3, USB capture of 2026-11-24'}")
    assert "main-camera: readout_mb_per_s is 16, USB capture of 2026-11-24" in told.output
    assert run("guide.csv", "--write-facts").exit_code == 2
    part = rig_of(read("rated.yaml")).part("main-camera")
    assert isinstance(part, Device)
    assert (part.facts.readout_mb_per_s, part.seen.interval_s) == (
        Fact(16.0, "measured", "USB capture of 2026-11-24"), Fact(3.0, "measured", "USB capture of 2026-11-24"))
    assert run("rated.yaml", "night.pcapng", "--write-facts").exit_code == 0
    assert (folder / "rated.yaml").read_text(encoding="utf-8") == text, "written twice, nothing changes"
    by_hand = text.replace("readout_mb_per_s: 16,", "readout_mb_per_s: 25,")
    part = rig_of(read_text(by_hand, "by-hand.yaml")).part("main-camera")
    assert part.facts.readout_mb_per_s == Fact(25.0, "declared"), "a figure changed by hand is a claim again"
    shown = pack_of(read("rated.yaml")).files["rig.yaml"].decode()
    assert "2026-11-24" not in shown
    (packed,) = rig_of(read_text(shown, "shown.yaml")).devices
    assert packed.facts.readout_mb_per_s == Fact(16.0, "measured", "when and where is left out")


def test_check_and_report_tell_it_along(folder: Path) -> None:
    (folder / "kernel.log").write_text(LOG_OF_A_BRANCH, encoding="utf-8")
    told = topo("check", "rig.yaml", "--evidence", "kernel.log")
    assert told.exit_code == 1 and "dropped-in-the-night" in told.output
    assert "Guiding" in told.output or "GUIDING" in told.output
    page = topo("report", "rig.yaml", "-o", "page.html", "--evidence", "kernel.log")
    assert page.exit_code == 0, page.output
    assert "dropped together once" in (folder / "page.html").read_text(encoding="utf-8")


def test_without_a_rig_places_are_named(folder: Path) -> None:
    told = run("kernel.log")
    assert told.exit_code == 0 and "3-1 and all below" in told.output


def test_hostile_names_and_texts_do_nothing(folder: Path) -> None:
    name = "a\x1b[2Jb.log"
    (folder / name).write_text(logged("[ 900.000000] usb 3-1.1: Product: \x1b]0;x\x07"), encoding="utf-8")
    told = run("rig.yaml", name)
    assert "\x1b" not in told.output


@pytest.mark.slow
def test_the_timeline_has_a_row_for_each_part_and_rules_for_dark_screens(folder: Path) -> None:
    """Every colour that is drawn has one for a dark screen; signs take theirs from where they are used."""
    pytest.importorskip("matplotlib")
    assert run(*NIGHT, "-o", "night.svg").exit_code == 1
    text = (folder / "night.svg").read_text(encoding="utf-8")
    drawn = set(re.findall(r"(?:fill|stroke): (#[0-9a-f]{6})", text.partition("</style>")[2]))
    assert drawn - {"#000000", "#ffffff", "#cccccc"} <= set(ON_DARK), drawn
    assert "prefers-color-scheme:dark" in text and ElementTree.fromstring(text.partition("?>")[2]) is not None
    rows = json.loads(run(*NIGHT, "--json").output)
    assert {"hub", "guide-camera", "mount", "main-camera"} <= {part for part in _parts(rows) if part}


def _parts(answer: dict[str, Any]) -> list[str | None]:
    from topo.pipeline import evidence_study, study_file

    report = evidence_study(study_file("rig.yaml"), NIGHT[1:4], DeclaredTimes((("kernel.log", START_S),)))
    assert answer["format"] == "topo.evidence.1"
    return [row.name for row in report.answers.rows if any(state == "there" for *_, state in row.stretches)]


def test_the_page_of_a_night_holds_its_timeline(folder: Path) -> None:
    pytest.importorskip("matplotlib")
    files = [word for name in NIGHT[1:4] for word in ("--evidence", name)]
    assert topo("report", "rig.yaml", "-o", "page.html", *files, *NIGHT[4:]).exit_code == 0
    page = (folder / "page.html").read_text(encoding="utf-8")
    assert page.count('<svg class="timeline"') == 1 and "<h2>The night</h2>" in page
    assert topo("report", "rig.yaml", "-o", "bare.html").exit_code == 0
    assert "<h2>The night</h2>" not in (folder / "bare.html").read_text(encoding="utf-8")


def test_check_and_report_take_the_options_of_times(folder: Path) -> None:
    """With the kernel's log on the clock of the tables, `check --evidence` tells the same as `evidence`."""
    files = [word for name in NIGHT[1:4] for word in ("--evidence", name)]
    told = topo("check", "rig.yaml", *files, *NIGHT[4:], "--json")
    wanted = json.loads(run(*NIGHT, "--json").output)["findings"]
    found = json.loads(told.stdout)["findings"]
    assert {(f["name"], f["message"]) for f in wanted} <= {(f["name"], f["message"]) for f in found}


@pytest.mark.parametrize("options", [("--zone", "1"), ("--offset", "a=1"), ("--column", "time=t")])
def test_what_is_said_of_times_needs_a_file(folder: Path, options: tuple[str, str]) -> None:
    for command in (("check",), ("report", "-o", "page.html"), ("pack", "-o", "out"), ("chase",)):
        refused = topo(*command, "rig.yaml", *options)
        assert refused.exit_code == 2 and "name them with --evidence" in refused.stderr, command
    assert not (folder / "out").exists() and not (folder / "page.html").exists()


@pytest.mark.slow
def test_pack_and_chase_take_the_options_of_times(folder: Path) -> None:
    """A pack joins the kernel's log by the offset that was given, under the name the pack gives the file."""
    files = [word for name in NIGHT[1:4] for word in ("--evidence", name)]
    assert topo("pack", "rig.yaml", "-o", "plain", *files).exit_code == 0
    assert topo("pack", "rig.yaml", "-o", "joined", *files, *NIGHT[4:]).exit_code == 0
    plain, joined = ((folder / name / "post.txt").read_text(encoding="utf-8") for name in ("plain", "joined"))
    assert "0 min after the first" in joined and "min after the first" not in plain
    told = topo("chase", "rig.yaml", "--symptom", "guide-late", "--at", "guide-camera", *files, *NIGHT[4:])
    assert told.exit_code in (0, 1), told.output
    assert topo("chase", "rig.yaml", *files, "--offset", "kernel.log=later").exit_code == 2


def test_scans_before_and_after_are_held_against_each_other(folder: Path) -> None:
    """In any order of naming; what is gone, slower and elsewhere stands under its part."""
    ids = {"3-1": ("2222", "0610"), "3-1.1": ("3333", "1201"), "3-1.2": ("4444", "6001"), "3-2": ("5555", "2601")}

    def made(when: str, *devices: dict[str, Any]) -> str:
        return scan(*devices, when=when)

    def one(name: str, speed: float, number: int) -> dict[str, Any]:
        return seen(name, speed, vendor_id=ids[name][0], product_id=ids[name][1], devnum=number)

    top = hub("3-1", vendor_id="2222", product_id="0610", devnum=2)
    before = made("2026-11-24T20:00:00+00:00", top, one("3-1.1", 480, 3), one("3-1.2", 12, 4), one("3-2", 480, 5))
    after = made("2026-11-25T05:00:00+00:00", top, one("3-1.1", 12, 9), one("3-2", 480, 5))
    (folder / "before.json").write_text(before, encoding="utf-8")
    (folder / "after.json").write_text(after, encoding="utf-8")
    for names in (("before.json", "after.json"), ("after.json", "before.json")):
        told = json.loads(run("rig.yaml", *names, "--json").output)
        (pair,) = told["between_scans"]
        assert (pair["before"], pair["after"]) == ("before.json", "after.json")
        assert {(c["part"], c["what"]) for c in pair["changes"]} == {
            ("guide-camera", "left and came back and runs at 12 Mb/s, before at 480 Mb/s"), ("mount", "is gone")}
        assert {(f["name"], f["part"]) for f in told["findings"]} == {
            ("not-as-before", "guide-camera"), ("not-as-before", "mount")}
    same = run("rig.yaml", "before.json", "before.json")
    assert "Nothing changed between before.json and before.json" in " ".join(same.output.split())


def test_what_a_link_limits_is_written_as_seen_and_told_by_check(folder: Path) -> None:
    """Two cameras on one USB 2 bus: no readout of their own is known, but what they got alone and together is."""
    rig = RATED_RIG.replace("usb3-1: {speed: super}", "usb2-1: {speed: high}").replace("usb3-1", "usb2-1")
    (folder / "rated.yaml").write_text(rig, encoding="utf-8")
    packets: list[Packet] = []
    for n in range(12):  # 1.6 MB at 38 MB/s, what USB 2 carries
        packets += reads(round((START_S + n * 3) * 1e6), [16_000] * 100, 16_000, ident=1000 + n * 200, spacing_us=421)
    (folder / "night.pcapng").write_bytes(pcapng(packets))
    assert run("rated.yaml", "night.pcapng", "--write-facts").exit_code == 0
    text = (folder / "rated.yaml").read_text(encoding="utf-8")
    assert "readout_mb_per_s" not in text and "alone_mb_per_s: 38" in text
    assert "seen-slower-than-planned" not in topo("check", "rated.yaml").output
    slow = text.replace("alone_mb_per_s: 38", "alone_mb_per_s: 9")
    (folder / "rated.yaml").write_text(slow, encoding="utf-8")
    assert "seen-slower-than-planned" in topo("check", "rated.yaml").output
