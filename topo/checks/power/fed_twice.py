"""Two supplies feed one part, or one line of parts.

Two sources on one line push current into each other: the one with more volts feeds the other as well as the load, and a
battery is charged with nothing to limit it. Tie supplies together only with a part that is made for it.

A fault where leads of two supplies or converters end at the same thing.

Wrong if a switch or a diode between them keeps one of them off.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.power.tree import fed_by

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.feeds import Lead


def find(study: Study) -> Iterator[Finding]:
    """One finding for each thing that leads of several sources end at."""
    rig_, ends = study.rig, dict[str, list[str]]()
    for source in rig_.sources:
        for name in fed_by(rig_, source.id):
            ends.setdefault(name, []).append(source.id)
    converters = {each.id for each in rig_.converters}
    for lead in rig_.leads:
        for name in lead.ends:
            sources = _own(study, ends.pop(name, []), converters)
            at_once = len({each.source for each in rig_.leads if name in each.ends})
            if len(sources) > 1 and at_once > 1:
                yield _finding(lead, name, sources)


def _own(study: Study, sources: list[str], converters: set[str]) -> list[str]:
    """Sources without those that only feed another of them: a converter stands for what feeds it."""
    inner = [name for name in sources if name in converters]
    behind = {name for name in sources for one in inner if name != one and one in fed_by(study.rig, name)}
    return [name for name in sources if name not in behind or name in inner]


def _finding(lead: Lead, name: str, sources: list[str]) -> Finding:
    return Finding(
        name="fed-twice",
        severity="fault",
        certainty="possible",
        part=name,
        place=lead.place,
        message=f"{plain(name)} is fed by {' and by '.join(map(plain, sources))}: two sources on one line push current "
        "into each other.",
        figures=(Figure("sources", len(sources), "", "declared"),),
        refuted_by="a switch or a diode keeps one of them off",
        fix=Fix(f"Take one of the leads to {plain(name)} away. {SHORT}"),
    )


def _rig(more: str) -> str:
    power = "power:\n  supplies: {pier: {volts: 12, amps: 20}, spare: {volts: 13.2, chemistry: lifepo4}}\n"
    power += "  leads:\n    a: {from: pier, to: main-camera, length_m: 1, gauge_awg: 16, fuse_amps: 5}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 2")) + power + more


CHECK = Check(
    name="fed-twice",
    summary="two supplies feed one part",
    tested_by="a meter at its plug with one supply switched off: there may be no volts then",
    explanation=__doc__,
    severities=("fault",),
    find=find,
    scope="no-plug",
    cases=(
        Case("one supply", _rig(""), 0),
        Case("a battery as well", _rig("    b: {from: spare, to: main-camera, length_m: 1, gauge_awg: 16}\n"), 1),
    ),
)
