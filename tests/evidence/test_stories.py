"""Nights as people have them, each with what is to be said of it and what must not be."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.evidence.test_command import Told, topo
from topo.checks.evidence_cases import NIGHT_RIG, tables

DUSK = datetime(2026, 11, 24, 19, 30, tzinfo=UTC)
RIG = NIGHT_RIG + "  flat-panel: {role: flat-panel, interface: serial, speed: full, plug: hub/4}\n"
PARTS = {"3-1": ("2222", "0610", 2), "3-1.1": ("3333", "1201", 3), "3-1.2": ("4444", "6001", 4),
         "3-2": ("5555", "2601", 5)}
Line = tuple[float, str]


@pytest.fixture(autouse=True)
def _there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "rig.yaml").write_text(RIG, encoding="utf-8")


def at(hour: int, minute: int, second: float = 0.0) -> float:
    """Seconds since dusk of a time of that night."""
    return ((hour - 19) % 24 * 60 + minute - 30) * 60 + second


def came(time: float, *places: str, more: int = 0) -> list[Line]:
    found = []
    for n, place in enumerate(places):
        vendor, product, number = PARTS[place]
        begun = time + 0.9 * n
        found += [(begun, f"usb {place}: new high-speed USB device number {number + more} using xhci_hcd"),
                  (begun + 0.1, f"usb {place}: New USB device found, idVendor={vendor}, idProduct={product}, "
                                "bcdDevice= 1.00")]  # fmt: skip
    return found


def left(time: float, *places: str, more: int = 0) -> list[Line]:
    return [(time + 0.02 * n, f"usb {place}: USB disconnect, device number {PARTS[place][2] + more}")
            for n, place in enumerate(places)]


def iso(lines: Iterable[Line]) -> str:
    return "".join(f"{(DUSK + timedelta(seconds=s)).isoformat(timespec='microseconds')} pier kernel: {text}\n"
                   for s, text in sorted(lines))


def told(files: dict[str, str], *options: str) -> tuple[Told, dict[str, Any]]:
    for name, text in files.items():
        Path(name).write_text(text, encoding="utf-8")
    run: Sequence[str] = ("evidence", "rig.yaml", *files, *options)
    return topo(*run), json.loads(topo(*run, "--json").stdout)


UP = came(1.0, *PARTS)
DAWN: list[Line] = [(at(5, 0), "wlan0: authenticated")]


def test_a_hub_that_drops_when_dew_comes() -> None:
    """Six times after midnight, and five quiet hours before: the hub's leg, and neither controller nor cameras."""
    lines = [*UP, *DAWN]
    for n, (hour, minute) in enumerate(((0, 40), (1, 25), (1, 58), (2, 20), (2, 41), (2, 55))):
        lines += left(at(hour, minute, 7), "3-1", "3-1.1", "3-1.2", more=4 * n)
        lines += came(at(hour, minute, 9), "3-1", "3-1.1", "3-1.2", more=4 * n + 4)
    text, data = told({"kernel.log": iso(lines)})
    said = " ".join(text.output.split())
    assert text.exit_code == 1
    assert "hub, guide-camera and mount dropped together 6 times, each time within one second" in said
    assert "Before the first, 5 h 10 min passed without." in said and "hub and 2 below" in said
    assert {each["kind"] for each in data["dropped"]} == {"branch"} and data["lined_up"] == []
    assert all(group["common_part"] == "hub" for group in data["dropped"])
    assert not any(each["cause"] == "plug" for each in data["refuted"])


def test_a_computer_that_goes_to_sleep_at_dawn() -> None:
    """What leaves then has not dropped, and that the computer slept is said."""
    sleep = at(4, 2)
    lines = [*UP, *DAWN, (sleep, "PM: suspend entry (deep)"),
             (sleep + 4.0, "usb usb3: root hub lost power or was reset"), *left(sleep + 4.5, "3-1.1"),
             (sleep + 4.8, "PM: suspend exit"), *came(sleep + 5.2, "3-1.1", more=9)]  # fmt: skip
    text, data = told({"kernel.log": iso(lines)})
    said = " ".join(text.output.split())
    assert text.exit_code == 0 and data["findings"] == []
    assert "Nothing, while the computer was awake. 1 departure belongs to the computer going to sleep." in said
    assert "It went to sleep at 2026-11-25 04:02:00" in said
    assert [each["what"] for each in data["computer"]] == ["slept"]


def test_a_clock_set_at_22_03() -> None:
    """The step is said, with both times; what stands before is known no better, what comes after is."""
    entries = []
    step = at(22, 3)
    for s, text in sorted([*UP, *DAWN, *left(at(22, 30), "3-1.1"), *came(at(22, 30, 2), "3-1.1", more=9)]):
        wall = DUSK.timestamp() + s - 2460 * (s < step)
        entries.append({"__REALTIME_TIMESTAMP": f"{wall * 1e6:.0f}", "__MONOTONIC_TIMESTAMP": f"{(s + 5) * 1e6:.0f}",
                        "_BOOT_ID": "a" * 32, "MESSAGE": text})  # fmt: skip
    said, data = told({"journal.json": "".join(json.dumps(entry) + "\n" for entry in entries)})
    (note,) = data["computer"]
    assert (note["what"], note["by_s"]) == ("clock-set", 2460)
    assert "Its clock went forward by 41 min from 2026-11-24 " in " ".join(said.output.split())
    (group,) = data["dropped"]
    assert group["left"][0]["uncertainty_s"] < 1 and data["files"][0]["uncertainty_s"] >= 2460


def test_two_boots_in_one_journal() -> None:
    """The new start is said, and nothing that came up anew counts as dropped; both real departures do."""
    stamp = "%b %d %H:%M:%S"
    out = []
    for start, drop in ((0.0, at(22, 0)), (at(23, 12), 3600.0)):
        end = 16_000.0 if start else at(23, 10)
        lines = [*UP, *left(drop, "3-1.2"), *came(drop + 2, "3-1.2", more=9), (end, "x")]
        out += [f"{(DUSK + timedelta(seconds=start + s)).strftime(stamp)} pier kernel: {text}" for s, text in
                sorted(lines)]  # fmt: skip
        out += [] if start else ["-- Boot 0123456789abcdef0123456789abcdef --"]
    text, data = told({"journal.log": "\n".join(out) + "\n"})
    assert [each["what"] for each in data["computer"]] == ["started-again"]
    assert [[one["part"] for one in each["left"]] for each in data["dropped"]] == [["mount"], ["mount"]]
    assert "It started again at" in text.output
    assert not any("uplink of 3-1" in line for line in text.output.splitlines()), "the hub has a name"


def test_a_watch_and_a_log_that_disagree() -> None:
    """Three seconds apart, and the watch looks every two: both departures are told once, and so is the disagreement."""
    drops = {"3-1.1": at(23, 40, 10), "3-1.2": at(1, 15, 30)}
    lines = [*UP, *DAWN]
    notes: list[dict[str, Any]] = [{"kind": "start", "s": 60.0, "format": "topo.watch.1", "every_s": 2.0}]
    for place, time in drops.items():
        lines += [*left(time, place), *came(time + 2, place, more=9)]
        notes += [{"kind": "dropped", "s": time + 1, "device": place, "devnum": PARTS[place][2]},
                  {"kind": "returned", "s": time + 3, "device": place, "devnum": 20, "came_as": "same", "away_s": 2.0}]
    log = "".join(json.dumps({**{k: v for k, v in note.items() if k != "s"}, "monotonic_s": note["s"] + 50.0,
                              "at": (DUSK + timedelta(seconds=note["s"] + 3)).isoformat()}) + "\n" for note in notes)
    text, data = told({"kernel.log": iso(lines), "w.jsonl": log})
    assert [each["left"][0]["part"] for each in data["dropped"]] == ["guide-camera", "mount"]
    assert "w.jsonl and kernel.log are up to 4 s apart" in " ".join(text.output.split())
    alike = told({"kernel.log": iso(lines), "w.jsonl": log.replace("03+00:00", "00+00:00")})[1]
    assert len(alike["dropped"]) == 2


def test_late_at_downloads_though_the_plan_has_them_apart() -> None:
    """A plan that explains the night is named, and so is one that does not: then it is no use to move plugs by it."""
    apart = NIGHT_RIG.replace("usb2-2: {speed: high}", "usb3-1: {speed: super, controller: b}").replace(
        "usb2-1: {speed: high}", "usb2-1: {speed: high, controller: a}").replace("computer/usb2-2", "computer/usb3-1")
    for rig, wanted in ((NIGHT_RIG, "share a link"), (apart, "fill no link that the guide camera needs")):
        Path("rig.yaml").write_text(rig, encoding="utf-8")
        guide, frames = tables(True)
        text, data = told({"guide.csv": guide, "frames.csv": frames})
        (found,) = data["findings"]
        assert found["name"] == "glitches-line-up" and wanted in found["fix"], text.output


def test_absence_is_not_health() -> None:
    """A part in no file is named, and its row says so; glitches that nothing explains are no clear night."""
    guide = "time;RA error (arcsec);DEC error (arcsec);Star lost\n" + "".join(
        f"{3 * n + (2.2 if n % 97 == 50 else 0):.1f};0,{n % 5};0,{n % 3};{int(n % 211 == 100)}\n".replace(".", ",")
        for n in range(600))
    Path("guide.csv").write_text(guide, encoding="utf-8")
    files = {"kernel.log": iso([*UP, *DAWN]), "guide.csv": guide}
    apart, _ = told(files)
    assert "Nothing found, but times of guide.csv could not be joined to the rest." in " ".join(apart.output.split())
    text, data = told(files, "--offset", "guide.csv=2026-11-24T22:10:00")
    assert "Nothing found that explains the" in text.output and text.exit_code == 0
    assert data["not_seen"] == ["flat-panel"] and "No file shows flat-panel" in text.output


def test_the_timeline_hatches_what_no_file_tells() -> None:
    pytest.importorskip("matplotlib")
    Path("kernel.log").write_text(iso([*UP, *DAWN]), encoding="utf-8")
    assert topo("evidence", "rig.yaml", "kernel.log", "-o", "a.svg").exit_code == 0
    text = Path("a.svg").read_text(encoding="utf-8")
    assert "<pattern" in text and 'svg.timeline [fill="#fbfaf7"]' in text
