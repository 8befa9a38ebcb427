"""A picture is as wide as was asked for and no wider; nothing reaches standard error; nothing is told twice."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tests.computed import compute_once
from tests.draw.rigs import finding_at, rig_text, study_of
from topo.cli.main import status_of
from topo.draw.picture import picture
from topo.draw.renderers import renderers
from topo.draw.tree import plain_text, tree_lines
from topo.pipeline import examine_text

ROOT = Path(__file__).parents[2]
DEEP = "rig: Deep\ncomputer: {ports: {usb3-1: {speed: super}}}\nhubs:\n" + "".join(
    f"  a-rather-long-hub-name-{n}: {{ports: 4, speed: high, "
    f"plug: {'computer/usb3-1' if n == 1 else f'a-rather-long-hub-name-{n - 1}/1'}}}\n" for n in range(1, 6)
) + "devices:\n  wheel: {role: filter-wheel, speed: full, plug: a-rather-long-hub-name-5/1}\n"


examined = cache(examine_text)
"""A rig is computed once for all widths and endings."""


def rendered(ending: str, text: str, width: int) -> bytes:
    [renderer] = [each for each in renderers() if ending in each.suffixes]
    report = examined(text)
    return renderer.render(picture(report.study, report.findings, width))


@pytest.mark.parametrize("width", [300, 480, 900])
@pytest.mark.parametrize("text", [DEEP, rig_text(), *(
    path.read_text("utf-8") for path in sorted((ROOT / "examples").glob("*/rig.yaml")))])
def test_no_wider_than_asked(text: str, width: int) -> None:
    image = pytest.importorskip("PIL.Image")
    svg = rendered(".svg", text, width).decode()
    shown = re.search(r'<svg [^>]*width="([\d.]+)"', svg)
    assert shown and float(shown[1]) <= width
    assert image.open(io.BytesIO(rendered(".png", text, width))).size[0] <= width


def test_the_deep_rig_needs_more_than_columns() -> None:
    """Else the test above would prove nothing of the list that stands in for columns."""
    from topo.draw.layout import place

    boxes = place(picture(study_of(DEEP), (), 480)).boxes
    assert not any(box.bar for box in boxes) and any(
        box.bar for box in place(picture(study_of(DEEP), (), 2000)).boxes)


@pytest.mark.parametrize("ending", ["svg", "png", "pdf"])
def test_the_bundled_engine_says_nothing(
    ending: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Neither Python nor the engine's own C, which writes to the file descriptor."""
    pytest.importorskip("pygraphviz")
    monkeypatch.setenv("PATH", "/nonexistent")
    compute_once(monkeypatch)
    for rig in sorted((ROOT / "examples").glob("*/rig.yaml")):
        out = tmp_path / f"out.{ending}"
        assert status_of(["draw", str(rig), "-o", str(out)]) == 0
        assert capfd.readouterr().err == "" and out.stat().st_size > 1000


def test_one_name_is_marked_once_on_a_part() -> None:
    found = [replace(finding_at("guide-camera"), message=f"told {n}") for n in range(3)]
    scene = picture(study_of(rig_text()), found)
    [node] = [node for node in scene.nodes if node.name == "guide-camera"]
    marks = [mark.text for mark in node.marks if found[0].name in mark.text]
    assert marks == [f"{found[0].severity} 1, 2, 3: {found[0].name}"]


def test_free_sockets_are_called_sockets() -> None:
    lines = [line for line in plain_text(tree_lines(picture(study_of(DEEP)))).split("\n") if " free" in line]
    assert lines and all(re.search(r"[0-9]+ sockets? free: [0-9]+", line) for line in lines)
