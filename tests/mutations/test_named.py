"""Mistakes that were planted once and that no test noticed: each has a case of its own here, worked by hand."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from tests.facts import facts
from topo.analysis.levels import asked_rates
from topo.analysis.study import Study
from topo.checks.cases import guiding, imaging, rig
from topo.errors import CommandError
from topo.model.finding import Finding, Severity
from topo.model.records import DeviceFacts, UseFacts
from topo.model.rig import Place
from topo.model.speed import Speed
from topo.model.traffic import Use
from topo.night.buffers import knows_its_buffer
from topo.night.channels import Moving
from topo.night.forms import meeting_chance
from topo.night.meet import meeting
from topo.night.run import Cast
from topo.pack.redact import Tags, redacted
from topo.pack.removed import Removed
from topo.pipeline import examine, new_part, plugins, rig_of
from topo.place.consequence import consequence, new_findings
from topo.place.options import Placement, place
from topo.rigfile.read import read_text
from topo.usb.camera import frames_per_s
from topo.usb.delivered import delivered
from topo.usb.frames import MAX_PAYLOAD, Transfer
from topo.usb.periodic import reservations

ENDLESS = math.inf


def study(text: str) -> Study:
    return Study(rig_of(read_text(text, "rig.yaml")))


@pytest.mark.parametrize(("exposure", "gap", "fps"), [(0.02, 0.03, 20.0), (0.02, 0.0, 50.0), (0.5, 1.5, 0.5)])
def test_a_pause_between_frames_slows_a_video(exposure: float, gap: float, fps: float) -> None:
    use = facts(UseFacts, exposure_s=exposure, gap_s=gap)
    assert frames_per_s(facts(DeviceFacts), use, 1_000_000, ENDLESS) == pytest.approx(fps)


def test_a_byte_on_a_serial_line_is_ten_bits() -> None:
    """8N1: a start bit, eight of data, a stop bit. 9600 baud carry 960 bytes a second and no more."""
    text = ("rig: r\ncomputer: {}\ndevices:\n  line: {speed: full, serial_sockets: 1, plug: computer/usb2-1}\n"
            "  mount: {role: mount, plug: line/serial-1, serial: {baud: 9600, polls_per_s: 100, bytes_in: 50}}\n")
    flow = study(text).flow("mount")
    assert flow is not None and flow.cap_bytes_per_s == 960.0 and flow.demand_bytes_per_s == 960.0


def test_a_fifo_fills_no_longer_than_a_frame_is_read_out() -> None:
    """10 MB at 100 MB/s are read out in 0.1 s: with 60 MB/s of share 4 MB pile up, however long the contention lasts.

    A FIFO of 5 MB holds that; one of 3 MB is full after 3 / 40 s.
    """
    for fifo, after in ((5e6, math.inf), (3e6, 0.075)):
        flow = Moving("c", 1e8, 512.0, (Use("bus", 1e-8),), fifo)
        nothing = {"c": 0.0}
        met = meeting(Cast("likely", (flow,), {"bus": 0.6}, {"c": 10e6}, nothing, nothing), "fair")["c"]
        assert met.lost_after_s == pytest.approx(after)


def chain(deep: int) -> str:
    """A rig with a chain of so many hubs, all their other sockets free."""
    hubs = [f"  h{n}: {{speed: high, ports: 2, powered: true, plug: {'computer/usb2-1' if n == 1 else f'h{n - 1}/1'}}}"
            for n in range(1, deep + 1)]
    return "rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\nhubs:\n" + "\n".join(hubs) + "\n"


def placed(text: str, profile: str = "focuser-hid", **options: float | str) -> Placement:
    rigfile = read_text(text, "rig.yaml")
    part = new_part(rigfile, "new", {"profile": profile})
    return place(rig_of(rigfile), part, lambda s: examine(s, plugins().checks)[0], **options)  # type: ignore[arg-type]


def test_a_device_may_hang_below_five_hubs_and_not_below_six() -> None:
    """USB 2.0 4.1.1: seven tiers, the computer's own hub the first and the device the last."""
    below_five = placed(chain(5))
    assert "h5/1" in [option.plug for option in below_five.options] or any(o.alike for o in below_five.options)
    assert not any(plug.startswith("h5/") for plug, _ in below_five.ruled_out)
    below_six = placed(chain(6))
    assert ("h6/1", "it would be 6 hubs deep, and USB allows 5") in below_six.ruled_out
    assert not any(option.plug.startswith("h6/") for option in below_six.options)


def shed(hub_m: float, camera_m: float, disk: str, disk_m: float) -> str:
    """A camera on a hub, a disk on a lead of its own; every cable with its length."""
    return f"""\
rig: Shed
computer:
  controllers: {{a: {{}}, b: {{}}}}
  ports:
    usb3-1: {{controller: a, speed: super, usb2_bus: a}}
    usb2-1: {{controller: b, speed: high, usb2_bus: b}}
    usb2-2: {{controller: b, speed: high, usb2_bus: b}}
hubs:
  h1: {{speed: high, ports: 3, powered: true, plug: computer/usb2-1, cable: {{length_m: {hub_m}}}}}
devices:
  cam: {{role: imaging, speed: high, width_px: 6000, height_px: 4000, readout_mb_per_s: 60, frame_memory_mb: 0,
        fifo_kb: 10, plug: h1/1, cable: {{length_m: {camera_m}}}, use: {{exposure_s: 60}}}}
  disk: {{role: other, speed: high, plug: {disk}, cable: {{length_m: {disk_m}}}}}
"""


def test_what_must_be_bought_comes_after_all_that_is_there_however_good_it_is() -> None:
    found = placed(shed(2, 3, "h1/2", 3), "camera-guide-1mp", cable_m=1, near="disk").options
    assert [(option.plug, option.buy is not None) for option in found] == [
        ("computer/usb3-1", False), ("computer/usb2-2", False), ("h1/3", True)
    ]
    assert found[2].consequence <= found[1].consequence


def test_of_two_alike_the_one_that_surely_reaches_comes_first() -> None:
    found = placed(shed(1, 0.3, "computer/usb3-1", 2), "camera-guide-1mp", cable_m=1, near="cam").options
    assert [(option.plug, option.reach.verdict) for option in found] == [
        ("h1/2", "reaches"), ("computer/usb2-2", "try")
    ]
    assert found[0].consequence == found[1].consequence


def finding(severity: Severity, name: str = "a", part: str = "p") -> Finding:
    return Finding(name, severity, "certain", part, Place("f", 1, 1), "m")


def test_a_finding_that_became_worse_is_new_and_one_that_became_milder_is_not() -> None:
    kinds: tuple[Severity, ...] = ("note", "risk", "fault")
    for was, before in enumerate(kinds):
        for now, after in enumerate(kinds):
            fresh = new_findings((finding(before),), (finding(after),))
            assert bool(fresh) == (now > was), (before, after)
    assert new_findings((finding("fault"),), (finding("note", part="q"),))


def test_consequences_that_differ_by_a_hundredth_of_a_second_are_not_the_same() -> None:
    base = ("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\ndevices:\n"
            "  cam: {role: imaging, speed: high, width_px: WIDE, height_px: 1000, readout_mb_per_s: 40, "
            "plug: computer/usb2-1, use: {exposure_s: 60}}\n")
    one, other = (consequence(study(base.replace("WIDE", wide)), ()) for wide in ("1000", "1100"))
    assert one < other and 0.001 < other.download_s - one.download_s < 0.01


def serials() -> Iterator[str]:
    yield from (f"SN{number:05}" for number in range(3000))


def test_tags_are_long_enough_that_no_two_numbers_of_a_rig_share_one() -> None:
    """Five bytes: among 3,000 numbers two are alike once in 240,000 packs. Two bytes would be alike in nearly every."""
    tags = Tags(b"0" * 16)
    made = [tags(serial) for serial in serials()]
    assert all(re.fullmatch(r"tag-[0-9a-f]{10}", tag) for tag in made)
    assert len(set(made)) == 3000
    assert made == [tags(serial) for serial in serials()] and made[0] != Tags(b"1" * 16)("SN00000")


def test_a_loop_of_plugs_is_refused() -> None:
    with pytest.raises(CommandError):
        rig = rig_of(read_text(chain(2), "rig.yaml"))
        plug = rig.hubs[0].plug
        assert plug is not None
        Study(replace(rig, hubs=(replace(rig.hubs[0], plug=replace(plug, part="h2", socket="2")), rig.hubs[1])))


def test_what_a_rig_does_not_say_of_its_sockets_its_pack_does_not_say() -> None:
    text = ("rig: r\ncomputer:\n  controllers: {a: {}}\n"
            "  ports: {usb2-1: {speed: high}, usb3-1: {controller: a, usb2_bus: b}}\n")
    rigfile = read_text(text, "rig.yaml")
    hidden = redacted(rigfile, plugins().profile, lambda _: True, Tags(b"0" * 16), Removed())
    ports = read_text(hidden.text, "rig.yaml").document.computer.ports
    assert ports is not None
    unsaid = [(port.controller is None, port.usb2_bus is None) for port in ports.values()]
    assert unsaid == [(True, True), (False, False)]


def test_a_second_axis_waits_for_the_first_where_the_computer_times_pulses() -> None:
    """At 1200 baud an exchange of 40 bytes holds the line for a third of a second (10 bits a byte), and no pulse is
    longer than two: the second axis waits for a pulse and twice for the line and its own command."""
    line = "serial: {baud: 1200, polls_per_s: 1, bytes_out: 10, bytes_in: 30, pulse: BY}"
    mount = f"mount: {{role: mount, drift_arcsec_per_s: 0.35, MORE speed: full, plug: computer/usb2-2, {line}}}"
    text = rig(imaging("computer/usb3-1"), guiding("computer/usb2-1"), mount)

    def waits(by: str, more: str = "longest_pulse_ms: 2000,") -> float | None:
        [told] = study(text.replace("BY", by).replace("MORE", more)).pulses
        if by == "computer" and more:
            assert told.waits[2].worst_s >= 1 / 3
            assert told.second_axis_s == pytest.approx(2 + 2 * (told.waits[2].worst_s + told.takes_s.high))
        return told.second_axis_s

    assert (waits("computer") or 0) > 2 + 2 / 3
    assert waits("mount") is None and waits("computer", "") is None


def test_only_a_camera_has_a_frame() -> None:
    text = ("rig: r\ncomputer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}}}\ndevices:\n"
            "  cam: {role: imaging, speed: high, width_px: 1000, height_px: 500, plug: computer/usb2-1}\n"
            "  disk: {role: storage, interface: storage, speed: high, plug: computer/usb2-2, mb_per_s: 30, "
            "use: {mb_per_s: 5, direction: in}}\n")
    found = [(device.id, device.flow, device.frame_bytes) for device in study(text).devices]
    assert found == [("cam", "still", 1_000_000), ("disk", "storage", None)]


def test_a_camera_asks_for_no_more_than_its_bus_delivers_at_best() -> None:
    """Video of 100 MB/s at USB 2: what it asks is what the bus is seen to deliver, and not a byte more."""
    text = ("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\ndevices:\n  cam: {role: guiding, speed: high, "
            "width_px: 1000, height_px: 1000, sample_bits: 8, readout_mb_per_s: 400, plug: computer/usb2-1, "
            "use: {mode: video, fps: FPS}}\n")
    fast, slow = (asked_rates(study(text.replace("FPS", fps)).traffic)["cam"] for fps in ("100", "5"))
    [bus] = [each for each in study(text.replace("FPS", "5")).traffic.resources if each.kind == "usb2-bus"]
    assert fast == pytest.approx(bus.expected_mb_per_s.high * 1e6, rel=0.02) and slow == pytest.approx(5e6)
    alone = [level.alone["cam"] for level in study(text.replace("FPS", "100")).levels]
    assert alone == pytest.approx([each * 1e6 for each in bus.expected_mb_per_s], rel=0.02)


@pytest.mark.parametrize(("memory", "fifo"), [(True, True), (True, False), (False, True), (False, False)])
def test_what_a_camera_keeps_is_known_where_both_its_buffers_are(memory: bool, fifo: bool) -> None:
    known = {**({"frame_memory_mb": 64.0} if memory else {}), **({"fifo_kb": 16.0} if fifo else {})}
    assert knows_its_buffer(facts(DeviceFacts, **known)) == (memory and fifo)


def test_an_interrupt_behind_a_translator_is_three_transactions_of_high_speed() -> None:
    """One start-split and two complete-splits (USB 2.0 11.18.4) of 55 bytes of overhead each (table 5-9), and its 64
    bytes, in every 64 microframes of 7,500 bytes."""
    told = facts(DeviceFacts, interrupt_bytes=64, interrupt_interval_ms=8.0)
    assert reservations(told, Speed.FULL).high_speed_bus == pytest.approx((3 * 55 + 64) / (7500 * 64))
    assert reservations(told, Speed.HIGH).high_speed_bus == 0.0


def test_meetings_of_short_cycles_have_a_chance_too() -> None:
    assert meeting_chance(0.1, 0.05, 0.5) == pytest.approx(0.3)
    assert meeting_chance(1.0, 0.5, 0.5) == 1.0 and meeting_chance(0.1, 0.1, 0.0) == 1.0


def test_ceilings_and_payloads_are_those_of_the_tables() -> None:
    """USB 2.0 tables 5-6, 5-9 and 5-10: 6 packets of 8 bytes and 19 of 64 in a frame, 13 of 512 in a microframe;
    payloads of 5.6.3, 5.7.3 and 5.8.3."""
    told = {speed: delivered(speed).ceiling_mb_per_s for speed in (Speed.LOW, Speed.FULL, Speed.HIGH)}
    assert told == pytest.approx({Speed.LOW: 0.048, Speed.FULL: 1.216, Speed.HIGH: 53.248})
    most = {Transfer.ISOCHRONOUS: (1023, 1024), Transfer.INTERRUPT: (64, 1024), Transfer.BULK: (64, 512)}
    for kind, payloads in most.items():
        assert tuple(MAX_PAYLOAD[speed, kind] for speed in (Speed.FULL, Speed.HIGH)) == payloads
