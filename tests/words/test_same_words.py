"""One word for one thing: terminal, page, picture, post and JSON say the same of one rig, none in words of its own."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

import pytest

from tests.cli.shell import CLEAN
from tests.place.random_rigs import random_text
from topo.cli.main import status_of
from topo.model.facts import BASES
from topo.pipeline import check_file, examine_text
from topo.report.lines import text_of
from topo.report.text import first_words, report_lines
from topo.words import glossary
from topo.words.verdicts import NOT_ALL_CHECKED, NOTHING_FOUND, by_severity, verdict_words

RIG = CLEAN.parents[1] / "behind-the-camera" / "rig.yaml"

ANOTHER_WORD = {
    "what is asked of a link or by a device": r"\basks\b(?! (for|all|whose|who|one)\b)|\basked\b(?! (for|of)\b)",
    "a download while others download": r"\btogether\b",
    "a figure that rests on a guess": r"\brests? on\b|\bassumed\b(?! to|,|$)|\bASSUMED\b",
    "what a wire's devices do": r"\bcarries (imaging|guiding)\b",
    "the worst and best of what is not known": r"\bharsh(est)?\b|\bmild(est)?\b",
    "advice that was computed": r"\(computed: clears it\)",
    "what shows that a finding is wrong": r"\bunless\b.*\bmarking|\brefut",
    "perhaps": r"\bmaybe\b",
    "what a part can take": r"\bstands \d",
}
"""Words that other words stand for now, by the thing they were used for; searched in what a person reads."""


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """What each way of telling says of one rig, as plain text."""
    folder = tmp_path_factory.mktemp("said")
    for command, name in (("report", "page.html"), ("draw", "p.svg"), ("pack", "pack")):
        words = [command, str(RIG), "-o", str(folder / name)]
        assert status_of(words) == 0
    lines = [text_of(line) for line in report_lines(check_file(RIG), whole=True)]
    page = re.sub(r"<(style|svg)\b.*?</\1>", " ", (folder / "page.html").read_text("utf-8"), flags=re.S)
    texts = {
        "terminal": "\n".join(lines), "page": page, "picture": (folder / "p.svg").read_text("utf-8"),
        "post": (folder / "pack" / "post.txt").read_text("utf-8"),
        "markdown": (folder / "pack" / "post.md").read_text("utf-8").replace("\\", ""),
    }
    plain = {name: html.unescape(re.sub(r"<[^>]*>", " ", re.sub(r"<style\b.*?</style>", " ", text, flags=re.S)))
             for name, text in texts.items()}
    return {name: " ".join(text.split()) for name, text in plain.items()}


def test_all_give_one_verdict(said: dict[str, str]) -> None:
    verdict = verdict_words(check_file(RIG).findings)
    assert all(verdict in text for text in said.values()), verdict


def test_what_to_do_first_is_the_same_advice(said: dict[str, str]) -> None:
    step = first_words(check_file(RIG))[0].partition(". ")[0]
    assert step.startswith("Plug guide-camera into")
    assert all(step in text for text in said.values())


def test_labels_come_from_the_glossary(said: dict[str, str]) -> None:
    for label in (glossary.DO, glossary.WRONG_IF):
        for name in ("terminal", "page", "post", "markdown"):
            assert re.search(rf"\b{label}\b", said[name], re.I), (label, name)
    for name in ("terminal", "page", "post", "markdown"):
        assert glossary.CLEARS in said[name]
    for name in ("terminal", "page"):
        assert re.search(glossary.DO_FIRST, said[name], re.I)
        for head in (glossary.SERVES, glossary.CARRIES, glossary.ASKED, glossary.FULL, glossary.AVERAGE,
                     glossary.ALONE, glossary.TOGETHER, glossary.NOW, glossary.ONCE_DONE):
            assert head in said[name], (head, name)
        assert glossary.BASIS["assumed"] in said[name]
    assert f"{glossary.SERVES} imaging" in said["picture"]


def test_each_finding_is_told_in_one_wording(said: dict[str, str]) -> None:
    for finding in check_file(RIG).findings:
        for name in ("terminal", "page", "post", "markdown"):
            assert finding.message in said[name] or name == "post", (finding.name, name)
    first = check_file(RIG).findings[0]
    assert first.message in said["post"] and first.refuted_by in said["post"]


@pytest.mark.parametrize("thing", ANOTHER_WORD)
def test_none_has_another_word_for_it(said: dict[str, str], thing: str) -> None:
    for name, text in said.items():
        found = re.search(ANOTHER_WORD[thing], text)
        assert not found, f"{name} has {found[0]!r} for {thing}" if found else ""


def test_the_words_for_another_thing_are_found() -> None:
    for thing, text in (
        ("what is asked of a link or by a device", "device role speed asks plugged into"),
        ("a download while others download", "download together 2 s"),
        ("a figure that rests on a guess", "all else: assumed."),
        ("what a wire's devices do", "carries imaging"), ("the worst and best of what is not known", "At the harshest"),
        ("what a part can take", "main-camera stands 14 V"),
    ):
        assert re.search(ANOTHER_WORD[thing], text), thing


def test_every_basis_and_certainty_has_its_word() -> None:
    assert set(glossary.BASIS) == set(BASES)
    assert set(glossary.CERTAINTY) == {"certain", "possible"}
    assert set(glossary.LOST) == {"no", "possible", "certain"}


def test_json_has_one_key_for_one_thing() -> None:
    """`carries` of a link in JSON is a list of devices, which scripts rely on; text says that a link serves them."""
    body = json.loads((RIG.with_name("report.json")).read_text("utf-8"))
    assert body["format"] == "topo.check.1"
    assert all(isinstance(link["carries"], list) for link in body["links"])
    schema = json.loads((Path(glossary.__file__).parents[1] / "report" / "check.schema.json").read_text("utf-8"))
    assert "serves" in schema["$defs"]["link"]["properties"]["carries"]["description"]


@pytest.mark.parametrize("seed", range(24))
def test_nothing_has_to_be_done_is_said_only_where_it_is_true(seed: int) -> None:
    report = examine_text(random_text(seed))
    left = [finding for finding in report.findings if finding.severity != "note"]
    words = " ".join(first_words(report))
    text = " ".join(" ".join(text_of(line) for line in report_lines(report)).split())
    nothing = "Nothing has to be done" in words
    assert nothing == ("Nothing has to be done" in text)
    assert nothing == (not left and not report.troubles)
    assert ("Fit for the night" in text) == (not left and not report.troubles)


def test_a_verdict_is_clear_only_without_findings() -> None:
    assert verdict_words(()) == NOTHING_FOUND
    assert verdict_words((), all_checked=False) == NOT_ALL_CHECKED
    assert by_severity(()) == ""
