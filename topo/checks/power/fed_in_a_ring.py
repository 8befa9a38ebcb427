"""One supply feeds a part over two ways that are not side by side.

Two leads between the same two ends share a current by their ohms, and that is worked out. Ways that part and meet
again elsewhere, over two blocks, say, are not: what each carries depends on all that is on them. A short in either is
fed from both ends, so that a fuse at the beginning of one does not end it, and where one opens, the other carries
all. The first way of the file counts as if it carried all already; here the other one is looked at as it is once that
is open.

A risk where its wire takes less than it would carry then, or where nothing guards it for what it takes; else a note.

Wrong if a switch or a plug keeps one of the two ways open.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import amps_figures, fixed, lead_of, likely, over
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.words.apart import apart

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.power import LeadPower, Ring


def find(study: Study) -> Iterator[Finding]:
    """One finding for each second way."""
    for ring in study.power.rings:
        weak = _weak(ring.other)
        yield Finding(
            name="fed-in-a-ring",
            severity="risk" if weak else "note",
            certainty="possible",
            part=ring.end,
            place=lead_of(study, ring.other.id).place,
            message=f"{plain(ring.end)} is fed over {plain(ring.first)} and over {plain(ring.other.id)}, two ways from "
            f"{plain(ring.other.supply)}: how much each carries is not worked out.{weak}",
            figures=_figures(ring),
            refuted_by="a switch or a plug keeps one of the two ways open",
            fix=fixed(
                iter(()), lambda after: (),
                f"Take {plain(ring.other.id)} or {plain(ring.first)} away, or let both begin at the same thing.",
            ),
        )  # fmt: skip


def _weak(lead: LeadPower) -> str:
    """Why the second way would not do alone; empty where it would."""
    if lead.limit_a is None:
        return ""
    found = over(lead.amps, lead.limit_a)
    if found is not None and found[0] != "note":
        amps = f"{apart(likely(lead.amps.peak), lead.limit_a)} A"
        return f" Alone, {plain(lead.id)} would carry {amps}, and its wire takes {lead.limit_a:g} A."
    if lead.fuse_a is None or lead.fuse_a > lead.limit_a:
        return f" Nothing guards {plain(lead.id)} for the {lead.limit_a:g} A that its wire takes."
    return ""


def _figures(ring: Ring) -> tuple[Figure, ...]:
    other = ring.other
    limit = () if other.limit_a is None else (Figure("its wire's limit", other.limit_a, "A", other.limit_basis),)
    return (*limit, *amps_figures(other.amps, other.drawn))


def _rig(gauge_awg: int, fuse: str = ", fuse_amps: 5", start: str = "there") -> str:
    power = "power:\n  supplies: {pier: {volts: 12, amps: 20, volts_by: meter, kind: mains}}\n"
    power += "  blocks: {here: {}, there: {}}\n  leads:\n"
    power += "    f: {from: pier, to: here, length_m: 1, gauge_awg: 12, fuse_amps: 10}\n"
    power += "    g: {from: pier, to: there, length_m: 1, gauge_awg: 12, fuse_amps: 10}\n"
    power += "    a: {from: here, to: main-camera, length_m: 1, gauge_awg: 16, fuse_amps: 5}\n"
    power += f"    b: {{from: {start}, to: main-camera, length_m: 1, gauge_awg: {gauge_awg}{fuse}}}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 2", "amps_peak: 3")) + power


CHECK = Check(
    name="fed-in-a-ring",
    summary="one supply feeds a part over two ways that are not side by side",
    explanation=__doc__,
    severities=("risk", "note"),
    find=find,
    scope="no-plug",
    cases=(
        Case("two leads from one block to one camera", _rig(16, start="here"), 0),
        Case("two ways over two blocks", _rig(16), 1),
        Case("the second one too thin", _rig(24), 1),
        Case("the second one without a fuse", _rig(16, ""), 1),
    ),
    tested_by="a clamp meter round each of the two ways",
)
