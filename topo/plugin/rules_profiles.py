"""The rules for profiles: generic names, every figure with a source, figures that fit each other and the bus.

What the schema holds (units in names, ranges, known keys) is held by reading the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from topo.errors import RigFileError
from topo.model.declare import known
from topo.model.facts import Fact, value_of
from topo.model.records import ComputerFacts, DeviceFacts, HubFacts
from topo.model.speed import Speed
from topo.plugin.accept import NAME
from topo.plugin.shelf import ProfileFile
from topo.usb.camera import bytes_of_samples
from topo.usb.frames import Transfer, ceiling, max_payload
from topo.usb.limits import PORT_MA_USB2, PORT_MA_USB3
from topo.usb.superspeed import gen1_ceiling_mb_per_s, gen2_ceiling_mb_per_s

if TYPE_CHECKING:
    from topo.model.profile import Profile

LONGEST_SUMMARY = 100

_SUPER_PLUS_LANES = 2
"""20 Gb/s are two lanes of 10 Gb/s (USB 3.2 3.1.1); `super-plus` may be either."""

ORDERED = (("amps_idle", "amps_typical"), ("amps_typical", "amps_peak"), ("amps_idle", "amps_peak"),
           ("volts_min", "volts_max"), ("port_ma", "all_ports_ma"))
"""Pairs of figures of which the first is at most the second."""


def profile_breaches(held: ProfileFile | Profile, supplied_by: str) -> Iterator[str]:
    """Every breach of one profile, in words."""
    if isinstance(held, ProfileFile):
        try:
            profile = held.read(supplied_by)
        except RigFileError as error:
            for problem in error.problems:
                yield f"profile {held.name}: {problem}"
            return
    else:
        profile = held
    for breach in _breaches(profile):
        yield f"profile {profile.name}: {breach}"


def _breaches(profile: Profile) -> Iterator[str]:
    if not re.fullmatch(NAME, profile.name):
        yield "its name is not lower-case words joined by hyphens"
    if not profile.summary.strip():
        yield "it has no summary"
    elif len(profile.summary) > LONGEST_SUMMARY or "\n" in profile.summary.strip():
        yield f"its summary is not one line of at most {LONGEST_SUMMARY} characters"
    if not dict(known(profile.facts)) and not profile.sockets and not profile.controllers:
        yield "it states no fact"
    for name, fact in _all(profile):
        if not fact.source.strip():
            yield f"{name} has no source"
    facts = dict(known(profile.facts))
    for low, high in ORDERED:
        if low in facts and high in facts and facts[low].value > facts[high].value:
            yield f"{low} is {facts[low].value:g} and {high} only {facts[high].value:g}"
    yield from _camera(profile)
    yield from _current(profile)


def _all(profile: Profile) -> Iterator[tuple[str, Fact[Any]]]:
    """Every fact of a profile by the name it is listed under: hardware, uplinks of controllers, the serial line."""
    yield from known(profile.facts)
    for controller in profile.controllers:
        if controller.uplink is not None:
            yield f"uplink:{controller.name}", controller.uplink
    for name, fact in known(profile.serial):
        yield f"serial {name}", fact


def _camera(profile: Profile) -> Iterator[str]:
    facts = profile.facts
    if not isinstance(facts, DeviceFacts):
        return
    width, height = value_of(facts.width_px), value_of(facts.height_px)
    if (width is None) != (height is None):
        yield "it has one of width_px and height_px, and a frame needs both"
    fps, word = value_of(facts.max_fps), value_of(facts.speed)
    if width is None or height is None or fps is None or word is None:
        return
    # The least a frame can be: 8 bits a sample, or fewer where the camera sends no more.
    bits = min(8, int(value_of(facts.sample_bits, 8)))
    rate = bytes_of_samples(width * height, bits, bool(value_of(facts.packed))) * fps / 1e6
    most = most_mb_per_s(Speed.from_word(word))
    if rate > most:
        yield (f"{fps:g} full frames a second of {width} x {height} are {rate:.0f} MB/s at 8 bits, "
               f"and {word} speed carries {most:g}")


def most_mb_per_s(speed: Speed) -> float:
    """Most bulk payload a device of that speed can move one way, MB/s; none at low speed, which has no bulk."""
    if speed is Speed.SUPER_PLUS:
        return _SUPER_PLUS_LANES * gen2_ceiling_mb_per_s()
    if speed is Speed.SUPER:
        return gen1_ceiling_mb_per_s()
    return 0.0 if speed is Speed.LOW else ceiling(speed, Transfer.BULK, max_payload(speed, Transfer.BULK)) / 1e6


def _current(profile: Profile) -> Iterator[str]:
    """What a device or hub draws from its port, and what a hub with no supply can pass on."""
    facts = profile.facts
    if isinstance(facts, ComputerFacts):
        return
    drawn, word = value_of(facts.bus_ma), value_of(facts.speed)
    if drawn is None or word is None:
        return
    allowed = PORT_MA_USB3 if Speed.from_word(word).is_superspeed else PORT_MA_USB2
    if drawn > allowed:
        yield f"bus_ma is {drawn:g}, and a {word}-speed port gives {allowed:g} (USB 2.0 7.2.1, USB 3.1 11.4.1)"
    if not isinstance(facts, HubFacts) or value_of(facts.powered) is not False:
        return
    if (given := value_of(facts.all_ports_ma, 0.0)) > allowed:
        yield f"it has no supply, and gives {given:g} mA of the {allowed:g} it can get"
