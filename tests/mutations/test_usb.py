"""Mistakes planted in `topo/usb/` that no test noticed, each with a case worked by hand."""

from __future__ import annotations

import math

import pytest

from tests.facts import facts
from topo.analysis.study import Study
from topo.model.records import DeviceFacts, UseFacts
from topo.model.speed import Speed
from topo.pipeline import rig_of
from topo.rigfile.read import read_text
from topo.usb.camera import binned_frame_bytes
from topo.usb.frames import Transfer, transactions
from topo.usb.periodic import reservations
from topo.usb.traffic import screen_traffic
from topo.usb.translator import exchange_seconds_per_byte

ENDLESS = math.inf
NETWORKED = ("rig: r\ncomputer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}}}\ndevices:\n"
             "  cam: {role: guiding, speed: high, width_px: 1000, height_px: 1000, sample_bits: 8, "
             "plug: computer/usb2-1, use: {mode: video, fps: 5}}\n"
             "  net: {role: network, speed: high, plug: computer/usb2-2}\n")


def test_a_video_of_five_frames_a_second_has_one_each_fifth_of_a_second() -> None:
    flow = Study(rig_of(read_text(NETWORKED, "rig.yaml"))).flow("cam")
    assert flow is not None and flow.period_s == pytest.approx(0.2)


SIZE = "width_px: 1000, height_px: 500, sample_bits: 16"
SERIAL = "speed: full, role: mount, serial: {baud: 9600, polls_per_s: 2, bytes_out: 6, bytes_in: 14"


@pytest.mark.parametrize(("device", "moves"), [
    # stills: a frame of 1 MB each exposure and pause, as fast as readout and limit let it
    (f"{SIZE}, readout_mb_per_s: 30, use: {{exposure_s: 60}}", ("still", "in", 1e6, 60.0, 30e6, 30e6)),
    (f"{SIZE}, readout_mb_per_s: 30, use: {{exposure_s: 60, gap_s: 5, limit_mb_per_s: 12}}",
     ("still", "in", 1e6, 65.0, 12e6, 12e6)),
    (f"{SIZE}, use: {{exposure_s: 60}}", ("still", "in", 1e6, 60.0, ENDLESS, ENDLESS)),
    (f"{SIZE}, readout_mb_per_s: 30", ("still", "in", 1e6, None, 30e6, 30e6)),
    # video: by the rate asked for, by exposure, by readout; by what it reserves (1 kB/ms is 1 MB/s)
    (f"{SIZE}, readout_mb_per_s: 30, use: {{mode: video, fps: 4}}", ("video", "in", 1e6, 0.25, 4e6, 30e6)),
    (f"{SIZE}, readout_mb_per_s: 30, use: {{mode: video, exposure_s: 0.5}}", ("video", "in", 1e6, 0.5, 2e6, 30e6)),
    (f"{SIZE}, readout_mb_per_s: 20, use: {{mode: video}}", ("video", "in", 1e6, 0.05, 20e6, 20e6)),
    (f"{SIZE}, readout_mb_per_s: 20, use: {{mode: video, fps: 90}}", ("video", "in", 1e6, 1 / 90, 20e6, 20e6)),
    (f"{SIZE}, use: {{mode: video}}", ("video", "in", 1e6, None, ENDLESS, ENDLESS)),
    (f"{SIZE}, iso_bytes_per_ms: 1000, use: {{mode: video}}", ("video", "in", 1e6, 1.0, 1e6, 1e6)),
    # disks and networks: what the night asks of them, out unless it says otherwise, no more than they give
    ("role: storage, mb_per_s: 30, use: {mb_per_s: 5}", ("storage", "out", 0.0, None, 5e6, 30e6)),
    ("role: storage, mb_per_s: 3, use: {mb_per_s: 5, direction: in}", ("storage", "in", 0.0, None, 3e6, 3e6)),
    ("role: network, use: {mb_per_s: 5}", ("network", "out", 0.0, None, 5e6, ENDLESS)),
    ("role: network, mb_per_s: 30", None),
    ("role: focuser, mb_per_s: 30, use: {mb_per_s: 5}", None),
    # serial lines: two exchanges of 20 bytes a second from each program; a character of ten bits, or of twelve
    (f"{SERIAL}}}", ("serial", "in", 0.0, 0.5, 40.0, 960.0)),
    (f"{SERIAL}, clients: 3}}", ("serial", "in", 0.0, 0.5, 120.0, 960.0)),
    (f"{SERIAL}, framing: 8E2}}", ("serial", "in", 0.0, 0.5, 40.0, 800.0)),
    (SERIAL.replace("polls_per_s: 2", "polls_per_s: 100") + "}", ("serial", "in", 0.0, 0.01, 960.0, 960.0)),
    (SERIAL.replace("polls_per_s: 2", "polls_per_s: 0") + "}", None),
    (SERIAL.replace("bytes_out: 6, bytes_in: 14", "bytes_out: 0, bytes_in: 0") + "}", None),
    (SERIAL.replace("bytes_out: 6, bytes_in: 14", "bytes_out: 1, bytes_in: 0") + "}",
     ("serial", "in", 0.0, 0.5, 2.0, 960.0)),
])
def test_what_a_device_moves(device: str, moves: tuple[object, ...] | None) -> None:
    """Kind, direction, bytes of a frame, seconds between frames or polls; bytes/s asked for and given at most."""
    speed = "" if "speed: full" in device else "speed: high, "
    text = ("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\ndevices:\n"
            f"  d: {{{speed}{device}, plug: computer/usb2-1}}\n")
    flow = Study(rig_of(read_text(text, "rig.yaml"))).flow("d")
    if moves is None:
        assert flow is None
        return
    assert flow is not None
    found = (flow.kind, flow.direction, flow.frame_bytes, flow.period_s, flow.demand_bytes_per_s, flow.cap_bytes_per_s)
    assert found == (*moves[:2], *(each if each is None else pytest.approx(each) for each in moves[2:]))


def test_what_is_reserved_by_hand() -> None:
    """Bytes and an overhead of 55 (interrupt) or 38 (isochronous) of 60,000 in a millisecond, or 13 and 9 of 1,500."""
    def of(speed: Speed, **told: float) -> tuple[float, ...]:
        kept = reservations(facts(DeviceFacts, **told), speed)
        return kept.own_bus, kept.high_speed_bus, kept.own_stream, kept.high_speed_stream

    assert of(Speed.HIGH) == (0.0, 0.0, 0.0, 0.0)
    assert of(Speed.HIGH, interrupt_bytes=1024, interrupt_interval_ms=1.0) == pytest.approx((1079 / 60000, 0, 0, 0))
    assert of(Speed.HIGH, interrupt_bytes=1025, interrupt_interval_ms=0.5) == pytest.approx((2 * 1135 / 60000, 0, 0, 0))
    assert of(Speed.HIGH, interrupt_bytes=8) == pytest.approx((63 / 60000 / 8, 0, 0, 0))
    assert of(Speed.HIGH, iso_bytes_per_ms=8192) == pytest.approx((8 * 1062 / 60000, 0, 8 * 1062 / 60000, 0))
    assert of(Speed.HIGH, iso_bytes_per_ms=8200) == pytest.approx((8 * 1101 / 60000, 0, 8 * 1101 / 60000, 0))
    # behind a translator: a start-split, a complete-split for each begun 188 bytes and two more
    full, above = (9 + 1000) / 1500, ((1 + 6 + 2) * 38 + 1000) / 60000
    assert of(Speed.FULL, iso_bytes_per_ms=1000) == pytest.approx((full, above, full, above))
    both = of(Speed.FULL, iso_bytes_per_ms=1000, interrupt_bytes=8, interrupt_interval_ms=2.0)
    assert both == pytest.approx((full + 21 / 3000, above + (3 * 55 + 8) / 120000, full, above))
    assert of(Speed.LOW, interrupt_bytes=8, interrupt_interval_ms=10.0)[0] == pytest.approx(27 / 1870)


@pytest.mark.parametrize(("roi", "samples"), [("1x1", 1), ("1x700", 700), ("640x1", 640), ("9000x2", 2000),
                                              ("2x9000", 2000), ("9000x9000", 1_000_000)])
def test_a_frame_is_no_larger_than_what_is_read_out_and_than_the_sensor(roi: str, samples: int) -> None:
    told = facts(DeviceFacts, width_px=1000, height_px=1000, sample_bits=8)
    assert binned_frame_bytes(told, facts(UseFacts, roi=roi)) == samples


@pytest.mark.parametrize(("interval_ms", "frames"), [(1.0, 1.0), (0.125, 1.0), (4.0, 4.0)])
def test_a_full_speed_interrupt_comes_once_a_frame_at_most(interval_ms: float, frames: float) -> None:
    """13 bytes of overhead and 8 of payload in every so many frames of 1,500 bytes (USB 2.0 table 5-7, 5.7.4)."""
    told = facts(DeviceFacts, interrupt_bytes=8, interrupt_interval_ms=interval_ms)
    assert reservations(told, Speed.FULL).own_bus == pytest.approx(21 / 1500 / frames)


def test_an_exchange_may_be_of_one_byte() -> None:
    """14 of 1,500 bytes of a frame of 1 ms; above it two splits of 55 bytes and the byte, of 60 million a second."""
    assert exchange_seconds_per_byte(1, 0) == pytest.approx((14 / 1500 / 1000, 111 / 60e6))


def test_a_screen_goes_out_by_a_part_that_is_there_and_by_no_other() -> None:
    topology = Study(rig_of(read_text(NETWORKED, "rig.yaml"))).topology
    assert screen_traffic(topology, "nobody", 1.0).flows == ()
    [flow] = screen_traffic(topology, "net", 1.0).flows
    assert (flow.device, flow.direction, flow.demand_bytes_per_s) == ("net", "out", 1e6)


@pytest.mark.parametrize(("speed", "kind", "most"), [
    (Speed.HIGH, Transfer.INTERRUPT, 3072), (Speed.HIGH, Transfer.ISOCHRONOUS, 3072), (Speed.HIGH, Transfer.BULK, 512),
    (Speed.FULL, Transfer.INTERRUPT, 64), (Speed.FULL, Transfer.ISOCHRONOUS, 1023), (Speed.LOW, Transfer.INTERRUPT, 8),
])
def test_a_payload_is_of_one_byte_at_least_and_of_no_more_than_the_transfer_takes(
    speed: Speed, kind: Transfer, most: int,
) -> None:
    assert transactions(speed, kind, 1).transactions > transactions(speed, kind, most).transactions >= 1
    for wrong in (0, most + 1):
        with pytest.raises(ValueError, match=f"1 to {most} bytes"):
            transactions(speed, kind, wrong)
