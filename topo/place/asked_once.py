"""What checks find in a few parts of a rig, asked once of all rigs that are alike in these."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from topo.model.finding import AnyFinding
    from topo.model.rig import Rig
    from topo.place.remembered import Piece, Remembered
    from topo.wiring.topology import Topology


class AskedOnce:
    """The faults and risks that checks find in a few parts with nothing else plugged in; where these hang on the ways
    of their data alone, once for all rigs that are alike in these."""

    def __init__(self, kept: Remembered) -> None:
        self.kept = kept
        self._told: dict[tuple[str, object], tuple[AnyFinding, ...]] = {}

    def found(
        self, check: str, rig: Rig, topology: Topology, parts: Iterable[str], piece: Callable[[], Piece]
    ) -> tuple[AnyFinding, ...]:
        """What one check finds in parts of a rig; `piece` makes these alone, where they have to be asked."""
        ways = self.kept.ways(rig, topology, parts) if check in self.kept.examiner.still else None
        if ways is None:
            return piece().glimpsed(check)
        if (check, ways) not in self._told:
            self._told[check, ways] = piece().glimpsed(check)
        return self._told[check, ways]
