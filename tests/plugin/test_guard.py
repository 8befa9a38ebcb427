"""One check run by itself: what it raises, how long it takes and what it finds cannot stop the others."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from io import BytesIO
from typing import Any, BinaryIO

import pytest

from topo.errors import PluginError
from topo.model.check import Check
from topo.model.evidence import FrameTime, Handed, Moment, Reading
from topo.model.facts import Figure, Range3
from topo.model.finding import Finding, Fix
from topo.model.rig import Place
from topo.plugin.guard import MOST_FINDINGS, Fenced, Stranger, run_check
from topo.plugin.values import Supplier

WHO = Supplier("odd", "odd-rig-parts", "1.2")
RIGHT = Finding("made-check", "note", "certain", "hub", Place("rig.yaml", 3, 5), "Something is so.")


def check_of(find: Callable[[Any], Any], stranger: bool = True) -> Check:
    return Check("made-check", "s", "e", ("note", "risk"), Stranger(find, WHO) if stranger else find)


def test_right_findings_come_back_signed() -> None:
    findings, trouble = run_check(check_of(lambda study: [RIGHT, RIGHT]), None)
    assert trouble is None
    assert findings == (RIGHT, RIGHT)
    assert [finding.supplied_by for finding in findings] == ["odd (odd-rig-parts 1.2)"] * 2
    assert run_check(check_of(lambda study: [RIGHT], stranger=False), None)[0][0].supplied_by == ""


def raises(study: Any) -> Iterator[Finding]:
    yield RIGHT
    raise KeyError("gone")


def leaves(study: Any) -> Iterator[Finding]:
    yield RIGHT
    raise SystemExit(3)


@pytest.mark.parametrize("stranger", [True, False])
@pytest.mark.parametrize(("find", "message"), [
    (raises, "raised KeyError: 'gone'"), (leaves, "tried to end the program"),
])
def test_what_it_found_before_it_raised_stays(find: Callable[[Any], Any], message: str, stranger: bool) -> None:
    findings, trouble = run_check(check_of(find, stranger), None)
    assert len(findings) == 1
    assert trouble is not None and message in trouble.what and "made-check" in trouble.what
    assert trouble.distribution == ("odd-rig-parts" if stranger else "topo-rig")


def test_a_check_that_hangs_is_left_behind() -> None:
    start = time.monotonic()
    findings, trouble = run_check(check_of(lambda study: time.sleep(30)), None, timeout_s=0.2)
    assert time.monotonic() - start < 5
    assert findings == () and trouble is not None
    assert str(trouble) == "plugin odd (odd-rig-parts 1.2): check made-check hangs: no answer after 0.2 s"


def test_a_check_that_prints_is_told(capfd: pytest.CaptureFixture[str]) -> None:
    findings, trouble = run_check(check_of(lambda study: print("hello") or [RIGHT]), None)
    assert findings == (RIGHT,) and trouble is not None and "standard output" in trouble.what
    assert capfd.readouterr() == ("", "hello\n")


@pytest.mark.parametrize("returned", [None, 3, "text", b"bytes", {"a": 1}])
def test_what_is_not_a_series_of_findings_is_refused(returned: Any) -> None:
    findings, trouble = run_check(check_of(lambda study: returned), None)
    assert findings == () and trouble is not None and type(returned).__name__ in trouble.what


WRONG: dict[str, tuple[Any, str]] = {
    "not a finding": ("text", "not a Finding"),
    "another name": (replace(RIGHT, name="frame-lost"), "its name is 'frame-lost'"),
    "a severity of its own": (replace(RIGHT, severity="dire"), "severity"),  # type: ignore[arg-type]
    "a severity it did not state": (replace(RIGHT, severity="fault"), "severity"),
    "certainty": (replace(RIGHT, certainty="sure"), "certainty"),  # type: ignore[arg-type]
    "no message": (replace(RIGHT, message=" "), "no message"),
    "place": (replace(RIGHT, place=None), "Place"),  # type: ignore[arg-type]
    "part": (replace(RIGHT, part=3), "part"),  # type: ignore[arg-type]
    "others": (replace(RIGHT, others="hub"), "its others is a value of type str, not a tuple"),  # type: ignore[arg-type]
    "refuted": (replace(RIGHT, refuted_by=None), "refute"),  # type: ignore[arg-type]
    "fix": (replace(RIGHT, fix="move it"), "not a Fix"),  # type: ignore[arg-type]
    "figures": (replace(RIGHT, figures=[]), "not a tuple"),  # type: ignore[arg-type]
    "basis": (replace(RIGHT, figures=(Figure("a", 1.0, "s", "guessed"),)), "basis"),  # type: ignore[arg-type]
    "not finite": (replace(RIGHT, figures=(Figure("a", math.nan, "s", "assumed"),)), "cannot be told"),
    "range": (replace(RIGHT, figures=(Figure("a", Range3(0, 1, math.nan), "s", "assumed"),)), "cannot be told"),
    "after": (replace(RIGHT, fix=Fix("do", after=(3,))), "its fix.after[0] is a value of type int, not a Figure"),  # type: ignore[arg-type]
}


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_finding_is_left_out_and_told(name: str) -> None:
    wrong, message = WRONG[name]
    findings, trouble = run_check(check_of(lambda study: [wrong, RIGHT]), None)
    assert findings == (RIGHT,)
    assert trouble is not None and message in trouble.what, trouble


def test_a_figure_without_an_upper_end_can_be_told() -> None:
    endless = replace(RIGHT, figures=(Figure("a", Range3(0, 1, math.inf), "s", "assumed"),))
    assert run_check(check_of(lambda study: [endless]), None) == ((endless,), None)


def test_an_endless_check_ends() -> None:
    def endless(study: Any) -> Iterator[Finding]:
        while True:
            yield RIGHT

    findings, trouble = run_check(check_of(endless), None)
    assert len(findings) == MOST_FINDINGS and trouble is not None and "more than" in trouble.what


def test_a_readers_file_is_handed_on_and_what_it_reads_is_made_anew() -> None:
    whole = Reading("made log", events=(FrameTime(Moment(1.0, "utc"), 1.0),), skipped=("a line",))

    def read(stream: BinaryIO, handed: Handed) -> Any:
        return whole if stream.read() == b"right" else "text"

    fenced = Fenced(read, WHO, "made-log: read", Reading)
    assert fenced(BytesIO(b"right"), Handed("night.log")) == whole
    with pytest.raises(PluginError, match=r"1.2\): made-log: read: what it returns is a value of type str"):
        fenced(BytesIO(b"wrong"), Handed("night.log"))
