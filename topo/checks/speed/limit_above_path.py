"""A camera's own transfer limit is set higher than its path carries.

Most camera drivers have a setting for how fast the camera may send (USB speed, bandwidth, traffic), some in percent,
some in MB/s. Above what the path sustains, transfers stall: exposures run into their time-out, frames come torn, the
camera seems to hang and is still in the list of devices. The same happens where several cameras, each within its
limit, together ask for more than a link that all of them use.

The customary advice is 40 to 60 % of what the link carries (common practice, no source); what is computed here is the
highest that fits with what computers are seen to deliver. Cameras with no limit of their own are not judged here.

A risk: certain where the limit is above what the protocol allows, possible where it is above what computers deliver.

Wrong if the setting has been as high on this path for a whole night.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.checks.help import fix_by
from topo.model.change import SetUse
from topo.model.check import Case, Check
from topo.model.facts import Figure, Range3, basis_of, value_of
from topo.model.finding import Certainty, Finding
from topo.model.plain import plain
from topo.words.apart import apart
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.traffic import Flow

CUSTOMARY = (0.6, 0.4)
"""Shares of a link that cameras are set to (common practice, no source)."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each camera above its own path, and one for each link that limited cameras fill together."""
    limited = {part.id: limit for part in study.rig.devices if (limit := limit_of(study, part.id)) is not None}
    alone = [name for name, limit in limited.items() if limit > path_mb_per_s(study, name).low]
    for name in alone:
        yield _alone(study, name, limited[name])
    for resource in study.traffic.resources:
        on = [flow.device for flow in study.traffic.flows
              if flow.device in limited and any(use.resource == resource.id for use in flow.uses)]
        if len(on) < 2 or any(name in alone for name in on):
            continue
        # Slow devices cost a link more for each byte: all in MB/s of the link's own bulk payload.
        asked = math.fsum(limited[name] * _cost(study, name, resource.id) for name in on)
        total = asked * resource.ceiling_mb_per_s * 1e6
        if total > resource.expected_mb_per_s.low * (1.0 - resource.reserved):
            yield _summed(study, on, total, resource.id)


def limit_of(study: Study, name: str) -> float | None:
    """What a camera's limit lets out, MB/s: no more than it reads out. None for none."""
    part, flow = study.rig.device(name), study.flow(name)
    limit = value_of(part.use.limit_mb_per_s)
    if limit is None or flow is None or not flow.frame_bytes:
        return None
    return min(limit, value_of(part.facts.readout_mb_per_s, math.inf))


def path_mb_per_s(study: Study, name: str) -> Range3:
    """What a device's path delivers to it alone, MB/s."""
    flow = study.flow(name)
    assert flow is not None
    return Range3.of(*(
        min((level.capacities[use.resource] / use.seconds_per_byte for use in flow.uses), default=math.inf) / 1e6
        for level in study.levels
    ))


def _ceiling(study: Study, flow: Flow) -> float:
    kinds = {resource.id: resource for resource in study.traffic.resources}
    return min((1.0 - kinds[use.resource].reserved) / use.seconds_per_byte for use in flow.uses) / 1e6


def _cost(study: Study, name: str, resource: str) -> float:
    flow = study.flow(name)
    assert flow is not None
    return next(use.seconds_per_byte for use in flow.uses if use.resource == resource)


def _alone(study: Study, name: str, limit: float) -> Finding:
    part, flow = study.rig.device(name), study.flow(name)
    assert flow is not None
    certainty: Certainty = "certain" if limit > _ceiling(study, flow) else "possible"
    path = path_mb_per_s(study, name)
    return Finding(
        name="limit-above-path",
        severity="risk",
        certainty=certainty,
        part=name,
        place=part.place,
        message=f"The transfer limit of {plain(name)} lets it send {limit:g} MB/s, and its path carries "
        f"{apart(path.likely, limit, 0)}.",
        figures=_figures(study, name),
        refuted_by="the setting has been as high on this path for a whole night",
        fix=fix_by(_offers(name, path.low), lambda after: _figures(after, name),
                   "Lower the camera's transfer limit; 40 to 60 % of what the link carries is customary."),
    )


def _offers(name: str, carries: float) -> Iterator[SetUse]:
    for share in (1.0, *CUSTOMARY):
        yield SetUse(name, "limit_mb_per_s", math.floor(carries * share * 10) / 10)


def _figures(study: Study, name: str) -> tuple[Figure, ...]:
    limit, part = limit_of(study, name), study.rig.device(name)
    if limit is None:
        return ()
    return (
        Figure("the limit lets out", limit, "MB/s", basis_of(part.use.limit_mb_per_s)),
        Figure("its path carries", path_mb_per_s(study, name), "MB/s", "profile"),
    )


def _summed(study: Study, on: list[str], total: float, link: str) -> Finding:
    part, outcome = study.rig.device(on[0]), study.link(link)
    carries = outcome.expected_mb_per_s.likely
    return Finding(
        name="limit-above-path",
        severity="risk",
        certainty="certain" if total > outcome.ceiling_mb_per_s * (1.0 - outcome.reserved) else "possible",
        part=on[0],
        place=part.place,
        message=f"The transfer limits of {listed(on)} together let them send "
        f"{apart(total, carries, 0, f'{carries:.0f}')} MB/s, and '{plain(outcome.label)}' carries {carries:.0f}.",
        figures=_together(study, on),
        others=tuple(on[1:]),
        refuted_by="all of them have run together with these settings for a whole night",
        fix=fix_by(
            tuple(SetUse(name, "limit_mb_per_s", _room(study, on, name, link)) for name in reversed(on)
                  if _room(study, on, name, link) > 0),
            lambda after: _together(after, on),
            f"Lower the limits so that together they stay below {outcome.expected_mb_per_s.low:.0f} MB/s; 40 to 60 % "
            "of a link for each camera is customary.",
        ),
    )


def _room(study: Study, on: list[str], name: str, link: str) -> float:
    """What is left of a link for one camera beside the others' limits, MB/s, at the low end."""
    outcome = study.link(link)
    left = outcome.expected_mb_per_s.low * (1.0 - outcome.reserved) / outcome.ceiling_mb_per_s
    others = [other for other in on if other != name]
    left -= math.fsum((limit_of(study, other) or 0.0) * 1e6 * _cost(study, other, link) for other in others)
    return math.floor(left / _cost(study, name, link) / 1e5) / 10


def _together(study: Study, on: list[str]) -> tuple[Figure, ...]:
    return tuple(figure for name in on for figure in _named(study, name))


def _named(study: Study, name: str) -> tuple[Figure, ...]:
    return tuple(Figure(f"{name}: {figure.name}", figure.value, figure.unit, figure.basis)
                 for figure in _figures(study, name)[:1])


def _camera(name: str, limit: float, plug: str = "computer/usb2-1") -> str:
    return (f"{name}: {{role: imaging, width_px: 6248, height_px: 4176, speed: super, readout_mb_per_s: 350, "
            f"frame_memory_mb: 256, plug: {plug}, use: {{exposure_s: 60, limit_mb_per_s: {limit:g}}}}}")


CHECK = Check(
    name="limit-above-path",
    summary="a camera's transfer limit is higher than its path carries",
    tested_by="`topo evidence RIG CAPTURE` reads from a USB capture of a minute what it gets",
    explanation=__doc__,
    severities=("risk",),
    symptoms=(
        "exposure times out and the camera is still there", "download hangs",
        "torn frames that change with the traffic setting",
    ),
    find=find,
    scope="controller",
    cases=(
        Case("40 MB/s at SuperSpeed", rig(_camera("main-camera", 40, "computer/usb3-1")), 0),
        Case("300 MB/s on USB 2", rig(_camera("main-camera", 300)), 1),
        Case("36 and 30 MB/s on one USB 2 bus",
             rig(_camera("left", 36), _camera("right", 30, "computer/usb2-2")), 1),
        Case("20 and 15 on one USB 2 bus", rig(_camera("left", 20), _camera("right", 15, "computer/usb2-2")), 0),
        Case("a limit above what the camera reads out",
             rig(guiding("computer/usb2-1").replace("readout_mb_per_s: 37", "readout_mb_per_s: 34").replace(
                 "exposure_s: 2", "limit_mb_per_s: 300")), 0),
    ),
)
