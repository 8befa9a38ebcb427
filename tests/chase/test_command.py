"""The command: what it prints and keeps, what it refuses, and that a chase goes on where it was left."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from topo.cli.chase import command
from topo.cli.main import status_of

ROOT = Path(__file__).resolve().parents[2]
SAID = ["--symptom", "guide-late", "--every", "4 minutes", "--have", "cable"]


@pytest.fixture
def rig(tmp_path: Path) -> str:
    shutil.copy(ROOT / "examples" / "behind-the-camera" / "rig.yaml", tmp_path / "rig.yaml")
    return str(tmp_path / "rig.yaml")


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    status = status_of(["chase", *arguments])
    told = capsys.readouterr()
    return status, told.out, told.err


def body(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    status, out, _ = run(capsys, *arguments, "--json")
    assert status == 0
    found: dict[str, Any] = json.loads(out)
    return found


def test_a_chase_goes_on_where_it_was_left(rig: str, capsys: pytest.CaptureFixture[str]) -> None:
    start = body(capsys, rig, *SAID)
    assert start["test"] is not None
    first = start["test"]["test"]
    _, out, _ = run(capsys, rig, "--saw", f"{first}=yes")
    assert "Tests done: 1." in " ".join(out.split())
    again = body(capsys, rig)
    assert [answer["test"] for answer in again["answers"]] == [first]
    assert again["every"]["said"] == "4 minutes"
    kept = Path(rig).with_name("rig.chase.yaml").read_text(encoding="utf-8")
    assert f"saw:\n- {first}=yes\n" in kept
    assert len(kept) < 600
    assert body(capsys, rig, "--new", *SAID)["answers"] == []


def test_what_cannot_be_done_is_not_advised_again(rig: str, capsys: pytest.CaptureFixture[str]) -> None:
    first = body(capsys, rig, *SAID)["test"]["test"]
    assert body(capsys, rig, "--cannot", first)["test"]["test"] != first
    assert body(capsys, rig)["test"]["test"] != first
    assert run(capsys, rig, "--cannot", "nothing")[0] == 2


def test_an_answer_alone_is_about_the_test_that_is_advised(rig: str, capsys: pytest.CaptureFixture[str]) -> None:
    first = body(capsys, rig, *SAID)["test"]["test"]
    short = body(capsys, rig, "--saw", "no:2")
    assert [(a["test"], a["outcome"], a["minutes"]) for a in short["answers"]] == [(first, "goes", 2.0)]
    full = body(capsys, rig, "--new", *SAID, "--saw", f"{first}=no:2")
    assert full["suspects"] == short["suspects"]
    assert run(capsys, rig, "--saw", "perhaps")[0] == 2


def test_an_answer_is_taken_back(rig: str, capsys: pytest.CaptureFixture[str]) -> None:
    start = body(capsys, rig, *SAID)
    body(capsys, rig, "--saw", "yes")
    assert body(capsys, rig, "--undo") == start
    assert run(capsys, rig, "--undo")[0] == 2


def test_a_log_counts_as_seen(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    from topo.checks.evidence.dropped_in_the_night import CHECK

    case = next(case for case in CHECK.cases if case.findings)
    (tmp_path / "rig.yaml").write_text(case.rig, encoding="utf-8")
    files = []
    for number, text in enumerate(case.evidence):
        files += ["--evidence", str(tmp_path / f"{number}.log")]
        (tmp_path / f"{number}.log").write_text(text, encoding="utf-8")
    said = [str(tmp_path / "rig.yaml"), "--symptom", "drops", "--at", "guide-camera"]
    without = body(capsys, *said)["suspects"]
    heard = body(capsys, *said, *files)["suspects"]
    pointed = ("cable", "socket", "hub", "hub-sag")

    def share(suspects: list[dict[str, Any]]) -> float:
        return sum(g["chance"] for g in suspects if any(each["kind"] in pointed for each in g["suspects"]))

    assert share(heard) > share(without)


def test_json_follows_its_schema_to_the_end(rig: str, capsys: pytest.CaptureFixture[str]) -> None:
    schema = json.loads((ROOT / "topo" / "chase" / "chase.schema.json").read_text(encoding="utf-8"))
    found = body(capsys, rig, *SAID)
    for _ in range(25):
        jsonschema.validate(found, schema)
        if found["ending"] is not None:
            break
        test = found["test"]
        outcome = max(test["outcomes"], key=lambda each: each["chance"])["outcome"]
        word = {"stays": "yes", "goes": "no", "moves": "moved"}.get(outcome, outcome)
        found = body(capsys, rig, "--saw", f"{test['test']}={word}")
    assert found["ending"] is not None
    assert found["test"] is None


def test_bars_and_branches_fit_80_columns(rig: str, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, rig, *SAID)
    assert max(map(len, out.splitlines())) <= 80
    for word in ("CHASE", "SUSPECTS", "DO NOW", "WHY", "IF SEEN", "IF GONE", "THEN TYPE"):
        assert f"\n{word} " in f"\n{out}"
    assert "\x1b" not in out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "say what you see, with --symptom"),
        (["--symptom", "ghosts"], "no symptom is called 'ghosts'"),
        (["--symptom", "drops"], "say which part shows it, with --at PART"),
        (["--symptom", "several-drop", "--at", "mount"], "at least 2 parts"),
        (["--symptom", "drops", "--at", "nobody"], "no part called 'nobody'"),
        ([*SAID, "--have", "luck"], "'luck' is nothing --have knows"),
        (["--symptom", "guide-late", "--every", "now and then"], "how often is 'now and then'"),
        ([*SAID, "--saw", "spare-cabel/guide-camera=yes"], "nearest: spare-cable/guide-camera"),
        ([*SAID, "-o", "page.pdf"], "written as .html"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(
    rig: str, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    status, out, err = run(capsys, rig, *arguments)
    assert (status, out) == (2, "")
    assert words in err
    assert not Path(rig).with_name("rig.chase.yaml").exists()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("chase: x\nsymptom: [guide-late]\n", "symptom"),
        ("- a\n", "list"),
        ("chase: x\nsaw: {a: b}\n", "saw"),
        ("chase: [x\n", ""),
        ("", "empty"),
    ],
)
def test_a_broken_state_is_told_and_left_alone(
    rig: str, capsys: pytest.CaptureFixture[str], text: str, words: str
) -> None:
    kept = Path(rig).with_name("rig.chase.yaml")
    kept.write_text(text, encoding="utf-8")
    status, _, err = run(capsys, rig, *SAID)
    assert status == 2
    assert words in err and "rig.chase.yaml" in err
    assert kept.read_text(encoding="utf-8") == text


def test_the_page_holds_three_tests_and_nothing_acts(
    rig: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    nasty = Path(rig).read_text(encoding="utf-8").replace("guide-camera:", "'<script>alert(1)</script>':").replace(
        "rig: Meadow", "rig: <b>Meadow")
    Path(rig).write_text(nasty.replace("</script>", "<-script>"), encoding="utf-8")
    page = tmp_path / "page.html"
    assert run(capsys, rig, *SAID, "-o", str(page))[0] == 0
    text = page.read_text(encoding="utf-8")
    assert "<script" not in text and "<b>Meadow" not in text and "&lt;b&gt;Meadow" in text
    assert text.count("class=box") >= 4  # the first test, and those after it
    assert "Fuse at the battery" in text


def test_asked_in_the_terminal(rig: str) -> None:
    result = CliRunner().invoke(command, [rig, "--ask"], input="guide-late\n4 minutes\nyes\nstop\n")
    assert result.exit_code == 0, result.output
    assert "What is seen" in result.output
    kept = Path(rig).with_name("rig.chase.yaml").read_text(encoding="utf-8")
    assert kept.count("=yes") == 1


def test_cautions_where_power_is_touched(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    rig = str(ROOT / "examples" / "field-battery" / "rig.yaml")
    said = ["--symptom", "drops", "--at", "mount", "--every", "always", "--have", "supply", "--have", "lead",
            "--state", str(tmp_path / "kept.yaml")]
    found = body(capsys, rig, *said)
    for _ in range(25):
        if found["ending"] is not None or found["test"]["touches"] == "power":
            break
        test = found["test"]
        likely = max(test["outcomes"], key=lambda each: each["chance"])["outcome"]
        word = likely if test["touches"] == "look" else "yes"
        found = body(capsys, rig, "--state", str(tmp_path / "kept.yaml"), "--saw", f"{test['test']}={word}")
    assert found["test"] is not None and found["test"]["touches"] == "power"
    _, out, _ = run(capsys, rig, "--state", str(tmp_path / "kept.yaml"))
    assert "never 12 V under load" in " ".join(out.split())
    assert "POWER" in out


@pytest.mark.parametrize("part", ["mount", "focuser"])
@pytest.mark.parametrize("symptom", ["port-gone", "port-in-use", "wrong-answers", "fails-after-idle"])
def test_troubles_with_names_and_sleep_begin_with_a_free_look(
    symptom: str, part: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """What to do first needs no clear sky, nothing bought and no night: a look of minutes."""
    (tmp_path / "rig.yaml").write_text((ROOT / "examples" / "garden-pier" / "rig.yaml").read_text(encoding="utf-8"),
                                       encoding="utf-8")
    found = body(capsys, str(tmp_path / "rig.yaml"), "--symptom", symptom, "--at", part)
    test = found["test"]
    assert test["test"] in ("whose-name", "who-holds", "unplug-and-look", "time-asleep", "power-saving")
    assert len(found["suspects"]) > 1


def test_a_name_that_is_another_part_s_now_leads_to_the_name(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "rig.yaml").write_text((ROOT / "examples" / "garden-pier" / "rig.yaml").read_text(encoding="utf-8"),
                                       encoding="utf-8")
    rig = str(tmp_path / "rig.yaml")
    body(capsys, rig, "--symptom", "wrong-answers", "--at", "mount")
    found = body(capsys, rig, "--saw", "whose-name=no")
    first = found["suspects"][0]
    assert [each["kind"] for each in first["suspects"]] == ["port-name"] and first["chance"] > 0.9
