"""What the evidence speaks against, and what it must not be taken to speak against: controller and busy computer."""

from __future__ import annotations

import io

import pytest

from topo.checks.evidence_cases import PLUGGED
from topo.evidence.answer import KnownNames, answer
from topo.evidence.kernel.reader import read
from topo.evidence.open import Source
from topo.evidence.refuted import of_host, of_idle
from topo.evidence.series import Series
from topo.model.answers import Refuted
from topo.model.evidence import FrameData, Handed, Moment

CONTROLLER = "[    0.500000] xhci_hcd 0000:00:14.0: new USB bus registered, assigned bus number 3"


def refuted(*lines: str) -> list[Refuted]:
    text = "\n".join((*PLUGGED, *lines)) + "\n"
    source = Source("kernel.log", "kernel-log", read(io.BytesIO(text.encode()), Handed("kernel.log")))
    told = answer((source,), {}, None, KnownNames({"3-1": "hub", "3-2": "main-camera"}))
    return [each for each in told.refuted if each.cause == "controller"]


def left(path: str, number: int, at: float) -> str:
    return f"[{at:12.6f}] usb {path}: USB disconnect, device number {number}"


def test_what_stayed_on_a_controller_speaks_for_it() -> None:
    (one,) = refuted(CONTROLLER, left("3-1", 2, 900), left("3-1.1", 3, 900.02), left("3-1.2", 4, 900.04))
    assert one.part == "0000:00:14.0" and "main-camera stayed on it" in one.because


@pytest.mark.parametrize("lines", [
    (CONTROLLER,),
    (left("3-1", 2, 900), left("3-1.1", 3, 900.02), left("3-1.2", 4, 900.04)),
    (CONTROLLER, left("3-1", 2, 900), left("3-1.1", 3, 900.02), left("3-1.2", 4, 900.04), left("3-2", 5, 900.06)),
    (CONTROLLER, "[  899.900000] xhci_hcd 0000:00:14.0: xHCI host controller not responding, assume dead",
     "[  899.950000] xhci_hcd 0000:00:14.0: HC died; cleaning up", left("3-1", 2, 900), left("3-1.1", 3, 900.02),
     left("3-1.2", 4, 900.04), left("3-2", 5, 900.06)),
], ids=["nothing left", "whose bus it is is not told", "all left", "the controller died"])  # fmt: skip
def test_a_controller_is_not_cleared_by_less(lines: tuple[str, ...]) -> None:
    assert refuted(*lines) == []


def frames(ends: list[float], device: str) -> list[FrameData]:
    return [FrameData(Moment(end - 0.05, "c"), Moment(end, "c"), device, 0x81, 1000, 4, 0, True) for end in ends]


def night(busy: bool) -> tuple[Series, list[FrameData], list[FrameData]]:
    """A guide frame each second, each fifth late by 0.6 s; the other camera's frames come then, or never then."""
    ends = [float(n) + (0.6 if n % 5 == 0 else 0.0) for n in range(1, 60)]
    late = tuple((end + 1.0, 0.6) for n, end in enumerate(ends[:-1], 1) if (n + 1) % 5 == 0)
    series = Series(0, "guide", 1.0, 0.01, tuple(ends), late, (), (), 0.0)
    others = [due + (0.3 if busy else -0.5) for due, _ in late]
    return series, frames(ends, "1.5"), frames(others, "1.6")


def test_frames_of_others_while_guiding_waits_speak_for_the_computer() -> None:
    series, guide, others = night(busy=True)
    (one,) = of_host(series, guide, others)
    assert one.cause == "host" and one.because.startswith("while 11 of 11 guide frames were late")
    assert not list(of_idle(series, guide, others))


def test_silence_of_all_does_not_clear_the_computer() -> None:
    series, guide, others = night(busy=False)
    assert not list(of_host(series, guide, others)) and not list(of_host(series, guide, []))
