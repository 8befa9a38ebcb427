"""The pictures under examples/ and in the README are those that the tool draws now.

`TOPO_UPDATE=1 pytest tests/examples/test_pictures.py` draws them anew; look at them before they are committed.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from tests.computed import example_report
from topo.draw.layout import place
from topo.draw.look import DARK, LIGHT
from topo.draw.paint import painted
from topo.draw.picture import picture
from topo.draw.shapes import Sheet, sheet_in
from topo.pipeline import advice_sheet, strips

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
NAMES = sorted(path.parent.name for path in EXAMPLES.glob("*/rig.yaml"))
SHOWN = "twin-telescopes"
"""The example that the README shows."""
LOOKS = {"light": LIGHT, "dark": DARK}


def sheets(name: str) -> dict[str, Sheet | None]:
    report = example_report(name)
    whole = painted(place(picture(report.study, report.findings, 900, report.first)))
    return {"picture": whole, **({"advice": advice_sheet(report), "night": strips(report)} if name == SHOWN else {})}


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("name", NAMES)
def test_pictures_are_fresh(name: str, look: str) -> None:
    for what, sheet in sheets(name).items():
        assert sheet is not None
        drawn, path = sheet_in(sheet, LOOKS[look]), EXAMPLES / name / f"{what}-{look}.svg"
        if os.environ.get("TOPO_UPDATE"):
            path.write_bytes(drawn)
        assert path.read_bytes() == drawn, f"{path.relative_to(ROOT)} is not what the tool draws now"


@pytest.mark.parametrize("page", ["README.md", "examples/README.md"])
def test_pictures_that_are_shown_are_there_in_both_looks(page: str) -> None:
    text = (ROOT / page).read_text("utf-8")
    shown = re.findall(r'(?:src|srcset)="([^"]+\.svg)"', text)
    assert shown
    for path in shown:
        assert ((ROOT / page).parent / path).is_file(), path
    assert sorted(path for path in shown if path.endswith("-dark.svg")) == sorted(
        path.replace("-light.svg", "-dark.svg") for path in shown if path.endswith("-light.svg"))


def test_every_example_is_walked_through() -> None:
    text = (EXAMPLES / "README.md").read_text("utf-8")
    for name in NAMES:
        assert f"## {name}\n" in text and f"{name}/picture-light.svg" in text
