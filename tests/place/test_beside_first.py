"""Advice for one finding beside what is to be done first: both can be done, or it says that they cannot."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.place.random_rigs import random_text
from topo.model.change import Proposal
from topo.pipeline import examine_text
from topo.place.first import clash
from topo.place.judge import done
from topo.place.price import share_lost
from topo.wiring.instructions import instructions
from topo.wiring.topology import Topology

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted(ROOT.glob("examples/*/rig.yaml"))


def held(text: str) -> tuple[int, int]:
    """How many fixes of a rig stand beside the first one, and how many say that they don't."""
    report = examine_text(text)
    first = report.first
    beside, apart = 0, 0
    for finding in report.findings if first is not None else ():
        plan = finding.fix.plan if finding.fix is not None else None
        if plan is None or first is None or plan.proposal == first.proposal:
            continue
        if "Not together with DO FIRST" in finding.fix.text:
            apart += 1
            continue
        both = Proposal((*first.proposal.steps, *plan.proposal.steps))
        topology = Topology(done(report.study.rig, both))
        plugs = [str(part.plug) for part in topology.rig.parts if part.plug is not None]
        twice = {plug for plug in plugs if plugs.count(plug) > 1}
        before = [str(part.plug) for part in report.study.rig.parts if part.plug is not None]
        assert all(before.count(plug) > 1 for plug in twice), (finding.message, twice)
        beside += 1
    return beside, apart


@pytest.mark.slow
def test_two_fixes_never_want_one_socket_unsaid() -> None:
    beside, apart = 0, 0
    for text in (*(path.read_text() for path in EXAMPLES), *(random_text(seed, 4 + seed % 5) for seed in range(60))):
        more = held(text)
        beside, apart = beside + more[0], apart + more[1]
    assert beside > 5 and apart > 0


def test_a_stream_gives_frames_up_before_it_gives_up_most_of_its_pixels() -> None:
    """Sixty frames a second on a bus that carries some twenty-seven, beside a guide camera, without another socket."""
    text = ("rig: r\ncomputer: {profile: desktop-4usb3-4usb2, card_slots: 0}\ndevices:\n"
            "  planet: {profile: camera-planet-1mp, plug: computer/usb2-1, use: {mode: video, fps: 60}}\n"
            "  guide-camera: {profile: camera-guide-1mp, plug: computer/usb2-2, use: {exposure_s: 1}}\n")
    first = examine_text(text).first
    assert first is not None
    said = " ".join(instructions(first.proposal))
    assert "frames a second" in said and "Bin" not in said


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_a_rig_loses_nothing_against_itself(path: Path) -> None:
    study = examine_text(path.read_text()).study
    assert share_lost(study, study) == 0.0
    assert clash(Proposal(()), Proposal(())) == ""
