"""Reports built by hand, so that tests of their looks need no computation. Names and figures are made up."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, cast

from tests.facts import facts
from topo.analysis.pairs import Shared
from topo.model.change import MovePlug, Proposal
from topo.model.facts import Fact, Figure, Range3
from topo.model.finding import Finding, Fix, Plan
from topo.model.night import DISCIPLINES, Cost, Guided, GuideDelay, Lateness, Sentence, Spread
from topo.model.outcome import DeviceOutcome, Limit, LinkOutcome
from topo.model.power import PowerNight, PowerOutcome, UsbPower
from topo.model.records import CableFacts, DeviceFacts
from topo.model.rig import Computer, Device, Place, Plug, Rig, Socket
from topo.model.speed import Speed
from topo.report.compose import Report, compose
from topo.wiring.topology import Topology

if TYPE_CHECKING:
    from topo.analysis.study import Study

FILE = "meadow.yaml"


@dataclass(frozen=True)
class HandMade:
    """What a report reads of a study."""

    rig: Rig
    topology: Topology
    devices: tuple[DeviceOutcome, ...]
    links: tuple[LinkOutcome, ...]
    power: PowerOutcome = field(default_factory=PowerOutcome)
    usb_power: tuple[UsbPower, ...] = ()
    power_night: PowerNight = field(default_factory=lambda: PowerNight(0.0))
    guided: tuple[Guided, ...] = ()
    shared: tuple[Shared, ...] = ()

    def verdict_on(self, camera: str) -> Guided | None:
        return next((each for each in self.guided if each.delay.camera == camera), None)

    def likely_cost(self, guide: str, camera: str) -> Cost:
        return Cost("likely", 0.359, 0.361, 0.002, 0.004, 0.39, 0.39, 0.4, 0.0)

    def lateness(self, camera: str) -> tuple[Lateness, ...]:
        """Half of the frames that wait come by 0.6 of the worst, 95 of 100 by 0.9."""
        judged = self.verdict_on(camera)
        assert judged is not None
        worst = {"fair": judged.delay.late_fair_s.high, "last": judged.delay.late_last_s.high}
        spreads = {name: Spread(0.6 * most, 0.9 * most, most) for name, most in worst.items()}
        return tuple(
            Lateness(name, 1000, spreads[name], 0.02, 0.01, 0.0, 0.81, Spread(0.0, 0.0, 0.0), 0.0, 0.0, False)
            for name in DISCIPLINES
        )

    def device(self, part_id: str) -> DeviceOutcome:
        return next(device for device in self.devices if device.id == part_id)


def rig(camera: str = "main-camera", guide: str = "guide-camera", name: str = "Meadow") -> Rig:
    """A computer, an imaging camera on a USB 2 cable, a guide camera in a socket on its back, a mount."""
    sockets = (Socket("usb3-1", Speed.SUPER, controller="one"), Socket("usb2-1", Speed.HIGH, controller="two"))
    back = (Socket("usb2-1", Speed.HIGH), Socket("usb2-2", Speed.HIGH))
    frame = facts(DeviceFacts, "profile", width_px=6248, height_px=4176, speed="super")
    return Rig(
        name=name, file=FILE, hubs=(),
        computer=Computer(sockets=sockets),
        devices=(
            Device(id=camera, role="imaging", plug=Plug("computer", "usb3-1"),
                   cable=facts(CableFacts, length_m=3.0, grade="usb2"), facts=frame, sockets=back,
                   place=Place(FILE, 8, 3)),
            Device(id=guide, role="guiding", plug=Plug(camera, "usb2-1"), place=Place(FILE, 15, 3),
                   facts=DeviceFacts(width_px=Fact(1280, "profile"), speed=Fact("high", "assumed"))),
            Device(id="mount", role="mount", plug=Plug("computer", "usb2-1"), place=Place(FILE, 22, 3),
                   facts=DeviceFacts(drift_arcsec_per_s=Fact(0.3, "profile"), speed=Fact("full", "assumed"))),
        ),
    )


def study(of: Rig | None = None, lost: str = "possible", late: bool = True) -> HandMade:
    """Outcomes for `rig`, with delays or without."""
    made = of or rig()
    camera, guide, mount = (device.id for device in made.devices)
    delay = Range3(1.151, 1.262, 1.384) if late else Range3(0, 0, 0)
    devices = (
        DeviceOutcome(
            camera, "imaging", ("computer/usb3-1",), Speed.HIGH, Speed.SUPER,
            Limit(camera, "cable", Speed.HIGH, "the cable is a USB 2 cable"), "still", 52183296, 121.26,
            Range3(1.151, 1.262, 1.384), Range3(1.2, 1.32, 1.45), 350.0, Range3(18.9, 20.7, 22.7),
        ),
        DeviceOutcome(
            guide, "guiding", (f"{camera}/usb2-1", "computer/usb3-1"), Speed.HIGH, Speed.HIGH, None, "still", 2457600,
            1.56, Range3(0.0541, 0.0592, 0.0652), Range3(1.2, 1.3, 1.4), 37.0, Range3(18.9, 20.7, 22.7),
            delay.scaled(0.05), delay, 0.81 if late else None,
            lost=cast(Any, lost), lost_after_s=0.0008 if lost != "no" else None,
        ),
        DeviceOutcome(mount, "mount", ("computer/usb2-1",), Speed.FULL, Speed.FULL, None, "serial",
                      asked_mb_per_s=0.00002, gets_mb_per_s=Range3(0.00002, 0.00002, 0.00002)),
    )
    expected = Range3(37.7, 41.5, 45.4)
    links = (
        LinkOutcome("usb2:one", "usb2-bus", "both", "USB 2 bus one", (camera,), 53.248, expected, 0.0, 0.0489, 1.0,
                    387.0, (camera, guide), "assumed", "all sockets of the controller are assumed to share one bus"),
        LinkOutcome("translator:computer/usb2-1", "translator", "both", "full-speed socket computer/usb2-1", (mount,),
                    1.216, Range3(0.9, 1.0, 1.1), 0.02, 0.00002, 0.00002, 0.00002, (mount,), "profile"),
    )
    return HandMade(
        made, Topology(made), devices, links, guided=(guided(guide, camera, delay, lost),),
        shared=(Shared(guide, camera, ("usb2:one",)),) if late else (),
    )


def guided(guide: str, camera: str, delay: Range3, lost: str) -> Guided:
    """A verdict on the guide camera of `study`: stars 0.2 % wider, 1.3 % at the harshest."""
    costs = (Cost("harsh", 0.359, 0.361, 0.006, 0.013, 0.39, 0.39, 0.4, 0.0),)
    delayed = GuideDelay(
        guide, 1.56, delay.scaled(0.05), delay, 0.0, 0.81 if delay.high else None, cast(Any, lost),
        0.0008 if lost != "no" else math.inf, not delay.high,
    )
    if not delay.high:
        return Guided(delayed, (Sentence(guide, camera, None, "certain", "nothing", 0.0),), None, "certain", "nothing")
    return Guided(
        delayed, (Sentence(guide, camera, "note", "possible", "small", 0.013, costs),), "note", "possible",
        "small",
    )


MOVED = Plan(Proposal((MovePlug("guide-camera", "computer", "usb2-1"),)), (), (), ())
"""A plan of one move, which says of itself that it clears nothing and leaves nothing."""


def finding(name: str = "guiding-shares-link", part: str = "guide-camera", **changed: Any) -> Finding:
    """A risk with figures before and after a move."""
    made = Finding(
        name=name, severity="risk", certainty="possible", part=part, place=Place(FILE, 15, 3),
        message=f"{part} shares the USB 2 bus with main-camera. When a frame goes down there, the guide frame is late.",
        figures=(
            Figure("added delay, others served first", Range3(1.151, 1.262, 1.384), "s", "profile"),
            Figure("drift meanwhile", Range3(0.345, 0.379, 0.415), "arcsec", "assumed"),
            Figure("chance that a download meets a guide frame", 0.81, "", "declared"),
        ),
        refuted_by="late guide frames do not line up with the ends of exposures", others=("main-camera",),
        fix=Fix(
            f"Plug {part} into computer/usb2-1.", plan=MOVED,
            after=(Figure("added delay, others served first", Range3(0, 0, 0), "s", "profile"),
                   Figure("drift meanwhile", Range3(0, 0, 0), "arcsec", "assumed")),
        ),
    )
    return replace(made, **changed)


def note(number: int = 0, **changed: Any) -> Finding:
    """A note with a fix in words."""
    return finding(
        name=f"a-note-{number}", severity="note", certainty="certain", message=f"Note {number} of a small matter.",
        place=Place(FILE, 30 + number, 3), fix=Fix(f"Do small thing {number}."), figures=(), **changed,
    )


def report(
    *findings: Finding, of: HandMade | None = None, troubles: tuple[str, ...] = (), first: Plan | None = None
) -> Report:
    """The report of findings on the hand-made study."""
    return compose(cast("Study", of or study()), findings, first, troubles)
