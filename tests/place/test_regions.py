"""A smaller region of a stream: what is offered has the shape of what is sent, keeps every frame, and clears."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.place.as_done import carried_out
from tests.place.random_rigs import EXAMINER, rig_from
from topo.analysis.study import Study
from topo.model.change import SetUse
from topo.model.facts import Fact
from topo.model.finding import in_order
from topo.model.records import DeviceFacts, UseFacts
from topo.model.rig import Device, Plug
from topo.place.frontier import frontier
from topo.place.price import loss, prices, share_lost
from topo.place.regions import LEAST_PX, STEP_PX, least_region, region_of, regions_down_to
from topo.usb.camera import field_px
from topo.wiring.apply import apply

STREAM = """\
rig: Planet on a slow socket
computer: {{ports: {{a: {{controller: one, speed: high, usb2_bus: one}}, b: {{controller: one, speed: high,
  usb2_bus: one}}}}, controllers: {{one: {{}}}}}}
devices:
  planet-camera: {{role: {role}, width_px: {wide}, height_px: {high}, sample_bits: 8, speed: high,
    readout_mb_per_s: 400, plug: computer/a, use: {{mode: video, fps: {fps}}}}}
"""


def sides(region: str) -> tuple[int, int]:
    wide, high = map(int, region.split("x"))
    return wide, high


def camera(wide: int, high: int, roi: str | None) -> Device:
    use = UseFacts(roi=None if roi is None else Fact(roi, "declared"))
    facts = DeviceFacts(width_px=Fact(wide, "declared"), height_px=Fact(high, "declared"))
    return Device(id="c", plug=Plug("computer", "a"), role="other", facts=facts, use=use)


@given(st.integers(16, 9000), st.integers(16, 9000), st.floats(0.001, 1.2), st.integers(1, 40), st.booleans())
def test_a_region_is_within_what_is_sent_and_no_less_than_the_least(
    wide: int, high: int, share: float, steps: int, cut: bool
) -> None:
    part = camera(wide, high, f"{max(1, wide // 2)}x{high}" if cut else None)
    field, least, region = field_px(part.facts, part.use), least_region(part), region_of(part, share)
    assert field is not None
    if least is None:
        assert region is None and (min(a / b for a, b in zip(field, LEAST_PX, strict=True)) < 1.0 + STEP_PX / 240)
        return
    for each in (least, *(() if region is None else (region,)), *regions_down_to(part, least, steps)):
        mine = sides(each)
        assert all(a <= b for a, b in zip(mine, field, strict=True)) and mine != field
        assert all(a >= b for a, b in zip(mine, LEAST_PX, strict=True))
        assert all(side % STEP_PX == 0 for side in mine)
    if region is not None:
        assert sides(region)[0] * sides(region)[1] <= share * field[0] * field[1] * (1.0 + 1e-6)
    between = [sides(each) for each in regions_down_to(part, least, steps)]
    assert between == sorted(set(between), reverse=True) and sides(least) not in between


@pytest.mark.parametrize(("wide", "high", "fps"), [(1936, 1096, 40), (1304, 976, 45), (3096, 2080, 12)])
@pytest.mark.parametrize("role", ["imaging", "other"])
def test_a_stream_is_offered_a_region_that_clears_and_keeps_every_frame(
    role: str, wide: int, high: int, fps: int
) -> None:
    text = STREAM.format(role=role, wide=wide, high=high, fps=fps)
    study = Study(rig_from(text))
    findings = in_order(EXAMINER(study))
    assert any(each.name == "stream-too-slow" for each in findings)
    best = frontier(study, findings, EXAMINER).plans[0]
    (step,) = best.proposal.steps
    assert isinstance(step, SetUse) and step.key == "roi"
    then = Study(rig_from(carried_out(text, best.proposal)))
    assert not [each for each in EXAMINER(then) if each.name == "stream-too-slow"]
    flow = then.flow("planet-camera")
    assert flow is not None and flow.demand_bytes_per_s / flow.frame_bytes == pytest.approx(fps)
    wanted = " × ".join(map(str, sides(str(step.value))))
    assert f"a smaller field of {wanted} pixels" in best.plan.price[0] and "must stay in it" in best.plan.price[0]
    sent = study.flow("planet-camera")
    assert sent is not None and then.device("planet-camera").gets_mb_per_s.low * 1e6 < sent.demand_bytes_per_s


def test_a_field_half_as_wide_and_high_costs_less_than_three_of_four_frames_and_binning() -> None:
    rig = rig_from(STREAM.format(role="other", wide=1920, high=1280, fps=40))
    study = Study(rig)
    cut, slow, binned = (Study(apply(rig, SetUse("planet-camera", key, value)))
                         for key, value in (("roi", "960x640"), ("fps", 10), ("bin", 2)))
    assert share_lost(study, cut) == 0.5 and share_lost(study, slow) == share_lost(study, binned) == 0.75
    assert loss(study, cut) < loss(study, slow) == loss(study, binned)
    both = Study(apply(cut.rig, SetUse("planet-camera", "bin", 2)))
    assert prices(study, both) == (
        "planet-camera: a smaller field of 960 × 640 pixels, 25 % of it now; what it films must stay in it",
        "planet-camera: keeps 25 % of its pixels",
    )


def test_no_still_is_cut() -> None:
    text = STREAM.format(role="imaging", wide=1936, high=1096, fps=40).replace("mode: video, fps: 40", "exposure_s: 60")
    study = Study(rig_from(text))
    for plan in frontier(study, in_order(EXAMINER(study)), EXAMINER).plans:
        assert all(step.key != "roi" for step in plan.proposal.settings)


def test_an_all_sky_camera_keeps_the_whole_of_it() -> None:
    text = STREAM.format(role="other", wide=1936, high=1096, fps=40).replace("{role", "{whole_sky: true, role")
    study = Study(rig_from(text))
    findings = in_order(EXAMINER(study))
    assert any(each.name == "stream-too-slow" for each in findings)
    steps = [step for plan in frontier(study, findings, EXAMINER).plans for step in plan.proposal.steps]
    assert steps and not any(isinstance(step, SetUse) and step.key == "roi" for step in steps)
    for name in ("camera-allsky-1mp", "camera-allsky-2mp", "camera-allsky-8mp-usb3"):
        rig = rig_from(f"rig: A\ncomputer: {{}}\ndevices: {{sky: {{profile: {name}, plug: computer/usb3-1}}}}\n")
        assert least_region(rig.device("sky")) is None
