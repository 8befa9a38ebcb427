"""The commands draw, pack and report as a person types them: files, JSON by its schema, and bad input."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

import topo
from tests.draw.rigs import EXAMPLES
from topo.cli.main import status_of

RIG = str(EXAMPLES / "garden-pier/rig.yaml")
SCHEMAS = Path(topo.__file__).parent


def test_draw_writes_what_the_ending_says(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    starts = {".svg": b"<?xml", ".png": b"\x89PNG", ".pdf": b"%PDF", ".mmd": b"flowchart", ".dot": b"digraph",
              ".txt": b"Garden"}
    for ending, start in starts.items():
        out = tmp_path / f"rig{ending}"
        assert status_of(["draw", RIG, "-o", str(out)]) == 0
        assert out.read_bytes().startswith(start)
    assert capsys.readouterr().out == ""
    assert len(list(tmp_path.iterdir())) == len(starts)


def test_tree_is_80_columns_wide(capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["draw", RIG]) == 0
    told = capsys.readouterr().out
    assert "main-camera" in told and max(map(len, told.splitlines())) <= 80


@pytest.mark.parametrize("arguments,schema", [
    (["draw", RIG, "--json"], "draw/draw.schema.json"),
    (["report", RIG, "-o", "OUT/page.html", "--json"], "draw/report.schema.json"),
    (["pack", RIG, "-o", "OUT/pack", "--json"], "pack/pack.schema.json"),
])
def test_json_follows_its_schema(arguments: list[str], schema: str, tmp_path: Path,
                                 capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of([word.replace("OUT", str(tmp_path)) for word in arguments]) == 0
    jsonschema.validate(json.loads(capsys.readouterr().out), json.loads((SCHEMAS / schema).read_text()))


@pytest.mark.parametrize("arguments", [
    ["draw", RIG, "-o", "OUT/rig.docx"], ["draw", RIG, "-o", "OUT/none/rig.svg"], ["draw", "OUT/none.yaml"],
    ["draw", RIG, "-o", "OUT/rig"], ["draw", RIG, "--width", "7"], ["report", RIG], ["pack", RIG],
    ["report", RIG, "-o", "OUT/none/page.html"], ["pack", RIG, "-o", "OUT/none/pack"],
])
def test_bad_input_is_told_and_nothing_is_written(arguments: list[str], tmp_path: Path,
                                                  capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of([word.replace("OUT", str(tmp_path)) for word in arguments]) == 2
    told = capsys.readouterr()
    assert told.err and told.out == "" and "Traceback" not in told.err
    assert list(tmp_path.iterdir()) == []


def test_advice_is_drawn_or_told_why_not(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for ending, start in {".svg": b"<?xml", ".png": b"\x89PNG", ".pdf": b"%PDF"}.items():
        assert status_of(["draw", RIG, "--advice", "-o", str(tmp_path / f"advice{ending}")]) == 0
        assert (tmp_path / f"advice{ending}").read_bytes().startswith(start)
    clear = str(EXAMPLES / "two-cameras/rig.yaml")
    for arguments, told in (
        (["draw", clear, "--advice", "-o", str(tmp_path / "none.svg")], "nothing that was computed helps here"),
        (["draw", RIG, "--advice"], "name its file with -o"),
        (["draw", RIG, "--advice", "-o", str(tmp_path / "none.mmd")], "is drawn to .svg, .png, .pdf"),
    ):
        assert status_of(arguments) == 2
        assert told in " ".join(capsys.readouterr().err.split())
    assert sorted(path.name for path in tmp_path.iterdir()) == ["advice.pdf", "advice.png", "advice.svg"]
