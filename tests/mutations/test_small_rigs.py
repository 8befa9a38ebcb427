"""All that planning makes of some thirty small rigs, each for another rule, as it was when the tests that know better
had passed.

Nothing here says that a plan is right: `test_small_plans.py` says it of the same rigs, by hand, and `tests/place/` by
brute force. It says that none changes unseen, and soon. `small/NAME.yaml` is a rig of two to seven parts, `NAME.txt`
what is made of it; TOPO_UPDATE writes these anew: read the difference, and say in the commit why the new words are
truer.
"""

from __future__ import annotations

import os

import pytest

from tests.mutations.small_rigs import COMMANDS, NAMES, SMALL, lines


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("name", NAMES)
def test_nothing_changes_unseen(name: str, command: str) -> None:
    golden = SMALL / f"{name}.txt"
    if os.environ.get("TOPO_UPDATE"):
        golden.write_text("".join(f"{line}\n" for each in COMMANDS for line in lines(name, each)), encoding="utf-8")
    held = golden.read_text(encoding="utf-8").splitlines()
    assert list(lines(name, command)) == [line for line in held if line.split(" ")[0] == command]
