"""What planning asks hundreds of times, whether a finding is there still, is answered as all checks answer it.

`Check.still` against `Check.find` on changed rigs; what is remembered for parts whose data takes the same links against
each rig asked anew; and what the few parts have by themselves against the whole rig.
"""

from __future__ import annotations

import random

import pytest

from tests.bench.family import family
from tests.place.random_rigs import EXAMINER, rig_from, whole_text
from tests.place.test_remembered import changes
from tests.samples import share
from topo.analysis.study import Study
from topo.errors import CommandError
from topo.model.change import SetCable
from topo.model.facts import Fact
from topo.model.finding import Finding
from topo.model.records import CableFacts
from topo.model.rig import COMPUTER
from topo.place.consequence import key_of
from topo.place.remembered import Remembered
from topo.wiring.apply import apply

CHUNK, CHANGES = 10, 10


def told_by(found: tuple[Finding, ...], finding: Finding) -> bool:
    """Whether findings have one still: as no more than a note only where it is one."""
    return any(key_of(f) == key_of(finding) and (finding.severity == "note" or f.severity != "note") for f in found)


def agrees(soon: bool, full: bool, finding: Finding) -> bool:
    """Only a guide camera's lateness takes so long to tell that no may be said of what is there."""
    return soon == full or (full and finding.name == "guiding-shares-link")


def test_those_that_tell_it_soon_are_checks_of_one_controller() -> None:
    assert {"frame-lost", "guiding-shares-link", "fallback-would-share-guiding"} <= set(EXAMINER.still)
    assert set(EXAMINER.still) <= EXAMINER.one_controller


@pytest.mark.parametrize("start", share(range(0, 60, CHUNK), 1))
def test_told_soon_is_told_in_full(start: int) -> None:
    there = 0
    for seed in range(start, start + CHUNK):
        pick = random.Random(f"still {seed}")
        rig = rig_from(whole_text(seed) if seed % 5 else family(8 + seed % 40))
        study = Study(rig)
        kept = Remembered(study, EXAMINER)
        wanted = [finding for finding in EXAMINER(study) if finding.name in EXAMINER.still]
        for _ in range(CHANGES if wanted else 0):
            try:
                then = apply(rig, changes(pick, rig))
                after = kept.of(then)
            except CommandError:
                continue
            for finding in wanted:
                whole = told_by(after.found(finding.name), finding)
                assert agrees(EXAMINER.still[finding.name](Study(then), finding), whole, finding), (seed, finding)
                few = after.still_has(finding)
                if after.topology.leg(finding.part) is not None:
                    named = {leg.part for name in (finding.part, *finding.others) for leg in after._way(name)}
                    alone = told_by(kept.some(then, named).found(finding.name), finding)
                    assert agrees(few, alone, finding), (seed, finding, named)
                assert whole or not few, (seed, finding)  # what is there alone is there in the whole rig
                there += few
    assert there > CHUNK


def glimpsed(name: str, study: Study) -> list[tuple[str, str, tuple[str, ...]]]:
    assert {each.name for each in EXAMINER.glimpses[name](study)} <= {name}
    return [(each.part, each.severity, each.others) for each in EXAMINER.glimpses[name](study)]


@pytest.mark.parametrize("start", range(0, 40, CHUNK))
def test_a_glimpse_shows_every_fault_and_risk_and_nothing_else(start: int) -> None:
    """On studies of which nothing else was asked before."""
    seen = 0
    for seed in range(start, start + CHUNK):
        pick = random.Random(f"glimpse {seed}")
        rig = rig_from(whole_text(seed) if seed % 5 else family(16 + seed % 20))
        for _ in range(3):
            for name in EXAMINER.glimpses:
                found = (each for each in EXAMINER.named[name](Study(rig)) if each.severity != "note")
                full = [(each.part, each.severity, each.others) for each in found]
                assert glimpsed(name, Study(rig)) == full, (seed, name)
                seen += len(full)
            try:
                Study(then := apply(rig, changes(pick, rig)))
            except CommandError:
                continue
            rig = then
    assert seen > 1


def test_those_that_are_glimpsed_are_of_parts_of_one_controller_and_offer_nothing() -> None:
    assert {"frame-lost", "guiding-shares-link"} <= set(EXAMINER.glimpses) <= EXAMINER.one_controller
    for seed in range(20):
        for name in EXAMINER.glimpses:
            for finding in EXAMINER.named[name](Study(rig_from(whole_text(seed)))):
                assert finding.part != COMPUTER and finding.fix is not None and not finding.fix.offers


def test_what_a_change_takes_away_is_not_there_still() -> None:
    rig = rig_from(family(15))
    study = Study(rig)
    cable = SetCable("camera1", CableFacts(grade=Fact("usb3", "assumed")))
    after = Remembered(study, EXAMINER).of(apply(rig, cable))
    shown = [f for f in EXAMINER(study) if f.name == "guiding-shares-link" and f.severity == "risk"]
    assert shown and not any(after.still_has(finding) for finding in shown)
