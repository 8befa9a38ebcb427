"""Whatever a recording says, its first rig file can be checked and differs in nothing from its own scan.

Every recording there is: real ones, the project's own, those printed from invented machines, and mutants of each.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.live.listings.formats import FORMATS
from tests.live.listings.machines import MACHINES
from tests.live.listings.mutants import mutant
from tests.live.tools import RECORDINGS, SHARED, build
from tests.samples import share
from topo.analysis.study import Study
from topo.cli.main import status_of
from topo.errors import ScanError
from topo.live.draft import draft
from topo.live.listings.decode import decoded
from topo.live.recording import read_scan
from topo.live.store import dumps
from topo.live.sysfs import scan as scan_sysfs
from topo.model.sighting import Scan
from topo.pipeline import compare_study, examine_text, rig_of
from topo.rigfile.read import read_text

CHANGES = ("part-missing", "part-moved", "part-unexpected", "fell-back", "sharing-not-declared", "facts-disagree")
NO_RIG = ("socket-used-twice", "wrong-socket")
MUTANTS = 4
"""Of each text; `python -m tests.live.listings.test_draft_of_anything NUMBER` makes more."""


def texts() -> dict[str, str]:
    """Every text there is of a listing, by name."""
    real = {p.name: p.read_bytes().decode("utf-8", "replace") for p in sorted(SHARED.glob("*"))
            if p.suffix in (".txt", ".klog", ".umockdev")}
    own = {p.name: p.read_text(encoding="utf-8") for p in sorted(RECORDINGS.glob("*.umockdev"))}
    made = {f"{form} of {name}": FORMATS[form].print(machine)
            for form in FORMATS for name, machine in MACHINES.items()}
    return real | own | made


def holds(scan: Scan) -> None:
    text = draft(scan)
    found = {finding.name for finding in examine_text(text).findings}
    assert not found & set(NO_RIG), text
    report = compare_study(Study(rig_of(read_text(text, "rig.yaml"))), scan)
    assert not report.comparison.missing and not report.comparison.unexpected, text
    assert not [f.message for f in report.report.findings if f.name in CHANGES], text


def run(name: str, text: str, number: int) -> int:
    """How many of the text and so many mutants of it were scans; each of them must hold."""
    luck = random.Random(f"draft {name}")
    scans = 0
    for n in range(number + 1):
        data = mutant(text, luck) if n else text.encode()
        try:
            scan = read_scan(decoded(data))
        except ScanError:
            continue
        holds(scan)
        scans += 1
    return scans


@pytest.mark.parametrize("form", share(["real", "own", *sorted(FORMATS)], 8))
def test_the_draft_of_any_recording_can_be_checked_and_is_its_own_scan(form: str) -> None:
    chosen = {name: text for name, text in texts().items() if name.startswith(f"{form} of ")}
    if form in ("real", "own"):
        folder = SHARED if form == "real" else RECORDINGS
        chosen = {name: text for name, text in texts().items() if (folder / name).exists()}
    if not chosen:
        pytest.skip("no recordings from real machines here: no folder shared/recordings beside the checkout")
    assert sum(run(name, text, MUTANTS) for name, text in chosen.items())


@pytest.mark.parametrize("path", sorted(RECORDINGS.glob("*.umockdev")), ids=lambda path: path.stem)
def test_by_hand(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The three commands a person types, on every recording of sysfs."""
    (tmp_path / "scan.json").write_text(dumps(scan_sysfs(str(build(path, tmp_path)))), encoding="utf-8")
    three_commands(tmp_path / "scan.json", tmp_path, capsys)


@pytest.mark.parametrize("form", sorted(FORMATS))
def test_by_hand_from_a_listing(form: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, machine in MACHINES.items():
        (tmp_path / f"{name}.txt").write_text(FORMATS[form].print(machine), encoding="utf-8")
        three_commands(tmp_path / f"{name}.txt", tmp_path, capsys)


def three_commands(listing: Path, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rig = folder / f"{listing.stem}.yaml"
    assert status_of(["live", "--from", str(listing), "--draft", str(rig)]) == 0
    assert status_of(["check", str(rig)]) == 0, capsys.readouterr().out
    assert status_of(["compare", str(rig), str(listing)]) == 0, capsys.readouterr().out
    assert " of " in capsys.readouterr().out


if __name__ == "__main__":
    import sys

    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    for label, content in texts().items():
        print(f"{label}: {run(label, content, count)} drafts of {count + 1} texts, all hold", flush=True)
