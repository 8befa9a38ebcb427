"""A share is written one way in the whole house: `86 %`, never `86%` (styles of pages aside)."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
CLOSE = re.compile(r"\d%(?!\d)")


def test_no_format_writes_it_closed_up() -> None:
    for path in sorted((ROOT / "topo").rglob("*.py")):
        assert not re.search(r":\.\d%\}", path.read_text(encoding="utf-8")), path


def test_what_the_examples_print() -> None:
    for path in sorted((ROOT / "examples").rglob("*.txt")):
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            assert not CLOSE.search(line), f"{path}:{number}: {line}"
