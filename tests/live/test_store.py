"""Saved scans: there and back, the published schema, and files that are not what they say."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.live.recordings.make import MACHINES
from tests.live.tools import build, recording
from topo.errors import CommandError, ScanError
from topo.live import store
from topo.live.recording import replay as load
from topo.live.store import dumps, loads, save, schema
from topo.live.sysfs import scan
from topo.model.sighting import Scan

SCHEMA_FILE = Path(store.__file__).with_name("scan.schema.json")


@pytest.fixture(scope="module", params=sorted(MACHINES))
def found(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Scan:
    return scan(str(build(recording(request.param), tmp_path_factory.mktemp("tree"))))


def test_there_and_back(found: Scan, tmp_path: Path) -> None:
    save(found, tmp_path / "scan.json")
    assert load(tmp_path / "scan.json") == found
    assert dumps(loads(dumps(found))) == dumps(found)


def test_saved_scans_follow_the_published_schema(found: Scan) -> None:
    published = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(published).validate(json.loads(dumps(found)))


def test_the_published_schema_is_the_one_of_the_values() -> None:
    assert json.loads(SCHEMA_FILE.read_text(encoding="utf-8")) == schema()
    jsonschema.Draft202012Validator.check_schema(schema())


def small() -> dict[str, Any]:
    return {
        "format": "topo.scan.1",
        "when": "",
        "system": "linux",
        "kernel": None,
        "scanner": "sysfs",
        "sightings": [{"id": "usb1", "bus": 1, "ports": []}, {"id": "1-2", "bus": 1, "ports": [2], "parent": "usb1"}],
    }


def changed(**keys: Any) -> str:
    return json.dumps({**small(), **keys})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "not a saved scan"),
        ("{", ":1:2: not a saved scan"),
        ("[]", "it names no format"),
        ('{"format": "topo.scan.2"}', "'topo.scan.2'"),
        ('{"format": "topo.scan.1", "format": "topo.scan.1"}', "'format' is there twice"),
        ("[" * 100_000, "not a saved scan"),
        (changed(more=1), "unknown key 'more'"),
        (changed(when=3), "when: int is no text"),
        (changed(sightings=[{"id": "usb1"}]), "sightings[0]: the key 'bus' is missing"),
        (changed(sightings=[{"id": "usb1", "bus": True, "ports": []}]), "sightings[0].bus: bool is no whole number"),
        (
            changed(sightings=[{"id": "usb1", "bus": 1, "ports": ["x"]}]),
            "sightings[0].ports[0]: 'x' is no whole number",
        ),
        (changed(sightings=[{"id": "usb1", "bus": 1e400, "ports": []}]), "Infinity is no number of JSON"),
        (changed(sightings=[{"id": "usb1", "bus": 10**30, "ports": []}]), "is out of bounds"),
        (changed(sightings=[{**small()["sightings"][0], "speed_mbit": 10**400}]), "speed_mbit: "),
        (changed(sightings=small()["sightings"][:1] * 2), "the id usb1 is there twice"),
        (changed(ports=[{"hub": "usb1", "number": 1, "peer": ["usb2"]}]), "1 items where there must be 2"),
        (
            changed(sightings=[{"id": "1-2", "bus": 1, "ports": [2], "parent": "1-2"}]),
            "1-2 is not one port below 1-2",
        ),
        (changed(problems=["\ud800"]), "half a character"),
        (changed(system="\x1b[2J" * 600), "longer than 2000"),
        (changed(kernel=["\x1b"]), "kernel: list is no text"),
        (changed(**{"\x1b]0;x": 1}), "\\x1b]0;x"),
    ],
)
def test_what_is_wrong_is_told(text: str, words: str) -> None:
    with pytest.raises(ScanError) as caught:
        loads(text, "night.json")
    assert words in str(caught.value)
    assert all(line.startswith("night.json") for line in str(caught.value).splitlines())
    assert "\x1b" not in str(caught.value)


def test_all_problems_are_told_at_once() -> None:
    with pytest.raises(ScanError) as caught:
        loads(changed(when=1, system=2, more=3))
    assert len(str(caught.value).splitlines()) == 3


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    huge = tmp_path / "huge.json"
    with huge.open("wb") as file:
        file.truncate(store.MOST_SCAN_BYTES + 1)
    with pytest.raises(ScanError, match="larger than any scan"):
        load(huge)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(ScanError, match="cannot be read"):
        load(tmp_path / "none.json")


def test_a_failed_save_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "scan.json"
    save(loads(changed()), path)
    before = path.read_bytes()

    def failing(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", failing)
    with pytest.raises(CommandError, match="no space left"):
        save(loads(changed(system="windows")), path)
    assert path.read_bytes() == before and [p.name for p in tmp_path.iterdir()] == ["scan.json"]
