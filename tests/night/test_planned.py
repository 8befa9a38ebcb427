"""The builder: what the file says of a night, what is assumed where it is silent, and bounds that no rig may pass."""

from __future__ import annotations

import math
import os
import random
from itertools import pairwise

import pytest

from tests.fuzz_check import profiles
from tests.fuzz_rigs import Maker
from tests.place.random_rigs import random_text, rig_from
from topo.errors import RigFileError, TopoError
from topo.model.facts import Range3
from topo.model.night import NEVER, Guiding
from topo.night.casting import SCREEN
from topo.night.meet import meeting
from topo.night.outcome import Nights
from topo.night.planned import nights_of
from topo.night.run import Draw, run_night
from topo.pipeline import rig_of
from topo.rigfile.read import read_text
from topo.usb.traffic import traffic
from topo.wiring.topology import Topology

os.environ.setdefault("TOPO_PROFILES", os.devnull)

GUIDE = """
  guide: {role: guiding, width_px: 1280, height_px: 960, speed: high, frame_memory_mb: 0, plug: computer/usb2-1,
          use: {exposure_s: 2}, readout_mb_per_s: 37}
"""
HEAD = "rig: X\ncomputer: {ports: {usb2-1: {usb2_bus: a}, usb2-2: {usb2_bus: a}, usb2-3: {usb2_bus: a}}}\ndevices:"


def built(text: str) -> Nights:
    topology = Topology(rig_of(read_text(text, "rig.yaml")))
    return nights_of(topology, traffic(topology))


def rig(devices: str, night: str = "") -> Nights:
    return built(f"{HEAD}{GUIDE}{devices}\n{night}")


CAMERA = """  main: {role: imaging, width_px: 6000, height_px: 4000, speed: high, plug: computer/usb2-2}"""
MOUNT = "  mount: {role: mount, plug: computer/usb2-3, interface: serial, %s}"


def guiding(devices: str, night: str = "") -> Guiding:
    return rig(devices, night).plan.guiding[0]


# -- what is planned -------------------------------------------------------------------------------------------------


def test_a_silent_file_is_a_customary_night_that_says_so() -> None:
    plan = rig(CAMERA).plan
    assert plan.seconds == 8 * 3600
    [shot] = plan.shooting
    assert (shot.exposure_s, shot.gap_s, shot.dither_every, shot.settle_s) == (120.0, 0.5, 3, 10.0)
    assert not shot.overlapped and shot.focus_every_s == 0 and shot.filter_every == 0  # no focuser, no wheel
    assert shot.guided_by == "guide"
    for words in ("8 hours", "120 s of exposure of main", "dither after each 3", "1.5 to 4 arcsec", "10 to 60 arcsec"):
        assert any(words in said for said in plan.assumed), words


def test_what_is_declared_is_taken_and_not_said_to_be_assumed() -> None:
    plan = rig(CAMERA, "night: {hours: 5, dither_every: 2, settle_s: 7, focus_every_min: 30, focus_frames: 5, "
               "frames_per_filter: 10, filter_change_s: 3, overlapped: true, seeing_arcsec: 2, guide_gain: 0.6, "
               "guide_overhead_s: 0.2, star_noise_arcsec: 0.4, guide_timeout_s: 20, guide_wait_s: 4}").plan
    [shot], [loop] = plan.shooting, plan.guiding
    assert (plan.seconds, plan.seeing_arcsec) == (5 * 3600, Range3.of(2.0))
    assert (shot.dither_every, shot.settle_s, shot.focus_every_s, shot.focus_frames) == (2, 7.0, 1800.0, 5)
    assert (shot.filter_every, shot.filter_s, shot.overlapped) == (10, 3.0, True)
    assert (loop.gain, loop.overhead_s, loop.noise_arcsec) == (Range3.of(0.6), Range3.of(0.2), Range3.of(0.4))
    assert (loop.timeout_s, loop.wait_s) == (Range3.of(20.0), 4.0)
    assert [said for said in plan.assumed if "mount" not in said] == [
        "120 s of exposure of main", "0.5 s from a download to the next exposure"]


def test_focus_runs_and_filters_come_with_their_parts() -> None:
    plan = rig(CAMERA + "\n  focuser: {role: focuser}\n  wheel: {role: filter-wheel}").plan
    assert (plan.shooting[0].focus_every_s, plan.shooting[0].filter_every) == (3600.0, 20)


# -- mounts ----------------------------------------------------------------------------------------------------------


def test_a_mount_of_a_class_is_a_range_and_a_declared_one_a_figure() -> None:
    shipped = guiding("  mount: {profile: mount-strain-wave-serial, plug: computer/usb2-3}").mount
    assert (shipped.peak_to_peak_arcsec, shipped.period_s) == (Range3(19.0, 32.0, 45.0), Range3.of(431.0))
    assert shipped.rougher == Range3(1.0, 1.2, 1.6) and shipped.known
    own = guiding(MOUNT % "periodic_error_arcsec: 12, periodic_error_period_s: 400, gear: worm").mount
    assert (own.peak_to_peak_arcsec, own.period_s, own.rougher) == (
        Range3.of(12.0), Range3.of(400.0), Range3.of(1.0))


def test_a_rate_that_was_measured_here_goes_before_the_swing_of_a_profile() -> None:
    said = "profile: mount-strain-wave-serial, drift_arcsec_per_s: 0.2"
    mount = guiding(f"  mount: {{{said}, plug: computer/usb2-3}}").mount
    assert math.pi * mount.peak_to_peak_arcsec.high / mount.period_s.low == pytest.approx(0.2)
    assert mount.rougher == Range3.of(1.0)


def test_an_unknown_mount_is_a_range_and_marked() -> None:
    for devices in ("", MOUNT % "endpoints: 2", MOUNT % "endpoints: 2" + "\n  other: {role: mount}"):
        mount = guiding(devices).mount
        assert not mount.known
        assert (mount.peak_to_peak_arcsec, mount.period_s) == (Range3(10.0, 20.0, 60.0), Range3(240.0, 480.0, 600.0))


# -- buffers and readouts --------------------------------------------------------------------------------------------


def buffers(facts: str) -> tuple[float, ...]:
    text = f"{HEAD}\n  guide: {{role: guiding, width_px: 1280, height_px: 960, plug: computer/usb2-1, {facts}}}\n"
    nights = built(text)
    return tuple(nights.casts[level].flows[0].buffer_bytes for level in ("low", "likely", "high"))


def test_buffers_that_nobody_knows_are_ranges() -> None:
    assert buffers("speed: high, frame_memory_mb: 0") == (2e3, 6e3, 16e3)
    assert buffers("speed: super, frame_memory_mb: 0") == (64e3, 180e3, 512e3)
    assert buffers("speed: high") == (2e3, 6e3, math.inf)  # it may have memory: a loss is never certain
    assert buffers("speed: high, fifo_kb: 4, frame_memory_mb: 0") == (4e3, 4e3, 4e3)
    assert buffers("speed: high, frame_memory_mb: 64") == (math.inf,) * 3
    assert buffers("speed: high, frame_memory_mb: 1, fifo_kb: 4") == (1.004e6,) * 3  # a part of a frame of 2.4 MB


def test_a_mount_that_is_polled_costs_no_frame() -> None:
    """40 bytes a second on the guide camera's bus: 0.24 us of delay, and no loss at all."""
    mount = MOUNT % "speed: full, serial: {baud: 9600, polls_per_s: 1, bytes_out: 10, bytes_in: 30}"
    nights = rig(mount)
    for level, cast in nights.casts.items():
        for discipline in ("fair", "last"):
            met = meeting(cast, discipline)["guide"]
            assert met.lost_after_s == math.inf, level
            assert met.took_s - cast.alone_s["guide"] < 1e-6


def webcam(how: str) -> str:
    return f"  webcam: {{role: other, width_px: 1600, height_px: 1200, speed: high, plug: computer/usb2-2, {how}}}"


def test_a_reservation_takes_from_a_guide_camera_as_a_stream_does() -> None:
    """24,576 B/ms reserved of 60,000: what is left of the bus is below the guide camera's 37 MB/s. It loses frames, or
    waits where it has memory."""
    stream = webcam("iso_bytes_per_ms: 24576, use: {mode: video}")
    beside, alone = rig(stream), rig("")
    keeps = built(f"{HEAD}{GUIDE.replace('frame_memory_mb: 0', 'frame_memory_mb: 9')}{stream}")
    for level in ("low", "likely", "high"):
        cast = beside.casts[level]
        assert cast.alone_s["guide"] == alone.casts[level].alone_s["guide"]  # its readout is not what is left over
        assert meeting(cast, "fair")["guide"].lost_after_s < 0.01
        waits = meeting(keeps.casts[level], "fair")["guide"]
        assert waits.lost_after_s == math.inf and waits.took_s > 1.2 * cast.alone_s["guide"]


def test_an_interrupt_endpoint_is_no_stream() -> None:
    nights = rig("  wheel: {role: filter-wheel, speed: full, interrupt_bytes: 64, interrupt_interval_ms: 10, "
                 "plug: computer/usb2-2}")
    for cast in nights.casts.values():
        assert meeting(cast, "last")["guide"].lost_after_s == math.inf


def test_behind_a_stream_that_fills_the_bus_the_frame_never_comes() -> None:
    nights = rig(webcam("readout_mb_per_s: 100, use: {mode: video}"))
    assert meeting(nights.casts["likely"], "last")["guide"].took_s == NEVER
    assert meeting(nights.casts["likely"], "fair")["guide"].took_s < 1.0


# -- copying ---------------------------------------------------------------------------------------------------------

DISK = "  disk: {role: storage, speed: high, plug: computer/usb2-3, use: {mb_per_s: 20}}"


def test_copying_as_the_file_says() -> None:
    def copies(night: str) -> tuple[tuple[float, float], ...]:
        plan = rig(CAMERA + "\n" + DISK, night).plan
        return tuple((each.on_s, each.every_s) for each in plan.copying)

    assert copies("") == ()  # all night
    assert copies("night: {copying: {disk: {when: all-night}}}") == ()
    assert copies("night: {copying: {disk: {for_s: 60, every_s: 600}}}") == ((60.0, 600.0),)
    [(on, every)] = copies("night: {copying: {disk: {when: each-picture}}}")
    assert on == pytest.approx(48e6 / 20e6) and every == pytest.approx(120 + 0.5 + 48e6 / 41.5e6)
    [(on, every)] = copies("night: {copying: {disk: {when: never}}}")
    assert on == 0 and every > 8 * 3600


def test_never_copying_moves_nothing() -> None:
    nights = rig(CAMERA + "\n" + DISK, "night: {copying: {disk: {when: never}}}")
    night = run_night(nights.plan, nights.casts["likely"], "fair", Draw(0))
    assert [stream.bytes for stream in night.streams if stream.flow == "disk"] == [0.0]


def test_a_remote_desktop_is_a_flow_of_its_own() -> None:
    net = "  net: {role: network, speed: high, plug: computer/usb2-3, use: {mb_per_s: 5}}"
    nights = rig(net, "night: {remote_desktop: {through: net, mb_per_s: 2}, copying: {net: {when: never}}}")
    flows = {flow.name: flow for flow in nights.casts["likely"].flows}
    assert flows[SCREEN].cap == 2e6 and flows[SCREEN].steady and flows[SCREEN].uses == flows["net"].uses
    idle = "  net: {role: network, speed: high, plug: computer/usb2-3}"
    assert SCREEN in {f.name for f in rig(idle, "night: {remote_desktop: {through: net}}").casts["low"].flows}


# -- mistakes --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("night", "said"), [
    ("night: {copying: {disc: {when: never}}}", (5, 18, "there is no device 'disc' here", "nearest name: disk")),
    ("night: {copying: {cam: {when: never}}}", (5, 18, "'cam' moves no files: its role is imaging",
                                                "name a device of the role storage or network")),
    ("night: {copying: {disk: {for_s: 5}}}", (5, 19, "'disk' has `for_s` and lacks `every_s`",
                                              "for instance {for_s: 60, every_s: 600}")),
    ("night: {copying: {disk: {for_s: 5, every_s: 9, when: never}}}", (5, 19, "'disk' says when it copies twice",
                                                                       "leave out `when`, or `for_s` and `every_s`")),
    ("night: {remote_desktop: {through: dsk}}", (5, 35, "there is no device 'dsk' here", "nearest name: disk")),
    ("night: {hour: 5}", (5, 9, "there is no key 'hour' here", "nearest name: hours")),
    ("night: {hours: 99}", (5, 16, None, None)),
])
def test_mistakes_are_told_where_they_stand(night: str, said: tuple[int, int, str | None, str | None]) -> None:
    text = f"rig: X\ncomputer: {{}}\ndevices: {{disk: {{role: storage}}, cam: {{role: imaging}}}}\n\n{night}\n"
    with pytest.raises(RigFileError) as caught:
        read_text(text, "x")
    [problem] = caught.value.problems
    assert problem.line == said[0]
    if said[2] is not None:
        assert said[2] in problem.message
        assert (problem.hint or "") == said[3]


# -- any rig ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(60))
def test_no_flow_of_a_random_rig_passes_its_own_link(seed: int) -> None:
    rig = rig_from(random_text(seed))
    topology = Topology(rig)
    _held(nights_of(topology, traffic(topology)))


def test_no_flow_of_any_rig_the_schema_takes_passes_its_own_link() -> None:
    maker = Maker(random.Random(15), profiles())
    done = 0
    for _ in range(80):
        try:
            topology = Topology(rig_of(read_text(maker.text(), "x")))
            nights = nights_of(topology, traffic(topology))
        except TopoError:
            continue
        done += 1
        _held(nights)
    assert done > 40


def _held(nights: Nights) -> None:
    """Every camera of the plan is in each cast; readouts fit their links; the mild end is no worse than the harsh."""
    low, likely, high = (nights.casts[level] for level in ("low", "likely", "high"))
    for cast in (low, likely, high):
        for flow in cast.flows:
            assert 0.0 < flow.cap < math.inf and flow.buffer_bytes >= 0.0
            if not flow.steady and not flow.uses and not cast.sizes[flow.name]:
                continue  # a camera of whose downloads nothing is known: it only opens and closes its shutter
            for use in flow.uses:  # capacities have reservations taken off; a link without them holds the flow alone
                assert flow.cap * use.seconds_per_byte <= 1.0 + 1e-9
        for name in (each.camera for each in (*nights.plan.guiding, *nights.plan.shooting)):
            assert (cast.sizes[name] > 0) is (cast.alone_s[name] > 0) and cast.fixed_s[name] >= 0
    for one, other, best in zip(low.flows, likely.flows, high.flows, strict=True):
        assert one.cap <= other.cap * (1 + 1e-9) and other.cap <= best.cap * (1 + 1e-9)
        assert one.buffer_bytes <= other.buffer_bytes <= best.buffer_bytes
        assert one.name == other.name == best.name
    for each in (*nights.plan.guiding, *nights.plan.shooting):
        assert each.exposure_s > 0


def test_a_dither_waits_for_guiding_to_settle_and_no_longer() -> None:
    """A camera on a link of its own dithers while the guide camera jumps over cycles: it goes on with the first guide
    frame after the settling time all the same."""
    text = (f"rig: X\ncomputer: {{ports: {{usb2-1: {{usb2_bus: a}}, usb2-2: {{usb2_bus: b}}}}}}\ndevices:{GUIDE}"
            f"{CAMERA}\nnight: {{dither_every: 1, settle_s: 12}}\n")
    nights = built(text)
    for discipline in ("fair", "last"):
        night = run_night(nights.plan, nights.casts["likely"], discipline, Draw(4))
        [shot] = night.shooting
        took = 0.5 + nights.casts["likely"].alone_s["main"] + nights.casts["likely"].fixed_s["main"]
        waits = [then[0] - before[1] - took for before, then in pairwise(shot.pictures)]
        cycle = 2.0 + 0.3 + 0.2  # exposure, overhead, transfer and pulse
        assert len(waits) > 200
        assert all(12.0 <= wait <= 12.0 + cycle for wait in waits)


def test_frames_lost_on_end_are_the_same_whether_jumped_over_or_not() -> None:
    """A steady copy makes every guide frame lose bytes; a second camera, on the bus now and then, stops the jumps."""
    copy = "  disk: {role: storage, speed: high, plug: computer/usb2-3, use: {mb_per_s: 20}}"
    other = "  odd: {role: other, width_px: 9, height_px: 9, speed: high, plug: computer/usb2-2, use: {exposure_s: 3}}"
    found = []
    for devices in (copy, copy + "\n" + other):
        nights = rig(devices)
        night = run_night(nights.plan, nights.casts["likely"], "fair", Draw(2))
        [guide] = night.guiding
        assert sum(each.frames for each in guide.late if each.lost) == guide.frames
        found.append((guide.frames, max(each.by_s for each in guide.late)))
    assert found[0][0] == pytest.approx(found[1][0], rel=2e-3)
    assert found[0][1] == pytest.approx(found[1][1], abs=1e-4)
