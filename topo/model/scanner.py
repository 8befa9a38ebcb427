"""A scanner: a way to see what is plugged in. Apart from what it sees, so that a check need not know sightings."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.sighting import Pulse, Scan


@frozen
class Scanner:
    """A way to see what is plugged in, as plugins hand it over.

    `systems` are the values of `platform.system()` where it is the one to use. `scan` raises ScanError where nothing
    can be seen at all; it opens no device and causes no traffic. `pulse` is a cheaper look, for a scanner that has one.
    """

    name: str
    summary: str
    systems: tuple[str, ...]
    scan: Callable[[], Scan]
    pulse: Callable[[], Pulse] | None = None
