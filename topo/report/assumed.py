"""What a study rests on that nobody measured, declared or published: each assumption once, in words.

Only what the figures use is listed. Names are escaped here, since the words are printed by others.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from topo.model.declare import known
from topo.model.facts import value_of
from topo.model.speed import Speed
from topo.usb.camera import ASSUMED_SAMPLE_BITS
from topo.words.lists import some_of

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.rig import Part

MOST_ASSUMED_NAMES = 6
"""Names listed with one assumption; the rest are counted."""


def assumptions(study: Study) -> tuple[str, ...]:
    """Every assumption of a study in words, in the order: sockets, speeds, cables, cameras, links."""
    found: dict[str, list[str]] = {}
    for words, name in _assumed(study):
        names = found.setdefault(words, [])
        if name not in names:
            names.append(name)
    return tuple(f"{words} ({some_of(names, MOST_ASSUMED_NAMES)})." for words, names in found.items())


def assumed_devices(study: Study) -> frozenset[str]:
    """Ids of devices with a figure that rests on an assumption about themselves, their path or their socket.

    What is assumed of a whole link is marked at the link.
    """
    touched = {name for _, name in (*_cameras(study), *_speeds(study.rig.devices))}
    for device in study.devices:
        legs = study.topology.path(device.id)
        if any(leg.socket.basis == "assumed" for leg in legs) or (
            device.speed is not None and device.speed.is_superspeed and any(leg.cable.grade is None for leg in legs)
        ):
            touched.add(device.id)
    return frozenset(touched)


def _assumed(study: Study) -> Iterator[tuple[str, str]]:
    """Pairs of an assumption and a name it touches, in the order they are told."""
    for part in study.rig.parts:
        leg = study.topology.leg(part.id)
        if leg is not None and leg.socket.basis == "assumed":
            yield f"the socket is taken to be a {leg.socket.speed.mbit:g} Mb/s one, as its name suggests", leg.plug
    yield from _speeds(study.rig.parts)
    for name in _unknown_cables(study):
        yield "the cable is taken to carry SuperSpeed, since its grade is not given", name
    yield from _cameras(study)
    yield from _cut(study)
    for link in study.links:
        if link.assumption:
            yield link.assumption, link.label


def _speeds(parts: Iterable[Part]) -> Iterator[tuple[str, str]]:
    for part in parts:
        for key, fact in known(part.facts):
            if fact.basis != "assumed":
                continue
            value = f"{Speed.from_word(fact.value).mbit:g} Mb/s" if key == "speed" else str(fact.value)
            yield f"{key.replace('_', ' ')} is taken as {value}, since none is given", part.id


def _unknown_cables(study: Study) -> Iterator[str]:
    """Parts on whose cable a SuperSpeed device relies though nobody said which cable it is."""
    relies = {
        leg.part for device in study.devices if device.speed is not None and device.speed.is_superspeed
        for leg in study.topology.path(device.id)
    }
    for part in study.rig.parts:
        if part.id in relies and part.cable.grade is None:
            yield part.id


def _cameras(study: Study) -> Iterator[tuple[str, str]]:
    for device in study.devices:
        if device.frame_bytes is None:
            continue
        part = study.rig.device(device.id)
        if part.facts.sample_bits is None and part.use.sample_bits is None:
            yield f"samples are taken to have {ASSUMED_SAMPLE_BITS} bits", part.id
        if part.facts.readout_mb_per_s is None and part.use.limit_mb_per_s is None:
            yield "the camera is taken to read out as fast as its link carries", part.id
        if device.flow == "still" and device.cadence_s is None:
            yield "no exposure is given, so how often frames meet is not known", part.id


def _cut(study: Study) -> Iterator[tuple[str, str]]:
    """Disks and network adapters that are asked for more than they can move."""
    for device in study.devices:
        part = study.rig.device(device.id)
        wanted, most = value_of(part.use.mb_per_s), value_of(part.facts.mb_per_s)
        if device.flow in ("storage", "network") and wanted is not None and most is not None and wanted > most:
            yield f"more is asked of it than the {most:g} MB/s it can move, so that much is taken", part.id
