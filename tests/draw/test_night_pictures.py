"""The pictures of a night: strips that fit their sheet, hostile names that stay text, the same bytes every time."""

from __future__ import annotations

import io
import json
import os
import re
from pathlib import Path
from xml.etree import ElementTree

import jsonschema
import pytest
from PIL import Image

from tests.computed import compute_once, example_report
from tests.samples import share
from topo.cli.main import status_of
from topo.draw.look import DARK, LIGHT
from topo.draw.metrics import text_width
from topo.draw.shapes import Sheet, Slab, Stroke, Words, sheet_svg
from topo.draw.strip import STRIP_WIDTH
from topo.draw.strips import strips_of
from topo.pipeline import advised_study

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*/rig.yaml"))
BEHIND = ROOT / "examples" / "behind-the-camera" / "rig.yaml"
HOSTILE = "<script>&\"'"


@pytest.fixture(autouse=True)
def _alone(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("TOPO_PROFILES", os.devnull)
    monkeypatch.chdir(tmp_path)
    compute_once(monkeypatch)


def sheets(rig: Path) -> tuple[Sheet, ...]:
    report = example_report(rig.parent.name)
    after = advised_study(report)
    return strips_of(*report.study.close_ups(after), "Do this.")


@pytest.mark.parametrize("rig", EXAMPLES, ids=lambda rig: rig.parent.name)
def test_nothing_leaves_the_sheet(rig: Path) -> None:
    for sheet in sheets(rig):
        assert sheet.width == STRIP_WIDTH
        for shape in sheet.shapes:
            if isinstance(shape, Words):
                wide = text_width(shape.text, shape.size, shape.bold)
                left = shape.x - {"start": 0.0, "middle": wide / 2, "end": wide}[shape.anchor]
                assert left >= -1.0 and left + wide <= STRIP_WIDTH + 1.0, shape.text
            elif isinstance(shape, Slab):
                assert shape.x >= 0 and shape.x + shape.width <= STRIP_WIDTH and shape.width >= 0
            else:
                assert all(0 <= x <= STRIP_WIDTH and 0 <= y <= sheet.height for x, y in shape.points)


def test_one_dimension_line_says_seconds_and_arcseconds() -> None:
    before, after = sheets(BEHIND)
    told = [shape.text for shape in before.shapes if isinstance(shape, Words) and " late = " in shape.text]
    assert len(told) == 1 and re.fullmatch(r"1\.\d+ s late = 0\.\d+ arcsec, may be lost", told[0])
    assert not [shape for shape in after.shapes if isinstance(shape, Words) and " late = " in shape.text]
    assert "No download delays" in after.told and told[0] in before.told
    assert f'"{told[0]}"' in (ROOT / "README.md").read_text(encoding="utf-8")  # what the README describes


def test_waiting_is_hatched_so_that_grey_shows_it() -> None:
    before, after = sheets(BEHIND)
    slanted = [[shape for shape in sheet.shapes if isinstance(shape, Stroke) and len(shape.points) == 2
                and shape.points[0][0] != shape.points[1][0] and shape.points[0][1] != shape.points[1][1]
                and shape.width == 1.2] for sheet in (before, after)]
    assert len(slanted[0]) > len(slanted[1]) > 0  # the legend has some too


def test_names_stay_text() -> None:
    svg = sheet_svg(Sheet(90.0, 20.0, (Words(1.0, 9.0, HOSTILE),), HOSTILE, HOSTILE), "strip")
    root = ElementTree.fromstring(svg)
    assert "script" not in {element.tag.rpartition("}")[2] for element in root.iter()}
    assert HOSTILE in {element.text for element in root.iter()}
    assert DARK.trouble in svg and LIGHT.trouble in svg  # both looks


@pytest.mark.parametrize(("ending", "starts"), share(
    [("svg", b"<?xml"), ("png", b"\x89PNG"), ("pdf", b"%PDF")], 1, several=True,
))
def test_files_are_what_they_are_called_and_the_same_twice(ending: str, starts: bytes) -> None:
    for name in ("one", "two"):
        assert status_of(["night", str(BEHIND), "--nights", "3", "-o", f"{name}.{ending}"]) == 0
    made = Path(f"one.{ending}").read_bytes()
    assert made.startswith(starts) and made == Path(f"two.{ending}").read_bytes()
    if ending == "png":
        image = Image.open(io.BytesIO(made))
        assert image.size[0] == STRIP_WIDTH and image.getpixel((3, 3))[:3] == rgb(LIGHT.paper)
    if ending == "svg":
        ElementTree.fromstring(made)
        assert b"prefers-color-scheme:dark" in made and b"var(--night-paper," in made


def test_dark_is_dark() -> None:
    assert status_of(["night", str(BEHIND), "--nights", "3", "-o", "dark.png", "--dark"]) == 0
    image = Image.open("dark.png")
    assert image.getpixel((3, 3))[:3] == rgb(DARK.paper)


def rgb(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[at : at + 2], 16) for at in (1, 3, 5))


def test_a_rig_without_guide_camera_has_a_picture_too() -> None:
    Path("rig.yaml").write_text("rig: X\ncomputer: {}\ndevices: {cam: {role: imaging, width_px: 900, height_px: 900, "
                                "speed: high, plug: computer/usb2-1}}\n")
    assert status_of(["night", "rig.yaml", "--nights", "3", "-o", "x.png"]) == 0
    Path("bare.yaml").write_text("rig: X\ncomputer: {}\n")
    assert status_of(["night", "bare.yaml", "--nights", "3", "-o", "y.svg"]) == 0


def test_other_endings_are_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["night", str(BEHIND), "--nights", "3", "-o", "x.gif"]) == 2
    assert ".png, .svg or .pdf" in capsys.readouterr().err and not Path("x.gif").exists()


@pytest.mark.parametrize("rig", share(EXAMPLES, 2), ids=lambda rig: rig.parent.name)
def test_json_follows_its_schema(rig: Path, capsys: pytest.CaptureFixture[str]) -> None:
    schema = json.loads((ROOT / "topo" / "report" / "night.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    assert status_of(["night", str(rig), "--nights", "3", "--json"]) == 0
    jsonschema.validate(json.loads(capsys.readouterr().out), schema)


@pytest.mark.parametrize("rig", share(EXAMPLES, 2), ids=lambda rig: rig.parent.name)
def test_words_fit_80_columns(rig: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["night", str(rig), "--nights", "3"]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80
    for words in ("95 of 100", "worst", "middle", "TONIGHT", "PICTURES", "GUIDING", "DARK", "GUESSES"):
        assert words in out


def test_the_strip_stands_in_the_report_and_in_the_pack() -> None:
    assert status_of(["report", str(BEHIND), "-o", "page.html"]) == 0
    page = Path("page.html").read_text(encoding="utf-8")
    assert " late = " in page and "The same with plan 1 done" in page and "matplotlib" not in page
    assert status_of(["pack", str(BEHIND), "-o", "pack"]) == 0
    strip = ElementTree.parse("pack/guiding.svg").getroot()
    assert any(" late = " in (element.text or "") for element in strip.iter())
