"""Small rigs of the 12 V side, as text. No tests here."""

from __future__ import annotations

from topo.model.power import PowerOutcome
from topo.pipeline import rig_of
from topo.power.dc import power_of
from topo.rigfile.read import read_text


def outcome(power: str, *devices: str) -> PowerOutcome:
    """What the 12 V side of a rig comes to: `power` is what stands below `power:`, a line each; a device a line too."""
    return power_of(rig_of(read_text(text(power, *devices), "rig.yaml")))


def text(power: str, *devices: str) -> str:
    lines = "".join(f"  {line}\n" for line in power.strip().splitlines())
    parts = "".join(f"  {device}\n" for device in devices)
    return f"rig: T\ncomputer: {{}}\ndevices:\n{parts}power:\n{lines}"


def part(name: str, amps: float, draws: str = "amps", more: str = "") -> str:
    """A device that draws so much all the time."""
    each = f"{name}: {{interface: none, draws: {draws}, amps_idle: {amps}, amps_typical: {amps}, amps_peak: {amps}"
    return each + f"{more}}}"


METER = "volts_by: meter, internal_milliohm: 0"
IDEAL = "contact_milliohm: 0"
