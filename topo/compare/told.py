"""What a socket's name and a device's descriptor tell as numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from topo.model.sighting import Sighting


def socket_number(name: str) -> int | None:
    """The number of a socket by its name: 3 for "3" and for "usb2-3"."""
    digits = name.rpartition("-")[2]
    return int(digits) if digits.isascii() and digits.isdigit() and len(digits) < 4 else None


def claimed_ma(seen: Sighting) -> float | None:
    """What a device says it takes from the bus at most, mA; None where it says that it has a supply of its own."""
    return None if seen.max_power_ma is None or seen.self_powered else float(seen.max_power_ma)
