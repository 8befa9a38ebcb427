"""The rules for profiles: generic names, every figure with a source, figures that fit each other and the bus.

What the schema holds (units in names, ranges, known keys) is held by reading the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.errors import RigFileError
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
    if not profile.facts and not profile.sockets:
        yield "it states no fact"
    for section, facts in (("", profile.facts), ("serial ", profile.serial)):
        for name, fact in facts.items():
            if not fact.source.strip():
                yield f"{section}{name} has no source"
    facts = profile.facts
    for low, high in ORDERED:
        least, most = facts.number(low), facts.number(high)
        if least is not None and most is not None and least > most:
            yield f"{low} is {least:g} and {high} only {most:g}"
    yield from _camera(profile)
    yield from _current(profile)


def _camera(profile: Profile) -> Iterator[str]:
    facts = profile.facts
    width, height = facts.value("width_px"), facts.value("height_px")
    if (width is None) != (height is None):
        yield "it has one of width_px and height_px, and a frame needs both"
    fps, word = facts.number("max_fps"), facts.value("speed")
    if width is None or height is None or fps is None or word is None:
        return
    # The least a frame can be: 8 bits a sample, or fewer where the camera sends no more.
    bits = min(8, int(facts.value("sample_bits", 8)))
    rate = bytes_of_samples(width * height, bits, bool(facts.value("packed"))) * fps / 1e6
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
    drawn, word = facts.number("bus_ma"), facts.value("speed")
    if profile.kind == "computer" or drawn is None or word is None:
        return
    allowed = PORT_MA_USB3 if Speed.from_word(word).is_superspeed else PORT_MA_USB2
    if drawn > allowed:
        yield f"bus_ma is {drawn:g}, and a {word}-speed port gives {allowed:g} (USB 2.0 7.2.1, USB 3.1 11.4.1)"
    given = facts.number("all_ports_ma") or 0.0
    if profile.kind == "hub" and facts.value("powered") is False and given > allowed:
        yield f"it has no supply, and gives {given:g} mA of the {allowed:g} it can get"
