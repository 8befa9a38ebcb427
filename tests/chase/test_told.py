"""What scans and logs tell moves the suspects, is kept, and is never the same evidence as a look once more."""

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any, cast

import pytest

from tests.chase.test_command import body, run
from topo.chase.heard import NO_FINDINGS, NO_OVER_CURRENT, NOT_AT_DOWNLOADS, SPEEDS_HOLD, Heard, heard, of_answers
from topo.chase.kinds import KIND_OF
from topo.chase.known import SPEAKS_OF, fresh, looked, renewed
from topo.chase.looks import ALL_LOOKS
from topo.chase.of_rig import wires_of
from topo.checks.live import dropped_since_start, fell_back, over_current_counted
from topo.errors import CommandError
from topo.model.answers import Refuted
from topo.model.check import Case
from topo.pipeline import plugins, study_file

if TYPE_CHECKING:
    from topo.model.answers import Answers


def chance(found: dict[str, Any], kind: str) -> float:
    return float(sum(g["chance"] for g in found["suspects"] if any(each["kind"] == kind for each in g["suspects"])))


def placed(case: Case, folder: Path) -> list[str]:
    """The rig and the scan of a case as files, and the words of the command."""
    (folder / "rig.yaml").write_text(case.rig, encoding="utf-8")
    assert case.scan is not None
    (folder / "scan.json").write_text(case.scan, encoding="utf-8")
    return [str(folder / "rig.yaml"), "--scan", str(folder / "scan.json")]


def test_a_fallback_that_a_scan_shows_points_to_its_cable(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    held, fell = fell_back.CHECK.cases[:2]
    said = ["--symptom", "slow-downloads", "--every", "always"]
    rig, *scan = placed(fell, tmp_path)
    before = body(capsys, rig, *said)
    after = body(capsys, rig, *scan)
    assert chance(after, "superspeed") > chance(before, "superspeed") + 0.2
    assert any(test["test"] == "speed-fallen" for test in before["tests"])
    kept = (tmp_path / "rig.chase.yaml").read_text(encoding="utf-8")
    assert "told:\n- fell-back/" in kept
    again = body(capsys, rig)  # without the scan: what it told is kept
    assert again["suspects"] == after["suspects"]
    assert again["test"] is None or again["test"]["test"] != "speed-fallen"
    _, text, _ = run(capsys, rig)
    assert "TOLD" in text and "fell-back" in text
    rig, *scan = placed(held, tmp_path)
    mended = body(capsys, rig, *scan)  # a newer scan that answers the same stands in its place
    assert chance(mended, "superspeed") < chance(before, "superspeed")
    assert "fell-back" not in (tmp_path / "rig.chase.yaml").read_text(encoding="utf-8")


def test_numbers_and_counts_of_a_scan_move_priors(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    for check, kinds in (
        (dropped_since_start.CHECK, ("cable", "socket", "hub")),
        (over_current_counted.CHECK, ("hub-sag", "hub-dead", "lead", "supply")),
    ):
        for case in check.cases:
            if not case.findings:
                continue
            folder = tmp_path / f"{check.name}-{check.cases.index(case)}"
            folder.mkdir()
            rig, *scan = placed(case, folder)
            first = wires_of(study_file(rig)).devices[0].part
            before = body(capsys, rig, "--symptom", "drops", "--at", first)
            after = body(capsys, rig, *scan)
            assert sum(chance(after, k) for k in kinds) >= sum(chance(before, k) for k in kinds) - 1e-9
            told = (folder / "rig.chase.yaml").read_text(encoding="utf-8")
            assert f"- {check.name}/" in told


def test_what_a_scan_does_not_show_speaks_against_it() -> None:
    assert SPEAKS_OF[SPEEDS_HOLD].weight("possible") < 1.0
    assert SPEAKS_OF[NO_OVER_CURRENT].weight("possible") < 1.0


def test_every_entry_is_known() -> None:
    """Each points to kinds there are, is a finding or a word of its own, and answers looks there are."""
    findings = {check.name for check in plugins().checks}
    families = {look.family for look in ALL_LOOKS}
    for name, points in SPEAKS_OF.items():
        assert name in findings or name in NO_FINDINGS, name
        assert set(points.kinds) <= set(KIND_OF), name
        assert set(points.looks) <= families, name


def test_one_look_is_counted_once() -> None:
    told = (Heard("fell-back", "certain", ("camera",)), Heard(NOT_AT_DOWNLOADS, "possible"))
    assert looked(told) == ("speed", "times")
    assert fresh(told, ("speed-fallen=yes",)) == told[1:]
    assert fresh(told, ("spare-cable/camera=yes",)) == told


def test_what_is_told_anew_stands_in_place_of_the_old() -> None:
    old = (Heard("fell-back", "certain", ("camera",)), Heard(NOT_AT_DOWNLOADS, "possible"))
    new = (Heard(SPEEDS_HOLD, "possible"),)
    assert renewed(old, new) == (old[1], new[0])


def test_what_is_told_is_read_again_as_it_was_written() -> None:
    each = Heard("fell-back", "certain", ("my camera", "a hub"))
    assert heard(each.text) == each
    with pytest.raises(CommandError, match="NAME/certain/PART"):
        heard("fell-back")


def test_live_and_scan_exclude_each_other(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    rig, *scan = placed(fell_back.CHECK.cases[1], tmp_path)
    assert run(capsys, rig, *scan, "--live", "--symptom", "slow-downloads")[0] == 2


def test_the_file_of_a_chase_with_nonsense_told_is_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    rig, *_ = placed(fell_back.CHECK.cases[1], tmp_path)
    (tmp_path / "rig.chase.yaml").write_text("chase: x\nsymptoms: [slow-downloads]\ntold: [nonsense]\n", "utf-8")
    status, _, error = run(capsys, rig)
    assert status == 2 and "nonsense" in error


def test_logs_that_speak_against_a_cause_are_kept_as_words() -> None:
    refuted = (Refuted("plug", "guide-camera", "", ""), Refuted("sharing", "", "", ""), Refuted("host", "", "", ""))
    answers = cast("Answers", SimpleNamespace(refuted=refuted, links=()))
    assert [each.text for each in of_answers(answers)] == [
        "not-plug/possible/guide-camera", "not-at-downloads/possible", "not-host/possible",
    ]


def test_a_scan_that_misses_parts_clears_nothing(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Nobody's speeds hold, and nobody's current, where a part of the rig was not seen at all."""
    case = fell_back.CHECK.cases[0]
    rig, *_ = placed(case, tmp_path)
    whole = json.loads(case.scan or "")
    whole["sightings"] = [each for each in whole["sightings"] if not each.get("ports")]
    (tmp_path / "empty.json").write_text(json.dumps(whole), encoding="utf-8")
    status, _, error = run(
        capsys, rig, "--symptom", "slow-downloads", "--scan", str(tmp_path / "empty.json"))
    assert status == 0
    assert "not seen" in error or "no part" in error
    assert SPEEDS_HOLD not in (tmp_path / "rig.chase.yaml").read_text(encoding="utf-8")
