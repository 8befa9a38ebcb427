"""The rules of the bus as figures: periodic shares, depth, addresses, lengths, currents, volts; each with source."""

from __future__ import annotations

import math

from topo.model.speed import Speed

FULL_SPEED_PERIODIC_SHARE = 0.9
"""Most of a frame that interrupt and isochronous transfers may reserve (USB 2.0 5.6.4, 5.7.4)."""

HIGH_SPEED_PERIODIC_SHARE = 0.8
"""The same of a microframe (USB 2.0 5.6.4, 5.7.4)."""

MOST_HUBS_IN_A_ROW = 5
"""Seven tiers with the computer's own hub and the device (USB 2.0 4.1.1)."""

MOST_ADDRESSES = 127
"""Seven bits, without the default address 0 (USB 2.0 4.1.1)."""

PORT_MA_USB2 = 500.0
"""Five unit loads of 100 mA (USB 2.0 7.2.1)."""

PORT_MA_USB3 = 900.0
"""Six unit loads of 150 mA (USB 3.1 11.4.1)."""

BUS_POWERED_PORT_MA = 100.0
"""One unit load for each socket of a hub with no supply (USB 2.0 7.2.1.1)."""

PORT_VOLTS_USB2 = 4.75
"""Least at a socket of a host or a hub with its own supply (USB 2.0 7.2.2)."""

BUS_POWERED_PORT_VOLTS = 4.40
"""Least at a socket of a hub with no supply: 4.75 - 2 x 0.125 - 0.100 (USB 2.0 7.2.2)."""

PORT_VOLTS_USB3 = 4.45
DEVICE_VOLTS_USB3 = 4.00
"""Least at a USB 3 socket and at the far end of its cable (USB 3.1 11.4.2)."""

_LONGEST_M = {Speed.LOW: 3.0, Speed.FULL: 5.0, Speed.HIGH: 5.0, Speed.SUPER: 3.0, Speed.SUPER_PLUS: 1.0}

COPPER_OHM_M = 1.7241e-8
"""Resistivity of annealed copper at 20 C (IEC 60028)."""


def longest_cable_m(speed: Speed) -> float:
    """Metres of passive cable for a speed.

    High and full speed: 26 ns at 5.2 ns/m (USB 2.0 7.1.16). Low speed: 18 ns, about 3 m (USB 2.0 6.4.3, from memory).
    SuperSpeed: cable makers' guidance, since the standard gives a loss budget and no length.
    """
    return _LONGEST_M[speed]


def conductor_ohm_per_m(gauge_awg: int) -> float:
    """Resistance of one solid copper conductor at 20 C: diameter 0.127 mm x 92^((36 - n)/39) (ASTM B258)."""
    diameter_m = 0.127e-3 * math.pow(92.0, (36 - gauge_awg) / 39)
    return COPPER_OHM_M / (math.pi * (diameter_m / 2) ** 2)


def volts_at_device(
    port_volts: float, amps: float, length_m: float, gauge_awg: int, contacts: int = 4, contact_ohm: float = 0.030
) -> float:
    """Volts at the far end of a USB cable: both conductors and the contacts (30 milliohm each: USB 3.1 5.6.2.4)."""
    return port_volts - amps * (2 * length_m * conductor_ohm_per_m(gauge_awg) + contacts * contact_ohm)
