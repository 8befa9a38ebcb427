"""Settings in a plan of several changes are as mild as does as well, and no cheaper setting does the same."""

from __future__ import annotations

import pytest

from tests.bench.family import family
from tests.place.random_rigs import EXAMINER, rig_from, whole_text
from tests.place.told_rigs import BY_NAME
from tests.samples import share
from topo.analysis.study import Study
from topo.model.finding import in_order
from topo.place.frontier import frontier
from topo.place.judge import Judge
from topo.place.settings import bounds, nearer

PLANET = """\
rig: Planets from a balcony
computer: {profile: laptop-2usb3}
hubs:
  desk-hub: {profile: hub-usb3-4port-bus-powered, plug: computer/usb3-1}
devices:
  planet-camera: {profile: camera-planet-8mp-usb3, role: imaging, plug: desk-hub/1, cable: {length_m: 3, grade: usb3},
    use: {mode: video, fps: 40}}
  disk: {profile: ssd-usb3, role: storage, plug: desk-hub/2, use: {mb_per_s: 300}}
  mount: {profile: mount-travel-serial, plug: computer/usb3-2, cable: {length_m: 3}}
"""

QUICK = ("refractor", "camera-with-hub", "small-board")
TEXTS = {"planet": PLANET, **{name: BY_NAME[name] for name in QUICK}, "random": whole_text(2, 4)}


@pytest.mark.parametrize("name", share(TEXTS, 2))
def test_no_setting_could_be_one_step_milder(name: str) -> None:
    study = Study(rig_from(TEXTS[name]))
    findings = in_order(EXAMINER(study))
    judge = Judge(study, findings, EXAMINER)
    for plan in frontier(study, findings, EXAMINER).plans[1:]:
        for step in plan.proposal.settings:
            ladder = [each for bound in bounds(study) if (bound.part, bound.key) == (step.part, step.key)
                      for each in (*nearer(study, bound), bound)]  # fmt: skip
            at = ladder.index(step) if step in ladder else 0  # a check's own offer is on no ladder
            if at == 0:
                continue
            steps = tuple(ladder[at - 1] if each is step else each for each in plan.proposal.steps)
            then = judge.judge(type(plan.proposal)(steps, plan.proposal.buys, plan.proposal.to_try))
            assert then is None or not judge.harmless(then) or then.left > plan.left, (steps, plan.proposal.steps)


def test_a_stream_gives_up_a_rim_of_its_field_and_not_three_of_four_pixels() -> None:
    """Binned or a little smaller, it clears the same: at their bounds binning looks cheaper."""
    study = Study(rig_from(PLANET))
    cut = 0
    for plan in frontier(study, in_order(EXAMINER(study)), EXAMINER).plans:
        for step in plan.proposal.settings:
            wide, high = map(int, str(step.value).split("x"))
            assert step.key == "roi" and wide * high > 0.9 * 3840 * 2160
            cut += 1
    assert cut


def test_one_that_sends_the_least_region_already_gives_up_two_frames() -> None:
    study = Study(rig_from(PLANET.replace("fps: 40", "fps: 4320, roi: 320x240")))
    paid = [plan.proposal.settings for plan in frontier(study, in_order(EXAMINER(study)), EXAMINER).plans]
    assert any(paid) and all(step.key == "fps" and float(step.value) > 3500 for steps in paid for step in steps)


@pytest.mark.parametrize("devices", share([15, 16], 0))
def test_nothing_is_set_twice_in_one_plan(devices: int) -> None:
    """One change after the other may end at another value of what the first set."""
    study = Study(rig_from(family(devices)))
    plans = frontier(study, in_order(EXAMINER(study)), EXAMINER).plans
    assert plans
    for plan in plans:
        keys = [(step.part, step.key) for step in plan.proposal.settings]
        assert len(keys) == len(set(keys)), plan.proposal.steps
