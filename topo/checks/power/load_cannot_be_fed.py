"""A load cannot be fed over its lead at all.

Electronics draw the same watts whatever the volts: as volts fall, amps rise, and that costs more volts. A lead of R
ohms behind V volts can hand on no more than V²/4R watts; past that there are no volts at which it works, and the part
drops out, comes back and drops out again. No thicker fuse and no larger supply helps: only less resistance, or less
load.

A fault where it is so at the likely figures, in normal work or at the peak; a risk where only at the low end of what is
uncertain.

Wrong if a meter at the part's own plug shows enough volts under full load.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import behind, fixed, lead_of, thicker
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.power.copper import AREAS_MM2

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.change import Proposal
    from topo.model.power import Unfed


def find(study: Study) -> Iterator[Finding]:
    """One finding for each supply or converter with loads that cannot be fed."""
    worst: dict[str, Unfed] = {}
    for unfed in study.power.unfed:
        if unfed.lead and (unfed.source not in worst or _rank(unfed) < _rank(worst[unfed.source])):
            worst[unfed.source] = unfed
    for unfed in worst.values():
        lead = lead_of(study, unfed.lead)
        when = {"idle": "Even at rest", "typical": "In normal work", "peak": "With all at their peak"}[unfed.state]
        maybe = "" if unfed.level == "likely" else " at worst"
        yield Finding(
            name="load-cannot-be-fed",
            severity="fault" if unfed.level == "likely" else "risk",
            certainty="possible",
            part=unfed.source,
            place=lead.place,
            others=(lead.to, *behind(study, lead)),
            message=f"This load cannot be fed over this lead: {when.lower()}{maybe}, what "
            f"{plain(unfed.source)} feeds asks for more than its leads can carry; {plain(lead.id)} loses most.",
            figures=_figures(unfed),
            refuted_by="a meter at the part's own plug shows enough volts under full load",
            fix=fixed(
                _offers(study, unfed), partial(_again, unfed.source),
                f"Make {plain(lead.id)} shorter or thicker, or put less on it.",
            ),
        )  # fmt: skip


def _rank(unfed: Unfed) -> tuple[bool, int]:
    return unfed.level != "likely", ("idle", "typical", "peak").index(unfed.state)


def _figures(unfed: Unfed) -> tuple[Figure, ...]:
    return (Figure("share of it that can be fed", round(unfed.share, 3), "", "declared"),)


def _again(source: str, study: Study) -> tuple[Figure, ...]:
    found = sorted((each for each in study.power.unfed if each.source == source), key=_rank)
    return _figures(found[0]) if found else (Figure("share of it that can be fed", 1.0, "", "declared"),)


def _offers(study: Study, unfed: Unfed) -> Iterator[Proposal]:
    power = study.power.lead(unfed.lead)
    if power is not None:
        yield from thicker(lead_of(study, unfed.lead), power, len(AREAS_MM2))


def _rig(gauge_awg: int) -> str:
    power = "power:\n  supplies: {pier: {volts: 12, amps: 20, volts_by: meter}}\n"
    power += f"  leads: {{a: {{from: pier, to: main-camera, length_m: 12, gauge_awg: {gauge_awg}, fuse_amps: 5}}}}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 2", "amps_peak: 4")) + power


CHECK = Check(
    name="load-cannot-be-fed",
    summary="a load cannot be fed over its lead at all",
    tested_by="a meter at the plug under full load; `topo power RIG` says what volts to expect there",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(
        Case("48 W over 12 m of 14 AWG", _rig(14), 0),
        # 144 / (4 x 2 x 12 m x 53 milliohm/m x 1.02) = 28 W
        Case("48 W over 12 m of 22 AWG", _rig(22), 1),
    ),
)
