"""More is drawn from a power box, one of its channels or a terminal block than it may give.

A channel of a box switches off or resets above its limit, and all on it goes dark for a moment, at the worst one: when
the cooler starts or the mount slews. All channels together have a limit too, often that of the box's own input plug.

A fault where normal work passes a limit; a risk where the peak does; a note where only the high end of what is
uncertain does.

Wrong if the box itself shows less on that channel under full load.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import imaging, rig
from topo.checks.power_help import amps_figures, at_least, fixed, lead_of, over
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.feeds import PowerBox
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.model.power import ByState
from topo.words.apart import apart

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.feeds import TerminalBlock
    from topo.model.power import LeadPower


def find(study: Study) -> Iterator[Finding]:
    """One finding for each box, channel or block with too much on it."""
    things: tuple[PowerBox | TerminalBlock, ...] = (*study.rig.boxes, *study.rig.blocks)
    for thing in things:
        for name, limit, lead, amps, to in _limits(study, thing):
            if (found := over(amps, limit, partial(at_least, study, lead_of(study, lead.id)))) is None:
                continue
            severity, certainty = found
            most = amps.typical if severity == "fault" else amps.peak
            shown = 0.0 if most is None else most.high if severity == "note" else most.likely
            yield Finding(
                name="channel-overloaded",
                severity=severity,
                certainty=certainty,
                part=to,
                place=thing.place,
                message=f"{apart(shown, limit)} A {'may be' if severity == 'note' else 'are'} drawn from {plain(name)}"
                f"{'' if severity == 'fault' else ' at the peak'}, which may give {limit:g} A.",
                figures=(Figure("may give", limit, "A", "declared"), *amps_figures(amps, lead.drawn)),
                refuted_by="the box itself shows less under full load",
                fix=fixed(iter(()), lambda after: (), f"Feed one of the parts past {plain(thing.id)}, with a fuse of "
                          "its own."),
            )  # fmt: skip


def _limits(study: Study, thing: PowerBox | TerminalBlock) -> Iterator[tuple[str, float, LeadPower, ByState, str]]:
    """Each limit that is stated: its name, amps, the lead it concerns, what is drawn there, the part to look at."""
    out = [each for each in study.power.leads if each.source == thing.id]
    into = next((each for each in study.power.leads if thing.id in lead_of(study, each.id).ends), None)
    if thing.facts.amps is not None and into is not None:
        yield thing.id, thing.facts.amps.value, into, into.all_amps, thing.id
    if not isinstance(thing, PowerBox):
        return
    for name, facts in thing.channels:
        on = [each for each in out if lead_of(study, each.id).socket == name]
        if facts.amps is not None and len(on) == 1:
            yield f"{thing.id}/{name}", facts.amps.value, on[0], on[0].amps, on[0].to


def _rig(limit: float, channel: float = 5) -> str:
    power = "power:\n  supplies: {pier: {volts: 12, amps: 20, volts_by: meter}}\n"
    power += f"  boxes: {{box: {{amps: {limit:g}, channels: {{a: {{amps: {channel:g}}}}}}}}}\n"
    power += "  leads:\n    in: {from: pier, to: box, length_m: 1, gauge_awg: 14, fuse_amps: 10}\n"
    power += "    out: {from: box/a, to: main-camera, length_m: 1, gauge_awg: 18}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 2", "amps_peak: 3")) + power


CHECK = Check(
    name="channel-overloaded",
    summary="more is drawn from a box, channel or block than it may give",
    tested_by="a clamp meter round its lead at full load; `topo power RIG` says what amps to expect there",
    explanation=__doc__,
    severities=("fault", "risk", "note"),
    find=find,
    scope="no-plug",
    cases=(
        Case("3 A from a channel of 5 A", _rig(10), 0),
        Case("3 A from a channel of 2.5 A", _rig(10, 2.5), 1),
        Case("3 A from a box of 2.5 A", _rig(2.5), 1),
    ),
)
