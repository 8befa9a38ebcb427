"""Departures against a rig: what those that left have in common, who stayed, what the 12 V side explains; privacy."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from tests.evidence.captures import Packet, pcapng, reads
from topo.analysis.study import Study
from topo.checks.evidence_cases import NIGHT_RIG, START_S, logged, tables
from topo.evidence.answer import KnownNames, answer
from topo.evidence.departures import above, common_place, line_of
from topo.evidence.open import Source, gather
from topo.evidence.readers import readers
from topo.evidence.watchlog import read as read_watch
from topo.model.answers import Answers, DeclaredTimes, DropGroup
from topo.model.evidence import ClockSpan, Drop, Handed, Moment, Reading
from topo.pipeline import evidence_study, rig_of
from topo.report.evidence import EvidenceReport
from topo.rigfile.read import read_text

HERE = Path(__file__).parent / "recordings"
SHARED = Path(__file__).resolve().parents[3] / "shared" / "recordings"


def answers_of(*paths: Path) -> Answers:
    return answer(gather([str(path) for path in paths], readers(), {}), {}, None, KnownNames())


def shape(group: DropGroup) -> tuple[str, str, int]:
    return group.kind, group.common, len(group.drops)


def test_places() -> None:
    assert [above("3-1.1.2"), above("3-1"), above("10-2.14"), above("usb3")] == ["3-1.1", "usb3", "10-2", ""]
    assert line_of("3-1.2") == ["usb3", "3-1", "3-1.2"]
    assert common_place(["3-1.1", "3-1.4.2"]) == "3-1"
    assert common_place(["3-1.1", "4-1"]) == ""


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("branch-lost.dmesg.log", [("branch", "1-1", 3)]),
        ("one-of-three.old-kernel.log", [("one", "2-1.1", 1)]),
        ("siblings.syslog.log", [("siblings", "1-1", 2)]),
        ("staged.short-iso.log", [("branch", "1-1", 2)]),
        ("only-super-side.log", [("branch", "2-1", 2)]),
        ("banners.log", []),
        ("over-current.log", []),
        ("strangers-disk-resets.log", []),
    ],
)
def test_what_the_dropped_have_in_common(name: str, wanted: list[tuple[str, str, int]]) -> None:
    assert [shape(group) for group in answers_of(HERE / name).groups] == wanted


def test_who_stayed_and_what_that_refutes() -> None:
    answers = answers_of(HERE / "one-of-three.old-kernel.log")
    assert answers.groups[0].stayed == ("2-1.2", "2-1.3")
    assert [(each.cause, each.part) for each in answers.refuted if each.cause == "supply"] == [("supply", "2-1")]
    one_side = answers_of(HERE / "only-super-side.log")
    assert one_side.groups[0].both_sides is False
    assert any(each.cause == "supply" for each in one_side.refuted)
    assert answers_of(HERE / "staged.short-iso.log").groups[0].staged


def test_sleep_is_no_drop() -> None:
    answers = answers_of(HERE / "suspend-takes-all.log")
    assert answers.drops == () and all(drop.asleep for group in answers.groups for drop in group.drops)


def test_resets_alone_conclude_nothing() -> None:
    answers = answers_of(HERE / "strangers-disk-resets.log")
    assert {each.kind: each.count for each in answers.counted} == {"reset-starting": 1, "reset": 3}
    assert answers.groups == () and answers.ports == ()


SHARED_GROUPS = {
    "one-bad-hub-port.klog": [("branch", "1-1.1", 3), ("one", "2-2", 1)],
    "translator-bandwidth.klog": [("branch", "2-2", 4)],
    "no-over-current.klog": [],
    "cannot-enable.klog": [],
    "subtree-cycles.klog": [
        ("branch", "3-1.1.2", 4),
        ("one", "4-1.1.3", 1),
        ("branch", "3-1.1.2", 4),
        ("controller", "3-1", 13),
        ("controller", "3-1", 13),
    ],
}


@pytest.mark.parametrize("name", SHARED_GROUPS)
def test_logs_of_other_machines(name: str) -> None:
    if not (SHARED / name).exists():
        pytest.skip("the recordings of other machines are not beside this checkout")
    assert [shape(group) for group in answers_of(SHARED / name).groups] == SHARED_GROUPS[name]


POWERED = (
    NIGHT_RIG
    + """power:
  supplies: {battery: {volts: 12.8, amps: 10}, other: {volts: 12.8, amps: 5}}
  leads:
    camera-lead: {from: battery, to: main-camera, length_m: 2, gauge_awg: 18}
    mount-lead: {from: battery, to: mount, length_m: 3, gauge_awg: 18}
    guide-lead: {from: other, to: guide-camera, length_m: 1, gauge_awg: 18}
"""
)


def against(rig: str, tmp_path: Path, **files: str) -> EvidenceReport:
    names = []
    for name, text in files.items():
        (tmp_path / f"{name}.txt").write_text(text, encoding="utf-8")
        names.append(str(tmp_path / f"{name}.txt"))
    return evidence_study(Study(rig_of(read_text(rig, "rig.yaml"))), names, DeclaredTimes())


def test_the_12_v_side_explains_what_usb_does_not(tmp_path: Path) -> None:
    both = logged(
        "[  900.000000] usb 3-1.2: USB disconnect, device number 4",
        "[  900.200000] usb 3-2: USB disconnect, device number 5",
    )
    report = against(POWERED, tmp_path, log=both).report
    assert report is not None
    (found,) = [each for each in report.findings if each.name == "dropped-in-the-night"]
    assert "share no USB part but the computer" in found.message and "fed by battery" in found.message
    assert found.fix is not None and "volts at the far end of battery" in found.fix.text
    plain = against(NIGHT_RIG, tmp_path, log=both).report
    assert plain is not None and not any("fed by" in each.message for each in plain.findings)


def test_two_below_a_hub_that_stayed(tmp_path: Path) -> None:
    report = against(
        NIGHT_RIG,
        tmp_path,
        log=logged(
            "[  900.000000] usb 3-1.1: USB disconnect, device number 3",
            "[  900.200000] usb 3-1.2: USB disconnect, device number 4",
        ),
    ).report
    assert report is not None
    (found,) = [each for each in report.findings if each.name == "dropped-in-the-night"]
    assert found.part == "hub" and "which stayed itself" in found.message


def test_late_frames_of_a_capture_while_nobody_else_moved_data(tmp_path: Path) -> None:
    packets: list[Packet] = []
    at = 0.0
    for n in range(200):
        at += 2.0 + (1.4 if n % 12 == 5 else 0.0)
        packets += reads(round((START_S + at) * 1e6), [65_536, 100], 65_536, ident=10 * n, device=6)
    for n in range(4):
        packets += reads(round((START_S + 1 + 100 * n) * 1e6), [65_536] * 20, 65_536, ident=90_000 + 99 * n, device=5)
    packets.sort(key=lambda each: each.at_us)
    (tmp_path / "c.pcapng").write_bytes(pcapng(packets))
    answers = answers_of(tmp_path / "c.pcapng")
    (guiding,) = answers.guiding
    assert guiding.cadence_s == pytest.approx(2.0, abs=0.01) and len(guiding.late) >= 14
    assert any(each.cause == "sharing" and "no other camera" in each.because for each in answers.refuted)


def test_not_enough_in_the_words_of_the_answer(tmp_path: Path) -> None:
    guide, frames = tables(True)
    rows = guide.splitlines(keepends=True)
    few = "".join(rows[:250])
    report = against(NIGHT_RIG, tmp_path, guide=few, frames=frames)
    (link,) = [each for each in report.answers.links if (each.glitch, each.cause) == ("late", "download")]
    assert link.verdict == "not-enough" and link.needed > link.count


def test_places_that_are_none_cost_nothing() -> None:
    """A spoilt note of a watch names no device, and a reader of somebody else's may name anything."""
    start = ('{"kind":"start","at":"2026-11-24T21:13:00+00:00","monotonic_s":10.0,"format":"topo.watch.1"}\n'
             '{"kind":"dropped","at":"2026-11-24T21:14:00+00:00","monotonic_s":70.0}\n')
    spoilt = read_watch(io.BytesIO(start.encode()), Handed("w"))
    assert not [each for each in spoilt.events if isinstance(each, Drop)]
    clock = ClockSpan("utc", "utc", 1e9, 1e9 + 60)
    odd = tuple(Drop(Moment(1e9 + n, "utc"), path) for n, path in enumerate(("", "usbx", "x-1", "²-1", "usb9" * 40)))
    told = answer((Source("odd", "odd", Reading("log", (clock,), events=odd, covers=True)),), {}, None, KnownNames())
    assert len(told.drops) == len(odd)
