"""Transfer limits, time-outs, queued frames, overhead: what was told as fit for the night, and advice carried out."""

from __future__ import annotations

import pytest

from tests.place.test_advice_is_true import every_plan_holds
from topo.analysis.study import Study
from topo.checks.cases import PLAIN_PC, guiding, rig
from topo.model.change import SetCable, SetUse
from topo.model.facts import Fact
from topo.model.finding import Finding
from topo.model.records import CableFacts
from topo.pipeline import examine_text, examiner, rig_of
from topo.rigfile.read import read_text


def camera(name: str, plug: str, use: str = "", width: int = 6248, height: int = 4176) -> str:
    return (f"{name}: {{role: imaging, width_px: {width}, height_px: {height}, speed: super, readout_mb_per_s: 350, "
            f"frame_memory_mb: 512, plug: {plug}, use: {{exposure_s: 60{use}}}}}")


def study(text: str) -> Study:
    return Study(rig_of(read_text(text, "rig.yaml")))


def told(of: Study, name: str) -> list[Finding]:
    return [finding for finding in examiner()(of) if finding.name == name]


def test_300_on_a_path_of_42() -> None:
    """It was told as fit for the night."""
    text = rig(camera("main-camera", "computer/usb2-1", ", limit_mb_per_s: 300"))
    (finding,) = told(study(text), "limit-above-path")
    assert finding.certainty == "certain" and "42" in finding.message
    assert every_plan_holds(text) > 0


def test_45_and_40_on_one_bus() -> None:
    """So was this. Each is above what hosts deliver at the low end, and so is what fits alone, together."""
    text = rig(camera("left", "computer/usb2-1", ", limit_mb_per_s: 45"),
               camera("right", "computer/usb2-2", ", limit_mb_per_s: 40"))
    assert {finding.part for finding in told(study(text), "limit-above-path")} == {"left", "right"}
    assert every_plan_holds(text) > 0
    fits_alone = text.replace("45", "35").replace("40", "30")
    (finding,) = told(study(fits_alone), "limit-above-path")
    assert finding.part == "left" and finding.others == ("right",) and finding.certainty == "certain"
    assert every_plan_holds(fits_alone) > 0


@pytest.mark.parametrize(("left", "right", "wanted"), [(18, 17, None), (22, 20, "possible"), (30, 25, "certain")])
def test_together_at_the_edges(left: int, right: int, wanted: str | None) -> None:
    """A bus that hosts fill with 35.1 MB/s where all data is stuffed, and whose protocol ends at 53.2."""
    of = study(rig(camera("left", "computer/usb2-1", f", limit_mb_per_s: {left}"),
                   camera("right", "computer/usb2-2", f", limit_mb_per_s: {right}")))
    assert [f.certainty for f in told(of, "limit-above-path")] == ([] if wanted is None else [wanted])


def test_a_limit_after_a_move_to_a_faster_socket() -> None:
    """The limit that cleared USB 2 is told once the camera sits at SuperSpeed, and goes with the advice."""
    text = rig(camera("main-camera", "computer/usb2-1", ", limit_mb_per_s: 30"))
    assert told(study(text), "limit-holds-back") == []
    moved = text.replace("computer/usb2-1", "computer/usb3-1")
    (finding,) = told(study(moved), "limit-holds-back")
    assert finding.severity == "note"
    report = examine_text(moved)
    (advised,) = [each for each in report.findings if each.name == "limit-holds-back"]
    assert advised.fix is not None and advised.fix.plan is not None
    assert advised.fix.plan.proposal.settings == (SetUse("main-camera", "limit_mb_per_s", 320),)


def test_a_limit_that_spares_the_guide_camera_is_left_alone() -> None:
    """On one USB 2 bus with a guide camera a limit is there for a reason."""
    of = study(rig(camera("main-camera", "computer/usb2-1", ", limit_mb_per_s: 10"), guiding("computer/usb2-2")))
    assert told(of, "limit-holds-back") == []


def test_time_outs_on_both_nights() -> None:
    """61 MP take 2.7 to 3.3 s on USB 2 and 0.4 s at SuperSpeed (published times of that class)."""
    def severities(plug: str, waits: float) -> list[tuple[str, str]]:
        of = study(rig(camera("main-camera", plug, f", timeout_s: {waits:g}", 9576, 6388)))
        return [(f.severity, f.certainty) for f in told(of, "would-time-out")]

    assert severities("computer/usb2-1", 2) == [("fault", "certain")]
    assert severities("computer/usb2-1", 3) == [("fault", "possible")]
    assert severities("computer/usb2-1", 5) == []
    assert severities("computer/usb3-1", 2) == [("risk", "possible")]
    assert severities("computer/usb3-1", 5) == []


def test_the_fallback_night_is_the_ordinary_one_with_that_cable() -> None:
    text = rig(camera("main-camera", "computer/usb3-1", ", timeout_s: 2", 9576, 6388))
    of = study(text)
    fallen = of.what_if(SetCable("main-camera", CableFacts(grade=Fact("usb2", "assumed"))))
    (finding,) = told(of, "would-time-out")
    assert finding.figures[1].value == fallen.device("main-camera").alone_s


def test_013_of_12_seconds() -> None:
    """A guide frame that takes 0.08 s, and 1.2 s between frames besides the exposure."""
    (finding,) = told(study(rig(guiding("computer/usb2-1", "seen: {interval_s: 3.2}"))), "overhead-not-the-bus")
    assert finding.severity == "note" and "of 1.2 s" in finding.message and "No cable" in finding.message


def test_a_big_frame_on_usb_2_is_the_bus() -> None:
    of = study(rig(camera("main-camera", "computer/usb2-1", "").replace("plug:", "seen: {interval_s: 61.5}, plug:")))
    assert told(of, "overhead-not-the-bus") == []


def test_the_pool_has_its_commands() -> None:
    linux = PLAIN_PC.replace("computer:\n", "computer:\n  os: linux\n")
    text = rig(guiding("computer/usb2-1").replace("exposure_s: 2", "exposure_s: 2, queued_frames: 8"), computer=linux)
    (finding,) = told(study(text), "buffer-pool-too-small")
    assert finding.fix is not None
    for words in ("echo 100 | sudo tee /sys/module/usbcore/parameters/usbfs_memory_mb", "usbcore.usbfs_memory_mb=100"):
        assert words in finding.fix.text
    assert told(study(text.replace("queued_frames: 8", "queued_frames: 2")), "buffer-pool-too-small") == []
