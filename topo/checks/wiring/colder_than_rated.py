"""The night gets colder than a part is rated for.

Hubs and supplies for the office are rated from 0 °C (their sheets), and what is fed by them drops when they stop: hubs
first, then adapters, then cables whose jacket gets stiff and pulls. What is rated is `lowest_celsius`; how cold it gets
is `coldest_celsius` under `night:`. Parts that sit indoors are left out.

A risk: parts often run below their rating, and nobody promises it. A note within two degrees of it.

Wrong if it has run through a night as cold.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, imaging, rig
from topo.model.cautions import SHORT
from topo.model.check import Case, Check
from topo.model.facts import Fact, Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Place

NEAR_CELSIUS = 2.0
"""So near to its rating a part is noted: a forecast is no better (our own proposal, no source)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each part that is rated for warmer nights."""
    cold = study.rig.night.facts.coldest_celsius
    if cold is None:
        return
    for part in study.rig.plugged:
        rated = part.facts.lowest_celsius
        if rated is not None and part.sits != "indoors" and cold.value < rated.value + NEAR_CELSIUS:
            yield _finding(part.id, part.id, part.place, rated, cold)
    if not study.rig.supplies:
        return
    from topo.power.tree import fed_by

    parts = {part.id for part in study.rig.parts}
    for supply in study.rig.supplies:
        rated = supply.facts.lowest_celsius
        if rated is not None and cold.value < rated.value + NEAR_CELSIUS:
            first = next((name for name in fed_by(study.rig, supply.id) if name in parts), study.rig.computer.id)
            yield _finding(f"the supply {supply.id}", first, supply.place, rated, cold)


def _finding(name: str, part: str, place: Place, rated: Fact[float], cold: Fact[float]) -> Finding:
    below = cold.value < rated.value
    what = "is rated down to" if below else "is rated only just below that, to"
    return Finding(
        name="colder-than-rated",
        severity="risk" if below else "note",
        certainty="possible" if rated.basis != "declared" else "certain",
        part=part,
        place=place,
        message=f"It gets down to {cold.value:g} °C, and {plain(name)} {what} {rated.value:g} °C.",
        figures=(
            Figure("coldest tonight", cold.value, "°C", cold.basis),
            Figure("rated down to", rated.value, "°C", rated.basis),
        ),
        refuted_by="it has run through a night as cold",
        fix=Fix("Put it into a box with something warm (a supply, a heater strap), or use one that is rated for the "
                "cold; switch it on before dusk and leave it on. "
                f"{SHORT}"),
    )


def _cold(celsius: float, *parts: str, hub: str) -> str:
    hubs = f"  hub: {{ports: 4, speed: high, plug: computer/usb2-1, {hub}}}\n"
    return rig(*parts, hubs=hubs) + f"night: {{coldest_celsius: {celsius:g}}}\n"


CHECK = Check(
    name="colder-than-rated",
    summary="the night gets colder than a part is rated for",
    tested_by="`topo watch RIG` notes each drop through a night, with the time",
    explanation=__doc__,
    severities=("risk", "note"),
    symptoms=("fails on cold nights", "fails in frost"),
    find=find,
    scope="no-plug",
    cases=(
        Case("a hub for the office on a mild night", _cold(8, imaging("computer/usb3-1"), hub="lowest_celsius: 0"), 0),
        Case("a hub for the office in frost", _cold(-6, guiding("hub/1"), hub="lowest_celsius: 0"), 1),
        Case("an industrial hub in frost", _cold(-6, guiding("hub/1"), hub="lowest_celsius: -40"), 0),
        Case("a supply for the office in frost",
             rig(guiding("computer/usb2-1")) + "power: {supplies: {pier: {volts: 12, lowest_celsius: 0}}, "
             "leads: {one: {from: pier, to: guide-camera}}}\nnight: {coldest_celsius: -6}\n", 1),
        Case("the office hub indoors", _cold(-6, guiding("hub/1"), hub="lowest_celsius: 0, sits: indoors"), 0),
    ),
)
