"""A rig drafted from a recording, held against that recording with one change: exactly that is told, of that part.

Every recording, everything that is plugged in there, every change. What the comparison finds without the change (twins
that only their sockets tell apart, a number that stands out) is there before and after, and is no answer to it.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from tests.compare import changes
from tests.live.listings.formats import FORMATS
from tests.live.listings.machines import MACHINES
from tests.live.tools import RECORDINGS, SHARED, build
from tests.samples import share
from topo.analysis.study import Study
from topo.cli.main import status_of
from topo.live.draft import draft
from topo.live.listings.decode import decoded
from topo.live.recording import read_scan
from topo.live.store import dumps
from topo.live.sysfs import scan as scan_sysfs
from topo.model.comparison import Comparison
from topo.model.plugged import Thing
from topo.model.sighting import Scan, Sighting
from topo.pipeline import compare_study, rig_of
from topo.rigfile.read import read_text

TOLD = ("part-missing", "part-moved", "part-unexpected", "fell-back", "dropped-since-start", "sharing-not-declared",
        "facts-disagree", "may-be-put-to-sleep")  # fmt: skip
"""Findings that tell of a change. Claims, over-current and twins are told of the rig as it is."""

Told = set[tuple[str, str]]


@cache
def recordings() -> dict[str, Scan]:
    found = {f"{form} of {name}": read_scan(FORMATS[form].print(MACHINES[name]))
             for form in FORMATS for name in ("pier", "meadow")}
    for path in sorted(RECORDINGS.glob("*.umockdev")):
        if path.stem != "crowd":  # thirty of one kind: the same as twins, and long
            with tempfile.TemporaryDirectory() as folder:
                found[path.stem] = scan_sysfs(str(build(path, Path(folder))))
    for path in sorted(SHARED.glob("*")):
        if path.suffix in (".txt", ".klog", ".umockdev") and path.name != "cannot-enable.klog":
            found[path.name] = read_scan(decoded(path.read_bytes()))
    return found


class Drafted:
    """A scan, its first rig file, and what comparing the two tells."""

    def __init__(self, scan: Scan) -> None:
        self.scan = scan
        self.study = Study(rig_of(read_text(draft(scan), "rig.yaml")))
        self.whole, self.before = self.held(scan)
        self.live = self.whole.live

    def held(self, scan: Scan) -> tuple[Comparison, Told]:
        report = compare_study(self.study, scan)
        return report.comparison, {(f.name, f.part) for f in report.report.findings if f.name in TOLD}

    def part(self, thing: Thing) -> str:
        part = self.whole.part_of(thing.key)
        assert part is not None
        return part

    def new(self, scan: Scan) -> tuple[Comparison, Told]:
        comparison, told = self.held(scan)
        return comparison, told - self.before

    def nothing_else(self, comparison: Comparison) -> None:
        assert not comparison.unexpected and not comparison.missing


every = pytest.mark.parametrize("name", share(sorted(recordings()), 20))


@every
def test_gone_is_told_of_it_and_all_behind_it(name: str) -> None:
    """Once, at the top; a listing that need not show every device concludes nothing."""
    rig = Drafted(recordings()[name])
    for thing in rig.live.things:
        ids = [side.id for side in thing.seen]
        comparison, told = rig.new(changes.without(rig.scan, ids))
        assert not comparison.unexpected and not any(match.moved for match in comparison.matches)
        if rig.scan.limits.devices != "all":
            assert not told and not comparison.missing
            continue
        gone = changes.behind(rig.scan, ids)
        behind = {rig.part(t) for t in rig.live.things if any(side.id in gone for side in t.seen)}
        assert set(comparison.missing) == behind
        assert told == {("part-missing", rig.part(thing))}


@every
def test_moved_is_told_of_it_alone(name: str) -> None:
    """To a free socket of each hub and of the computer, but for those on a device's back, which nobody numbers."""
    rig = Drafted(recordings()[name])
    for thing in changes.movable(rig.live):
        for hub, scan in changes.moves(rig.live, thing):
            comparison, told = rig.new(scan)
            rig.nothing_else(comparison)
            above = rig.live.thing(thing.above)
            on_a_back = above is not None and above.kind == "device" and above is rig.live.thing_of(hub.id)
            assert told == (set() if on_a_back else {("part-moved", rig.part(thing))}), (thing.key, hub.id)


def one_step(name: str) -> Iterator[tuple[Scan, Sighting]]:
    """The recording with one device at each rate of its side of USB."""
    scan = recordings()[name]
    for thing in changes.movable(Drafted(scan).live):
        for rate in changes.ONE_STEP_SLOWER:
            if thing.own.speed_mbit and (rate >= 5000) == (thing.own.speed_mbit >= 5000):
                yield changes.at_rate(scan, thing.own, rate), thing.own


@every
def test_slower_by_one_step_is_told_of_it_alone(name: str) -> None:
    for scan, own in one_step(name):
        rig = Drafted(scan)
        thing = rig.live.thing_of(own.id)
        assert thing is not None
        comparison, told = rig.new(changes.slower(scan, own))
        rig.nothing_else(comparison)
        assert told == {("fell-back", rig.part(thing))}, (own.id, scan.sighting(own.id))


@every
def test_fallen_from_superspeed_to_usb_2_is_told_of_it_alone(name: str) -> None:
    rig = Drafted(recordings()[name])
    for thing in changes.movable(rig.live):
        scan = changes.fallen(rig.scan, thing.own) if (thing.own.speed_mbit or 0) >= 5000 else None
        if scan is not None:
            comparison, told = rig.new(scan)
            rig.nothing_else(comparison)
            assert told == {("fell-back", rig.part(thing))}


@every
def test_a_hub_that_lost_its_superspeed_side_is_told_once(name: str) -> None:
    """Of the hub; what hangs on it is slow by that and is named with it, never by itself."""
    rig = Drafted(recordings()[name])
    for thing in rig.live.things:
        fast = [side for side in thing.seen if side.is_super and side.is_hub]
        if thing.kind == "hub" and len(thing.seen) == 2 and rig.scan.system == "linux" and fast[0].speed_mbit:
            comparison, told = rig.new(changes.hub_fallen(rig.scan, thing.seen[0], fast[0]))
            rig.nothing_else(comparison)
            assert told == {("fell-back", rig.part(thing))}


@pytest.mark.parametrize("serials", [("S1", "S2"), (None, None), ("0001", "0001")], ids=["own", "none", "same"])
@pytest.mark.parametrize("name", [n for n in sorted(recordings()) if n.startswith(("kernel-t", "sysfs", "profiler"))])
def test_twins_that_changed_places_are_told_where_serial_numbers_tell_them(
    name: str, serials: tuple[str | None, str | None]
) -> None:
    scan = recordings()[name]
    own = next(thing.own for thing in changes.movable(Drafted(scan).live) if thing.own.vendor_id is not None)
    hub = next(h for h, _ in changes.moves(Drafted(scan).live, Drafted(scan).live.thing_of(own.id)))  # type: ignore[arg-type]
    used = {s.ports[-1] for s in scan.sightings if s.parent == hub.id or (hub.is_root and len(s.ports) == 1)}
    free = [n for n in range(1, 32) if n not in used][:2]
    pair = [replace(own, id=changes.device_id(own.bus, (*hub.ports, n)), ports=(*hub.ports, n), parent=hub.id, serial=s)
            for n, s in zip(free, serials, strict=True)]  # fmt: skip
    before = replace(changes.without(scan, [own.id]))
    rig = Drafted(replace(before, sightings=changes.ordered([*before.sightings, *pair])))
    comparison, told = rig.new(changes.swapped(rig.scan, *pair))
    rig.nothing_else(comparison)
    parts = {rig.part(t) for one in pair if (t := rig.live.thing_of(one.id)) is not None}
    assert told == ({("part-moved", part) for part in parts} if serials == ("S1", "S2") else set())


def by_hand(folder: Path, scan: Scan, capsys: pytest.CaptureFixture[str]) -> Told:
    """`topo compare` of the rig file in the folder with the scan, as a person types it."""
    (folder / "now.json").write_text(dumps(scan), encoding="utf-8")
    capsys.readouterr()
    assert status_of(["compare", f"{folder}/rig.yaml", f"{folder}/now.json", "--json", "--fail-on", "never"]) == 0
    answer = json.loads(capsys.readouterr().out)
    return {(f["name"], f["part"]) for f in answer["findings"] if f["name"] in TOLD}


@pytest.mark.parametrize("name", ["pier", "translators", "profiler of meadow", "kernel-text of meadow"])
def test_by_hand(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Saved, drafted, changed and compared through the command line."""
    scan = recordings()[name]
    (tmp_path / "first.json").write_text(dumps(scan), encoding="utf-8")
    assert status_of(["live", "--from", f"{tmp_path}/first.json", "--draft", f"{tmp_path}/rig.yaml"]) == 0
    rig = Drafted(scan)
    before = by_hand(tmp_path, scan, capsys)
    assert before == rig.before
    for thing in changes.movable(rig.live):
        part = rig.part(thing)
        gone = by_hand(tmp_path, changes.without(scan, [thing.key]), capsys)
        assert gone - before == {("part-missing", part)}
        for _, moved in changes.moves(rig.live, thing):
            assert by_hand(tmp_path, moved, capsys) - before == {("part-moved", part)}
        if thing.own.speed_mbit in changes.ONE_STEP_SLOWER:
            assert by_hand(tmp_path, changes.slower(scan, thing.own), capsys) - before == {("fell-back", part)}
