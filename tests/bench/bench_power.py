"""What judging power costs `topo check`, against the same without it. A script: exits 1 where one is over its limit.

    python tests/bench/bench_power.py [PAIRS]

Each example with a 12 V side is checked in pairs, one whole process with power judged and one without any of it: no
check of the 12 V side or of USB's 5 V, no night of batteries, no advice on what these find. Processor time counts, of
the process and all it starts, so that what else the machine does matters little.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LIMIT = 1.1
"""Times of a check that judges no power."""

JUDGED = "from topo.cli.main import main; main()"
NOT_JUDGED = """\
from types import SimpleNamespace as Empty
import topo.checks
from topo.analysis.study import Study
topo.checks.MODULES = tuple(name for name in topo.checks.MODULES if not name.startswith("power."))
Study.power, Study.usb_power = Empty(plugs=(), not_judged=(), leads=(), sources=()), ()
from topo.cli.main import main
main()
"""


def cpu_seconds(code: str, rig: Path) -> float:
    """Processor time of one check. Exits with 2 where it fails."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    env = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, "-c", code, "check", str(rig)]
    done = subprocess.run(command, cwd=ROOT, env=env, stdin=subprocess.DEVNULL, capture_output=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode not in (0, 1):
        sys.stderr.write(f"check {rig}: exit status {done.returncode}\n{done.stderr.decode(errors='replace')}")
        raise SystemExit(2)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def within(rig: Path, pairs: int) -> bool:
    """Measures one example and prints a line; True where the median pair is within the limit."""
    cpu_seconds(JUDGED, rig)  # once unmeasured, for byte code and the disk's cache
    cpu_seconds(NOT_JUDGED, rig)
    taken = [(cpu_seconds(JUDGED, rig), cpu_seconds(NOT_JUDGED, rig)) for _ in range(pairs)]
    ratios = sorted(judged / not_judged for judged, not_judged in taken)
    middle = statistics.median(ratios)
    print(
        f"topo check {rig.relative_to(ROOT)}: {statistics.median(each[0] for each in taken) * 1e3:.0f} ms, without "
        f"power {statistics.median(each[1] for each in taken) * 1e3:.0f} ms, {middle:.2f} times (limit {LIMIT:g}; "
        f"single pairs {ratios[0]:.2f} to {ratios[-1]:.2f})", flush=True,
    )
    return middle <= LIMIT


def main() -> int:
    """Every example with a 12 V side; the exit status."""
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    if pairs < 1:
        raise SystemExit("PAIRS must be 1 or more")
    rigs = [rig for rig in sorted((ROOT / "examples").glob("*/rig.yaml")) if "\npower:" in rig.read_text("utf-8")]
    return 0 if False not in [within(rig, pairs) for rig in rigs] else 1


if __name__ == "__main__":
    raise SystemExit(main())
