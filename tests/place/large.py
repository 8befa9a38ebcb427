"""A rig of 16 devices and 24 sockets that needs three moves: for the benchmark and for interrupting. No tests here."""

from __future__ import annotations

IMAGING = (
    "role: imaging, width_px: 6248, height_px: 4176, readout_mb_per_s: 350, frame_memory_mb: 256, "
    "use: {exposure_s: 120}"
)
GUIDING = (
    "role: guiding, width_px: 1280, height_px: 960, speed: high, readout_mb_per_s: 37, frame_memory_mb: 0, "
    "fifo_kb: 16, use: {exposure_s: 2}"
)
SERIAL = "speed: full, interface: serial, serial: {baud: 9600, polls_per_s: 1, bytes_out: 10, bytes_in: 10}"

LARGE = f"""\
rig: Two telescopes on one pier
computer:
  controllers: {{front: {{}}, back: {{}}, card: {{}}}}
  ports:
    usb3-1: {{controller: front, speed: super, usb2_bus: front}}
    usb3-2: {{controller: front, speed: super, usb2_bus: front}}
    usb2-1: {{controller: back, speed: high, usb2_bus: back}}
    usb2-2: {{controller: back, speed: high, usb2_bus: side}}
    usb2-3: {{controller: back, speed: high, usb2_bus: side}}
    usb3-3: {{controller: card, speed: super, usb2_bus: card}}
    usb3-4: {{controller: card, speed: super, usb2_bus: card}}
hubs:
  hub-a: {{speed: super, ports: 6, powered: true, translators: one, plug: computer/usb3-1}}
  hub-b: {{speed: high, ports: 7, powered: true, translators: one, plug: computer/usb2-1}}
  hub-c: {{speed: super, ports: 4, powered: true, translators: per-port, plug: computer/usb3-3}}
devices:
  camera-a: {{{IMAGING}, speed: super, plug: hub-a/1, cable: {{grade: usb2}}}}
  guide-a: {{{GUIDING}, plug: hub-a/2}}
  camera-b: {{{IMAGING}, speed: super, plug: hub-b/1}}
  guide-b: {{{GUIDING}, plug: hub-b/2}}
  camera-c: {{{IMAGING}, speed: high, plug: hub-c/1}}
  guide-c: {{{GUIDING}, plug: hub-c/2}}
  mount: {{role: mount, drift_arcsec_per_s: 0.3, {SERIAL}, plug: hub-a/3}}
  focuser-a: {{role: other, {SERIAL}, plug: hub-a/4}}
  focuser-b: {{role: other, {SERIAL}, plug: hub-b/3}}
  rotator-a: {{role: other, {SERIAL}, plug: hub-a/5}}
  rotator-b: {{role: other, {SERIAL}, plug: hub-b/4}}
  dew: {{role: other, {SERIAL}, plug: hub-b/5}}
  panel: {{role: other, {SERIAL}, plug: hub-c/3}}
  wheel-a: {{role: filter-wheel, speed: full, interface: hid, interrupt_bytes: 16, plug: hub-a/6}}
  disk: {{role: storage, speed: super, use: {{mb_per_s: 20}}, plug: computer/usb3-2}}
  weather: {{role: weather, {SERIAL}, plug: hub-b/6}}
"""
