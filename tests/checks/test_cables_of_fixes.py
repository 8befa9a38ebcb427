"""A fix names no socket the part's cable cannot reach without saying which cable it takes, and prefers those it can."""

from __future__ import annotations

import pytest

from topo.checks.cases import PLAIN_PC, guiding, imaging, rig
from topo.pipeline import examine_text


def fix_text(guide_cable: str, computer: str = PLAIN_PC) -> str:
    text = rig(
        imaging("computer/usb2-1", "hub_ports: 2", "cable: {length_m: 3}"),
        guiding("main-camera/usb2-1", *([f"cable: {{length_m: {guide_cable}}}"] if guide_cable else [])),
        computer=computer,
    )
    finding = next(f for f in examine_text(text).findings if f.name == "guiding-shares-link")
    assert finding.fix is not None
    return finding.fix.text


def test_a_cable_of_unknown_length_is_not_spoken_of() -> None:
    assert fix_text("") == "Plug guide-camera into computer/usb3-1."


@pytest.mark.parametrize("length", ["0.5", "1.8", "4"])
def test_a_cable_that_surely_reaches_is_preferred(length: str) -> None:
    """The guide camera's cable is too short for the computer, or may be; the imaging camera's is where it is. It gets
    its full speed there too."""
    text = fix_text(length)
    assert text.startswith("Plug main-camera into computer/usb3-1.") and "reaches" not in text


def test_a_cable_that_cannot_reach_is_spoken_of() -> None:
    """With USB 2 sockets alone the guide camera has to move: at least 3 - 0.5 and at most 3 + 0.5 m are needed."""
    text = fix_text("0.5", PLAIN_PC.replace("speed: super", "speed: high"))
    assert text == "Plug guide-camera into computer/usb3-1, with a USB cable of 2.5 to 3.5 m for guide-camera."
