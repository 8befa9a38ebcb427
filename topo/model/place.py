"""Where something was written. Nothing else lives here: every noun of a rig has a place."""

from __future__ import annotations

from topo.frozen import frozen


@frozen
class Place:
    """Where in which file something was written. Line and column count from 1; 0 where it was not written at all."""

    file: str = ""
    line: int = 0
    column: int = 0
