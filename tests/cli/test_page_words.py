"""The page says first what the terminal says first, and of guiding the same."""

from __future__ import annotations

from html import unescape
from pathlib import Path

import pytest

from tests.computed import compute_once
from tests.samples import share
from topo import pipeline
from topo.cli.main import status_of
from topo.report.tables import guiding_words
from topo.report.text import first_words

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*/rig.yaml"))


@pytest.mark.parametrize("path", share(EXAMPLES, 2), ids=lambda path: path.parent.name)
def test_the_page_says_what_the_terminal_says(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = tmp_path / "page.html"
    compute_once(monkeypatch)
    status_of(["report", str(path), "-o", str(page)])
    text = unescape(page.read_text(encoding="utf-8").replace("<code>", "`").replace("</code>", "`"))
    report = pipeline.check_file(path)
    for words in (*first_words(report), *guiding_words(report)):
        assert words in text
    assert text.index(first_words(report)[0]) < text.index("<figure>")
