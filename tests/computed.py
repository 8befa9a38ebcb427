"""What several tests look at of the same rig, computed once for each process of a run.

For tests of how a rig is told or drawn alone: what is computed twice comes out the same, which tests of their own hold
(`tests/examples/test_golden.py` in processes of their own, under several hash seeds).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from topo import pipeline
from topo.analysis.study import Study
from topo.report.compose import Report

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"


@cache
def example_report(name: str) -> Report:
    """The report of an example that ships."""
    return pipeline.check_file(EXAMPLES / name / "rig.yaml")


KEPT: dict[tuple[Any, ...], Any] = {}


def kept(key: tuple[Any, ...], make: Callable[[], Any]) -> Any:
    """What was made for a key, or is made now."""
    if key not in KEPT:
        KEPT[key] = make()
    return KEPT[key]


def once(what: str, path: str, make: Callable[[], Any]) -> Any:
    """What was made of a file of that name and text (findings name it); made anew of one that names other files."""
    text = Path(path).read_bytes() if Path(path).is_file() else b"profile_files"
    return make() if b"profile_files" in text else kept((what, str(path), text), make)


def compute_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lets commands that run in this process take a study or a report they have computed before, of a file of the same
    name and text."""
    study_file, check_file = pipeline.study_file, pipeline.check_file

    def study(path: str) -> Study:
        return once("study", path, lambda: study_file(path))

    def report(path: str) -> Report:
        return once("report", path, lambda: check_file(path))

    monkeypatch.setattr(pipeline, "study_file", study)
    monkeypatch.setattr(pipeline, "check_file", report)
