"""Runs of the whole command line, in this process or in one of its own, and what every command is tried with."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CLEAN = ROOT / "examples" / "two-cameras" / "rig.yaml"
FAULTY = """rig: Two on one bus
computer: {ports: {usb2-1: {speed: high}}}
hubs: {hub: {speed: high, ports: 4, plug: computer/usb2-1}}
devices:
  main-camera: {role: imaging, width_px: 6248, height_px: 4176, speed: high, readout_mb_per_s: 300, plug: hub/1,
    frame_memory_mb: 256, use: {exposure_s: 60}}
  guide-camera: {role: guiding, width_px: 1280, height_px: 960, speed: high, readout_mb_per_s: 40, plug: hub/2,
    frame_memory_mb: 0, fifo_kb: 4, use: {exposure_s: 1}}
"""
SCAN = """T:  Bus=01 Lev=00 Prnt=00 Port=00 Cnt=00 Dev#=  1 Spd=480  MxCh= 4
D:  Ver= 2.00 Cls=09(hub  ) Sub=00 Prot=01 MxPS=64 #Cfgs=  1
P:  Vendor=ff00 ProdID=0002 Rev=06.01
S:  Product={product}
C:* #Ifs= 1 Cfg#= 1 Atr=e0 MxPwr=  0mA
I:* If#= 0 Alt= 0 #EPs= 1 Cls=09(hub  ) Sub=00 Prot=00 Driver=hub
E:  Ad=81(I) Atr=03(Int.) MxPS=   4 Ivl=256ms

T:  Bus=01 Lev=01 Prnt=01 Port=00 Cnt=01 Dev#=  2 Spd=480  MxCh= 0
D:  Ver= 2.00 Cls=ff(vend.) Sub=00 Prot=00 MxPS=64 #Cfgs=  1
P:  Vendor=ff00 ProdID=0001 Rev=01.00
S:  Manufacturer={product}
S:  Product={product}
S:  SerialNumber={product}
C:* #Ifs= 1 Cfg#= 1 Atr=80 MxPwr=500mA
I:* If#= 0 Alt= 0 #EPs= 1 Cls=ff(vend.) Sub=00 Prot=00 Driver=(none)
E:  Ad=81(I) Atr=02(Bulk) MxPS= 512 Ivl=0ms
"""
"""What the kernel tells of a hub and a camera, with a product string to be filled in."""


def write_scan(path: Path, product: str) -> None:
    """A saved scan of a hub and a camera whose every text is `product`, as `topo live --save` writes it."""
    from topo.live.recording import read_scan
    from topo.live.store import save

    save(read_scan(SCAN.format(product=product)), str(path))


CHASE = ("--symptom", "guide-late", "--every", "4 minutes", "--have", "cable")
"""What is said of a rig with a guide camera that comes late."""


def arguments(rig: str, scan: str, out: str) -> dict[str, list[list[str]]]:
    """Every command with ways to run it on a rig and a scan, writing to names that begin with `out`."""
    return {
        "check": [[rig], [rig, "--json"], [rig, "--scan", scan, "--fail-on", "never"]],
        "night": [[rig, "--nights", "3", *more] for more in ((), ("--json",), ("-o", out + ".night.svg"))],
        "draw": [[rig], [rig, "--json"], [rig, "--scan", scan], [rig, "--scan", scan, "-o", out + ".scan.svg"],
                 *([rig, "-o", out + end] for end in (".svg", ".dot", ".mmd", ".txt"))],
        "live": [["--from", scan], ["--from", scan, "--json"], ["--from", scan, "--save", out + ".json"],
                 ["--from", scan, "--draft", out + ".yaml"]],
        "compare": [[rig, scan], [rig, scan, "--json"]],
        "names": [[rig, scan], [rig, scan, "--json"], [rig, scan, "-o", out + ".rules"]],
        "evidence": [[rig, scan], [rig, scan, "--json"], [scan]],
        "watch": [],  # looks at this machine: tests/live
        "place": [[rig, "camera-guide-1mp"], [rig, "camera-guide-1mp", "--json"]],
        "rewire": [[rig, "--moves", "1"], [rig, "--moves", "1", "--json"]],
        "power": [[rig], [rig, "--json"]],
        "planb": [[rig, "--all"], [rig, "--json"], [rig, "-o", out + ".planb.txt"]],
        "diff": [[rig, str(CLEAN)], [str(CLEAN), rig], [rig, rig, "--json"]],
        "chase": [[rig, *CHASE, "--state", out + ".1.yaml"], [rig, *CHASE, "--state", out + ".2.yaml", "--json"],
                  [rig, *CHASE, "--state", out + ".3.yaml", "-o", out + ".chase.html"]],
        "pack": [[rig, "-o", out + ".pack"], [rig, "-o", out + ".pack2", "--scan", scan, "--json"]],
        "report": [[rig, "-o", out + ".html"], [rig, "-o", out + "2.html", "--json"]],
        "profiles": [["camera", "guide"], ["--json", "hub"], ["camera-guide-1mp"]],
        "explain": [[], ["frame-lost"], ["frame-lost", "--json"]],
        "plugins": [[], ["--json"]],
        "schema": [[]],
    }  # fmt: skip


def topo(*args: str, **environ: str) -> subprocess.CompletedProcess[bytes]:
    """Runs topo in a process of its own, in the repository's folder."""
    return subprocess.run([sys.executable, "-m", "topo", *args], cwd=ROOT, capture_output=True, check=False,
                          timeout=120, env=environment(**environ))


def environment(**environ: str) -> dict[str, str]:
    """The environment of a run: no profiles of the person, UTF-8 unless said otherwise."""
    kept = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "TERM", "LC_ALL", "COLUMNS")}
    return {**kept, "PYTHONIOENCODING": "utf-8", "TOPO_PROFILES": os.devnull, "PYTHONPATH": str(ROOT), **environ}
