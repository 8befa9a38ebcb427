"""A small board's own flag that its supply sagged since it was started.

Source: the kernel's driver for the firmware of such boards (drivers/hwmon, documentation of `in0_lcrit_alarm`: the bit
stays set until the next start). The driver asks the firmware every other second by itself; reading the file returns
what it keeps, so nothing is asked of any device.
"""

from __future__ import annotations

from topo.live.attributes import Attributes
from topo.live.words import digits, text_of

SENSORS = "class/hwmon"
DRIVER = "rpi_volt"
"""The name this driver gives its sensor."""
MOST_SENSORS = 64


def low_volts(attributes: Attributes) -> bool | None:
    """Whether the flag is set; None where no such sensor is there."""
    try:
        sensors = attributes.names(SENSORS)[:MOST_SENSORS]
    except OSError:
        return None
    names = attributes.read([f"{SENSORS}/{sensor}/name" for sensor in sensors])
    for sensor in sensors:
        if text_of(names.get(f"{SENSORS}/{sensor}/name")) == DRIVER:
            flag = f"{SENSORS}/{sensor}/in0_lcrit_alarm"
            told = digits(attributes.read([flag]).get(flag))
            return None if told is None else told > 0
    return None
