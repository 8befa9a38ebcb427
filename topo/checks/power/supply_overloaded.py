"""The parts on a supply or converter draw more than it gives.

All that it feeds is taken at its peak: cooler at full power, mount slewing, heaters on. A supply at its limit sags,
and what shows first is not the supply: a hub drops out, a mount loses steps. Supplies lose capacity in the cold, so 1.5
to 2 times the need is common practice (no source).

A fault where normal work passes the rating, a risk where only the peak does.

Wrong if a meter at the supply's terminals shows less under full load.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import PLAIN_PC, imaging, rig
from topo.checks.power_help import SUPPLY_AMPS, amps_figures, fixed, larger_supply, likely
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Severity
from topo.model.plain import plain
from topo.power.loads import drawing
from topo.wiring.places import place_of
from topo.words.apart import apart

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.power import SourcePower


def find(study: Study) -> Iterator[Finding]:
    """One finding for each supply or converter with too much on it."""
    for source in study.power.sources:
        typical, peak = likely(source.amps.typical), likely(source.amps.peak)
        gives = source.may_give_a
        if gives is None or peak <= gives or not source.fed:
            continue
        severity: Severity = "fault" if typical > gives else "risk"
        yield Finding(
            name="supply-overloaded",
            severity=severity,
            certainty="possible",
            part=source.fed[0],
            place=place_of(study.rig, source.id),
            others=source.fed[1:],
            message=f"{plain(source.id)} gives {gives:g} A, and its parts draw {_drawn(typical, peak, gives)}.",
            figures=_figures(source),
            refuted_by="a meter at the supply shows less under full load",
            fix=fixed(
                larger_supply(study, source.id, peak), partial(_again, source.id),
                _advice(study, source),
            ),
        )  # fmt: skip


def _drawn(typical: float, peak: float, gives: float) -> str:
    """`4.1 A, or 6.2 A if all peak at once`; the peak alone where both read the same."""
    usual, most = apart(typical, gives), apart(peak, gives)
    return f"{most} A" if usual == most else f"{usual} A, or {most} A if all peak at once"


def _figures(source: SourcePower) -> tuple[Figure, ...]:
    return (Figure("gives", source.may_give_a, "A", "declared"), *amps_figures(source.amps, source.basis))


def _again(name: str, study: Study) -> tuple[Figure, ...]:
    source = next((each for each in study.power.sources if each.id == name), None)
    return () if source is None else _figures(source)


def _advice(study: Study, source: SourcePower) -> str:
    drawn = [(likely(load.amps.peak), -index, part.id) for index, part in enumerate(study.rig.parts)
             if part.id in source.fed and (load := drawing(part)) is not None]  # fmt: skip
    largest = max(drawn)[2] if drawn else source.fed[0]
    if source.kind == "converter":
        size = next((each for each in SUPPLY_AMPS if each >= 1.25 * likely(source.amps.peak)), None)
        gives = "gives more" if size is None else f"gives {size:g} A or more"
        return f"Use a converter that {gives} in place of {plain(source.id)}."
    if len(source.fed) == 1:
        return f"Use a larger supply for {plain(largest)}."
    return f"Put {plain(largest)}, which draws most, on a supply of its own, or use a larger one."


def _rig(amps: float) -> str:
    power = f"power:\n  supplies: {{pier: {{volts: 12.8, amps: {amps:g}}}}}\n"
    power += "  leads: {a: {from: pier, to: main-camera}}\n"
    return rig(imaging("computer/usb3-1", "amps_typical: 2", "amps_peak: 3"), computer=PLAIN_PC) + power


CHECK = Check(
    name="supply-overloaded",
    summary="the parts on a supply or converter draw more than it gives",
    tested_by="a meter at its plugs under full load; `topo power RIG` says what volts to expect there",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="no-plug",
    cases=(Case("a 5 A supply for a camera", _rig(5), 0), Case("a 1.5 A supply for a camera", _rig(1.5), 1)),
)
