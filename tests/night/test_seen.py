"""What the first version said wrongly, row by row: each a rig as a person writes it, with the figure that is right."""

from __future__ import annotations

import math

import pytest

from topo.analysis.study import Study
from topo.checks.cases import BIG_CAMERA, GUIDE_CAMERA, GUIDE_WITH_MEMORY, PLAIN_PC, guiding, imaging, mount, rig
from topo.model.finding import Finding, verdict
from topo.model.night import Guided
from topo.night.forms import peak_rate
from topo.pipeline import examine_text, examiner, rig_of
from topo.report.lines import text_of as line_text
from topo.report.text import report_lines
from topo.rigfile.read import read_text

STREAM = ("planet: {{role: other, width_px: 1280, height_px: 960, sample_bits: 8, speed: high, readout_mb_per_s: 60, "
          "plug: computer/usb2-1, use: {{mode: video{fps}}}}}")
COPY = "disk: {{role: storage, speed: high, plug: computer/usb2-1, use: {{mb_per_s: {rate}, direction: in}}}}"
WEBCAM = ("web: {role: other, width_px: 1280, height_px: 960, speed: high, interface: iso, iso_bytes_per_ms: 24576, "
          "plug: computer/usb2-1, use: {mode: video}}")


def study(*parts: str, **more: str) -> Study:
    return Study(rig_of(read_text(rig(*parts, **more), "rig.yaml")))


def judged(of: Study, camera: str = "guide-camera") -> Guided:
    found = of.verdict_on(camera)
    assert found is not None
    return found


def found(of: Study, name: str) -> list[Finding]:
    return [finding for finding in examiner()(of) if finding.name == name]


def text_of(rig_text: str) -> str:
    return "\n".join(map(line_text, report_lines(examine_text(rig_text))))


def test_more_load_never_makes_a_frame_earlier_and_a_full_bus_never_brings_it() -> None:
    """10, 20, 30 frames a second of 1.2 MB leave 29, 17 and 4.6 of 41.5 MB/s; as many as it can leave nothing."""
    late = []
    for fps in (10, 20, 30):
        guide = judged(study(STREAM.format(fps=f", fps: {fps}"), guiding("computer/usb2-2"))).delay
        late.append((guide.late_fair_s.likely, guide.late_last_s.likely))
    assert late == sorted(late) and all(last >= fair for fair, last in late)
    full = study(STREAM.format(fps=""), imaging("computer/usb3-1"), guiding("computer/usb2-2"))
    assert judged(full).delay.never and judged(full).severity == "fault"
    (finding,) = found(full, "guiding-shares-link")
    assert "never come" in finding.message


def test_strict_priority_leaves_what_is_left_over() -> None:
    """A copy of 35 MB/s leaves 6.5 of 41.5 MB/s: 2,457,600 / 6.5e6 - 2,457,600 / 37e6 = 0.31 s."""
    guide = judged(study(COPY.format(rate=35), guiding("computer/usb2-2"))).delay
    assert guide.late_last_s.likely == pytest.approx(2_457_600 / 6.5e6 - 2_457_600 / 37e6, rel=0.01)
    assert guide.late_fair_s.likely == pytest.approx(2_457_600 / 20.75e6 - 2_457_600 / 37e6, rel=0.01)
    assert guide.always_s >= guide.late_last_s.likely


@pytest.mark.parametrize("facts", [GUIDE_CAMERA, GUIDE_CAMERA.replace(", fifo_kb: 16", "")])
def test_a_polled_mount_on_the_bus_is_nothing(facts: str) -> None:
    quiet = study(guiding("computer/usb2-1", facts=facts), mount("computer/usb2-2"))
    assert not {f.name for f in examiner()(quiet)} & {"frame-lost", "guiding-shares-link"}
    assert judged(quiet).delay.late_last_s.high == 0.0


def test_a_webcam_that_reserves_takes_as_a_stream_does() -> None:
    beside = study(WEBCAM, guiding("computer/usb2-2", facts=GUIDE_CAMERA))
    (finding,) = found(beside, "frame-lost")
    assert finding.severity in ("fault", "risk") and "web" in finding.others
    assert verdict(examiner()(beside)) != "clear"


def test_a_readout_is_never_more_than_its_own_link_lets_it_be() -> None:
    """A USB 3 camera of 350 MB/s on a USB 2 socket reads out 41.5 MB/s there, so 1 MB of buffer lasts far longer."""
    facts = BIG_CAMERA.replace("frame_memory_mb: 256", "frame_memory_mb: 0, fifo_kb: 64")
    slow = study(f"main: {{role: imaging, {facts}, plug: computer/usb2-1, use: {{exposure_s: 60}}}}",
                 guiding("computer/usb2-2"))
    lost = slow.device("main").lost_after_s
    assert lost is not None and lost > 64e3 / 46e6  # 64 kB at 350 MB/s would be 0.18 ms


def test_the_worst_is_called_the_worst_and_typical_is_told_beside_it() -> None:
    """1.26 s is the worst coincidence; half of those that wait come by half of it."""
    shared = study(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1"), mount("computer/usb2-2"))
    last = shared.lateness("guide-camera")[1]
    worst = judged(shared).delay.late_last_s
    assert worst.likely == pytest.approx(1.257, abs=0.01)
    assert 0.3 * worst.high < last.spread.typical < 0.8 * worst.high
    assert last.spread.most <= worst.high + 1e-9


def test_the_peak_of_a_sinusoid_is_not_its_mean() -> None:
    """45 arcsec over 431 s: pi PP / P = 0.328 at its fastest, 2 PP / P = 0.209 on the whole."""
    assert peak_rate(45.0, 431.0) == pytest.approx(0.328, abs=0.001)
    assert pytest.approx(0.209, abs=0.001) == 2.0 * 45.0 / 431.0


def test_one_late_frame_behind_a_closed_shutter_is_no_risk() -> None:
    shared = rig(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1"),
                 "mount: {role: mount, speed: full, interface: serial, plug: computer/usb2-2, "
                 "periodic_error_arcsec: 15, periodic_error_period_s: 480}")
    made = Study(rig_of(read_text(shared, "rig.yaml")))
    assert judged(made).severity is None and not found(made, "guiding-shares-link")
    assert "If you look for a fault, it is not here." in " ".join(text_of(shared).split())


def test_an_unknown_mount_is_never_milder() -> None:
    cameras = (imaging("computer/usb2-1", "hub_ports: 2", exposure_s=30), guiding("main-camera/usb2-1", exposure_s=0.5))
    known = judged(study(*cameras, "mount: {role: mount, speed: full, interface: serial, plug: computer/usb2-2, "
                         "periodic_error_arcsec: 20, periodic_error_period_s: 480}"))
    unknown = judged(study(*cameras, "mount: {role: mount, speed: full, interface: serial, plug: computer/usb2-2}"))
    order = [None, "note", "risk", "fault"]
    assert order.index(unknown.severity) >= order.index(known.severity)
    assert unknown.worst.most >= known.worst.most


def test_a_published_rate_is_no_certain_fault() -> None:
    """2048 x 1536, 8 bit, 120 frames a second at 5 Gb/s: 377 MB/s, published, and under the protocol's ceiling."""
    camera = ("c: {role: imaging, width_px: 2048, height_px: 1536, sample_bits: 8, speed: super, "
              "plug: computer/usb3-1, use: {mode: video, fps: 120}}")
    assert all((f.severity, f.certainty) != ("fault", "certain") for f in examiner()(study(camera)))


def test_a_stream_is_told_its_night_and_its_dip() -> None:
    """A guide frame of 0.1 s in each 2.4 s presses it down for a twenty-fourth of the time, not all night."""
    both = study(STREAM.format(fps=", fps: 30"), guiding("computer/usb2-2"))
    stream = both.device("planet")
    assert stream.night_mb_per_s is not None and stream.gets_mb_per_s is not None
    assert stream.night_mb_per_s.likely > 1.3 * stream.gets_mb_per_s.likely
    assert 0.05 < stream.dip_s < 0.3 and stream.dip_every_s == pytest.approx(2.1, abs=0.5)


def test_never_is_a_word() -> None:
    full = rig(STREAM.format(fps=""), imaging("computer/usb3-1"), guiding("computer/usb2-2"))
    said = text_of(full)
    assert "no end of" not in said and "inf" not in said.split()
    assert "never" in said and "frames come on time" not in said


def test_the_flows_that_fill_a_link_are_named_and_asked_is_one_figure() -> None:
    streams = [f"{name}: {{role: other, width_px: 1280, height_px: 960, sample_bits: 8, speed: high, "
               f"readout_mb_per_s: 37, plug: hub/{n}, use: {{mode: video, fps: 30}}}}"
               for n, name in ((1, "a"), (2, "b"))]
    hub = "  hub: {speed: high, ports: 4, powered: true, plug: computer/usb2-1}\n"
    full = study(mount("hub/3"), *streams, hubs=hub)
    (finding,) = found(full, "link-overloaded")
    assert {finding.part, *finding.others} == {"a", "b"}
    for link in full.links:
        if link.kind != "serial-line":
            assert link.asked_mb_per_s == pytest.approx(
                math.fsum(full.device(name).asked_mb_per_s or 0.0 for name in link.carries)
            )


def test_superspeed_makes_noise_in_the_hubs_lead_too() -> None:
    hub = "  hub: {speed: super, ports: 4, powered: true, plug: computer/usb3-1}\n"
    wifi = PLAIN_PC.replace("computer:\n", "computer:\n  radio_2g4: true\n")
    assert found(study(imaging("hub/1"), hubs=hub, computer=wifi), "radio-beside-superspeed")
    stick = "stick: {role: network, radio_2g4: true, plug: computer/usb3-2}"
    assert found(study(imaging("hub/1"), stick, hubs=hub), "radio-beside-superspeed")


def test_the_fallback_night_tells_its_lost_frames_first() -> None:
    facts = GUIDE_CAMERA
    made = study(imaging("computer/usb3-1", "hub_ports: 2"), guiding("main-camera/usb2-1", facts=facts),
                 mount("computer/usb2-2"))
    (finding,) = found(made, "fallback-would-share-guiding")
    assert "That night frames are lost and guide frames come" in finding.message and finding.figures


@pytest.mark.parametrize("part", [imaging("computer/usb3-1", exposure_s=60000), guiding("computer/usb2-1",
                                                                                         exposure_s=2000)])
def test_milliseconds_are_asked_for(part: str) -> None:
    (finding,) = found(study(part), "exposure-unlikely")
    assert "milliseconds" in finding.message


def test_a_guide_camera_without_a_plug_counts() -> None:
    text = rig(imaging("computer/usb3-1"), f"guide-camera: {{role: guiding, {GUIDE_WITH_MEMORY}}}")
    report = examine_text(text)
    assert report.verdict == "risk"
    assert "Nothing has to be done" not in text_of(text)


def test_another_guide_camera_on_the_bus_counts() -> None:
    """Two guide loops on one bus hold each other up in every second frame or so, with no picture downloading at all."""
    second = guiding("computer/usb2-2", exposure_s=1).replace("guide-camera", "second-guide")
    apart = judged(study(imaging("computer/usb3-1"), guiding("computer/usb2-1")))
    both = judged(study(imaging("computer/usb3-1"), guiding("computer/usb2-1"), second))
    assert both.delay.late_last_s.high > 0.0 and both.worst.most > apart.worst.most


def test_polled_parts_are_not_named_beside_what_really_holds_a_frame_up() -> None:
    """However full a mount's own serial line is: its polls take a five-thousandth of the bus."""
    busy = mount("hub/2").replace("polls_per_s: 1", "polls_per_s: 40")
    hub = "  hub: {speed: high, ports: 4, powered: true, plug: computer/usb2-1}\n"
    made = study(imaging("computer/usb2-2"), guiding("hub/1", facts=GUIDE_CAMERA), busy, hubs=hub)
    assert {(each.guide, each.other) for each in made.shared} == {("guide-camera", "main-camera")}
    (finding,) = found(made, "frame-lost")
    assert finding.others == ("main-camera",)
    assert made.lateness("guide-camera")[0].spread.typical > 0.01
