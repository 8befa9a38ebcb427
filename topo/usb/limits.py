"""The rules of the bus as figures: periodic shares, depth, addresses, lengths, currents, volts; each with source."""

from __future__ import annotations

import math
from typing import Literal

from topo.model.speed import Speed

# -- time and topology ----------------------------------------------------------------------------------------------

HIGH_SPEED_PERIODIC_SHARE = 0.8
"""Most of a microframe that interrupt and isochronous transfers may reserve (USB 2.0 5.6.4, 5.7.4)."""

MOST_TIERS = 7
"""The computer's own hub, hubs, and the device (USB 2.0 4.1.1)."""

MOST_HUBS_IN_A_ROW = MOST_TIERS - 2
"""Seven tiers without the computer's own hub and the device (USB 2.0 4.1.1)."""

MOST_ADDRESSES = 127
"""Seven bits, without the default address 0 (USB 2.0 4.1.1)."""

# -- currents -------------------------------------------------------------------------------------------------------

UNIT_LOAD_MA_USB2 = 100.0
"""USB 2.0 7.2.1."""

UNIT_LOAD_MA_USB3 = 150.0
"""One SuperSpeed lane (USB 3.1 11.4.1)."""

PORT_MA_USB2 = 5 * UNIT_LOAD_MA_USB2
"""Five unit loads of 100 mA (USB 2.0 7.2.1)."""

PORT_MA_USB3 = 6 * UNIT_LOAD_MA_USB3
"""Six unit loads of 150 mA (USB 3.1 11.4.1)."""

BUS_POWERED_PORT_MA = UNIT_LOAD_MA_USB2
"""One unit load for each socket of a hub with no supply (USB 2.0 7.2.1.1)."""

# -- volts ----------------------------------------------------------------------------------------------------------

PORT_VOLTS_USB2 = 4.75
"""Least at a socket of a host or a hub with its own supply (USB 2.0 7.2.2)."""

BUS_POWERED_PORT_VOLTS = 4.40
"""Least at a socket of a hub with no supply: 4.75 - 2 x 0.125 - 0.100 (USB 2.0 7.2.2)."""

PORT_VOLTS_USB3 = 4.45
DEVICE_VOLTS_USB3 = 4.00
"""Least at a USB 3 socket and at the far end of its cable (USB 3.1 11.4.2)."""

# -- cables ---------------------------------------------------------------------------------------------------------

_LONGEST_M = {Speed.LOW: 3.0, Speed.FULL: 5.0, Speed.HIGH: 5.0, Speed.SUPER: 3.0, Speed.SUPER_PLUS: 1.0}

COPPER_OHM_M = 1.7241e-8
"""Resistivity of annealed copper at 20 C (IEC 60028)."""

CABLE_OHM_PER_M = {20: 0.0358, 22: 0.0574, 24: 0.0909, 26: 0.146, 28: 0.232}
"""Most resistance of a USB cable's conductor at 20 C by gauge (USB 2.0 table 6-6): 7 to 9 % above solid
copper of that gauge: what the standard allows for stranding, tin and thin strands together."""

USB_CABLE_MARGIN = 1.09
"""The most by which table 6-6 lies above solid copper; taken for gauges that are not in it."""

CONTACT_OHM = 0.030
"""Most resistance of a contact (USB 2.0 6.7, USB 3.1 5.6.2.4)."""


def longest_cable_m(speed: Speed, grade: Literal["usb2", "usb3"] | None = None) -> float:
    """Metres of passive cable for a speed.

    High and full speed: 26 ns at 5.2 ns/m (USB 2.0 7.1.16), in a cable of either grade. Low speed: 18 ns, about 3 m
    (USB 2.0 6.4.3, from memory). SuperSpeed: cable makers' guidance, since the standard gives a loss budget and no
    length: 3 m at 5 Gb/s, 1 m at 10 Gb/s. Raises ValueError for SuperSpeed on a cable of USB 2 grade: it has no pairs
    for it at any length.
    """
    if grade == "usb2" and speed.is_superspeed:
        raise ValueError(f"a cable of USB 2 grade has no pairs for {speed.label}")
    return _LONGEST_M[speed]


def conductor_ohm_per_m(gauge_awg: int) -> float:
    """Resistance of one solid copper conductor at 20 C: diameter 0.127 mm x 92^((36 - n)/39) (ASTM B258)."""
    diameter_m = 0.127e-3 * math.pow(92.0, (36 - gauge_awg) / 39)
    return COPPER_OHM_M / (math.pi * (diameter_m / 2) ** 2)


def cable_ohm_per_m(gauge_awg: int) -> float:
    """Most resistance of one conductor of a USB cable, ohm per metre: table 6-6, or solid copper and 9 % beside it."""
    return CABLE_OHM_PER_M.get(gauge_awg, USB_CABLE_MARGIN * conductor_ohm_per_m(gauge_awg))
