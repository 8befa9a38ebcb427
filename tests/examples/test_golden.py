"""The examples, as text and JSON, byte for byte. Set TOPO_UPDATE to write them anew, then read the difference."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.samples import share

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted(path.parent for path in (ROOT / "examples").glob("*/rig.yaml"))


def run(arguments: list[str], seed: str = "0") -> str:
    """Runs topo in the repository's folder, so that paths in the output are the same everywhere."""
    done = subprocess.run(
        [sys.executable, "-m", "topo", *arguments],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8", "TOPO_PROFILES": os.devnull},
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    assert done.stderr == ""
    return done.stdout


def test_there_are_seven() -> None:
    assert len(EXAMPLES) == 7


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.name)
@pytest.mark.parametrize(("name", "options"), [("report.txt", []), ("report.json", ["--json"])])
def test_golden(example: Path, name: str, options: list[str]) -> None:
    rig = (example / "rig.yaml").relative_to(ROOT).as_posix()
    text = run(["check", rig, *options], "0" if options else "1")
    golden = example / name
    if os.environ.get("TOPO_UPDATE"):
        golden.write_text(text, encoding="utf-8")
    assert text == golden.read_text(encoding="utf-8")


@pytest.mark.parametrize("example", share(EXAMPLES, 2), ids=lambda path: path.name)
def test_order_obeys_nothing_but_the_file(example: Path) -> None:
    """Two seeds of hashes more than the tests above have: what they print is what is committed."""
    rig = (example / "rig.yaml").relative_to(ROOT).as_posix()
    golden = (example / "report.json").read_text(encoding="utf-8")
    assert all(run(["check", rig, "--json"], seed) == golden for seed in ("2", "33"))


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.name)
def test_reports_fit_80_columns(example: Path) -> None:
    lines = (example / "report.txt").read_text(encoding="utf-8").splitlines()
    assert max(map(len, lines)) <= 80
    assert not any(line != line.rstrip() for line in lines)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.name)
def test_json_follows_its_schema(example: Path) -> None:
    import jsonschema

    schema = json.loads((ROOT / "topo" / "report" / "check.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(json.loads((example / "report.json").read_text(encoding="utf-8")), schema)


def test_what_each_example_is_there_to_show() -> None:
    verdicts = {path.name: json.loads((path / "report.json").read_text(encoding="utf-8")) for path in EXAMPLES}
    names = {name: {finding["name"] for finding in body["findings"]} for name, body in verdicts.items()}
    assert verdicts["two-cameras"]["verdict"] == "clear"
    assert {"guiding-shares-link", "slower-than-it-could-be"} <= names["behind-the-camera"]
    assert "frame-lost" in names["small-board"]
    assert {"guiding-shares-link", "slower-than-it-could-be"} <= names["twin-telescopes"]
    assert len(verdicts["garden-pier"]["devices"]) == 15
    assert "fallback-would-share-guiding" in names["garden-pier"]
    assert {"battery-empty-before-dawn", "fuse-does-not-protect"} <= names["field-battery"]
    assert "usb-volts-low" in names["pier-block"]
    for name in ("field-battery", "pier-block"):
        assert all(plug["volts"]["peak"][1] > 0 for plug in verdicts[name]["power"]["plugs"])
