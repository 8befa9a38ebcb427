"""What udev keeps of a serial port: its further names, and what it tells services that probe. Untrusted, bounded.

The file is /run/udev/data/c<major>:<minor>: a letter and a colon, `S:` a link below /dev, `E:` a property (udev's
sources; the properties of the modem service from memory).
"""

from __future__ import annotations

import re

from topo.frozen import frozen

MOST_PORT_LINKS = 32
SPARING = ("ID_MM_DEVICE_IGNORE", "ID_MM_PORT_IGNORE")
"""Set to 1, the modem service leaves the port alone."""

LINK = re.compile(r"[^\x00-\x20\x7f\u2028\u2029]{1,255}")


@frozen
class UdevPort:
    """Links as paths below /dev, in order, and whether the modem service is told to leave the port alone."""

    links: tuple[str, ...] = ()
    spared: bool = False


def read_port(data: bytes) -> UdevPort:
    """The entry of a port. Never raises: what is not as it should be is left out."""
    links: list[str] = []
    spared = False
    for line in data.decode("utf-8", "replace").split("\n"):
        letter, _, rest = line.partition(":")
        if letter == "S" and len(links) < MOST_PORT_LINKS and LINK.fullmatch(rest) and _inside(rest):
            links.append(f"/dev/{rest}")
        elif letter == "E":
            name, _, value = rest.partition("=")
            spared = spared or (name in SPARING and value.strip() == "1")
    return UdevPort(tuple(sorted(set(links))), spared)


def _inside(link: str) -> bool:
    """True for a link that stays below /dev."""
    return not link.startswith("/") and all(part not in ("", ".", "..") for part in link.split("/"))
