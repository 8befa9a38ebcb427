"""The strip of sockets with ranks: every socket once, ranks as they were computed, never wider than asked."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.draw.rigs import EXAMPLES, hostile
from tests.draw.test_any_width import wrong
from topo.cli.main import status_of
from topo.draw.back import Back, Hole, back_lines, back_sheet
from topo.model.plain import plain
from topo.words.cells import cells

HOLES = st.builds(Hole, hostile.map(plain), st.sampled_from(["usb2", "superspeed", "serial"]), st.integers(0, 30),
                  hostile.map(plain))
BACKS = st.lists(st.builds(Back, hostile.map(plain), st.lists(HOLES, max_size=20).map(tuple)), max_size=4)


@given(BACKS, st.integers(40, 120), st.integers(300, 2000))
def test_any_back_fits(backs: list[Back], columns: int, width: int) -> None:
    assert all(cells(line) <= columns for line in back_lines(backs, columns))
    assert not wrong(back_sheet(backs, "Where it goes", width), width)


def test_ranks_are_those_that_are_listed(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    out = tmp_path / "back.svg"
    rig = str(EXAMPLES / "garden-pier" / "rig.yaml")
    assert status_of(["place", rig, "camera-guide-1mp", "--name", "oag", "-o", str(out)]) == 0
    told = capsys.readouterr().out
    ranks = dict(re.findall(r"^ ?([0-9]+)\. ([\w-]+/[\w-]+)", told, re.M))
    # By hand: the file leaves one socket of the computer, two of the pier hub, one of the tube hub and one of the
    # camera free, and the two of the pier hub are alike.
    assert sorted(ranks.values()) == ["computer/usb2-2", "main-camera/usb2-2", "pier-hub/6", "tube-hub/7"]
    strip = told[told.index("The sockets"):]
    assert sorted(re.findall(r"([0-9]+)\.", strip)) == sorted([*ranks, *(
        rank for rank, plug in ranks.items() if plug == "pier-hub/6")])
    picture = out.read_text("utf-8")
    assert all(f">{rank}.<" in picture for rank in ranks)
