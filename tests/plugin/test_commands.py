"""`topo profiles`, `topo plugins` and `topo explain` as a person runs them."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from topo.cli.main import status_of
from topo.plugin.load import loaded

Run = Callable[..., tuple[int, str, str]]

MINE = "role: guiding\nsummary: the camera I bought\nsource: its data sheet\nfacts: {width_px: 1944, height_px: 1472}\n"


@pytest.fixture
def own(tmp_path: Path) -> Path:
    return tmp_path / "own-profiles"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Iterator[Run]:
    def run(*arguments: str, answers: str = "") -> tuple[int, str, str]:
        loaded.cache_clear()
        monkeypatch.setattr(sys, "stdin", io.StringIO(answers))
        capsys.readouterr()
        status = status_of(list(arguments))
        return status, *capsys.readouterr()

    yield run
    loaded.cache_clear()


# -- finding ----------------------------------------------------------------------------------------------------------

def test_finding_and_showing_a_profile(run: Run, own: Path) -> None:
    (own / "camera-mine.yaml").write_text(MINE)
    status, out, err = run("profiles", "bought", "GUIDING")
    assert (status, err) == (0, "")
    assert "width_px" in out and "1944 px" in out and "its data sheet" in out and "your own profiles" in out
    status, out, _ = run("profiles", "--json", "camera-mine")
    value = json.loads(out)
    assert value["format"] == "topo.profiles.1" and value["profiles"][0]["facts"][0] == {
        "name": "width_px", "value": 1944, "unit": "px", "basis": "profile", "source": "its data sheet"
    }


def test_a_name_that_is_not_there(run: Run, own: Path) -> None:
    (own / "camera-mine.yaml").write_text(MINE)
    status, out, err = run("profiles", "camera-mne")
    assert (status, out) == (2, "")
    assert "there is no profile called 'camera-mne' (nearest: camera-mine" in err


def test_a_file_of_ones_own_that_is_wrong_is_told_and_the_rest_listed(run: Run, own: Path) -> None:
    (own / "camera-mine.yaml").write_text(MINE)
    (own / "camera-wrong.yaml").write_text(MINE.replace("1944", "many"))
    status, out, err = run("profiles")
    assert status == 2 and "camera-mine" in out and "camera-wrong.yaml:4:19:" in err
    assert run("profiles", "camera-wrong")[::2] == (2, err)
    assert run("profiles", "camera-mine")[::2] == (0, "")


def test_the_list_is_grouped_and_says_who_brought_what(run: Run, own: Path) -> None:
    (own / "camera-mine.yaml").write_text(MINE)
    status, out, err = run("profiles")
    assert (status, err) == (0, "")
    headings = [line for line in out.splitlines() if line and not line.startswith(" ")]
    assert headings[:4] == ["computer", "hub", "imaging", "guiding"]
    (mine,) = [line for line in out.splitlines() if "camera-mine" in line]
    assert mine.split() == ["camera-mine", "the", "camera", "I", "bought", "your", "own", "profiles"]


# -- writing ----------------------------------------------------------------------------------------------------------

def test_writing_one_by_options_and_finding_it(run: Run, own: Path) -> None:
    status, out, _ = run(
        "profiles", "new", "camera-new", "--role", "guiding", "--summary", "new: 'odd' \"text\" # here",
        "--source", "a sheet", "--no-questions",
        "--set", "width_px=1280", "--set", "height_px=960", "--set", "speed=high",
    )
    assert (status, out) == (0, f"{own / 'camera-new.yaml'}\n")
    status, out, _ = run("profiles", "camera-new", "--json")
    (profile,) = json.loads(out)["profiles"]
    assert profile["summary"] == "new: 'odd' \"text\" # here"
    assert [(fact["name"], fact["value"], fact["source"]) for fact in profile["facts"]] == [
        ("speed", "high", "a sheet"), ("width_px", 1280, "a sheet"), ("height_px", 960, "a sheet")
    ]
    assert [path.name for path in own.iterdir()] == ["camera-new.yaml"]


def test_writing_one_by_answers(run: Run, own: Path) -> None:
    answers = ["Camera New", "camera-new", "gadget", "device", "guiding", "mine", "", "a sheet",
               "warp", "high", "0", "1280", "960", "12"]
    status, out, err = run("profiles", "new", answers="\n".join([*answers, *[""] * 20]))
    assert status == 0 and out == f"{own / 'camera-new.yaml'}\n"
    for told in ("is no name", "it is one of device", "this one is needed",
                 "width_px: width of the full frame in pixels", "(1 to 200,000 px)", "must be at least 1"):
        assert told in err, err
    assert (own / "camera-new.yaml").read_text() == (
        'kind: device\nrole: guiding\nsummary: mine\nsource: "a sheet"\nfacts:\n  speed: high\n  width_px: 1280\n'
        "  height_px: 960\n  sample_bits: 12\n"
    )


def test_stopping_half_way_writes_nothing(run: Run, own: Path) -> None:
    status, _, err = run("profiles", "new", answers="camera-new\ndevice\nguiding\n")
    assert status == 130 and "stopped" in err and not list(own.iterdir())


@pytest.mark.parametrize(("options", "told"), [
    (["--set", "width_px=0"], "width_px"),
    (["--set", "width_pix=5"], "nearest name: width_px"),
    (["--set", "width_px"], "NAME=VALUE"),
    (["--role", "guide"], "'guide' is no role"),
    (["--kind", "hub", "--set", "width_px=5"], "a hub has no figure 'width_px'"),
    (["--from-scan", "nowhere.json"], "go together"),
    (["--kind", "computer", "--socket", "usb3-1=warp"], "warp"),
])
def test_what_breaks_the_schema_writes_nothing(run: Run, own: Path, options: list[str], told: str) -> None:
    status, out, err = run("profiles", "new", "camera-new", "--no-questions", *options)
    assert (status, out) == (2, "") and told in err and not list(own.iterdir())


@pytest.mark.parametrize("word", ["7-port", "7port", "7-PORT", "7_port"])
def test_a_hyphen_more_or_less_finds_the_same(run: Run, word: str) -> None:
    status, out, _ = run("profiles", word, "--json")
    assert status == 0 and len(json.loads(out)["profiles"]) > 0
    assert out == run("profiles", "7port", "--json")[1]


def test_a_file_that_is_there_stays_unless_forced(run: Run, own: Path) -> None:
    (own / "camera-mine.yml").write_text(MINE)
    status, _, err = run("profiles", "new", "camera-mine", "--no-questions", "--set", "width_px=5")
    assert status == 2 and "--force" in err and (own / "camera-mine.yml").read_text() == MINE
    status, out, _ = run("profiles", "new", "camera-mine", "--no-questions", "--set", "width_px=5", "--force")
    assert status == 0 and out == f"{own / 'camera-mine.yml'}\n"
    assert [path.name for path in own.iterdir()] == ["camera-mine.yml"]


@pytest.mark.parametrize("name", ["../camera", "Camera", "a/b", "a b", "-x", "", "x" * 65, "camera--x", "caméra"])
def test_names_that_are_none(run: Run, own: Path, name: str) -> None:
    status, out, _ = run("profiles", "new", "--no-questions", "--set", "width_px=5", "--", name)
    assert (status, out) == (2, "") and not list(own.iterdir()) and not list(own.parent.glob("*.yaml"))


def test_a_folder_that_cannot_be_written_to(run: Run, own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TOPO_PROFILES", str(own / "file" / "below"))
    (own / "file").write_text("")
    status, out, err = run("profiles", "new", "camera-new", "--no-questions", "--set", "width_px=5")
    assert (status, out) == (2, "") and "cannot be made" in err


def test_a_computer_with_sockets(run: Run, own: Path) -> None:
    status, _, _ = run("profiles", "new", "pc-mine", "--kind", "computer", "--no-questions", "--set", "port_ma=900",
                       "--socket", "usb3-1=super", "--socket", "usb2-1=high", "--json")
    assert status == 0
    (profile,) = json.loads(run("profiles", "pc-mine", "--json")[1])["profiles"]
    sockets = [(socket["name"], socket["speed"]) for socket in profile["sockets"]]
    assert sockets == [("usb3-1", "super"), ("usb2-1", "high")]


# -- plugins and explain ----------------------------------------------------------------------------------------------

def test_a_failed_plugin_is_shown_and_others_only_mention_it(
    run: Run, own: Path, make_plugin: Callable[..., Path]
) -> None:
    (own / "camera-mine.yaml").write_text(MINE)
    assert run("plugins")[0] == 0
    make_plugin("fails", "raise RuntimeError('oh')")
    status, out, _ = run("plugins")
    assert status == 3 and "fails (fails-rig-parts 1.2): raised RuntimeError: oh" in out.replace("\n          ", "")
    value = json.loads(run("plugins", "--json")[1])
    assert value["format"] == "topo.plugins.1" and value["own_profiles"] == ["camera-mine"]
    assert value["troubles"][0]["distribution"] == "fails-rig-parts"
    for command in (["profiles", "camera-mine"], ["explain", "frame-lost"]):
        status, out, err = run(*command)
        assert status == 0 and out and "trouble with fails" in err


def test_explaining(run: Run) -> None:
    status, out, err = run("explain", "frame-lost")
    assert (status, err) == (0, "") and "Wrong if" in out and "topo.builtin (topo-rig" in out
    assert "Mains supplies stay closed" in run("explain", "supply-overloaded")[1]
    status, out, _ = run("explain")
    assert status == 0 and "guiding-shares-link" in out
    value = json.loads(run("explain", "--json")[1])
    assert value["format"] == "topo.explain.1" and len(value["findings"]) > 10
    status, out, err = run("explain", "frame-lots")
    assert (status, out) == (2, "") and "nearest: frame-lost" in err
    status, out, err = run("explain", "wibble")
    assert (status, out) == (2, "") and "nearest" not in err


def test_help_loads_no_plugin(make_plugin: Callable[..., Path]) -> None:
    folder = make_plugin("loud", "import sys\nsys.stderr.write('loaded')")
    for arguments in (["--help"], ["profiles", "--help"], ["plugins", "--help"], ["explain", "--help"]):
        result = subprocess.run(
            [sys.executable, "-X", "importtime", "-m", "topo", *arguments], capture_output=True, text=True, timeout=60,
            env={**os.environ, "PYTHONPATH": str(folder.parent)},
        )
        assert result.returncode == 0 and "Usage" in result.stdout
        imported = {line.rpartition("|")[2].strip() for line in result.stderr.splitlines()}
        assert not imported & {"pluggy", "yaml", "pydantic", "rich", "networkx", "loud_rig_parts", "topo.builtin"}


def test_words_in_one_pair_of_quotes_are_words(run: Run) -> None:
    assert run("profiles", "active extension")[1] == run("profiles", "active", "extension")[1] != ""


def test_cautions_stand_below_explanations_of_power_and_no_other(run: Run) -> None:
    assert "Mains supplies stay closed" in run("explain", "supply-overloaded")[1]
    assert "Mains" not in run("explain", "translator-crowded")[1]  # it speaks of refusing, not of fuses
