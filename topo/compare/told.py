"""What a device's descriptor tells of the current it takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from topo.model.sighting import Sighting


def claimed_ma(seen: Sighting) -> float | None:
    """What a device says it takes from the bus at most, mA; None where it says that it has a supply of its own."""
    return None if seen.max_power_ma is None or seen.self_powered else float(seen.max_power_ma)
