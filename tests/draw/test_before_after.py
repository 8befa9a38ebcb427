"""Before and after: what is set stands on both sides, and no cable runs through a part it does not hang on."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tests.draw.rigs import EXAMPLES, rig_text, study_of
from tests.draw.test_answer import report_of
from topo.draw.before_after import before_after
from topo.draw.changed import changed
from topo.draw.shapes import Cluster, Sheet, Slab, Stroke, Words
from topo.model.change import Change, MovePlug, Proposal, SetCable, SetLead, SetSerial, SetSupply, SetUse
from topo.model.facts import Fact
from topo.model.records import CableFacts
from topo.pipeline import advised_study
from topo.wiring.apply import apply

NAMES = sorted(path.parent.name for path in EXAMPLES.glob("*/rig.yaml"))
CABLE = CableFacts(length_m=Fact(3.0, "declared"), gauge_awg=Fact(24, "declared"))
CHANGES: list[tuple[Change, str, str]] = [
    (SetUse("main-camera", "limit_mb_per_s", 22.9), "no limit", "limit 22.9 MB/s"),
    (SetUse("main-camera", "exposure_s", 60.0), "exposes 120 s", "exposes 60 s"),
    (SetUse("main-camera", "bin", 2), "bin 1", "bin 2"),
    (SetSerial("mount", "polls_per_s", 0.5), "asked 1 times a second", "asked 0.5 times a second"),
    (SetLead("camera-lead", "gauge_awg", 14), "18 AWG", "14 AWG"),
    (SetLead("camera-lead", "fuse_amps", 3.0), "fuse 5 A", "fuse 3 A"),
    (SetSupply("battery", "volts", 13.2), "12.8 V", "13.2 V"),
    (SetCable("main-camera", CABLE), "1.5 m", "3 m · 24 AWG"),
]


@pytest.mark.parametrize(("change", "now", "then"), CHANGES, ids=[str(change) for change, _, _ in CHANGES])
def test_a_change_is_said_as_it_is_and_as_it_will_be(change: Change, now: str, then: str) -> None:
    rig = study_of(rig_text()).rig
    found = changed(rig, apply(rig, change), Proposal((change,)))
    assert [*found.parts.values(), *found.wires.values()] == [(now, then)]


def test_a_moved_plug_is_no_setting() -> None:
    rig = study_of(rig_text()).rig
    move = MovePlug("guide-camera", "pier-hub", "2")
    found = changed(rig, apply(rig, move), Proposal((move,)))
    assert not found.parts and not found.wires


def sides(sheet: Sheet) -> tuple[Cluster, Cluster]:
    now, done = (next(shape for shape in sheet.shapes if isinstance(shape, Cluster) and shape.classes == each)
                 for each in ("now", "done"))
    return now, done


def sheet_of(name: str, width: int) -> Sheet | None:
    report = report_of(name)
    after = advised_study(report)
    if after is None or report.first is None:
        return None
    return before_after(report.study, after, report.findings, report.first, width)


@pytest.mark.parametrize("width", [390, 900])
@pytest.mark.parametrize(("name", "now", "done"), [
    ("small-board", "no limit", "limit 22.9 MB/s"), ("pier-block", "28 AWG", "24 AWG"),
    ("field-battery", "24 AWG", "18 AWG"),
])
def test_what_is_set_is_drawn_on_both_sides(name: str, now: str, done: str, width: int) -> None:
    sheet = sheet_of(name, width)
    assert sheet is not None
    for cluster, words, other in zip(sides(sheet), (now, done), (done, now), strict=True):
        told = " ".join(shape.text for shape in cluster.shapes if isinstance(shape, Words))
        assert words in told and other not in told.replace(words, "")


@pytest.mark.parametrize("width", [390, 900])
@pytest.mark.parametrize("name", NAMES)
def test_no_cable_runs_through_a_part(name: str, width: int) -> None:
    sheet = sheet_of(name, width)
    for cluster in sides(sheet) if sheet is not None else ():
        boxes = [each for each in cluster.shapes if isinstance(each, Slab) and each.fill == "bar"]
        for stroke in (each for each in cluster.shapes if isinstance(each, Stroke)):
            for (x1, y1), (x2, y2) in pairwise(stroke.points):
                for box in boxes:
                    inside = max(min(x1, x2), box.x) + 1 < min(max(x1, x2), box.x + box.width)
                    assert not (y1 == y2 and box.y < y1 < box.y + box.height and inside), name
