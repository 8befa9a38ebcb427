"""Pieces of small rig files that the cases of checks are put together from. Scenarios of our own; no profiles."""

from __future__ import annotations

PLAIN_PC = """\
rig: A case
computer:
  controllers: {first: {}, second: {}}
  ports:
    usb3-1: {controller: first, speed: super, usb2_bus: one}
    usb3-2: {controller: first, speed: super, usb2_bus: one}
    usb2-1: {controller: second, speed: high, usb2_bus: two}
    usb2-2: {controller: second, speed: high, usb2_bus: two}
"""
"""A computer with two controllers: two USB 3 sockets on one 480 Mb/s bus, two USB 2 sockets on another."""

BIG_CAMERA = "width_px: 6248, height_px: 4176, speed: super, readout_mb_per_s: 350, frame_memory_mb: 256"
GUIDE_CAMERA = "width_px: 1280, height_px: 960, speed: high, readout_mb_per_s: 37, frame_memory_mb: 0, fifo_kb: 16"
GUIDE_WITH_MEMORY = "width_px: 1280, height_px: 960, speed: high, readout_mb_per_s: 37, frame_memory_mb: 32"

FOUR_SOCKETS = "  hub: {speed: high, ports: 4, plug: computer/usb2-1}\n"
"""A USB 2 hub."""

KNOWN_MOUNT = (
    "mount: {role: mount, interface: serial, plug: computer/usb2-1, "
    "identity: {vendor_id: f1a0, product_id: '0001'}}"
)
"""A mount on a serial adapter whose ids are in the file."""


def rig(*parts: str, hubs: str = "", computer: str = PLAIN_PC) -> str:
    """A rig file: the computer, hubs as given, and one line for each device."""
    devices = "devices:\n" + "".join(f"  {part}\n" for part in parts) if parts else ""
    return computer + (f"hubs:\n{hubs}" if hubs else "") + devices


def imaging(plug: str, *more: str, name: str = "main-camera", exposure_s: float = 120) -> str:
    """An imaging camera on one line."""
    extra = "".join(f", {text}" for text in more)
    return f"{name}: {{role: imaging, {BIG_CAMERA}, plug: {plug}, use: {{exposure_s: {exposure_s:g}}}{extra}}}"


def guiding(plug: str, *more: str, facts: str = GUIDE_WITH_MEMORY, exposure_s: float = 2) -> str:
    """A guide camera on one line."""
    extra = "".join(f", {text}" for text in more)
    return f"guide-camera: {{role: guiding, {facts}, plug: {plug}, use: {{exposure_s: {exposure_s:g}}}{extra}}}"


def mount(plug: str, drift: float = 0.3) -> str:
    """A mount on a serial bridge, on one line."""
    return (
        f"mount: {{role: mount, speed: full, interface: serial, drift_arcsec_per_s: {drift:g}, plug: {plug}, "
        "serial: {baud: 9600, polls_per_s: 1, bytes_out: 10, bytes_in: 10}}"
    )
