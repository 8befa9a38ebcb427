"""Serial lines of whole rigs: what people met and were told wrongly, each as a case, and advice carried out."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.place.test_advice_is_true import every_plan_holds
from topo.analysis.study import Study
from topo.errors import RigFileError
from topo.model.finding import Finding
from topo.night.planned import nights_of
from topo.pipeline import examiner, rig_of
from topo.rigfile.read import read_text

COMPUTER = """\
rig: A pier
computer:
  controllers: {first: {}, second: {}}
  ports:
    usb3-1: {controller: first, speed: super, usb2_bus: one}
    usb2-1: {controller: second, speed: high, usb2_bus: two}
    usb2-2: {controller: second, speed: high, usb2_bus: two}
    serial-1: {kind: serial}
devices:
"""
CAMERAS = """\
  main-camera: {role: imaging, width_px: 6248, height_px: 4176, speed: super, readout_mb_per_s: 350,
    frame_memory_mb: 256, plug: computer/usb3-1, use: {exposure_s: 120}}
  guide-camera: {role: guiding, width_px: 1280, height_px: 960, speed: high, readout_mb_per_s: 37,
    frame_memory_mb: 32, plug: computer/usb2-1, use: {exposure_s: 1.5}}
"""
ADAPTER = "  adapter: {speed: full, serial_sockets: 2, plug: computer/usb2-2}\n"


def text(*parts: str) -> str:
    return COMPUTER + CAMERAS + "".join(f"  {part}\n" for part in parts)


def study(*parts: str) -> Study:
    return Study(rig_of(read_text(text(*parts), "rig.yaml")))


def mount(line: str, plug: str = "computer/usb2-2", drift: float = 0.35) -> str:
    return f"mount: {{role: mount, drift_arcsec_per_s: {drift:g}, plug: {plug}, serial: {{{line}}}}}"


def told(of: Study) -> dict[tuple[str, str], Finding]:
    return {(f.name, f.part): f for f in examiner()(of)}


def shared(polls: float) -> Study:
    line = f"baud: 9600, polls_per_s: {polls:g}, bytes_out: 20, bytes_in: 40, reply_ms: 5, pulse: mount"
    return study(
        "adapter: {speed: full, serial_sockets: 2, plug: computer/usb2-2, bridge: timer}",
        mount(line, "adapter/serial-1"), f"focuser: {{role: focuser, plug: adapter/serial-1, serial: {{{line}}}}}",
    )


def test_two_parts_on_one_socket_add_up() -> None:
    """12 polls a second of 62.5 ms are 0.75 on the wire alone. One line, not two halves."""
    six = shared(6)
    (line,) = six.traffic.lines
    assert line.parts == ("mount", "focuser") and len(line.askers) == 2
    assert line.load.low == pytest.approx(12 * (0.0625 + 0.005))
    assert line.load.likely == pytest.approx(12 * (0.0625 + 0.005 + 0.008 + 0.001))
    (link,) = [each for each in six.links if each.kind == "serial-line"]
    assert link.load_peak == pytest.approx(line.load.likely) and link.carries == ("mount", "focuser")


def test_a_line_above_one_never_catches_up() -> None:
    """1.10 full was told as two times 55 %."""
    full = shared(7.19)
    assert full.traffic.lines[0].load.likely == pytest.approx(1.10, abs=0.005)
    finding = told(full)["serial-line-busy", "mount"]
    assert finding.severity == "fault" and "1.10 times" in finding.message and "never catches up" in finding.message
    assert all(waits.mean_s == float("inf") for waits in full.pulses[0].waits[1:])


def test_a_nearly_full_line_is_not_clear() -> None:
    """0.94 was told as clear."""
    near = shared(6.14)
    assert near.traffic.lines[0].load.likely == pytest.approx(0.94, abs=0.005)
    assert told(near)["serial-line-busy", "mount"].severity == "risk"


def test_157_percent_names_no_longest_wait() -> None:
    """It was told as "a guide pulse waits up to 78.5 ms, certain", though the queue grows."""
    found = told(study(mount("baud: 9600, polls_per_s: 20, bytes_out: 20, bytes_in: 40, pulse: mount")))
    finding = found["serial-line-busy", "mount"]
    assert finding.severity == "fault" and finding.certainty == "certain"
    assert not [figure for figure in finding.figures if "waits" in figure.name]


@settings(max_examples=25, deadline=None)
@given(polls=st.floats(1, 60), reply=st.floats(0, 40), clients=st.integers(1, 3))
def test_at_one_and_above_always_never(polls: float, reply: float, clients: int) -> None:
    line = f"baud: 9600, polls_per_s: {polls:.3f}, bytes_out: 20, bytes_in: 40, reply_ms: {reply:.3f}"
    line += f", clients: {clients}"
    of = study(mount(line + ", pulse: mount"))
    load, finding = of.traffic.lines[0].load, told(of).get(("serial-line-busy", "mount"))
    if load.high >= 1.0:
        assert finding is not None and "never catches up" in finding.message
        assert (finding.severity == "fault") is (load.likely >= 1.0)
        assert (finding.severity, finding.certainty) == ("fault", "certain") or load.low < 1.0
    elif finding is not None:
        assert finding.severity == "note"


def holds(part: str) -> tuple[float, float]:
    of = study(part)
    return of.traffic.lines[0].askers[0].holds_s.likely, of.traffic.lines[0].timer_s


LINE = "baud: 9600, polls_per_s: 1, bytes_out: 10, bytes_in: 30, reply_ms: 5"


def test_the_computers_own_socket_has_no_timer() -> None:
    """It got an adapter's."""
    own, timer = holds(mount(LINE, "computer/serial-1"))
    assert timer == 0 and own == pytest.approx(40 / 960 + 0.005)


@pytest.mark.parametrize("bridge", ["cdc", "none"])
def test_some_bridges_have_no_timer(bridge: str) -> None:
    part = f"mount: {{role: mount, bridge: {bridge}, plug: computer/usb2-2, serial: {{{LINE}}}}}"
    assert holds(part) == pytest.approx((40 / 960 + 0.006, 0))
    assert holds(mount(LINE))[1] == 0.016


def test_figures_that_are_assumed_say_so() -> None:
    """They were called those of the rig file."""
    told_all = LINE + ", latency_timer_ms: 16"
    assert study(mount(told_all)).traffic.lines[0].basis == "declared"
    assert study(mount(LINE)).traffic.lines[0].basis == "assumed"
    assert study(mount(told_all.replace(", reply_ms: 5", ""))).traffic.lines[0].basis == "assumed"


def test_a_wait_that_costs_nothing_is_no_risk() -> None:
    """A risk, DO FIRST, for 10 ms that cost 0.006 arcsec: the mount times its pulses."""
    of = study(mount("baud: 9600, polls_per_s: 2, bytes_out: 40, bytes_in: 60, latency_timer_ms: 16, pulse: mount"))
    (outcome,) = of.pulses
    assert outcome.waits[1].worst_s > 0.1 and outcome.late_arcsec < 0.01
    assert outcome.severity is None and not [key for key in told(of) if key[0].startswith(("serial", "guide-pulse"))]


def test_who_times_the_pulse_decides() -> None:
    """At 1200 baud the computer's pulses are wrong by up to 2.8 arcsec; the mount's and a guide port's are exact."""
    slow = "baud: 1200, polls_per_s: 1, bytes_out: 10, bytes_in: 30, pulse: {}"
    (computer,) = study(mount(slow.format("computer"))).pulses
    assert computer.worst_error_arcsec == pytest.approx(2.8, abs=0.02) and computer.severity in ("risk", "fault")
    (by_mount,) = study(mount(slow.format("mount"))).pulses
    assert by_mount.worst_error_arcsec == 0 and by_mount.harsh.widening < computer.harsh.widening / 10
    assert study(mount(slow.format("guide-port"))).pulses == ()
    nine = study(mount(slow.format("computer").replace("1200", "9600"))).pulses[0]
    assert nine.worst_error_arcsec == pytest.approx(0.60, abs=0.01)


def test_unknown_is_no_milder_than_either() -> None:
    line = "baud: 1200, polls_per_s: 1, bytes_out: 10, bytes_in: 30"
    (unknown,) = study(mount(line)).pulses
    (worse,) = study(mount(line + ", pulse: computer")).pulses
    assert unknown.harsh == worse.harsh and unknown.mild.widening <= worse.mild.widening


def test_a_network_in_between_only_adds() -> None:
    near, far = (study(f"mount: {{role: mount, serial: {{{LINE}, pulse: computer, over: {over}}}}}").pulses[0]
                 for over in ("usb", "network"))
    assert far.harsh.widening > near.harsh.widening and far.line.timer_s == 0


@pytest.mark.parametrize(
    ("parts", "name", "part"),
    [
        ((ADAPTER.strip(), "mount: {role: mount, plug: adapter/serial-1, cable: {length_m: 60}, serial: {baud: 9600}}"),
         "serial-lead-too-long", "mount"),
        (("adapter: {speed: full, serial_sockets: 1, plug: computer/usb2-2, serial: {baud: 9600}}",
          "mount: {role: mount, plug: adapter/serial-1, serial: {baud: 115200}}"), "serial-rates-differ", "mount"),
        (("mount: {role: mount, interface: none, plug: computer/usb2-2}",), "wrong-socket", "mount"),
        (("mount: {role: mount, plug: computer/usb2-2, serial: {baud: 9600, over: network}}",),
         "wrong-socket", "mount"),
    ],
)  # fmt: skip
def test_what_was_clear(parts: tuple[str, ...], name: str, part: str) -> None:
    """60 m of serial lead, 115200 baud on a line of 9600, a mount on the network in a USB socket."""
    assert (name, part) in told(study(*parts))


def test_the_hint_names_the_key_that_is_meant() -> None:
    """It said `hub_ports` where `serial_sockets` is meant."""
    with pytest.raises(RigFileError, match="serial_sockets"):
        study("adapter: {speed: full, interface: serial, plug: computer/usb2-2}", mount(LINE, "adapter/serial-1"))
    with pytest.raises(RigFileError, match="hub_ports"):
        study("wheel: {speed: full, plug: computer/usb2-2}", mount(LINE, "wheel/usb2-1"))


@pytest.mark.parametrize("name", ["shared", "programs", "slow"])
def test_advice_holds_when_carried_out(name: str) -> None:
    six = "baud: 9600, polls_per_s: 6, bytes_out: 20, bytes_in: 40"
    rigs = {
        "shared": text("adapter: {speed: full, serial_sockets: 1, plug: computer/usb2-2}",
                       mount(six + ", pulse: mount", "adapter/serial-1"),
                       f"focuser: {{role: focuser, plug: adapter/serial-1, serial: {{{six}}}}}"),
        "programs": text(mount(six + ", clients: 3, pulse: mount")),
        "slow": text(mount("baud: 1200, polls_per_s: 1, bytes_out: 10, bytes_in: 30, pulse: computer")),
    }
    assert every_plan_holds(rigs[name]) > 0


@pytest.mark.parametrize("polls", [1, 5, 6.14, 7.19, 9])
def test_the_night_computes_with_the_same_line(polls: float) -> None:
    """In the engine the line is a resource that is full exactly where its load is 1, at each level."""
    of = shared(polls)
    (line,) = of.traffic.lines
    casts = nights_of(of.topology, of.traffic).casts
    for level, load in zip(("low", "likely", "high"), (line.load.high, line.load.likely, line.load.low), strict=True):
        asked = sum(flow.demand_bytes_per_s * use.seconds_per_byte for flow in of.traffic.flows for use in flow.uses
                    if use.resource == line.id)
        assert asked / casts[level].capacities[line.id] == pytest.approx(load)
    assert {flow.name for flow in casts["low"].flows} >= {"mount", "focuser"}


def test_a_receiver_that_reports_by_itself_keeps_nobody_waiting() -> None:
    line_of = "baud: 9600, polls_per_s: 1, bytes_out: 0, bytes_in: 400"
    (line,) = study(f"gps: {{bridge: cdc, plug: computer/usb2-2, serial: {{{line_of}}}}}").traffic.lines
    assert line.askers[0].holds_s.low == pytest.approx(400 / 960) and line.assumption == "" and line.basis == "declared"
