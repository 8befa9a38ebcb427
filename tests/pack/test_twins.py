"""A pack keeps what only sockets tell apart: in the post, and in the redacted rig and scan read again."""

from __future__ import annotations

from pathlib import Path

from topo.analysis.study import Study
from topo.checks.live.told_apart_by_socket import CHECK
from topo.cli.main import status_of
from topo.live import store
from topo.live.recording import read_scan, replay
from topo.pipeline import compare_study, rig_of
from topo.rigfile.read import read


def test_twins_are_still_twins_in_the_pack(tmp_path: Path) -> None:
    case = next(case for case in CHECK.cases if case.findings and not case.evidence)
    (tmp_path / "rig.yaml").write_text(case.rig)
    (tmp_path / "scan.json").write_text(store.dumps(read_scan(case.scan)))
    out = tmp_path / "out"
    assert status_of(["pack", str(tmp_path / "rig.yaml"), "--scan", str(tmp_path / "scan.json"), "-o", str(out)]) == 0
    assert CHECK.name in (out / "post.txt").read_text()
    again = compare_study(Study(rig_of(read(str(out / "rig.yaml")))), replay(str(out / "scan.json")))
    assert CHECK.name in {finding.name for finding in again.report.findings}
