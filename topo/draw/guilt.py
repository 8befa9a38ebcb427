"""What of a rig the first finding is about: its parts, wires, controllers and leads. The rest of a picture fades."""

from __future__ import annotations

from collections import Counter
from dataclasses import field
from typing import TYPE_CHECKING, Literal

from topo.draw.answer import ON_LINKS
from topo.frozen import frozen
from topo.model.change import AddCard, AddPart, MovePlug, SetLead, SetSupply, SwapPlugs
from topo.model.rig import COMPUTER, Computer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from topo.analysis.study import Study
    from topo.model.finding import Finding, Plan
    from topo.model.outcome import LinkOutcome

FaultySide = Literal["", "usb2", "superspeed"]

ON_CABLES = ("slower-than-it-could-be", "cable-too-long", "usb-volts-low", "cable-in-pieces", "cables-cross-axes",
             "colder-than-rated", "serial-lead-too-long", "wrong-socket", "fell-back", "part-moved")
"""Findings about the cable a part hangs on."""

_SIDES: dict[str, FaultySide] = {"usb2-bus": "usb2", "translator": "usb2", "superspeed": "superspeed"}


@frozen
class Guilt:
    """What takes part in the first finding or in what is to be done about it. All empty where nothing is wrong.

    `wires` are parts whose cable is at fault, with the side of it; `link` the id of the link they share; `named` says
    where, once, whom it is about: a part (its cable), a controller, or nothing.
    """

    finding: Finding | None = None
    parts: frozenset[str] = frozenset()
    wires: dict[str, FaultySide] = field(default_factory=dict)
    controllers: frozenset[str] = frozenset()
    leads: frozenset[str] = frozenset()
    link: str = ""
    named: str = ""

    @property
    def on_usb(self) -> bool:
        """Whether it is about data alone: then nothing of the 12 V side takes part."""
        return self.finding is not None and self.finding.name in (*ON_LINKS, *ON_CABLES)

    def fades(self, part: str) -> bool:
        """Whether a part has nothing to do with it."""
        return self.finding is not None and part not in self.parts


def guilt_of(study: Study, findings: Sequence[Finding], first: Plan | None) -> Guilt:
    """What the first finding is about; nothing where there is no fault and no risk."""
    if not findings or findings[0].severity == "note":
        return Guilt()
    worst = findings[0]
    leads = frozenset(lead.id for lead in study.rig.leads if lead.place.line and lead.place == worst.place)
    parts = {worst.part, *worst.others, *touched(first)}
    if leads:
        parts |= {end for lead in study.rig.leads if lead.id in leads for end in (lead.source, *lead.ends)}
        return Guilt(worst, frozenset(parts), leads=leads)
    link = _link_of(study, worst) if worst.name in ON_LINKS else None
    if link is not None:
        return _of_link(study, worst, link, parts)
    wires: dict[str, FaultySide] = {}
    if worst.name in ON_CABLES:
        device = next((each for each in study.devices if each.id == worst.part), None)
        limited = device.limited_by.part if device is not None and device.limited_by is not None else worst.part
        wires[limited if worst.name == "slower-than-it-could-be" else worst.part] = ""
    return Guilt(worst, _with_paths(study, parts), wires)


def _link_of(study: Study, finding: Finding) -> LinkOutcome | None:
    """The link a finding about sharing is about: one that cannot carry the part beside the others, else the fullest."""
    scarce = {link for pair in study.shared for link in pair.links
              if finding.part in (pair.guide, pair.other) and {pair.guide, pair.other} & set(finding.others)}
    on = [link for link in study.links if finding.part in (*link.carries, *link.legs)]
    if finding.others:
        on = [link for link in on if set(finding.others) & {*link.carries, *link.legs}] or on
    order = {link.id: number for number, link in enumerate(on)}
    return min(on, key=lambda link: (link.id not in scarce, -link.load_peak, order[link.id]), default=None)


def _of_link(study: Study, worst: Finding, link: LinkOutcome, parts: set[str]) -> Guilt:
    on = {*link.carries, *link.legs}
    sharers = [part for part in dict.fromkeys((worst.part, *worst.others)) if part in on]
    paths = [[leg.part for leg in study.topology.path(part)] for part in sharers]
    counts = Counter(name for path in paths for name in path)
    side = _SIDES.get(link.kind, "")
    wires = {name: side for path in paths for name in path if counts[name] > 1}
    roots = {path[-1] for path in paths if path}
    controllers: frozenset[str] = frozenset()
    if len(roots) > 1 or link.kind == "uplink":
        controllers = frozenset(filter(None, (_controller(study, root) for root in roots)))
    if not wires and not controllers:
        wires = dict.fromkeys((leg for leg in link.legs if leg in {name for path in paths for name in path}), side)
    top = [name for name in wires if name in roots] or list(wires)
    named = top[0] if top else min(controllers, default="")
    return Guilt(worst, _with_paths(study, parts), wires, controllers, link=link.id, named=named)


def _controller(study: Study, root: str) -> str | None:
    leg = study.topology.leg(root)
    return None if leg is None else leg.socket.controller


def _with_paths(study: Study, parts: set[str]) -> frozenset[str]:
    """Parts and all they hang on."""
    known = {part.id for part in study.rig.parts}
    above = {leg.above for part in parts if part in known for leg in study.topology.path(part)}
    return frozenset({*parts, *above, COMPUTER})


def touched(first: Plan | None) -> set[str]:
    """Parts, leads and supplies that what is to be done changes, and what a plug goes into."""
    touched: set[str] = set()
    for step in first.proposal.steps if first is not None else ():
        if isinstance(step, SetLead | SetSupply):
            touched.add(step.lead if isinstance(step, SetLead) else step.supply)
        elif isinstance(step, AddCard):
            touched.add(COMPUTER)
        elif isinstance(step, AddPart):
            plug = None if isinstance(step.part, Computer) else step.part.plug
            touched |= {step.part.id, *(() if plug is None else (plug.part,))}
        else:
            touched.add(step.part)
            touched |= {step.to_part} if isinstance(step, MovePlug) else set()
            touched |= {step.other} if isinstance(step, SwapPlugs) else set()
    return touched
