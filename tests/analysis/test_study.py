"""The main job's figures: published download times, worked delays and overlaps, losses by FIFO arithmetic."""

from __future__ import annotations

import math

import pytest

from tests.facts import facts
from topo.analysis.study import Study
from topo.checks.cases import GUIDE_CAMERA, GUIDE_WITH_MEMORY, guiding, imaging, mount, rig
from topo.model.change import MovePlug, SetCable, SetUse
from topo.model.records import CableFacts
from topo.pipeline import examine_text


def study(text: str) -> Study:
    return examine_text(text).study


def camera(width: int, height: int, plug: str, more: str = "") -> str:
    facts = f"role: imaging, width_px: {width}, height_px: {height}, speed: super"
    return f"c: {{{facts}, plug: {plug}, use: {{exposure_s: 60{more}}}}}"


# One maker's published full-frame download times, with another maker's pixel counts for the same sensor class.
PUBLISHED_TIMES = [
    (11760, 8896, "computer/usb2-1", 5.57),
    (11760, 8896, "computer/usb3-1", 0.66),
    (14304, 10748, "computer/usb2-1", 6.80),
    (14304, 10748, "computer/usb3-1", 0.95),
]


@pytest.mark.parametrize(("width", "height", "plug", "seconds"), PUBLISHED_TIMES)
def test_published_download_times_lie_in_the_range(width: int, height: int, plug: str, seconds: float) -> None:
    alone = study(rig(camera(width, height, plug))).device("c").alone_s
    assert alone is not None
    assert alone.low <= seconds <= alone.high


@pytest.mark.parametrize(
    ("width", "height", "published", "usb2", "usb3"),
    # Frame sizes and times of the classes as published, USB 2 range and USB 3 figure in seconds, to two decimals.
    [
        (1280, 960, 2.5, (0.07, 0.09), 0.05),
        (4144, 2822, 23.4, (0.54, 0.64), 0.11),
        (6248, 4176, 52.2, (1.17, 1.40), 0.20),
        (9576, 6388, 122.3, (2.71, 3.27), 0.40),
    ],
)
def test_published_frame_sizes(
    width: int, height: int, published: float, usb2: tuple[float, float], usb3: float
) -> None:
    slow = study(rig(camera(width, height, "computer/usb2-1"))).device("c")
    fast = study(rig(camera(width, height, "computer/usb3-1"))).device("c")
    assert slow.frame_bytes is not None and slow.alone_s is not None and fast.alone_s is not None
    assert slow.frame_bytes / 1e6 == pytest.approx(published, abs=0.05)
    # The published range ends at 37.7 MB/s; the worst bit stuffing leaves 35.1.
    assert slow.alone_s.low == pytest.approx(usb2[0], abs=0.012)
    assert usb2[1] - 0.012 <= slow.alone_s.high <= usb2[1] * 37.7 / 35.1 + 0.012
    assert fast.alone_s.low - 0.005 <= usb3 <= fast.alone_s.high + 0.005


SHARED = rig(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1"), mount("computer/usb2-2", 0.35))


def test_delay_of_two_cameras_on_one_bus_by_hand() -> None:
    """Equal shares of C = 41.5 MB/s likely; both want more than half, so each gets 20.75 MB/s while both run.

    The guide frame of 2,457,600 bytes needs 118.4 ms then, against 2,457,600 / 37 MB/s = 66.4 ms alone: 52.0 ms more.
    Served last it waits for 52,183,296 bytes / 41.5 MB/s = 1.2574 s; the 19 ms that a frame takes besides its bytes
    leave the link free.
    """
    guide = study(SHARED).device("guide-camera")
    assert guide.delay_fair_s is not None and guide.delay_last_s is not None
    assert guide.delay_fair_s.likely == pytest.approx(2_457_600 / 20.75e6 - 2_457_600 / 37e6, rel=1e-4)
    assert guide.delay_last_s.likely == pytest.approx(6248 * 4176 * 2 / 41.5e6, rel=1e-4)


def test_two_flow_closed_form() -> None:
    """Extra guide delay = min(Fg/ag, Fi/ai) (1 - ag/min(rg, C)) for two bulk flows on one bus."""
    found = study(SHARED).device("guide-camera").delay_fair_s
    assert found is not None
    for capacity, delay in zip((45.4e6, 41.5e6, 41.5e6 * 11 / 13), found, strict=True):
        share = capacity / 2
        expected = min(2_457_600 / share, 52_183_296 / share) * (1 - share / min(37e6, capacity))
        assert delay == pytest.approx(expected, rel=1e-6)


def test_chance_that_a_download_meets_a_guide_frame() -> None:
    """(d + t) / T with d about 1.28 s and t about 0.066 s: 67 % when the whole cycle T is 2 s, 0.3 s of it overhead."""
    download, transfer = 6248 * 4176 * 2 / 41.5e6 + 0.019, 2_457_600 / 37e6
    exposure = 2 - transfer - 0.019 - 0.3
    text = rig(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1", exposure_s=exposure))
    chance = study(text).device("guide-camera").chance
    assert chance == pytest.approx((download + transfer) / 2, rel=1e-3)
    assert round(chance or 0, 1) == 0.7


def test_separate_wires_share_nothing() -> None:
    """A USB 2 guide camera behind a SuperSpeed camera uses the USB 2 pair; the big one does not."""
    apart = study(rig(imaging("computer/usb3-1", "hub_ports: 2"), guiding("main-camera/usb2-1")))
    assert apart.shared == ()
    guide = apart.device("guide-camera")
    assert guide.alone_s == guide.together_s


def test_loss_by_fifo_arithmetic() -> None:
    """A buffer of 16 kB fills in 16,000 / (37 - 20.75 MB/s) = 0.985 ms at the likely end."""
    lossy = study(rig(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1", facts=GUIDE_CAMERA)))
    guide = lossy.device("guide-camera")
    assert guide.lost == "certain"
    assert guide.lost_after_s is not None
    assert guide.lost_after_s == pytest.approx(16_000 / 37e6, rel=1e-6)  # at the soonest: others come first
    assert study(SHARED).device("guide-camera").lost == "no"


def test_a_buffer_as_large_as_a_frame_loses_nothing() -> None:
    big = GUIDE_CAMERA.replace("fifo_kb: 16", "fifo_kb: 2500")
    kept = study(rig(imaging("computer/usb2-1", "hub_ports: 2"), guiding("main-camera/usb2-1", facts=big)))
    assert kept.device("guide-camera").lost == "no"


def test_what_if_is_a_fresh_study() -> None:
    before = study(SHARED)
    for change in (
        MovePlug("guide-camera", "computer", "usb3-1"),
        SetCable("main-camera", facts(CableFacts, length_m=1.0, grade="usb2")),
        SetUse("main-camera", "bin", 2),
    ):
        after = before.what_if(change)
        assert after.devices == Study(after.rig).devices
        assert after.links == Study(after.rig).links
    assert before.what_if(MovePlug("guide-camera", "computer", "usb3-1")).shared == ()


def test_binning_quarters_the_frame_and_odd_sizes_round_up() -> None:
    text = rig(
        f"c: {{role: imaging, {GUIDE_WITH_MEMORY.replace('1280', '1281')}, plug: computer/usb2-1, use: {{bin: 2}}}}"
    )
    assert study(text).device("c").frame_bytes == 641 * 480 * 2


@pytest.mark.parametrize(
    ("facts", "expected"),
    [("sample_bits: 8", 1), ("sample_bits: 12", 2), ("sample_bits: 12, packed: true", 1.5), ("sample_bits: 16", 2)],
)
def test_bytes_of_a_sample(facts: str, expected: float) -> None:
    text = rig(f"c: {{role: imaging, width_px: 1000, height_px: 1000, speed: high, {facts}, plug: computer/usb2-1}}")
    assert study(text).device("c").frame_bytes == expected * 1e6


def test_a_controller_on_one_lane_is_the_bottleneck() -> None:
    """Two cameras of 350 MB/s on one PCIe 2 lane of 421 to 457 MB/s get half of it each."""
    lane = rig().replace("first: {}", "first: {uplink: pcie2x1}")
    two = [
        f"c{n}: {{role: imaging, width_px: 6248, height_px: 4176, speed: super, readout_mb_per_s: 350, "
        f"plug: computer/usb3-{n}, use: {{exposure_s: 60}}}}"
        for n in (1, 2)
    ]
    both = study(rig(*two, computer=lane))
    link = both.link("uplink:first:in")
    assert tuple(link.expected_mb_per_s) == pytest.approx((421.05, 421.05, 457.14), abs=0.01)
    gets = both.device("c1").gets_mb_per_s
    assert gets is not None and gets.likely == pytest.approx(421.05 / 2, abs=0.01)


def test_serial_lines_reach_the_bus_through_their_adapter() -> None:
    text = rig(
        "adapter: {speed: full, serial_sockets: 1, plug: hub/1}",
        "mount: {role: mount, plug: adapter/serial-1, "
        "serial: {baud: 9600, polls_per_s: 2, bytes_out: 10, bytes_in: 30}}",
        hubs="  hub: {speed: high, ports: 4, translators: one, plug: computer/usb2-1}\n",
    )
    flow = study(text).flow("mount")
    assert flow is not None
    assert flow.demand_bytes_per_s == 80
    assert [use.resource for use in flow.uses] == ["serial:adapter/serial-1", "translator:hub", "usb2:second/two"]


def test_nothing_known_gives_nothing_made_up() -> None:
    device = study(rig("c: {role: imaging, plug: computer/usb3-1}")).device("c")
    assert device.frame_bytes is None and device.alone_s is None and device.lost == "no"
    assert not any(isinstance(value, float) and math.isnan(value) for value in (device.asked_mb_per_s or 0.0,))


def test_a_video_class_camera_streams_in_what_it_reserves() -> None:
    """3 x 1024 bytes a microframe: 24.576 MB/s of its own; what is left of the bus is (1 - 0.425) of it for others."""
    stream = "web: {role: other, width_px: 1280, height_px: 960, speed: high, interface: iso, iso_bytes_per_ms: 24576, "
    both = study(rig(stream + "plug: computer/usb2-2, use: {mode: video}}", guiding("computer/usb2-1")))
    gets = both.device("web").gets_mb_per_s
    assert gets is not None and gets.likely == pytest.approx(24.576)
    assert [(each.guide, each.other) for each in both.shared] == [("guide-camera", "web")]
    guide = both.device("guide-camera")
    reserved = (3 * 38 + 3072) / 7500
    assert guide.alone_s is not None and guide.delay_fair_s is not None
    assert guide.alone_s.likely == pytest.approx(2_457_600 / 37e6 + 0.019, rel=1e-6)  # its readout, not what is left
    late = 2_457_600 / (41.5e6 * (1 - reserved)) - 2_457_600 / 37e6
    assert guide.delay_fair_s.likely == pytest.approx(late, rel=1e-6)
