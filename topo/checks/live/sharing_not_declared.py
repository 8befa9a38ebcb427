"""A guide camera shares its way with something that the rig file keeps apart from it.

Plugs in other sockets, a camera that fell back to USB 2, or a computer whose sockets share one controller though the
file says two: each puts parts on one link that the plan had on two. The figures are computed with everything where it
was seen and as fast as it runs.

A risk where guide frames come later by it, a note where they do not. 'Possible' where two sockets of one controller
may or may not share one 480 Mb/s bus, which no system tells.

Wrong if guide frames come as fast while the other part moves data as without it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, imaging, rig
from topo.checks.help import fix_by, guide_figures
from topo.checks.scans import MAIN, hub, scan, seen
from topo.compare.words import where
from topo.model.change import Change, MovePlug
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.comparison import Comparison


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each guide camera that shares with what the file keeps apart from it."""
    for guide in comparison.study.of_role("guiding"):
        if comparison.match(guide.id) is None:
            continue
        before = set(_sharers(comparison.declared, guide.id))
        now = _sharers(comparison.study, guide.id)
        added = {name: link for name, link in now.items() if name not in before and comparison.match(name) is not None}
        if added:
            yield _finding(comparison, guide.id, added)


def _sharers(study: Study, guide: str) -> dict[str, str]:
    """What shares a link with a guide camera, and the id of the first such link, in the order of the file."""
    own = study.flow(guide)
    if own is None:
        return {}
    links = {use.resource for use in own.uses}
    shared = {}
    for flow in study.traffic.flows:
        common = next((use.resource for use in flow.uses if use.resource in links), None)
        if flow.device != guide and flow.kind != "serial" and common is not None:
            shared[flow.device] = common
    return shared


def _finding(comparison: Comparison, guide: str, added: dict[str, str]) -> Finding:
    study = comparison.study
    part, names = study.rig.part(guide), tuple(added)
    links = [study.link(link) for link in dict.fromkeys(added.values())]
    device = study.device(guide)
    late = any(delay is not None and delay.high > 0 for delay in (device.delay_fair_s, device.delay_last_s))
    match = comparison.match(guide)
    assert match is not None
    return Finding(
        name="sharing-not-declared",
        severity="risk" if late else "note",
        certainty="possible" if all(link.basis == "assumed" for link in links) else "certain",
        part=guide,
        place=part.place,
        others=names,
        message=f"{plain(guide)} ({where(comparison, match.thing)}) shares "
        f"{listed(tuple(link.label for link in links))} with {listed(names)}; the file keeps them apart.",
        figures=guide_figures(study, guide),
        refuted_by="guide frames come as fast while the other moves data as without it",
        fix=_fix(comparison, guide, names),
    )


def _fix(comparison: Comparison, guide: str, names: tuple[str, ...]) -> Fix:
    """Plugs put back where the file has them, else another socket for the guide camera, computed with what was seen."""
    return fix_by(
        _put_back(comparison, (guide, *names)),
        lambda after: guide_figures(after, guide),
        "Bring what fell back to its full speed; else plug one of them into a socket of another controller.",
    )


def _put_back(comparison: Comparison, names: tuple[str, ...]) -> Iterator[Change]:
    free = {(above, socket.name) for above, socket in comparison.study.topology.free_sockets()}
    for name in names:
        match, plug = comparison.match(name), comparison.declared.rig.part(name).plug
        if match is not None and match.moved and plug is not None and (plug.part, plug.socket) in free:
            yield MovePlug(name, plug.part, plug.socket)


APART = rig(imaging("computer/usb3-1"), guiding("computer/usb2-1"))
BY_HUB = rig(imaging("hub/1"), guiding("computer/usb2-1"),
             hubs="  hub: {speed: high, ports: 4, plug: computer/usb3-1}\n")

CHECK = Check(
    name="sharing-not-declared",
    summary="a guide camera shares its way with something the rig file keeps apart from it",
    explanation=__doc__,
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("apart, as the file has it", APART, 0, scan(seen("2-1", speed=5000, **MAIN), seen("3-1"))),
        Case("fallen back beside it", rig(imaging("computer/usb3-1"), guiding("computer/usb3-2")), 1,
             scan(seen("1-1", usb_version=2.1, **MAIN), seen("1-2"))),
        Case("both on one hub", BY_HUB, 1, scan(hub("1-1"), seen("1-1.1", product_id="0260"), seen("1-1.2"))),
    ),
)
