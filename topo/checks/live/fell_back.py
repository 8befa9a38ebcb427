"""A part runs slower than it can and than the rig file says it would; this is where it begins.

Devices fall back without a word, from 10 to 5 Gb/s, from SuperSpeed to 480 Mb/s, from 480 to 12 Mb/s. Going down from
the computer, the first element whose link runs slower than the part could is the one to look at: a socket that carries
no more, a slower hub, or the leg whose two ends could both do more, which is its cable or a plug not pushed fully in. A
device says what it could do in a descriptor (BOS, USB 3.2 9.6.2) that the system keeps.

For long single exposures this is only a longer download, and a note. A risk for a guide camera, for a stream, for a
hub, and where a guide camera is on the bus it fell back to. Several on one hub or controller, with nothing faster
there, point at the hub, the socket or the driver, not at their cables. 'Possible' where only the file says that it
could run faster, or where the scan tells the side of USB alone. What the file itself has at that speed is not told
here.

Wrong if the system shows it at its full speed after the plug was pushed in again.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from topo.checks.cases import guiding, imaging, rig
from topo.checks.help import fix_by, speed_figures
from topo.checks.scans import BOS, HUB3, MAIN, SECOND, hub, port, root, scan, seen
from topo.compare.slow import SUPER, SlowElement, could_mbit, first_slow, path_mbit, step_of
from topo.compare.words import name_of, where
from topo.frozen import replace
from topo.model.change import Change, SetCable
from topo.model.check import Case, Check
from topo.model.facts import Fact, Figure
from topo.model.figures import mbit
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain
from topo.model.rig import COMPUTER
from topo.model.speed import Speed
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.comparison import Comparison, Match
    from topo.wiring.topology import Topology


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each slow element, with every part it holds back."""
    found: dict[str, tuple[SlowElement, list[Match], bool]] = {}
    for match in comparison.matches:
        sure = _fell_back(comparison, match)
        slow = first_slow(comparison, match.thing, _target(comparison, match)) if sure is not None else None
        if slow is not None:
            element, parts, certain = found.get(slow.thing.key, (slow, [], True))
            found[slow.thing.key] = (element, [*parts, match], certain and bool(sure) and slow.certain)
    for group in _together(comparison, list(found.values())):
        everybody = tuple(match.part for _, matches, _ in group for match in matches)
        for element, parts, certain in group:
            finding = _finding(comparison, element, parts, certain)
            yield finding if len(group) == 1 else _in_one_place(comparison, finding, everybody)


Slow = tuple[SlowElement, list["Match"], bool]


def _together(comparison: Comparison, found: list[Slow]) -> list[list[Slow]]:
    """Legs that are slow in one place, where nothing runs at SuperSpeed; every other element by itself."""
    groups: dict[object, list[Slow]] = {}
    for number, each in enumerate(found):
        place = _place(comparison, each) if each[0].kind == "leg" else None
        groups.setdefault(number if place is None else place, []).append(each)
    return list(groups.values())


def _place(comparison: Comparison, slow: Slow) -> tuple[str, str] | None:
    """The hub, or the computer's controller, that a slow leg hangs on; None where another part is fast there."""
    legs = comparison.study.topology
    here = _above(legs, slow[1][0].part)
    first = slow[1][0]
    could = could_mbit(comparison, first.thing, first)[0] or 0
    if here is None or (first.most_mbit or 0) >= SUPER or could < SUPER:
        return None
    fast = (match for match in comparison.matches if (match.most_mbit or 0) >= SUPER)
    return None if any(_above(legs, match.part) == here for match in fast) else here


def _above(topology: Topology, name: str) -> tuple[str, str] | None:
    leg, root = topology.leg(name), topology.root_socket(name)
    if leg is None or leg.socket.kind != "usb" or root is None:
        return None
    return (leg.above, "") if leg.above != COMPUTER else (COMPUTER, root.controller or "")


def _in_one_place(comparison: Comparison, finding: Finding, names: tuple[str, ...]) -> Finding:
    """The finding of one of several that fell back in one place: three bad cables at once are less likely than that."""
    above, controller = _above(comparison.study.topology, names[0]) or (COMPUTER, "")
    place = f"the computer's controller {plain(controller)}" if above == COMPUTER else plain(above)
    head = finding.message.partition(": the first slow element")[0]
    message = (f"{head}. {listed(names)} all fell back, and nothing on {place} is faster: that points at {place}, its "
               "socket or its driver, not at their cables.")
    fix = Fix(f"Try one of them in a socket of another controller. If it is fast there, look at {place}: its own leg, "
              "its driver and firmware, the settings for USB 3 in the computer's setup.")
    return replace(finding, message=message, fix=fix)


def _fell_back(comparison: Comparison, match: Match) -> bool | None:
    """None where a part runs as fast as the file has it or as it can; else whether the scan itself says it could more.
    """
    now = match.most_mbit
    could, told = could_mbit(comparison, match.thing, match)
    if now is None or could is None or step_of(now) >= step_of(could):
        return None
    if match.kind == "hub" and Speed.from_mbit(now) is Speed.LOW:  # no hub is one (USB 2.0 11.1): the scan is wrong
        return None
    if match.kind == "hub":
        leg = comparison.declared.topology.leg(match.part)
        expected = leg is not None and step_of(path_mbit(comparison, match.part, leg.carries)) > step_of(now)
    else:
        declared = comparison.declared.topology.speed(match.part)
        faster = declared is None or step_of(path_mbit(comparison, match.part, declared)) > step_of(now)
        expected = faster or match.moved
    return (told and match.speed_mbit is not None) if expected else None


def _finding(comparison: Comparison, slow: SlowElement, parts: list[Match], certain: bool) -> Finding:
    study, first = comparison.study, parts[0]
    culprit = comparison.part_of(slow.thing.key)
    look_at = study.rig.part(culprit if culprit is not None else first.part)
    names = tuple(match.part for match in parts)
    verb = "runs" if len(names) == 1 else "run"
    return Finding(
        name="fell-back",
        severity=_severity(comparison, parts),
        certainty="certain" if certain else "possible",
        part=look_at.id,
        place=look_at.place,
        others=tuple(name for name in names if name != look_at.id),
        message=f"{listed(names)} {verb} at {_rates(comparison, parts)}: {_where(comparison, slow)}.",
        figures=_figures(study, first.part),
        refuted_by="the system shows it at its full speed once the plug is pushed in again",
        fix=_fix(comparison, slow, first),
    )


def _target(comparison: Comparison, match: Match) -> float:
    """The rate an element of the path must carry for the part to run as fast as it can: SuperSpeed, or its own."""
    could, now = could_mbit(comparison, match.thing, match)[0] or SUPER, match.most_mbit or 0
    return SUPER if now < SUPER <= could else could


def _rates(comparison: Comparison, parts: list[Match]) -> str:
    """What the slowest of the parts runs at and could run at, in words."""
    now = min(match.most_mbit or 0 for match in parts)
    could = max(could_mbit(comparison, match.thing, match)[0] or 0 for match in parts)
    bound = "" if all(match.speed_mbit is not None for match in parts) else " or less"
    return f"{mbit(now)}{bound} and could run at {mbit(could)}"


def _where(comparison: Comparison, slow: SlowElement) -> str:
    name, place = name_of(comparison, slow.thing), where(comparison, slow.thing)
    rate = slow.thing.most_mbit or 0
    if slow.kind == "socket":
        what = "has no SuperSpeed side" if rate < SUPER else "carries no more"
        return f"the socket above it ({place}) {what}"
    if slow.kind == "hub":
        return f"{name} ({place}) is a {'USB 2 hub' if rate == 480 else f'hub of {mbit(rate)}'}"
    return f"the first slow element is the leg of {name} ({place}), its cable or a plug not pushed fully in"


def _severity(comparison: Comparison, parts: list[Match]) -> Severity:
    for match in parts:
        flow = comparison.study.flow(match.part)
        guides = comparison.study.rig.part(match.part).role == "guiding"
        if match.kind == "hub" or guides or (flow is not None and flow.kind == "video"):
            return "risk"
    buses = {match.own.bus for match in parts if match.own is not None}
    for guide in comparison.study.of_role("guiding"):
        seen = comparison.match(guide.id)
        slow = seen is not None and seen.own is not None and seen.own.speed_mbit == 480 and seen.own.bus in buses
        if slow and seen not in parts:
            return "risk"
    return "note"


def _figures(study: Study, name: str) -> tuple[Figure, ...]:
    if study.rig.part(name).kind == "device":
        return speed_figures(study.device(name), "measured")
    leg = study.topology.leg(name)
    return () if leg is None else (Figure("carries", leg.carries.mbit, "Mb/s", "measured"),)


def _fix(comparison: Comparison, slow: SlowElement, first: Match) -> Fix:
    study, culprit = comparison.study, comparison.part_of(slow.thing.key)
    fast = (could_mbit(comparison, first.thing, first)[0] or 0) >= SUPER
    if slow.kind != "leg" or culprit is None:
        what = "faster" if (slow.thing.most_mbit or 0) >= SUPER or not fast else "USB 3"
        return Fix(f"Use a {what} socket for it." if slow.kind == "socket" else f"Use a {what} hub, or another socket.")
    cable = "another USB 3 cable" if fast else "another cable"
    otherwise = f"Push the plug in again, quickly and all the way; then try {cable}, then another socket."
    if not fast or (first.most_mbit or 0) >= SUPER:
        return Fix(otherwise)

    return fix_by(_changes(study, culprit), lambda after: _figures(after, first.part), otherwise)


def _changes(study: Study, culprit: str) -> Iterator[Change]:
    old = study.rig.part(culprit).cable
    yield SetCable(culprit, replace(old, grade=Fact("usb3", "assumed")))


ON_HUB = rig(imaging("hub/1"), guiding("hub/2"), hubs="  hub: {speed: super, ports: 4, plug: computer/usb3-1}\n")
SLOW: dict[str, Any] = {**MAIN, "usb_version": 2.1}

CHECK = Check(
    name="fell-back",
    summary="a part runs slower than it could, and this element holds it back",
    tested_by="`topo chase RIG --symptom slow-downloads` finds which plug or cable is to blame",
    explanation=__doc__,
    symptoms=("slow downloads", "camera runs at usb 2", "slower than before"),
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("at full speed", ON_HUB, 0, scan(*HUB3, seen("2-1.1", 5000, **MAIN), seen("1-1.2"))),
        Case("the camera's own leg", ON_HUB, 1, scan(*HUB3, seen("1-1.1", **SLOW), seen("1-1.2"))),
        Case("the hub's leg, told once", ON_HUB, 1,
             scan(hub("1-1", could_mbit=BOS, usb_version=2.1), seen("1-1.1", **SLOW), seen("1-1.2"))),
        Case("both cameras on one controller",
             rig(imaging("computer/usb3-1"), imaging("computer/usb3-2", name="second")), 2,
             scan(seen("1-1", **SLOW), seen("1-2", **{**SLOW, "serial": "B2"}))),
        Case("a USB 2 hub instead", ON_HUB, 1, scan(hub("1-1"), seen("1-1.1", **SLOW), seen("1-1.2"))),
        Case("a socket without a SuperSpeed side", rig(imaging("computer/usb3-1")), 1,
             scan(seen("1-1", **SLOW), ports=(
                 port("usb1", 1, connect_type="hotplug", device="1-1"),
                 port("usb1", 2, peer=["usb2", 2]), port("usb2", 2, peer=["usb1", 2])))),
        Case("from 10 to 5 Gb/s",
             rig(imaging("computer/usb3-1")).replace("speed: super,", "speed: super-plus,"), 1,
             scan(root("usb4", 10_000, SECOND), seen("4-1", 5000, product_id="0260", could_mbit=[5000.0, 10_000.0],
                  controller=SECOND))),
        Case("a guide camera at 12 Mb/s",
             rig(guiding("computer/usb2-1", "identity: {vendor_id: f1a0, product_id: '0001'}")), 1,
             scan(seen("3-1", 12))),
        Case("the file has a USB 2 cable there", rig(imaging("computer/usb3-1", "cable: {grade: usb2}")), 0,
             scan(seen("1-1", **SLOW))),
    ),
)
