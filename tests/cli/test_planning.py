"""place, rewire, planb and diff as a person runs them: words, exit statuses, JSON against its schema, files, Ctrl-C."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import jsonschema
import pytest

from tests.place.large import LARGE
from tests.place.rigs import COMPUTER, LOSING
from tests.samples import share
from topo.cli.main import status_of
from topo.draw.sheet import LETTER_POINTS, PAPER_POINTS

ROOT = Path(__file__).parents[2]
SCHEMAS = ROOT / "topo" / "place"


@pytest.fixture
def losing(tmp_path: Path) -> Path:
    path = tmp_path / "rig.yaml"
    path.write_text(LOSING)
    return path


def answer_of(capsys: pytest.CaptureFixture[str], *argv: object) -> tuple[int, str, str]:
    """Exit status, standard output and error."""
    status = status_of([str(word) for word in argv])
    said = capsys.readouterr()
    return status, said.out, said.err


@pytest.mark.parametrize("command", [
    ("place", "RIG", "camera-guide-1mp"), ("place", "RIG", "focuser-serial", "--cable-m", "1", "--near", "mount"),
    ("rewire", "RIG"), ("rewire", "RIG", "--risks", "--moves", "2"), ("rewire", "RIG", "--pin", "main-camera"),
    ("planb", "RIG"), ("diff", "RIG", "RIG"),
])  # fmt: skip
@pytest.mark.parametrize("text", [pytest.param(LOSING, id="losing"), pytest.param(COMPUTER, id="empty"),
                                  pytest.param(LARGE, id="large", marks=pytest.mark.slow)])
def test_json_follows_its_schema(
    command: tuple[str, ...], text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(text)
    argv = [str(path) if word == "RIG" else word for word in command]
    names_a_part = {"--near", "--pin"} & set(argv)
    status, out, err = answer_of(capsys, *argv, "--json", *(("--moves", "1") if command == ("rewire", "RIG") else ()))
    if names_a_part and text != LOSING:
        assert status == 2 or json.loads(out), err
        return
    assert status in (0, 1), err
    schema = json.loads((SCHEMAS / f"{command[0]}.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads(out), schema)


def test_rewire_names_the_move_and_its_proof(losing: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = answer_of(capsys, "rewire", losing)
    assert status == 0
    assert " 1. Plug main-camera into computer/usb3-2." in out
    assert "By plugs alone it takes 1 move, proven" in out and "Price: " in out


def test_a_swap_is_called_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "rig.yaml"
    path.write_text(LOSING.replace("    usb3-2: {controller: first, speed: super, usb2_bus: one}\n", ""))
    _, out, _ = answer_of(capsys, "rewire", path, "--pin", "guide-camera")
    assert "Swap the plugs of main-camera and mount." in out


def test_unknown_names_are_told_with_the_nearest(losing: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = answer_of(capsys, "place", losing, "focuser-serail")
    assert status == 2 and "focuser-serial" in err
    status, _, err = answer_of(capsys, "rewire", losing, "--pin", "mont")
    assert status == 2 and "nearest: mount" in err
    status, _, err = answer_of(capsys, "place", losing, "focuser-serial", "--near", "nowhere")
    assert status == 2 and "nowhere" in err


def test_a_full_rig_is_told_plainly_and_nothing_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    full = LOSING.replace("    usb3-2: {controller: first, speed: super, usb2_bus: one}\n", "")
    path = tmp_path / "rig.yaml"
    path.write_text(full)
    status, out, _ = answer_of(capsys, "place", path, "focuser-serial")
    assert status == 1 and "No free socket takes it" in out and "needs a powered USB 2 hub" in out
    status, _, err = answer_of(capsys, "place", path, "focuser-serial", "--write")
    assert status == 2 and "nothing was written" in err and path.read_text() == full


def test_write_adds_one_part_and_keeps_every_comment(losing: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = answer_of(capsys, "place", losing, "focuser-serial", "--write", "--name", "focuser")
    assert status == 0 and "added focuser at" in err
    after = losing.read_text().splitlines()
    before = LOSING.splitlines()
    assert after[: len(before)] == before
    assert next(line.strip() for line in after[len(before) :] if line.strip()) == "focuser:"
    assert answer_of(capsys, "check", losing, "--json")[0] in (0, 1)
    status, _, err = answer_of(capsys, "place", losing, "focuser-serial", "--write", "--name", "focuser")
    assert status == 2 and "--name" in err


def test_write_at_a_socket_that_is_not_free(losing: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = answer_of(capsys, "place", losing, "focuser-serial", "--write", "--at", "computer/usb2-1")
    assert status == 2 and "nothing was written" in err and losing.read_text() == LOSING


def test_hostile_names_do_not_reach_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    evil = "gui\u202ede\u200b"
    path = tmp_path / "rig.yaml"
    path.write_text(LOSING.replace("guide-camera", f'"{evil}"'))
    for argv in (("rewire", path), ("place", path, "focuser-serial"), ("planb", path, "--all"), ("diff", path, path)):
        status, out, err = answer_of(capsys, *argv)
        assert "\u202e" not in out + err and "\u200b" not in out + err, argv
        assert status in (0, 1, 2)


def test_diff_tells_what_moved_and_what_it_did(
    losing: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.yaml"
    other.write_text(LOSING.replace("speed: super, plug: computer/usb2-1", "speed: super, plug: computer/usb3-2"))
    status, out, _ = answer_of(capsys, "diff", losing, other)
    assert status == 0 and "main-camera: moved from computer/usb2-1 to computer/usb3-2" in out
    assert "Gone:" in out and "frame-lost" in out
    assert "The two plans are the same." in answer_of(capsys, "diff", losing, losing)[1]


@pytest.mark.parametrize("paper", share(["a4", "letter"], 1))
def test_planb_sheet_as_text_and_pdf(paper: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Letters of 11 points on whole pages, all of the text, and the same bytes each time."""
    from pypdf import PdfReader

    rig = ROOT / "examples" / "garden-pier" / "rig.yaml"
    for name in ("sheet.txt", "sheet.pdf", "again.pdf"):
        status, _, err = answer_of(capsys, "planb", rig, "--paper", paper, "-o", tmp_path / name)
        assert status == 0, err
    lines = (tmp_path / "sheet.txt").read_text().splitlines()
    assert max(map(len, lines)) <= 80
    assert (tmp_path / "sheet.pdf").read_bytes() == (tmp_path / "again.pdf").read_bytes()
    pages = PdfReader(tmp_path / "sheet.pdf").pages
    sizes: list[float] = []
    right: list[float] = []

    def seen(text: str, _cm: object, matrix: list[float], _font: object, size: float) -> None:
        if text.strip():
            sizes.append(size * abs(matrix[3]))
            right.append(matrix[4] + 0.6 * LETTER_POINTS * len(text.rstrip()))

    words = "".join(page.extract_text(visitor_text=seen) for page in pages)
    assert len(pages) > 1 and all(abs(size - LETTER_POINTS) < 0.6 for size in sizes)
    wide, high = PAPER_POINTS[paper]
    for page in pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == (pytest.approx(wide), pytest.approx(high))
    assert max(right) < wide
    squeezed = "".join(words.split())
    assert all("".join(line.split()) in squeezed for line in lines)
    status, _, err = answer_of(capsys, "planb", rig, "-o", tmp_path / "sheet.doc")
    assert status == 2 and ".pdf or .txt" in err


@pytest.mark.slow
def test_interrupting_a_long_search_gives_the_best_so_far(tmp_path: Path) -> None:
    """Six moves of a rig that no few moves clear, since the imaging cameras stay. Ctrl-C comes at the 1000th plan."""
    path = tmp_path / "rig.yaml"
    path.write_text(LARGE)
    code = (
        "import os, signal\n"
        "from topo.cli import rewire\n"
        "from topo.cli.main import run\n"
        "told = rewire._Progress.__call__\n"
        "def call(self, size, studied):\n"
        "    if studied == 1000: os.kill(os.getpid(), signal.SIGINT)\n"
        "    return told(self, size, studied)\n"
        "rewire._Progress.__call__ = call\n"
        "run()\n"
    )
    argv = [sys.executable, "-c", code, "rewire", str(path), "--moves", "6", "--json"]
    argv += [word for name in ("camera-a", "camera-b", "camera-c") for word in ("--pin", name)]
    run = subprocess.run(argv, capture_output=True, cwd=ROOT, text=True, timeout=60, check=False)
    assert run.returncode in (0, 1), run.stderr
    told = json.loads(run.stdout)
    assert told["complete"] is False and "Stopped" in told["proof"] and sum(told["plans_studied"]) <= 1001


def test_place_tries_a_part_as_it_is_used_and_writes_that(losing: Path, capsys: pytest.CaptureFixture[str]) -> None:
    argv = ("place", losing, "camera-planet-2mp-usb3", "--role", "imaging", "--use", "mode=video, fps=60", "--write")
    status, out, err = answer_of(capsys, *argv)
    assert status == 0 and "1. computer/usb3-2" in out, err
    text = losing.read_text()
    assert "role: imaging" in text and "mode: video" in text and "fps: 60" in text
    for wrong in ("mode", "=60", "mode=vido", "speed=3"):
        status, _, err = answer_of(capsys, "place", losing, "camera-planet-1mp", "--name", "new", "--use", wrong)
        assert status == 2 and err


def test_a_slow_part_leaves_superspeed_sockets_to_others(losing: Path, capsys: pytest.CaptureFixture[str]) -> None:
    more = "    usb2-2: {controller: second, speed: high, usb2_bus: two}\n    usb2-1:"
    losing.write_text(losing.read_text().replace("    usb2-1:", more))
    _, out, _ = answer_of(capsys, "place", losing, "focuser-serial")
    first, second = out.index("computer/usb2-2"), out.index("computer/usb3-2")
    assert first < second and "takes a USB 3 socket it makes no use of" in " ".join(out[second:].split())


@pytest.mark.parametrize("profile", ["camera-guide-1mp", "camera-planet-8mp-usb3", "focuser-serial"])
@pytest.mark.parametrize("name", ["garden-pier", "two-cameras", "twin-telescopes", "small-board"])
def test_each_rank_says_what_sets_it_apart_and_nothing_twice(
    name: str, profile: str, capsys: pytest.CaptureFixture[str]
) -> None:
    rig = ROOT / "examples" / name / "rig.yaml"
    _, out, _ = answer_of(capsys, "place", rig, profile, "--name", "new-part", "--json")
    pieces = [option["why"].split("; ") for option in json.loads(out)["options"]]
    _, out, _ = answer_of(capsys, "place", rig, profile, "--name", "new-part")
    words = " ".join(out.split("\nThe sockets")[0].split())
    for piece in {piece for each in pieces for piece in each}:
        having = sum(piece in each for each in pieces)
        told = 1 if 1 < having == len(pieces) else having
        assert len(re.findall(rf"{re.escape(piece)}[.;]", words)) == told, piece
    ranks = [line.split(" ", 1)[1] for line in re.split(r" (?=\d+\. )", words)[1:]]
    apart = [rank.partition(":")[2].strip() for rank in ranks]
    assert all(mine for mine in apart[1:])
    assert all(a != b or "as good" in b for a, b in pairwise(apart))
