"""Pieces of logs and tables for the cases of checks that need evidence."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

NIGHT_RIG = """rig: Garden
computer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}}}
hubs:
  hub: {speed: high, ports: 4, plug: computer/usb2-1, identity: {vendor_id: "2222", product_id: "0610"}}
devices:
  guide-camera: {role: guiding, width_px: 1280, height_px: 960, speed: high, plug: hub/1, use: {exposure_s: 2},
    identity: {vendor_id: "3333", product_id: "1201"}}
  mount: {role: mount, interface: serial, speed: full, plug: hub/2, identity: {vendor_id: "4444", product_id: "6001"}}
  main-camera: {role: imaging, width_px: 6248, height_px: 4176, speed: high, plug: computer/usb2-2,
    use: {exposure_s: 120}, identity: {vendor_id: "5555", product_id: "2601"}}
"""

PLUGGED = (
    "[    1.400000] usb 3-1: new high-speed USB device number 2 using xhci_hcd",
    "[    1.450000] usb 3-1: New USB device found, idVendor=2222, idProduct=0610, bcdDevice= 6.56",
    "[    1.700000] usb 3-1.1: new high-speed USB device number 3 using xhci_hcd",
    "[    1.800000] usb 3-1.1: New USB device found, idVendor=3333, idProduct=1201, bcdDevice= 1.00",
    "[    1.900000] usb 3-1.2: new full-speed USB device number 4 using xhci_hcd",
    "[    2.000000] usb 3-1.2: New USB device found, idVendor=4444, idProduct=6001, bcdDevice= 6.00",
    "[    2.100000] usb 3-2: new high-speed USB device number 5 using xhci_hcd",
    "[    2.200000] usb 3-2: New USB device found, idVendor=5555, idProduct=2601, bcdDevice= 1.00",
)


def logged(*lines: str) -> str:
    """A kernel log in which the rig of the cases comes up, and then these lines."""
    return "\n".join((*PLUGGED, *lines)) + "\n"


LOG_OF_A_BRANCH = logged(
    "[ 9541.000100] usb 3-1: USB disconnect, device number 2",
    "[ 9541.000140] usb 3-1.1: USB disconnect, device number 3",
    "[ 9541.040700] usb 3-1.2: USB disconnect, device number 4",
    "[ 9542.460000] usb 3-1: New USB device found, idVendor=2222, idProduct=0610, bcdDevice= 6.56",
    "[ 9543.410000] usb 3-1.1: New USB device found, idVendor=3333, idProduct=1201, bcdDevice= 1.00",
    "[ 9543.710000] usb 3-1.2: New USB device found, idVendor=4444, idProduct=6001, bcdDevice= 6.00",
)
START_S = 1_795_550_000.0


def tables(late_at_downloads: bool, uneven: bool = True) -> tuple[str, str]:
    """A table of guiding and one of frames: late guide frames at two of three downloads, or at other times."""
    exposures = (110.0, 120.0, 135.0, 116.0, 129.0) if uneven else (120.0,)
    at, starts = 5.0, []
    for number in range(90):
        starts.append((at, exposures[(number * number) % len(exposures)]))
        at += starts[-1][1] + 1.0
    late = [begin + length for number, (begin, length) in enumerate(starts) if number % 3] if late_at_downloads else [
        begin + length * (0.2 + 0.6 * (number % 7) / 7) for number, (begin, length) in enumerate(starts) if number % 3]
    guide, now, place = [], 0.0, 0
    while now < at:
        guide.append(now)
        now += 2.0
        if place < len(late) and late[place] <= now:
            now, place = now + 1.5, place + 1
    rows = "".join(f"{START_S + t:.2f},{0.3 * math.sin(n / 9):.3f},{0.2 * math.cos(n / 7):.3f}\n"
                   for n, t in enumerate(guide))
    frames = "".join(f"{START_S + a:.2f},{e:.1f},{START_S + a + e + 0.9:.2f}\n" for a, e in starts)
    return "time,ra,dec\n" + rows, "start,exposure,closed\n" + frames


def watched_nights(minutes: tuple[int, ...]) -> tuple[str, ...]:
    """A watch log for each of so many nights, from 22:00 to 05:00 UTC; the guide camera drops so many minutes in, and
    nights begin at unlike times."""
    logs = []
    for night, minute in enumerate(minutes):
        late = 7 * night % 20
        begins = datetime(2026, 11, 2 + night, 22, late, tzinfo=UTC)
        rows = [("start", begins, '"format":"topo.watch.1","every_s":2.0,"devices":[{"device":"3-1.1"}]')]
        drop = datetime(2026, 11, 2 + night, 22, tzinfo=UTC) + timedelta(minutes=minute)
        rows += [("dropped", drop, '"device":"3-1.1","devnum":5'),
                 ("returned", drop + timedelta(seconds=2), '"device":"3-1.1","devnum":6,"came_as":"same","away_s":2.0'),
                 ("stop", datetime(2026, 11, 3 + night, 5, tzinfo=UTC), '"text":"the watch was ended"')]
        lines = []
        for kind, at, more in rows:
            steady = (at - begins).total_seconds() + 60
            lines.append(f'{{"kind":"{kind}","at":"{at.isoformat()}","monotonic_s":{steady:.1f},{more}}}\n')
        logs.append("".join(lines))
    return tuple(logs)
