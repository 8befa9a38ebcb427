"""Volts at the far end of a USB cable, with the ohms that the house takes for it."""

from __future__ import annotations

from topo.model.facts import Fact
from topo.model.records import CableFacts
from topo.power.vbus import cable_ohm
from topo.usb.limits import CONTACT_OHM


def volts_at_device(port_volts: float, amps: float, length_m: float, gauge_awg: int) -> float:
    """Volts left of `port_volts`: both conductors, and supply and return each across a contact at either end."""
    cable = CableFacts(
        length_m=Fact(length_m, "declared"), gauge_awg=Fact(gauge_awg, "declared"),
        contact_milliohm=Fact(1000 * CONTACT_OHM, "declared"),
    )
    ohm = cable_ohm(cable, [])
    assert ohm is not None
    return port_volts - amps * ohm.likely
