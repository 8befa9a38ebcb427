"""No line of any command is wider than the terminal, from 40 cells to 200, on rigs and with names of any kind."""

from __future__ import annotations

import importlib
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.shell import CHASE, CLEAN, FAULTY, write_scan
from tests.computed import kept
from tests.report.large_rigs import PIER, fifteen
from topo.cli.main import COMMANDS, status_of
from topo.words.cells import cells

EXAMPLES = CLEAN.parents[1]
LOG = Path(__file__).resolve().parents[1] / "evidence" / "recordings" / "branch-lost.dmesg.log"
WIDTHS = (40, 47, 60, 80, 100, 120, 160, 200)
RIGS = {
    "pier": PIER, "fifteen": fifteen(3), "faulty": FAULTY,
    "battery": (EXAMPLES / "field-battery" / "rig.yaml").read_text("utf-8"),
    "behind": (EXAMPLES / "behind-the-camera" / "rig.yaml").read_text("utf-8"),
    "odd names": FAULTY.replace("main-camera", "\u4e3b\u76f8\u6a5f" * 8).replace("guide-camera", "g" * 60),
}


def ways(rig: str, scan: str) -> dict[str, list[list[str]]]:
    """Every command that prints text for people, on a rig and a scan."""
    return {
        "check": [[rig], [rig, "--all"], [rig, "--scan", scan]], "night": [[rig, "--nights", "3"]], "power": [[rig]],
        "draw": [[rig], [rig, "--scan", scan]], "live": [["--from", scan]], "compare": [[rig, scan]],
        "names": [[rig, scan]], "evidence": [[rig, str(LOG)], [str(LOG)]], "place": [[rig, "camera-guide-1mp"]],
        "rewire": [[rig, "--moves", "1"]], "planb": [[rig, "--all"]], "diff": [[rig, str(CLEAN)], [rig, rig]],
        "chase": [[rig, *CHASE]], "pack": [[rig, "-o", "pack", "--force"]],
        "report": [[rig, "-o", "a-page-with-a-name-that-is-rather-long-for-a-narrow-terminal.html"]],
        "profiles": [["camera"], ["camera-guide-1mp"], []],
        "explain": [[], ["frame-lost"], ["port", "in", "use"]], "plugins": [[]],
    }


WITHOUT = {"watch", "schema"}
"""`watch` looks at this machine (its notes are wrapped as paragraphs are), `schema` prints JSON."""


def fits(line: str, width: int) -> bool:
    """A line may be wider only where a single word of it, an address or a path, is."""
    words = line.split()
    return cells(line) <= width or (len(words) == 1 and bool(re.search(r"[/\\]|://", words[0])))


def test_every_command_is_tried() -> None:
    assert set(ways("", "")) == set(COMMANDS) - WITHOUT, "a new command gets its ways here"


COMPUTING = {
    "topo.pipeline": ("study_file", "check_file", "night_of", "pack_of", "compare_study", "compare_scan",
                      "check_study_live", "evidence_study"),
    "topo.place.frontier": ("frontier",), "topo.place.planb": ("plan_b",), "topo.place.options": ("place",),
    "topo.draw.page": ("render_page",), "topo.cli.page_parts": ("searched", "strip_and_choices", "failure_rows"),
}
"""What a command computes before it tells: the same at every width, so it is computed at the first and told at all."""


def compute_at_the_first_width(monkeypatch: pytest.MonkeyPatch, running: list[str]) -> None:
    """Keeps the answers of `COMPUTING` for as long as `running`, the rig and the way it is told, is the same."""
    for module_name, names in COMPUTING.items():
        module = importlib.import_module(module_name)
        for name in names:
            monkeypatch.setattr(module, name, once(name, getattr(module, name), running))


def once(name: str, make: Callable[..., Any], running: list[str]) -> Callable[..., Any]:
    """A function that answers as it did the first time, for the same rig, the same way and the same files."""
    def answer(*given: Any, **more: Any) -> Any:
        files = [str(each) for each in given if isinstance(each, str | Path)]
        return kept((*running, name, *files), lambda: make(*given, **more))

    return answer


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(set(COMMANDS) - WITHOUT))
def test_no_line_is_wider_than_the_terminal(
    name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("TOPO_PROFILES", os.devnull)
    monkeypatch.chdir(tmp_path)
    write_scan(tmp_path / "scan", "Camera")
    asked, running = 80, [""]
    monkeypatch.setattr("topo.report.print.width_of", lambda stream: asked)
    compute_at_the_first_width(monkeypatch, running)
    for number, (kind, text) in enumerate(RIGS.items()):
        (tmp_path / "rig.yaml").write_text(text, encoding="utf-8")
        of_rig = any("rig.yaml" in way for way in ways("rig.yaml", "scan")[name])
        if number and not of_rig:
            return
        for asked in WIDTHS[number % 4::5] if name == "chase" else WIDTHS:
            for way in ways("rig.yaml", "scan")[name]:
                running[:] = [kind, *way]
                if name == "chase":
                    (tmp_path / "rig.chase.yaml").unlink(missing_ok=True)
                status = status_of([name, *way])
                out, err = capsys.readouterr()
                if status == 2 and kind == "odd names" and name == "chase":
                    continue
                assert status in (0, 1, 3), err
                wide = [line for line in out.splitlines() if not fits(line, asked)]
                assert not wide, (kind, asked, way, wide)


def test_a_width_that_is_asked_for_is_kept(capsys: pytest.CaptureFixture[str], tmp_path: Path,
                                           monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TOPO_PROFILES", os.devnull)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "rig.yaml").write_text(FAULTY)
    write_scan(tmp_path / "scan", "Camera")
    for name in ("check", "diff", "explain", "planb", "live", "compare", "power", "plugins"):
        for way in ways("rig.yaml", "scan")[name]:
            for width in (40, 150):
                status_of([name, *way, "--width", str(width)])
                lines = capsys.readouterr().out.splitlines()
                assert lines and all(fits(line, width) for line in lines), (name, width)
