"""Names that tell nothing of the person: which ones may stay, and what the others become. No rigs here."""

from __future__ import annotations

import re
from collections.abc import Iterable

from topo.model.rig import ROLES

PLAIN_WORDS = frozenset(
    """
    camera cam main imaging guide guider guiding finder sky allsky planet planetary spare second first third other left
    right top bottom upper lower front back rear inner outer big small new old mono colour color cooled
    hub dock adapter serial usb usb2 usb3 port ports box power dew heater heaters strap straps strip controller control
    mount motor focuser focus rotator rotation filter wheel filters flat panel cover dome roof weather cloud rain sensor
    gps switch relay relays disk drive storage stick ssd network ethernet wifi lan bluetooth radio keyboard mouse
    monitor screen webcam microphone receiver dongle tube telescope scope pier tripod saddle plate observatory desk
    supply battery psu mains lead leads cable fuse fused line feed computer pc board host root xhci ehci uhci bus chip
    lens flattener reducer oag axis off tilt a b c d e f
    """.split()  # noqa: SIM905
) | {word for role in ROLES for word in role.split("-")}
"""Words a name may be made of, with numbers of up to two digits, and be kept as it is."""

_WORD = re.compile(r"([a-z]*)[0-9]{0,2}")


def is_plain(name: str) -> bool:
    """Whether a name is made of plain words alone, in lower case, joined by hyphens."""
    if not 0 < len(name) <= 40:
        return False
    for word in name.split("-"):
        match = _WORD.fullmatch(word)
        if not word or match is None or (match[1] and match[1] not in PLAIN_WORDS):
            return False
    return True


class Names:
    """Old names to new ones, one to one, in the order they are asked for."""

    def __init__(self, taken: Iterable[str] = ()) -> None:
        self._new: dict[str, str] = {}
        self._taken = set(taken)
        self.changed = 0

    def reserve(self, names: Iterable[str]) -> None:
        """Keeps those of the names that are plain, before any other gets a new one."""
        for name in names:
            if is_plain(name) and name not in self._new:
                self._new[name] = name
                self._taken.add(name)

    def keep(self, name: str, new: str) -> None:
        """Gives a name this new one, without asking whether it is plain."""
        self._new.setdefault(name, new)
        self._taken.add(new)

    def __call__(self, name: str, stem: str) -> str:
        """The new name of an old one: itself if plain, else `STEM-1`, `STEM-2`, …"""
        if name not in self._new:
            self._new[name] = self._next(stem)
            self.changed += 1
        return self._new[name]

    def known(self, name: str) -> str | None:
        """The new name of an old one, or None where it was never given one."""
        return self._new.get(name)

    def items(self) -> tuple[tuple[str, str], ...]:
        """Old and new names, in the order they were given."""
        return tuple(self._new.items())

    def _next(self, stem: str) -> str:
        number = 1
        while f"{stem}-{number}" in self._taken:
            number += 1
        self._taken.add(f"{stem}-{number}")
        return f"{stem}-{number}"
