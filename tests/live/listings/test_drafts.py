"""A rig drafted from a listing: it can be checked, is no different from its own scan, and one change is that change.

Nothing else may be named with it: neither by the comparison nor by a finding that tells of a change.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from tests.live.listings.formats import FORMATS
from tests.live.listings.machines import MACHINES
from topo.analysis.study import Study
from topo.live.draft import draft
from topo.live.recording import read_scan
from topo.model.comparison import Comparison
from topo.model.sighting import Scan, Sighting, device_id
from topo.pipeline import compare_study, rig_of
from topo.report.compared import ComparisonReport
from topo.rigfile.read import read_text

CHANGES = ("part-missing", "part-moved", "part-unexpected", "fell-back", "dropped-since-start", "sharing-not-declared",
           "facts-disagree")  # fmt: skip
SLOWER = {10_000: 5000, 480: 12, 12: 1.5}
"""One step down on the same side of USB; 5 Gb/s to 480 Mb/s is another side, and with it another place."""

LINUX = ("kernel-text", "sysfs")
"""Formats with speeds, places and numbers of Linux, whose scans are changed here."""


def held(scan: Scan, other: Scan) -> ComparisonReport:
    return compare_study(Study(rig_of(read_text(draft(scan), "rig.yaml"))), other)


def told(report: ComparisonReport) -> list[tuple[str, str]]:
    return [(f.name, f.part) for f in report.report.findings if f.name in CHANGES]


def part_at(comparison: Comparison, name: str) -> str:
    return next(m.part for m in comparison.matches for t in m.things for s in t.seen if s.id == name)


@pytest.mark.parametrize("machine", sorted(MACHINES))
@pytest.mark.parametrize("form", sorted(FORMATS))
def test_a_draft_differs_in_nothing_from_its_own_scan(form: str, machine: str) -> None:
    scan = read_scan(FORMATS[form].print(MACHINES[machine]))
    report = held(scan, scan)
    assert not report.comparison.missing and not report.comparison.unexpected and not told(report)
    assert len(report.comparison.matches) == len(report.comparison.live.things)
    assert not [f for f in report.report.findings if f.name in ("socket-used-twice", "not-wired", "wrong-socket")]


def cases() -> Iterator[tuple[str, str, str]]:
    for form in LINUX:
        for machine in ("pier", "meadow"):
            for seen in read_scan(FORMATS[form].print(MACHINES[machine])).sightings:
                if not seen.is_root:
                    yield form, machine, seen.id


def alone(scan: Scan, name: str) -> bool:
    """True for a device that is no hub and has no twin: what has one may be taken for it."""
    seen = scan.sighting(name)
    assert seen is not None
    same = [s for s in scan.sightings if (s.vendor_id, s.product_id, s.serial) == identity(seen)]
    return not seen.is_hub and len(same) == 1


def identity(seen: Sighting) -> tuple[str | None, str | None, str | None]:
    return seen.vendor_id, seen.product_id, seen.serial


@pytest.mark.parametrize(("form", "machine", "name"), list(cases()))
def test_what_is_gone_is_told_and_nothing_else(form: str, machine: str, name: str) -> None:
    scan = read_scan(FORMATS[form].print(MACHINES[machine]))
    gone = [s.id for s in scan.sightings if s.id == name or s.id.startswith(f"{name}.")]
    whole = held(scan, scan).comparison
    left = replace(scan, sightings=tuple(s for s in scan.sightings if s.id not in gone))
    report = held(scan, left)
    sides = [s.id for m in whole.matches if m.part == part_at(whole, name) for t in m.things for s in t.seen]
    if set(sides) <= set(gone):
        assert ("part-missing", part_at(whole, name)) in told(report)
    wanted = {part_at(whole, one) for one in gone}
    assert {part for _, part in told(report)} <= wanted
    assert set(report.comparison.missing) <= wanted and not report.comparison.unexpected


@pytest.mark.parametrize(("form", "machine", "name"), list(cases()))
def test_one_step_slower_is_told_of_that_part_alone(form: str, machine: str, name: str) -> None:
    scan = read_scan(FORMATS[form].print(MACHINES[machine]))
    seen = scan.sighting(name)
    assert seen is not None and seen.speed_mbit is not None
    if seen.is_hub or seen.speed_mbit not in SLOWER or not alone(scan, name):
        return
    slow = replace(seen, speed_mbit=SLOWER[int(seen.speed_mbit)])
    report = held(scan, replace(scan, sightings=tuple(slow if s is seen else s for s in scan.sightings)))
    assert told(report) == [("fell-back", part_at(held(scan, scan).comparison, name))]


@pytest.mark.parametrize(("form", "machine"), [(form, machine) for form in LINUX for machine in ("pier", "meadow")])
def test_superspeed_that_fell_to_usb_2_is_told_of_that_part_alone(form: str, machine: str) -> None:
    scan = read_scan(FORMATS[form].print(MACHINES[machine]))
    for seen in scan.sightings:
        if (seen.speed_mbit or 0) < 5000 or seen.is_hub or not seen.ports:
            continue
        below = replace(seen, id=device_id(seen.bus - 1, seen.ports), bus=seen.bus - 1, speed_mbit=480.0,
                        usb_version=2.1, parent=device_id(seen.bus - 1, seen.ports[:-1]))  # fmt: skip
        if scan.sighting(below.id) is not None or scan.sighting(below.parent or "") is None:
            continue
        others = [s for s in scan.sightings if s is not seen]
        fallen = replace(scan, sightings=tuple(sorted([*others, below], key=lambda s: s.order)))
        report = held(scan, fallen)
        assert ("fell-back", part_at(held(scan, scan).comparison, seen.id)) in told(report)
        assert {part for _, part in told(report)} == {part_at(held(scan, scan).comparison, seen.id)}


@pytest.mark.parametrize(("form", "machine", "name"), list(cases()))
def test_another_socket_is_told_of_that_part_alone(form: str, machine: str, name: str) -> None:
    """At a hub and at the computer: the draft knew the place of both."""
    scan = read_scan(FORMATS[form].print(MACHINES[machine]))
    seen = scan.sighting(name)
    assert seen is not None
    if not alone(scan, name):
        return
    used = [s.ports[-1] for s in scan.sightings if s.parent == seen.parent]
    free = next(n for n in range(1, 20) if n not in used)
    there = replace(seen, id=device_id(seen.bus, (*seen.ports[:-1], free)), ports=(*seen.ports[:-1], free))
    moved = replace(scan, sightings=tuple(sorted([there, *(s for s in scan.sightings if s is not seen)],
                                                 key=lambda s: s.order)))  # fmt: skip
    found = told(held(scan, moved))
    part = part_at(held(scan, scan).comparison, name)
    assert {owner for _, owner in found} <= {part}
    if seen.parent == f"usb{seen.bus}" or len(used) > 2:
        assert ("part-moved", part) in found


def test_twins_with_serial_numbers_swapped_between_sockets_of_the_computer_are_told() -> None:
    scan = read_scan(FORMATS["kernel-text"].print(MACHINES["pier"]))
    guide = scan.sighting("1-1.2")
    assert guide is not None
    one, other = (replace(guide, id=f"1-{n}", ports=(n,), parent="usb1", serial=f"G{n}") for n in (4, 5))
    before = replace(scan, sightings=(*scan.sightings, one, other))
    swapped = (replace(one, serial="G5"), replace(other, serial="G4"))
    after = replace(scan, sightings=(*scan.sightings, *swapped))
    whole = held(before, before).comparison
    assert told(held(before, after)) == [("part-moved", part_at(whole, name)) for name in ("1-4", "1-5")]
