"""Slow devices crowd the one translator of a hub.

A USB 2 hub talks to the computer at 480 Mb/s and to slow devices (mounts, focusers, wheels) at 12 Mb/s, through a
transaction translator. A hub with one translator puts all its slow devices on one 12 Mb/s bus; reserved traffic
(interrupt, isochronous) may take 90 % of a frame there (USB 2.0 5.6.4, 5.7.4), and a translator's own budget is 1,157
of 1,500 bytes (USB 2.0 11.18.1). When that is used up the computer refuses the next device, or answers come late.

A fault where reservations pass the budget; a risk above half of it, or where the steady traffic of slow devices passes
half of what a 12 Mb/s bus is seen to deliver. A hub with a translator for each port is the cure.

Wrong if the system's log shows no 'not enough bandwidth' when all of them run.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix, Severity
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.outcome import LinkOutcome

BUDGET = 1157 / 1500
"""Share of a full-speed frame a translator may reserve (USB 2.0 11.18.1; marked K in our reference: kernel source)."""

HUB = "  hub: {speed: high, ports: 7, powered: true, translators: one, plug: computer/usb2-1}\n"


def find(study: Study) -> Iterator[Finding]:
    """One finding for each translator whose reservations or steady traffic leave little."""
    shared = {each.id for each in study.traffic.resources if each.kind == "translator" and len(each.legs) > 1}
    for link in study.links if shared else ():
        if link.id not in shared:
            continue
        steady = (
            math.fsum(
                min(1e6 * (study.device(name).asked_mb_per_s or 0.0), flow.demand_bytes_per_s)
                for name in link.carries
                if (flow := study.flow(name)) is not None and not flow.is_burst
            )
            / 1e6
        )
        severity = _severity(link, steady)
        if severity is not None:
            yield _finding(study, link, steady, severity)


def _severity(link: LinkOutcome, steady_mb_per_s: float) -> Severity | None:
    if link.reserved > BUDGET:
        return "fault"
    if link.reserved > BUDGET / 2 or steady_mb_per_s > link.expected_mb_per_s.low / 2:
        return "risk"
    return None


def _finding(study: Study, link: LinkOutcome, steady: float, severity: Severity) -> Finding:
    first = study.rig.part(link.legs[0])
    return Finding(
        name="translator-crowded",
        severity=severity,
        certainty="possible" if link.basis == "assumed" else "certain",
        part=first.id,
        place=first.place,
        message=f"{len(link.legs)} slow devices share the {plain(link.label)}.",
        figures=(
            Figure("reserved", round(100 * link.reserved, 1), "% of a frame", link.basis),
            Figure("budget", round(100 * BUDGET, 1), "% of a frame", "profile"),
            Figure("asked, all the time", steady, "MB/s", "declared"),
            Figure("carries", link.expected_mb_per_s, "MB/s", link.basis),
        ),
        others=link.legs[1:],
        refuted_by="the system's log shows no 'not enough bandwidth' when all of them run",
        fix=Fix("Use a hub with a translator for each port, or spread the slow devices over two hubs."),
    )


CHECK = Check(
    name="translator-crowded",
    summary="slow devices crowd the one translator of a hub",
    tested_by="`topo compare RIG` shows how many translators the hub has",
    explanation=__doc__,
    severities=("fault", "risk"),
    find=find,
    scope="controller",
    cases=(
        Case(
            "two quiet serial devices",
            rig(
                "a: {role: focuser, speed: full, interrupt_bytes: 16, interrupt_interval_ms: 10, plug: hub/1}",
                "b: {role: rotator, speed: full, interrupt_bytes: 16, interrupt_interval_ms: 10, plug: hub/2}",
                hubs=HUB,
            ),
            0,
        ),
        Case(
            "a full-speed video stream beside chatty controllers",
            rig(
                "a: {role: other, speed: full, interface: iso, iso_bytes_per_ms: 900, plug: hub/1}",
                "b: {role: other, speed: full, interrupt_bytes: 64, interrupt_interval_ms: 1, plug: hub/2}",
                "c: {role: other, speed: full, interrupt_bytes: 64, interrupt_interval_ms: 1, plug: hub/3}",
                "d: {role: other, speed: full, interrupt_bytes: 64, interrupt_interval_ms: 1, plug: hub/4}",
                hubs=HUB,
            ),
            1,
        ),
    ),
)
