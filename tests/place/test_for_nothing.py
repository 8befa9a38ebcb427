"""What is free comes before what is paid for with pictures, where it leaves no more: also where it only makes a risk of
a fault."""

from __future__ import annotations

from tests.place.as_done import carried_out
from topo.pipeline import examine_text

SLOW_SOCKET = """\
rig: Mars from the balcony
computer: {profile: small-board-two-controllers}
devices:
  planet:
    profile: camera-planet-8mp-usb3
    role: imaging
    plug: computer/usb2-1
    cable: {length_m: 3}
    use: {mode: video, fps: 40, exposure_s: 0.01}
  guide: {profile: camera-guide-2mp, role: guiding, plug: computer/usb3-1, cable: {length_m: 2}, use: {exposure_s: 1}}
  mount: {profile: mount-worm-entry-serial, plug: computer/usb3-2}
"""


def test_a_planet_camera_in_a_slow_socket_changes_places_before_it_gives_up_its_field() -> None:
    report = examine_text(SLOW_SOCKET)
    assert report.first is not None and not report.first.price and report.first.proposal.plugs == 2
    worst = report.findings[0]
    assert (worst.name, worst.severity, report.first.left_as(worst)) == ("stream-too-slow", "fault", "risk")
    assert worst.fix is not None and worst.fix.plan == report.first
    # Done, what is left takes a twentieth of the field at the most.
    then = examine_text(carried_out(SLOW_SOCKET, report.first.proposal)).first
    assert then is not None and "96 % of it now" in then.price[0]
