"""Checks try changes by computing the whole rig again; on a rig of a hundred parts that has to end all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from topo.analysis import study as studies
from topo.analysis.study import MOST_WORK, Study
from topo.checks import all_checks
from topo.model.finding import Finding
from topo.pipeline import rig_of
from topo.rigfile.read import read, read_text

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


def found(study: Study) -> list[Finding]:
    return [finding for check in all_checks() if check.needs == "study" for finding in check.find(study)]


def test_a_crowded_rig_is_told_all_and_given_advice(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(studies, "MOST_WORK", 20_000)
    study = Study(rig_of(read_text(crowded(30), "rig.yaml")))
    findings = found(study)
    assert not study.may_try_more
    assert 20_000 < len(study._studied) * 30**2 <= 30_000
    assert len([finding for finding in findings if finding.name == "frame-lost"]) == 30
    assert all(finding.fix is not None and finding.fix.text for finding in findings if finding.severity == "fault")


def test_a_rig_of_15_devices_has_all_its_changes_tried() -> None:
    study = Study(rig_of(read(ROOT / "examples" / "garden-pier" / "rig.yaml")))
    found(study)
    assert study.may_try_more
    assert len(study._studied) * 15**2 < MOST_WORK / 4
