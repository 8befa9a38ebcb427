"""Why no plug clears a finding is told in one sentence, from the smallest conflict there is."""

from __future__ import annotations

from tests.place.random_rigs import EXAMINER, rig_from
from topo.analysis.study import Study
from topo.model.finding import in_order
from topo.place.frontier import Frontier, frontier

CAMERA = "role: imaging, width_px: 6248, height_px: 4176, readout_mb_per_s: 350, frame_memory_mb: 256, speed: high"
GUIDE = (
    "role: guiding, width_px: 1280, height_px: 960, speed: high, readout_mb_per_s: 37, frame_memory_mb: 0, fifo_kb: 16"
)


def rig(ports: str, cable: str = "", more: str = "", sockets: int = 4) -> str:
    """A camera and a guide camera on one USB 2 hub, and whatever the computer has besides."""
    return f"""\
rig: Two on one hub
computer:
  {ports}
hubs:
  hub: {{speed: high, ports: {sockets}, powered: true, plug: computer/usb2-1{more}}}
devices:
  main-camera: {{{CAMERA}, bus_ma: 600, plug: hub/1{cable}, use: {{exposure_s: 60}}}}
  guide-camera: {{{GUIDE}, bus_ma: 650, plug: hub/2{cable}, use: {{exposure_s: 2}}}}
"""


ONE = "ports: {usb2-1: {speed: high, controller: a, usb2_bus: a}"
TWO = f"{ONE}, usb2-2: {{speed: super, controller: b, usb2_bus: b}}"


def frontier_of(text: str) -> Frontier:
    study = Study(rig_from(text))
    return frontier(study, in_order(EXAMINER(study)), EXAMINER)


def test_a_board_that_would_have_to_give_more_than_it_may() -> None:
    text = rig(f"{TWO}, usb2-3: {{speed: super, controller: a}}}}\n  all_ports_ma: 1200")
    text += "  box: {role: power, speed: full, bus_ma: 600, plug: computer/usb2-3}\n"
    why = frontier_of(text).why
    assert any("1250 mA are drawn from all sockets of computer together, which may give 1200 mA" in w for w in why), why
    # Of what another plug that is shown clears no reason is asked.
    assert all(w.startswith("port-current-exceeded (guide-camera)") for w in why)


def test_no_socket_is_free() -> None:
    why = frontier_of(rig(f"{ONE}}}", sockets=2)).why
    assert any("no socket that guide-camera or main-camera fits is free" in w for w in why), why


def test_free_sockets_are_no_better() -> None:
    why = frontier_of(rig(f"{ONE}}}")).why
    assert any("in every free socket that guide-camera or main-camera fits it stays as it is" in w for w in why), why


def test_cables_are_too_short_everywhere() -> None:
    why = frontier_of(rig(f"{TWO}}}", ", cable: {length_m: 0.5}", ", cable: {length_m: 4.5}")).why
    assert any("to computer/usb2-2 it is at least 4 m, and its cable has 0.5 m" in w for w in why), why


def test_nothing_is_explained_where_a_plug_does_it() -> None:
    assert frontier_of(rig(f"{TWO}}}")).why == ()
