"""No byte hangs on the version of Python: the built-in sum of floats differs between 3.11 and 3.12, math.fsum does not.

Python 3.12 adds floats with compensation (What's New in Python 3.12, "Other Language Changes"). So the built-in may
count and add whole numbers, and no floats, in all that reaches an answer or a picture.
"""

from __future__ import annotations

import builtins
import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from tests.samples import share
from topo.cli.main import status_of

ROOT = Path(__file__).resolve().parent.parent
EXAMPLES = (ROOT / "examples" / "behind-the-camera" / "rig.yaml", ROOT / "examples" / "small-board" / "rig.yaml")

LOG = ROOT / "tests" / "evidence" / "recordings" / "branch-lost.dmesg.log"
COMMANDS = (
    ("evidence", "RIG", str(LOG), "--fail-on", "never"),
    ("check", "RIG"), ("check", "RIG", "--json"), ("draw", "RIG"), ("draw", "RIG", "-o", "rig.svg"),
    ("night", "RIG", "--nights", "3", "-o", "night.png"), ("night", "RIG", "--nights", "3", "--json"),
    ("draw", "RIG", "-o", "rig.mmd"), ("planb", "RIG", "--json"), ("diff", "RIG", "RIG"), ("power", "RIG"),
    ("power", "RIG", "--json"), ("power", "RIG", "--sheet"),
    ("report", "RIG", "-o", "rig.html"), ("pack", "RIG", "-o", "pack"), ("rewire", "RIG", "--moves", "1"),
    ("names", "RIG", str(LOG)), ("compare", "RIG", str(LOG), "--fail-on", "never"),
    ("place", "RIG", "camera-guide-1mp"), ("place", "RIG", "camera-guide-1mp", "-o", "back.svg"),
    ("draw", "RIG", "--advice", "-o", "advice.svg"),
    ("chase", "RIG", "--symptom", "guide-late", "--state", "chase.yaml"),
)


def whole(values: Iterable[Any], start: Any = 0) -> Any:
    """The built-in sum, for whole numbers alone."""
    total = start
    for value in values:
        assert not isinstance(value, float), "floats are added by math.fsum"
        total = total + value
    return total


@pytest.mark.parametrize("command", share(COMMANDS, 6), ids=" ".join)
def test_no_float_is_added_by_the_built_in_sum(
    command: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("TOPO_PROFILES", os.devnull)
    for number, rig in enumerate(EXAMPLES):
        folder = tmp_path / str(number)
        folder.mkdir()
        monkeypatch.chdir(folder)
        with monkeypatch.context() as patched:
            patched.setattr(builtins, "sum", whole)
            status = status_of([word.replace("RIG", str(rig)) for word in command])
        assert status in (0, 1), capfd.readouterr().err
