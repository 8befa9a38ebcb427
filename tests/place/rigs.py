"""Rigs that the tests of planning share, as text. No tests here."""

from __future__ import annotations

COMPUTER = """\
rig: A pier
computer:
  controllers: {first: {}, second: {}}
  ports:
    usb3-1: {controller: first, speed: super, usb2_bus: one}
    usb3-2: {controller: first, speed: super, usb2_bus: one}
    usb2-1: {controller: second, speed: high, usb2_bus: two}
"""
IMAGING = "role: imaging, width_px: 6248, height_px: 4176, readout_mb_per_s: 350, frame_memory_mb: 256"
GUIDING = ("role: guiding, width_px: 1280, height_px: 960, speed: high, readout_mb_per_s: 37, frame_memory_mb: 0, "
           "fifo_kb: 16, use: {exposure_s: 2}")  # fmt: skip
MOUNT = ("role: mount, speed: full, interface: serial, drift_arcsec_per_s: 0.3, "
         "serial: {baud: 9600, polls_per_s: 1, bytes_out: 10, bytes_in: 10}")  # fmt: skip

LOSING = COMPUTER + f"""\
devices:
  # the camera that came first
  main-camera: {{{IMAGING}, speed: super, plug: computer/usb2-1, hub_ports: 1, use: {{exposure_s: 120}}}}

  guide-camera: {{{GUIDING}, plug: main-camera/usb2-1}}  # behind its back
  mount: {{{MOUNT}, plug: computer/usb3-1}}
"""
"""A guide camera without memory behind an imaging camera on USB 2. One move of the imaging camera clears it."""
