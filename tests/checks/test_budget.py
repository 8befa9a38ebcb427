"""Advice is tried by computing the whole rig again; on a rig of a hundred parts that has to end all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from topo.analysis.study import Study
from topo.model.finding import Finding, in_order
from topo.pipeline import examiner, rig_of
from topo.place import judge as judges
from topo.place.first import advised
from topo.place.judge import MOST_WORK, Judge
from topo.rigfile.read import read_text

ROOT = Path(__file__).resolve().parents[2]


def crowded(devices: int) -> str:
    """Cameras that disturb each other, on hubs with free sockets."""
    hubs = devices // 6 + 1
    lines = ["rig: Crowded", "computer: {ports: {usb3-1: {speed: super}, usb3-2: {speed: super}}}", "hubs:"]
    for n in range(hubs):
        plug = f"computer/usb3-{n + 1}" if n < 2 else f"h{(n - 2) // 7}/{(n - 2) % 7 + 1}"
        lines.append(f"  h{n}: {{speed: super, ports: 16, plug: {plug}}}")
    lines.append("devices:")
    for n in range(devices):
        facts = f"role: {'guiding' if n % 2 else 'imaging'}, speed: high, width_px: 1280, height_px: 960"
        more = f"readout_mb_per_s: 40, frame_memory_mb: 0, fifo_kb: 4, use: {{exposure_s: {1 + n % 5}}}"
        lines.append(f"  d{n}: {{{facts}, {more}, plug: h{n % hubs}/{8 + n // hubs}}}")
    return "\n".join(lines) + "\n"


def judged(text: str) -> tuple[Judge, tuple[Finding, ...]]:
    every, study = examiner(), Study(rig_of(read_text(text, "rig.yaml")))
    judge = Judge(study, in_order(every(study)), every)
    return judge, advised(judge).findings


def test_a_crowded_rig_is_told_all_and_given_advice(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(judges, "MOST_WORK", 20_000)
    judge, findings = judged(crowded(30))
    assert not judge.may_try_more
    assert 20_000 < judge.kept.work <= 30_000
    assert len([finding for finding in findings if finding.name == "frame-lost"]) == 30
    assert all(finding.fix is not None and finding.fix.text for finding in findings if finding.severity == "fault")


def test_a_rig_of_15_devices_has_all_its_changes_tried() -> None:
    judge, _ = judged((ROOT / "examples" / "garden-pier" / "rig.yaml").read_text())
    assert judge.may_try_more
    assert judge.kept.work < MOST_WORK / 2
