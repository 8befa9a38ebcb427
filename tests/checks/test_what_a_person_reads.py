"""What findings say of whole rigs: one cause told once, no alarm at a false friend, no figure that cannot be."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.draw.rigs import study_of
from topo.checks.cases import imaging, rig
from topo.checks.identity.cameras_look_alike import find as look_alike
from topo.model.finding import Finding
from topo.pipeline import examine_text
from topo.report.text import report_lines

STREAM = (
    "planet: {{role: imaging, width_px: 1000, height_px: 1000, sample_bits: 8, speed: {speed}, readout_mb_per_s: 340, "
    "frame_memory_mb: 256, plug: {plug}, use: {{mode: video, fps: {fps}}}}}"
)
HUB = "  hub: {{speed: {speed}, ports: 4, powered: false, bus_ma: 100, plug: computer/{plug}}}\n"


def found(text: str, name: str) -> list[Finding]:
    return [finding for finding in examine_text(text).findings if finding.name == name]


def words(text: str) -> str:
    lines = report_lines(examine_text(text), whole=True)
    return " ".join("".join(piece for piece, _ in line).strip() for line in lines)


def test_a_frame_of_a_stream_costs_only_its_bytes() -> None:
    # 1 MB at 340 MB/s is 2.9 ms; the 44 ms of a single exposure would allow no more than 21 frames a second.
    study = examine_text(rig(STREAM.format(speed="super", plug="computer/usb3-1", fps=60))).study
    alone = study.device("planet").alone_s
    assert alone is not None and alone.high == pytest.approx(1e6 / 60e6)
    assert not found(rig(STREAM.format(speed="super", plug="computer/usb3-1", fps=60)), "stream-too-slow")


def test_a_stream_that_falls_short_says_whether_alone() -> None:
    # USB 2 carries 53.2 MB/s at the very most and is seen to deliver 35.1 to 45.4: 60 frames of 1 MB are too many by
    # the protocol, 50 at every end of what is seen, 42 at some.
    (always,) = found(rig(STREAM.format(speed="high", plug="computer/usb2-1", fps=60)), "stream-too-slow")
    assert "asks for more than its links can ever carry" in always.message
    assert (always.severity, always.certainty) == ("fault", "certain")
    (seen,) = found(rig(STREAM.format(speed="high", plug="computer/usb2-1", fps=50)), "stream-too-slow")
    assert "are seen to carry, even alone" in seen.message and (seen.severity, seen.certainty) == ("risk", "possible")
    (perhaps,) = found(rig(STREAM.format(speed="high", plug="computer/usb2-1", fps=42)), "stream-too-slow")
    assert "may ask for more than its links give, even alone" in perhaps.message and perhaps.severity == "risk"


def test_a_hub_without_supply_is_one_finding() -> None:
    devices = [f"{name}: {{speed: high, bus_ma: 300, plug: hub/{n}}}" for n, name in enumerate("abc", 1)]
    (finding,) = found(rig(*devices, hubs=HUB.format(speed="high", plug="usb2-1")), "port-current-exceeded")
    assert (finding.part, finding.others, finding.severity) == ("hub", ("a", "b", "c"), "fault")
    assert "1000 mA" in finding.message and "500 mA" in finding.message  # 100 + 3 x 300, from a USB 2 socket


def test_more_than_a_share_of_a_hub_without_supply_is_a_risk() -> None:
    text = rig("a: {speed: high, bus_ma: 300, plug: hub/1}", hubs=HUB.format(speed="high", plug="usb2-1"))
    (finding,) = found(text, "port-current-exceeded")
    assert finding.severity == "risk" and "100 mA" in finding.message  # 400 of 500 mA: often works


def test_a_frugal_device_on_a_hub_without_supply_is_no_finding() -> None:
    text = rig("a: {speed: high, bus_ma: 90, plug: hub/1}", hubs=HUB.format(speed="high", plug="usb2-1"))
    assert not found(text, "port-current-exceeded")


def test_the_cautions_stand_once_in_the_text() -> None:
    devices = [f"{name}: {{speed: high, bus_ma: 600, plug: computer/usb2-{n}}}" for n, name in enumerate("ab", 1)]
    text = words(rig(*devices))
    assert text.count("local codes") + text.count("Local electrical rules") == 1
    assert "See POWER, below." in text and "POWER Never open a mains supply;" in " ".join(text.split())


def test_a_disk_is_not_taken_to_be_faster_than_it_is() -> None:
    text = rig("disk: {role: storage, speed: super, mb_per_s: 100, plug: computer/usb3-1, use: {mb_per_s: 400}}")
    assert "More is asked of it than the 100 MB/s it can move" in " ".join(words(text).split())


def test_an_active_extension_is_not_too_long_but_a_passive_lead_after_it_is() -> None:
    far = "  far: {speed: super, ports: 1, powered: true, plug: computer/usb3-1, cable: {length_m: 10}}\n"
    (finding,) = found(rig(imaging("far/1", "cable: {length_m: 5}"), hubs=far), "cable-too-long")
    assert finding.part == "main-camera"


def test_advice_names_the_part_it_is_about() -> None:
    for text in (
        rig(imaging("computer/usb3-1", "cable: {length_m: 5}")),
        rig("main-camera: {speed: high, bus_ma: 700, plug: computer/usb2-1}"),
    ):
        (finding,) = examine_text(text).findings
        assert finding.fix is not None and "main-camera" in finding.fix.text


def test_a_supply_that_is_too_small_is_exchanged_for_one_that_holds() -> None:
    parts = ("a: {plug: computer/usb2-1, amps_peak: 3}", "b: {plug: computer/usb2-2, amps_peak: 5}")
    power = "power: {supplies: {pier: {volts: 12.8, amps: 4}}, leads: {x: {from: pier, to: a}"
    (both,) = found(rig(*parts) + power + ", y: {from: pier, to: b}}}\n", "supply-overloaded")
    # 3 A and 5 A at 12 V are 96 W: 7.5 A at 12.8 V
    assert "7.5 A if all peak at once" in both.message
    assert both.fix is not None and both.fix.text.startswith("Use a supply of 12.8 V and 10 A in place of pier.")
    assert both.fix.plan is not None and both.fix.plan.proposal.buys
    (alone,) = found(rig(*parts) + power.replace("to: a}", "to: b}}}\n"), "supply-overloaded")
    assert alone.fix is not None and alone.fix.text.startswith("Use a supply of 12.8 V and 8 A in place of pier.")


KINDS = ("width_px: 1280, height_px: 960", "width_px: 3096, height_px: 2080")


@st.composite
def camera_rigs(draw: st.DrawFn) -> list[tuple[str, str, str, str]]:
    """Up to nine cameras: role, kind, maker's id, serial number; the last two may be untold."""
    return draw(st.lists(st.tuples(st.sampled_from(["imaging", "guiding"]), st.sampled_from(KINDS),
                                   st.sampled_from(["", "f1a0", "f1a1"]), st.sampled_from(["", "A", "B"])),
                         min_size=1, max_size=9))


def _camera(number: int, role: str, kind: str, maker: str, serial: str) -> str:
    ids = ", ".join(filter(None, (f"vendor_id: {maker}" if maker else "", f"serial: {serial}" if serial else "")))
    identity = f", identity: {{{ids}}}" if ids else ""
    return (f"c{number}: {{role: {role}, {kind}, speed: high, readout_mb_per_s: 30, plug: hub/{number}, picks: serial"
            f"{identity}}}")


@given(camera_rigs())
@settings(max_examples=60, deadline=None)
def test_cameras_that_look_alike_are_told_once_for_all(cameras: list[tuple[str, str, str, str]]) -> None:
    hub = "  hub: {speed: high, ports: 10, plug: computer/usb2-1}\n"
    told = list(look_alike(study_of(rig(*(_camera(n, *each) for n, each in enumerate(cameras, 1)), hubs=hub))))
    groups = [{each.part, *each.others} for each in told]
    for (n, one), (m, other) in combinations(enumerate(cameras, 1), 2):
        kin = one[1] == other[1] or (one[2] == other[2] != "")  # of one kind, or of one maker
        surely_apart = "" not in (one[3], other[3]) and one[3] != other[3]
        if kin and not surely_apart:
            assert any({f"c{n}", f"c{m}"} <= group for group in groups), "no pair goes untold"
    makers = {each[2] for each in cameras} - {""}
    numbers = {each[3] for each in cameras} - {""}
    most = (len(KINDS) + len(makers)) * (1 + len(numbers))
    assert len(told) <= most, "at most one for each kind or maker, and for each number that some of them share"
    if len({each[:1] + each[1:2] for each in cameras}) == 1 and not numbers and len(cameras) > 1:
        (one_finding,) = told
        assert groups == [{f"c{n}" for n in range(1, len(cameras) + 1)}]
        assert all(f"c{n}" in one_finding.message for n in range(1, min(len(cameras), 8) + 1)) or len(cameras) > 8
