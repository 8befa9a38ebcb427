"""The evidence held against a rig: which place is which part, what was planned, what the 12 V side explains."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from topo.evidence.answer import KnownNames
from topo.evidence.departures import PLACE_SHAPE, above, line_of, log_places
from topo.evidence.open import Source
from topo.frozen import replace
from topo.model.answers import Answers, HeldEvidence, Known
from topo.model.evidence import Arrival, FrameData
from topo.model.rig import COMPUTER
from topo.model.sighting import HostController, Scan, Sighting

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.comparison import Comparison
    from topo.model.outcome import DeviceOutcome

SIZE_SHARE = 0.02
"""A frame may carry a header, so its size in a capture is that of the plan within so much."""
OWN_RATE_SHARE = 0.9
"""A rate below so much of what the link is seen to deliver is the camera's own."""


def scan_of(sources: Sequence[Source]) -> Scan | None:
    """What the files show of the tree, as a scan; None where they show no place. What they don't tell is not told."""
    tree = log_places(sources)
    places = {step: None for place in tree.places if PLACE_SHAPE.fullmatch(place) for step in line_of(place)}
    numbers, speeds = _numbers(sources)
    if not places:
        return None
    hubs = {above(place) for place in places}
    seen = [_sighting(place, place in hubs, tree.ids.get(place), numbers.get(place), speeds.get(place),
                      tree.controllers) for place in places]
    named: dict[str, list[int]] = {}
    for bus, controller in sorted(tree.controllers.items()):
        named.setdefault(controller, []).append(bus)
    controllers = tuple(HostController(name, tuple(buses)) for name, buses in named.items())
    return Scan("", "linux", None, "evidence", controllers, tuple(sorted(seen, key=lambda each: each.order)))


def _numbers(sources: Sequence[Source]) -> tuple[dict[str, int], dict[str, float]]:
    numbers: dict[str, int] = {}
    speeds: dict[str, float] = {}
    for source in sources:
        for event in source.reading.events if source.reading else ():
            if isinstance(event, Arrival) and "-" in event.path:
                if event.number is not None:
                    numbers[event.path] = event.number
                if event.speed_mbit is not None:
                    speeds[event.path] = event.speed_mbit
    return numbers, speeds


def _sighting(
    place: str, is_hub: bool, ids: tuple[str, str, str | None] | None, number: int | None, speed: float | None,
    controllers: Mapping[int, str],
) -> Sighting:
    root = "-" not in place
    bus = int(place.removeprefix("usb").partition("-")[0])
    ports = () if root else tuple(int(step) for step in place.partition("-")[2].split("."))
    vendor, product = (ids[0], ids[1]) if ids else (None, None)
    return Sighting(
        place, bus, ports, None if root else above(place), controllers.get(bus), 1 if root else number, speed,
        vendor_id=vendor, product_id=product, usb_class=9 if is_hub or root else None,
    )


def names_of(study: Study, comparison: Comparison | None, sources: Sequence[Source]) -> KnownNames:
    """What the rig calls places and devices of captures. The names a watch wrote down win: it knew the rig."""
    parts: dict[str, str] = {}
    known = {part.id for part in study.rig.parts}
    for match in comparison.matches if comparison is not None else ():
        for thing in match.things:
            parts.update((seen.id, match.part) for seen in thing.seen)
    for source in sources:
        if source.reading is not None:
            parts.update((place, name) for place, name in source.reading.names if name in known)
    devices = {f"{place.partition('-')[0]}.{number}": parts[place]
               for place, number in _numbers(sources)[0].items() if place in parts}
    devices |= _by_ids(study, sources, devices)
    devices |= _by_size(study, sources, devices)
    return KnownNames(parts, devices, {part.id: part.role for part in study.rig.parts},
                      tuple(part.id for part in study.rig.plugged if part.plug is not None))


def _by_ids(study: Study, sources: Sequence[Source], known: Mapping[str, str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for source in sources:
        for one in source.reading.transfers if source.reading else ():
            alike = [part.id for part in study.rig.parts if one.vendor_id is not None
                     and (part.identity.vendor_id, part.identity.product_id) == (one.vendor_id, one.product_id)]
            if len(alike) == 1 and one.device not in known:
                found[one.device] = alike[0]
    return found


def _by_size(study: Study, sources: Sequence[Source], known: Mapping[str, str]) -> dict[str, str]:
    """Cameras by the size of their frames, where one of the rig and one of the capture fit each other alone."""
    sizes: dict[str, list[int]] = {}
    for source in sources:
        for event in source.reading.events if source.reading else ():
            if isinstance(event, FrameData) and event.device not in known:
                sizes.setdefault(event.device, []).append(event.size_bytes)
    taken = set(known.values())
    fits: dict[str, list[str]] = {}
    for device, seen in sizes.items():
        size = sorted(seen)[len(seen) // 2]
        fits[device] = [o.id for o in study.devices if o.id not in taken and o.frame_bytes
                        and abs(o.frame_bytes - size) <= SIZE_SHARE * o.frame_bytes]
    return {device: names[0] for device, names in fits.items()
            if len(names) == 1 and sum(names[0] in other for other in fits.values()) == 1}


# -- measured against planned -----------------------------------------------------------------------------------------

def held(answers: Answers, study: Study) -> HeldEvidence:
    """The answers held against a rig: planned beside measured, and the feed that each group of departures shares."""
    feeds = []
    for group in answers.groups:
        left = list(dict.fromkeys(drop.part for drop in group.drops if drop.part))
        gone = {drop.part for drop in group.drops}
        stayed = [part for _, part in answers.seen if part is not None and part not in gone]
        feeds.append(shared_feed(study, left, list(dict.fromkeys(stayed))))
    return HeldEvidence(_with_plan(answers, study), study, tuple(feeds))


def _with_plan(answers: Answers, study: Study) -> Answers:
    """The answers with what was planned beside what was measured, and the key it may be written under."""
    outcomes = {outcome.id: outcome for outcome in study.devices}
    known = tuple(_planned(each, outcomes[each.part], study) if each.part in outcomes else each
                  for each in answers.known)
    return replace(answers, known=known)


def _planned(each: Known, outcome: DeviceOutcome, study: Study) -> Known:
    if each.what == "bytes of a frame" and outcome.frame_bytes:
        size = float(outcome.frame_bytes)
        return replace(each, planned=(size, size, size))
    if each.what == "time from frame to frame":
        planned = (outcome.cadence_s,) * 3 if outcome.cadence_s else None
        return replace(each, planned=planned, fact="seen.interval_s")
    if each.what == "first to last byte of a frame" and outcome.alone_s is not None:
        return replace(each, planned=(outcome.alone_s.low, outcome.alone_s.likely, outcome.alone_s.high))
    if each.what == "rate alone":
        return _rate(each, outcome, study)
    if each.what == "rate with others":
        return replace(each, fact="seen.together_mb_per_s")
    return each


def _rate(each: Known, outcome: DeviceOutcome, study: Study) -> Known:
    """A rate alone is the camera's own readout where the link is seen to deliver clearly more; else what was seen."""
    links = [link for link in study.links if each.part in link.carries and link.direction != "out"]
    deliver = min((link.expected_mb_per_s.low for link in links), default=0.0)
    own = bool(links) and each.value[1] < OWN_RATE_SHARE * deliver
    each = replace(each, fact="readout_mb_per_s" if own else "seen.alone_mb_per_s")
    if outcome.alone_s is None or not outcome.frame_bytes or outcome.alone_s.low <= 0:
        return each
    rates = sorted(outcome.frame_bytes / end / 1e6 for end in outcome.alone_s if end > 0)
    return replace(each, planned=(rates[0], rates[len(rates) // 2], rates[-1]))


# -- the 12 V side ----------------------------------------------------------------------------------------------------

def feeds_of(study: Study, part: str) -> list[str]:
    """What feeds a part, from itself up to the supply; only itself where no lead goes to it."""
    line = [part]
    while True:
        lead = next((lead for lead in study.rig.leads if line[-1] in lead.ends), None)
        if lead is None or lead.source in line:
            return line
        line.append(lead.source)


def shared_feed(study: Study, left: Sequence[str], stayed: Sequence[str]) -> str | None:
    """The lowest point of the 12 V side that feeds all that left and nothing that stayed; None where there is none."""
    lines = [feeds_of(study, part) for part in left]
    if not lines or any(len(line) < 2 for line in lines):
        return None
    common = next((node for node in lines[0] if all(node in line for line in lines) and node != COMPUTER), None)
    if common is None or any(common in feeds_of(study, part) for part in stayed):
        return None
    return common
