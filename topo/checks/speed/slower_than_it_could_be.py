"""A device runs slower than it could, and this is the first element of its path that holds it back.

USB 3 devices fall back to 480 Mb/s without a word when anything between them and the computer, a socket, a hub, a
cable or a camera's own hub, carries no SuperSpeed. The first such element from the computer down is the one to change.

For single long exposures this only makes downloads longer, so it is a note; for a stream, or for a camera whose link
the guide camera needs, it matters, and those findings stand by themselves.

Wrong if the system shows the device at its full speed: `topo compare` looks.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.help import fix_by, speed_figures
from topo.model.check import Case, Check
from topo.model.facts import basis_of
from topo.model.finding import Finding, Severity
from topo.model.plain import plain
from topo.model.speed import Speed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.facts import Figure
    from topo.model.outcome import DeviceOutcome, Limit


def find(study: Study) -> Iterator[Finding]:
    """One finding for each device below its own best speed that moves data."""
    for part in study.rig.devices:
        limit = study.topology.limit(part.id)
        if limit is not None and study.flow(part.id) is not None:
            yield _finding(study, study.device(part.id), limit)


def _finding(study: Study, device: DeviceOutcome, limit: Limit) -> Finding:
    part, culprit = study.rig.part(device.id), study.rig.part(limit.part)
    return Finding(
        name="slower-than-it-could-be",
        severity=_severity(device),
        certainty="certain",
        part=device.id,
        place=culprit.place if culprit.place.line else part.place,
        message=f"{plain(device.id)} could run at {_mbit(device.could_be)} but runs at {_mbit(device.speed)}: "
        f"{limit.text}.{_harmless(device)}",
        figures=_figures(study, device.id),
        others=(limit.part,) if limit.part != device.id else (),
        refuted_by="the system shows it at its full speed",
        fix=fix_by(
            (),
            lambda after: _figures(after, device.id),
            _advice(study, limit),
        ),
    )


def _figures(study: Study, name: str) -> tuple[Figure, ...]:
    part = study.rig.part(name)
    return speed_figures(study.device(name), "measured" if part.leg_speed is not None else basis_of(part.own_speed))


def _severity(device: DeviceOutcome) -> Severity:
    return "risk" if (device.flow == "video" and device.lost != "no") or _drags(device) else "note"


def _drags(device: DeviceOutcome) -> bool:
    """True for a guide camera whose download takes more than half of its cycle, at some end."""
    if device.role != "guiding" or device.alone_s is None or device.cadence_s is None:
        return False
    return device.alone_s.high > device.cadence_s / 2


def _harmless(device: DeviceOutcome) -> str:
    if device.flow != "still" or device.role == "guiding":
        return ""
    return " For long single exposures that only makes downloads longer."


def _mbit(speed: Speed | None) -> str:
    return "an unknown speed" if speed is None else f"{speed.label}"


def _advice(study: Study, limit: Limit) -> str:
    if limit.element == "cable":
        if limit.speed < Speed.HIGH:
            return f"Push the plug of {plain(limit.part)} in again; then try another cable, then another socket."
        return f"Use a USB 3 cable for {plain(limit.part)}."
    if limit.element == "hub":
        return f"Use a faster hub in place of {plain(limit.part)}, or a socket that is not behind it."
    if not any(socket.speed.is_superspeed for socket in study.rig.computer.sockets):
        return "No socket of this computer carries USB 3: leave it so, or use a computer that has one."
    return "Use a USB 3 socket; none is free in this rig."


CHECK = Check(
    name="slower-than-it-could-be",
    summary="a device runs below its own best speed, and this element holds it back",
    tested_by="`topo compare RIG` shows the speed it runs at",
    explanation=__doc__,
    severities=("risk", "note"),
    find=find,
    scope="controller",
    cases=(
        Case("SuperSpeed all the way", rig(imaging("computer/usb3-1")), 0),
        Case("a USB 2 cable", rig(imaging("computer/usb3-1", "cable: {grade: usb2}")), 1),
        Case("a USB 2 socket", rig(imaging("computer/usb2-1")), 1),
    ),
)
