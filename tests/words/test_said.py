"""What a person says in plain words finds what is meant."""

from __future__ import annotations

import pytest

from topo.checks import all_checks
from topo.cli.main import status_of
from topo.words.said import best_match, stems


@pytest.mark.parametrize(("one", "other"), [
    ("times out", "timed out"), ("timeout", "it times out"), ("port is in use", "ports in use"),
    ("Disconnects", "it drops"), ("lost frames", "loses frames"),
])
def test_endings_and_small_words_make_no_difference(one: str, other: str) -> None:
    assert stems(one) == stems(other)


def test_every_word_has_to_be_there() -> None:
    assert best_match("port busy", (("port in use",), ("port",))) == 0
    assert best_match("port melts", (("port in use",), ("port",))) is None
    assert best_match("is it the", (("is it the",),)) is None
    assert best_match("x " * 100_000, (("x",),)) == 0


@pytest.mark.parametrize(("said", "wanted"), [
    ("port in use", "port-held"), ("times out", "may-be-put-to-sleep"), ("wrong camera", "another-camera-taken"),
    ("permission denied", "not-allowed"), ("mount and focuser swapped", "told-apart-by-socket"),
    ("fails after idle", "power-setting-not-in-force"),
])
def test_explain_finds_by_what_is_seen(said: str, wanted: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["explain", *said.split()]) == 0
    out = capsys.readouterr().out
    check = next(check for check in all_checks() if check.name == wanted)
    assert wanted in out or check.summary in " ".join(out.split())


def test_explain_names_the_symptom_of_a_chase(capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["explain", "port in use"]) == 0
    assert "port-in-use: a program says that the port is in use" in capsys.readouterr().out


@pytest.mark.parametrize("said", ["frame-lots", "\x1b]0;x\x07", "zzz qqq"])
def test_what_nobody_means_is_refused(said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["explain", said]) == 2
    assert "\x1b" not in capsys.readouterr().err


@pytest.mark.parametrize("check", [c for c in all_checks() if c.symptoms], ids=lambda c: c.name)
def test_each_symptom_finds_its_check(check: object) -> None:
    for phrase in check.symptoms:  # type: ignore[attr-defined]
        assert best_match(phrase, (check.symptoms,)) == 0  # type: ignore[attr-defined]
