"""Wherever a command speaks of power its cautions stand there, and once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from topo.cli.main import status_of
from topo.model.cautions import CAUTIONS, SHORT

ROOT = Path(__file__).resolve().parents[2]
FIELD = str(ROOT / "examples" / "field-battery" / "rig.yaml")


def count(text: str) -> int:
    """How often cautions are printed, the long ones or the sentence for places with little room. Words alone count: a
    page wraps and marks them."""
    words = re.sub(r"[^a-z0-9]+", " ", re.sub(r"<[^>]*>", " ", text).lower())
    return sum(words.count(re.sub(r"[^a-z0-9]+", " ", each.lower()).strip()) for each in (CAUTIONS[0], SHORT))


@pytest.mark.parametrize("words", [
    ["check", FIELD], ["check", FIELD, "--all"], ["power", FIELD], ["night", FIELD, "--nights", "3"],
    ["planb", FIELD],
])  # fmt: skip
def test_texts(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(words) in (0, 1)
    assert count(capsys.readouterr().out) == 1


@pytest.mark.parametrize(("words", "name"), [
    (["draw", FIELD], "a.svg"), (["report", FIELD], "a.html"),
])  # fmt: skip
def test_files(words: list[str], name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / name
    assert status_of([*words, "-o", str(path)]) in (0, 1)
    capsys.readouterr()
    assert count(path.read_text(encoding="utf-8")) >= 1


def test_a_pack(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In the post, where the advice is read, once."""
    path = tmp_path / "pack"
    assert status_of(["pack", FIELD, "-o", str(path)]) in (0, 1)
    capsys.readouterr()
    texts = {each.name: count(each.read_text(encoding="utf-8")) for each in sorted(path.iterdir())
             if each.suffix in (".txt", ".md")}  # fmt: skip
    assert texts["post.txt"] == texts["post.md"] == 1, texts
