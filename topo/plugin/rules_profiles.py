"""The rules for profiles: generic names, every figure with a source, figures that fit each other and the bus.

What the schema holds (units in names, ranges, known keys) is held by reading the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from topo.errors import RigFileError
from topo.model.profile import Profile
from topo.model.speed import Speed
from topo.plugin.accept import NAME
from topo.plugin.shelf import ProfileFile
from topo.usb.camera import bytes_of_samples

LONGEST_SUMMARY = 100

CEILING_MB_PER_S = {
    Speed.LOW: 0.0, Speed.FULL: 1.216, Speed.HIGH: 53.248, Speed.SUPER: 500.0, Speed.SUPER_PLUS: 2500.0
}
"""Most bulk payload of each speed, MB/s: USB 2.0 tables 5-9 and 5-10 (19 packets of 64 bytes a frame, 13 of 512 a
microframe; low speed has no bulk); 5 Gb/s after 8b/10b, and two lanes of 10 Gb/s, before any packet overhead."""

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
    ceiling = CEILING_MB_PER_S[Speed.from_word(word)]
    if rate > ceiling:
        yield (f"{fps:g} full frames a second of {width} x {height} are {rate:.0f} MB/s at 8 bits, "
               f"and {word} speed carries {ceiling:g}")
