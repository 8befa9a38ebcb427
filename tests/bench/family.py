"""One family of rigs of any size, for benchmarks: telescopes side by side, eight devices each. No benchmark here.

Every telescope has a hub of its own on a controller that two share. Of each three, the first is as it should be, the
second has its camera on a USB 2 cable beside its guide camera, and the third hangs on a USB 2 hub: so there is
something to find and to clear wherever one looks, and a free socket or two for it.
"""

from __future__ import annotations

DEVICES = 8
"""Devices of one whole telescope."""

_SERIAL = "speed: full, interface: serial, serial: {baud: 9600, polls_per_s: 1, bytes_out: 10, bytes_in: 10}"


def family(devices: int) -> str:
    """The text of a rig with so many devices."""
    scopes = -(-devices // DEVICES)
    controllers = -(-scopes // 2)
    lines = [f"rig: {devices} devices", "computer:"]
    lines.append("  controllers: {" + ", ".join(f"card{n}: {{}}" for n in range(controllers)) + "}")
    lines.append("  ports:")
    for n in range(controllers):
        lines += [f"    usb3-{n}{side}: {{controller: card{n}, speed: super, usb2_bus: card{n}}}" for side in "ab"]
        lines.append(f"    usb2-{n}: {{controller: card{n}, speed: high, usb2_bus: card{n}}}")
    lines.append("hubs:")
    for n in range(scopes):
        speed = "high" if n % 3 == 2 else "super"
        lines.append(f"  hub{n}: {{speed: {speed}, ports: 9, powered: true, translators: per-port, "
                     f"plug: computer/usb3-{n // 2}{'ab'[n % 2]}, cable: {{length_m: 2}}}}")
    lines.append("devices:")
    told = [line for n in range(scopes) for line in _scope(n)]
    return "\n".join([*lines, *told[:devices]]) + "\n"


def _scope(n: int) -> list[str]:
    grade = "usb2" if n % 3 == 1 else "usb3"
    exposure = 60 + 7 * n % 90
    return [
        f"  camera{n}: {{role: imaging, width_px: 6248, height_px: 4176, readout_mb_per_s: 350, frame_memory_mb: 256, "
        f"speed: super, plug: hub{n}/1, cable: {{length_m: 1, grade: {grade}}}, use: {{exposure_s: {exposure}}}}}",
        f"  guide{n}: {{role: guiding, width_px: 1280, height_px: 960, speed: high, readout_mb_per_s: 37, "
        f"frame_memory_mb: 0, fifo_kb: 16, plug: hub{n}/2, use: {{exposure_s: 2}}}}",
        f"  mount{n}: {{role: mount, drift_arcsec_per_s: 0.2, {_SERIAL}, plug: hub{n}/3}}",
        f"  focuser{n}: {{role: focuser, {_SERIAL}, plug: hub{n}/4}}",
        f"  wheel{n}: {{role: filter-wheel, speed: full, interface: hid, interrupt_bytes: 16, plug: hub{n}/5}}",
        f"  rotator{n}: {{role: rotator, {_SERIAL}, plug: hub{n}/6}}",
        f"  dew{n}: {{role: dew, {_SERIAL}, plug: hub{n}/7}}",
        f"  panel{n}: {{role: flat-panel, {_SERIAL}, plug: hub{n}/8}}",
    ]
