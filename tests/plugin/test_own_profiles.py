"""A person's own profiles: a YAML file in a folder, found at once, its mistakes told with line and column."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from topo.errors import PluginError, RigFileError
from topo.model.facts import value_of
from topo.plugin.folder import profile_folder
from topo.plugin.load import load

TEN_LINES = """\
kind: device
role: guiding
summary: the guide camera I bought
source: its data sheet
facts:
  speed: high
  width_px: 1944
  height_px: 1472
  sample_bits: 12
  max_fps: {value: 22, source: measured at home}
"""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    return tmp_path / "own-profiles"


def test_ten_lines_are_enough(own: Path) -> None:
    (own / "camera-mine.yaml").write_text(TEN_LINES)
    plugins = load()
    profile = plugins.profile("camera-mine")
    assert "camera-mine" in plugins.profile_names() and profile is not None
    assert profile.role == "guiding" and value_of(profile.facts.width_px) == 1944
    assert (profile.facts.max_fps.source, profile.facts.speed.source) == ("measured at home", "its data sheet")
    assert profile.supplied_by == "your own profiles"


def test_a_rig_uses_it_and_its_own_profile_of_that_name_wins(own: Path) -> None:
    from topo.pipeline import rig_of
    from topo.plugin.load import loaded
    from topo.rigfile.read import read_text

    (own / "camera-mine.yaml").write_text(TEN_LINES)
    rig = "rig: r\ncomputer: {}\ndevices:\n  cam: {profile: camera-mine, plug: computer/usb3-1}\n"
    loaded.cache_clear()
    try:
        assert value_of(rig_of(read_text(rig, "rig.yaml")).part("cam").facts.width_px) == 1944
        local = rig + "profiles:\n  camera-mine: {facts: {width_px: 100, height_px: 80}}\n"
        assert value_of(rig_of(read_text(local, "rig.yaml")).part("cam").facts.width_px) == 100
    finally:
        loaded.cache_clear()


def test_mistakes_have_line_and_column(own: Path) -> None:
    path = own / "camera-wrong.yaml"
    path.write_text(TEN_LINES.replace("width_px:", "width_pix:").replace("sample_bits: 12", "sample_bits: 99"))
    with pytest.raises(RigFileError) as caught:
        load().profile("camera-wrong")
    places = [(problem.file, problem.line, problem.column) for problem in caught.value.problems]
    assert places == [(str(path), 7, 3), (str(path), 9, 16)]
    assert "width_px" in caught.value.problems[0].hint


def test_a_file_nobody_asks_for_is_not_read(own: Path) -> None:
    (own / "camera-wrong.yaml").write_text("[")
    (own / "camera-mine.yaml").write_text(TEN_LINES)
    assert load().profile("camera-mine") is not None


@pytest.mark.parametrize("content", [
    b"\xff\xfe\x00", b"", b"[", b"a: &x 1\nb: *x\n", b"kind: device\n" * 2, b"facts: {speed: warp}\n", b"facts: 3\n",
    b"\xe9", b"profiles: {other: {facts: {}}}\n", b"x" * (1 << 20) + b"yz", b"- a\n",
    b"kind: device\nfacts:\n\twidth_px: 1\n",
])
def test_any_bytes_give_a_clear_error(own: Path, content: bytes) -> None:
    (own / "camera-odd.yaml").write_bytes(content)
    with pytest.raises(RigFileError) as caught:
        load().profile("camera-odd")
    assert all("camera-odd.yaml" in problem.file and problem.message for problem in caught.value.problems)


def test_what_is_no_profile_file_is_left_alone(own: Path) -> None:
    for name in ("notes.txt", ".camera-hidden.yaml", "camera-mine.yaml~", ".yaml"):
        (own / name).write_text(TEN_LINES)
    (own / "folder.yaml").mkdir()
    os.mkfifo(own / "pipe.yaml")
    (own / "gone.yaml").symlink_to(own / "nowhere")
    assert load().shelf.own_names == ()


def test_a_folder_nobody_named_may_be_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TOPO_PROFILES")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "configuration"))
    plugins = load()
    assert plugins.shelf.own_names == () and not plugins.troubles and plugins.profile("no-such-profile") is None
    monkeypatch.setenv("TOPO_PROFILES", os.devnull)
    assert not load().troubles


@pytest.mark.parametrize(("what", "reason"), [("missing", "no such file"), ("file", "not a directory"),
                                              ("loop", "too many levels")])
def test_a_folder_that_was_named_and_cannot_be_listed_is_told(
    what: str, reason: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("x")
    (tmp_path / "loop").symlink_to("loop")
    monkeypatch.setenv("TOPO_PROFILES", str(tmp_path / what))
    told = [str(trouble) for trouble in load().troubles]
    assert len(told) == 1 and told[0].startswith(f"your own profiles: the folder {tmp_path / what} cannot be listed: ")
    assert reason in told[0]


def test_a_folder_of_the_usual_place_that_is_there_and_cannot_be_listed_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("TOPO_PROFILES")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    (tmp_path / "topo").mkdir()
    (tmp_path / "topo" / "profiles").write_text("x")
    assert [trouble.plugin for trouble in load().troubles] == ["your own profiles"]


@pytest.mark.parametrize("text", ["kind: device\n", "summary:\nfacts:\n", "kind: hub\nfacts: {}\nsummary:\n",
                                  "role: guiding\nserial: {}\n"])
def test_a_profile_that_says_nothing_is_refused(text: str, own: Path) -> None:
    (own / "camera-empty.yaml").write_text(text)
    with pytest.raises(RigFileError, match="this profile says nothing"):
        load().profile("camera-empty")


def test_messages_about_a_profile_do_not_speak_of_rig_files(own: Path) -> None:
    for number, text in enumerate((b"", b"- a\n", b"\xff\xfea", b"a: &x 1\n", b"%x\n", b"a: 1\n---\nb: 1\n", b"\x01",
                                   b"x" * (1 << 21), b"facts: 3\n", b"rig: r\ncomputer: {}\n")):
        (own / f"camera-{number}.yaml").write_bytes(text)
        with pytest.raises(RigFileError) as caught:
            load().profile(f"camera-{number}")
        assert "rig" not in str(caught.value).replace(str(own), "").replace("'rig'", ""), caught.value


def test_an_own_profile_that_stands_in_for_one_that_ships_is_told(own: Path, tmp_path: Path) -> None:
    rig = tmp_path / "rig.yaml"
    rig.write_text("rig: r\ncomputer: {}\ndevices: {cam: {profile: camera-guide-1mp, plug: computer/usb3-1}}\n")
    (own / "camera-guide-1mp.yaml").write_text(TEN_LINES)
    done = subprocess.run([sys.executable, "-m", "topo", "check", str(rig)], capture_output=True, text=True, timeout=60)
    assert done.stderr.startswith("topo: 'camera-guide-1mp' is your own profile; it goes before the one of that name "
                                  "from topo_plugins.guide_cameras (topo-rig ")


def test_the_persons_own_goes_before_a_plugins(own: Path, make_plugin: Callable[..., Path]) -> None:
    source = ("from topo.plugin import hook\nfrom topo.plugin.values import ProfileFolder\n"
              "@hook\ndef topo_profiles(): return [ProfileFolder(__name__, 'folder')]\n")
    package = make_plugin("brings", source)
    (package / "folder").mkdir()
    (package / "folder" / "camera-mine.yaml").write_text("summary: the plugin's\n")
    (package / "folder" / "camera-theirs.yaml").write_text("summary: the plugin's\n")
    (package / "folder" / "camera-wrong.yaml").write_text("summary: [\n")
    (own / "camera-mine.yaml").write_text(TEN_LINES)
    plugins = load()
    mine, theirs = plugins.profile("camera-mine"), plugins.profile("camera-theirs")
    assert mine is not None and mine.supplied_by == "your own profiles"
    assert theirs is not None and theirs.supplied_by == "brings (brings-rig-parts 1.2)"
    assert theirs.place.file == "brings_rig_parts/folder/camera-theirs.yaml"
    assert plugins.shelf.beneath("camera-mine") == "brings (brings-rig-parts 1.2)"
    with pytest.raises(PluginError, match=r"brings \(brings-rig-parts 1.2\) cannot be read:\n.*camera-wrong.yaml:"):
        plugins.profile("camera-wrong")


def test_a_profile_two_plugins_claim_is_refused_with_both_names(make_plugin: Callable[..., Path]) -> None:
    source = ("from topo.plugin import hook\nfrom topo.plugin.values import ProfileFolder\n"
              "@hook\ndef topo_profiles(): return [ProfileFolder(__name__)]\n")
    for name in ("here", "there"):
        make_plugin(name, source, **{"camera-both.yaml": "summary: s\n"})
    plugins = load()
    assert "camera-both" not in plugins.profile_names()
    with pytest.raises(PluginError, match=r"both here \(here-rig-parts 1.2\) and there \(there-rig-parts 1.2\)"):
        plugins.profile("camera-both")


@pytest.mark.parametrize(("system", "environ", "expected"), [
    ("linux", {"HOME": "/h"}, "/h/.config/topo/profiles"),
    ("linux", {"HOME": "/h", "XDG_CONFIG_HOME": "/x"}, "/x/topo/profiles"),
    ("linux", {"HOME": "/h", "XDG_CONFIG_HOME": ""}, "/h/.config/topo/profiles"),
    ("linux", {"HOME": "/h", "XDG_CONFIG_HOME": "relative"}, "/h/.config/topo/profiles"),
    ("freebsd14", {"HOME": "/h"}, "/h/.config/topo/profiles"),
    ("darwin", {"HOME": "/h"}, "/h/Library/Application Support/topo/profiles"),
    ("win32", {"APPDATA": "/a", "USERPROFILE": "/u"}, "/a/topo/profiles"),
    ("win32", {"USERPROFILE": "/u"}, "/u/AppData/Roaming/topo/profiles"),
    ("darwin", {"HOME": "/h", "TOPO_PROFILES": "/p"}, "/p"),
    ("linux", {"HOME": "/h", "TOPO_PROFILES": ""}, "/h/.config/topo/profiles"),
])
def test_where_the_folder_is(system: str, environ: dict[str, str], expected: str) -> None:
    assert profile_folder(environ, system).as_posix() == expected
