"""How much the way a scan was made can tell at all, so that nobody concludes from what it leaves out.

A value of a scan. Checks that take something missing for an answer ("no serial number", "not plugged in") ask here.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Literal

from topo.frozen import frozen

__all__ = ["EVERYTHING", "Extent", "Limits", "cannot_tell"]

Extent = Literal["all", "some", "none"]


@frozen
class Limits:
    """Of each kind of fact: "all" (what is missing is not there), "some" (what is missing may be there), or "none".

    devices: everything plugged in. places: the chain of sockets of each. controllers: which buses are one controller's.
    speeds: the negotiated speed; "some" where only SuperSpeed or not is known. abilities: what a device could run at.
    ids: vendor and product numbers. serials: serial numbers. classes: interfaces, endpoints and translators.
    halves: which two hubs are the two sides of one. sockets: those that are empty, and how many there are.
    power: what a device claims from its port. sleep: power saving. over_current: counts of it. history: how long a
    device has been there. serial_ports: names of serial ports.
    """

    devices: Extent = "all"
    places: Extent = "all"
    controllers: Extent = "all"
    speeds: Extent = "all"
    abilities: Extent = "all"
    ids: Extent = "all"
    serials: Extent = "all"
    classes: Extent = "all"
    halves: Extent = "all"
    sockets: Extent = "all"
    power: Extent = "all"
    sleep: Extent = "all"
    over_current: Extent = "all"
    history: Extent = "all"
    serial_ports: Extent = "all"


EVERYTHING = Limits()
"""The limits of a scan that tells all of it: what the kernel of Linux keeps."""

_WORDS = {
    "devices": "whether a device is missing",
    "places": "which socket a device is in",
    "controllers": "which controller a bus belongs to",
    "speeds": "exact speeds",
    "abilities": "whether a device could run faster",
    "ids": "vendor and product numbers",
    "serials": "serial numbers",
    "classes": "interfaces, endpoints and translators",
    "halves": "which hubs are the two sides of one",
    "sockets": "empty sockets",
    "power": "the current a device claims",
    "sleep": "power saving",
    "over_current": "over-current",
    "history": "whether a device dropped and came back",
    "serial_ports": "serial ports",
}


def cannot_tell(limits: Limits) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is not told at all, and what only in part, each in words for the person."""
    extents = [(field.name, getattr(limits, field.name)) for field in fields(limits)]
    none = tuple(_WORDS[name] for name, extent in extents if extent == "none")
    return none, tuple(_WORDS[name] for name, extent in extents if extent == "some")
