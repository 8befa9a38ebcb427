"""Words that a person stumbled over may not come back, in whatever the tool says of any of the examples."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.computed import compute_once
from topo.checks import all_checks
from topo.cli.main import main
from topo.model.cautions import SHORT
from topo.model.check import Check
from topo.pipeline import examine_text

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*/rig.yaml"))

RETIRED = (
    r"\bunless the\b.*\bmarking", r"^ *unless\b", r"not known of it", r"\bmeets \d+ % of", r"guiding beside imaging",
    r"not to be seen", r"not stand it", r"nobody told us", r"with doubts", r"does not sit", r"Questions only",
    r"\b1 (hubs|devices|faults|risks|notes|findings|moves)\b", r"\bRefuted (by|if)\b", r"\d%(?![-\w])",
    r"\bmaybe\b(?! the USB cable is bad)",  # that is the kernel's own message
    r"\bharsh(est)?\b", r"at the mildest", r"whatever is assumed", r"\bof what is assumed\b",
    r"^ASSUMED  ", r"^REFUTED  ", r"\brests? on (a guess|an average|something)",
    r"which cannot be seen", r"If you hunt", r"fault you hunt", r"\bfor want of\b", r"\bamiss\b",
    r"\bheed\b", r"\bthan it stands\b", r"\bstands \d", r"\bhangs? on\b", r"\battitude\b(?!\w)(?<!-attitude)",
    r"\bhosts\b", r"judges it nothing", r"in the middle night", r"^ +Held by\b", r"is now not (given|there)",
    r"its place is not told", r"UTC\+00:00",
    r"\bdownload together\b", r"\(computed: clears it\)", r"\bdepartures\b", r"\d times\b(?= +basis)",
)
"""Patterns, searched in each line and in the text joined to one line, upper and lower case alike."""

WAYS = ("check", "rewire", "planb", "draw", "night", "power")


def said(*arguments: str) -> str:
    """What a command prints, on both streams."""
    done = CliRunner().invoke(main, arguments, catch_exceptions=False)
    return done.output


@pytest.fixture(autouse=True)
def _once(monkeypatch: pytest.MonkeyPatch) -> None:
    compute_once(monkeypatch)


def retired_in(text: str) -> list[str]:
    """What of a text is retired. `unless` is so as a label alone."""
    joined = " ".join(text.split())
    return [f"{pattern}: {found[0]!r}" for pattern in RETIRED
            if (found := re.search(pattern, joined, re.I) or re.search(pattern, text, re.I | re.M))]


@pytest.mark.parametrize("rig", EXAMPLES, ids=lambda path: path.parent.name)
@pytest.mark.parametrize("way", WAYS)
def test_no_retired_word_in_what_is_said_of_an_example(way: str, rig: Path) -> None:
    more = {"rewire": ("--moves", "1"), "night": ("--nights", "3"), "check": ("--all",)}.get(way, ())
    text = said(way, str(rig), *more)
    assert len(text) > 40
    assert not retired_in(text)


@pytest.mark.parametrize("end", [".svg", ".dot", ".mmd"])
def test_no_retired_word_in_a_picture(end: str, tmp_path: Path) -> None:
    for rig in EXAMPLES:
        out = tmp_path / f"{rig.parent.name}{end}"
        said("draw", str(rig), "-o", str(out))
        shown = re.sub(r"<[^>]*>", " ", out.read_text("utf-8"))
        found = [each for each in retired_in(shown) if not each.startswith(r"\d%")]  # widths of SVG are percentages
        assert not found


@pytest.mark.parametrize("check", all_checks(), ids=lambda check: check.name)
def test_every_explanation_is_plain_and_warns_once(check: Check) -> None:
    text = said("explain", check.name)
    assert not retired_in(text)
    joined = " ".join(text.split())
    assert joined.count(SHORT) == joined.count("supplies stay closed") <= 1
    if check.find.__module__.startswith("topo.checks.power."):
        assert joined.count(SHORT) == 1


def test_the_list_catches_what_it_names() -> None:
    for words in ("  unless   the marking on the fuse", "it is not to be seen", "meets 86 % of downloads", "1 hubs",
                  "86% full", "Works, with doubts: 1 risk", "at the harshest", "what hangs on it", "it stands 14 V",
                  "ASSUMED    Figures marked", "what hosts deliver", "   Held by nobody.", "os linux is now not given"):
        assert retired_in(words), words
    assert not retired_in("nothing is found unless it is on; 1 hub, 21 hubs, 86 % full")


@pytest.mark.slow
def test_the_page_says_the_words_of_the_terminal_and_shows_no_backtick(tmp_path: Path) -> None:
    for rig in EXAMPLES:
        out = tmp_path / f"{rig.parent.name}.html"
        said("report", str(rig), "-o", str(out))
        page = re.sub(r"<(style|svg|figure)\b.*?</\1>", " ", out.read_text("utf-8"), flags=re.S)
        shown = re.sub(r"<[^>]*>", " ", page)
        assert "`" not in shown and not retired_in(shown)
        for section in re.findall(r'<section class="finding.*?</section>', page, re.S):
            words = [section.find(f"<b>{word}</b>") for word in ("Do", "Wrong if")]
            assert 0 < words[0] < words[1]
        heads = " ".join(re.findall(r"<th>([^<]*)</th>", page))
        assert "link serves carries asked for full average" in heads


@pytest.mark.parametrize("check", [check for check in all_checks() if check.needs == "study"],
                         ids=lambda check: check.name)
def test_no_retired_word_in_what_any_check_finds(check: Check) -> None:
    for case in check.cases:
        for found in examine_text(case.rig).findings:
            if found.name == check.name:
                fix = found.fix.text if found.fix is not None else ""
                for text in (found.message, found.refuted_by, fix, found.tested_by, *(f.name for f in found.figures)):
                    assert not retired_in(text), (found.name, text)
