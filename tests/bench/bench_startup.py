"""How long commands take against bare Python. A script: prints ratios of medians, exits 1 where one is over its limit.

    python tests/bench/bench_startup.py [RUNS]

Each command runs in turn with `python -c pass`, so that what slows the machine slows both. Exits 2 where a command
fails: a quick failure is no quick start.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HELP_LIMIT, CHECK_LIMIT = 5.0, 20.0
"""Times of bare Python that `topo --help` and `topo check` of the largest example may take."""

BARE = [sys.executable, "-c", "pass"]
TOPO = [sys.executable, "-m", "topo"]


def largest_example() -> Path:
    """The rig file with the most bytes in examples/."""
    rigs = sorted((ROOT / "examples").glob("*/rig.yaml"))
    if not rigs:
        raise SystemExit("no examples/*/rig.yaml to check")
    return max(rigs, key=lambda rig: rig.stat().st_size)


def seconds(command: list[str], statuses: tuple[int, ...]) -> float:
    """Wall time of one run. Exits with 2 and the command's words where its status is none of these."""
    start = time.perf_counter()
    done = subprocess.run(command, cwd=ROOT, stdin=subprocess.DEVNULL, capture_output=True, check=False)
    took = time.perf_counter() - start
    if done.returncode not in statuses:
        sys.stderr.write(f"{' '.join(command)}: exit status {done.returncode}\n{done.stderr.decode(errors='replace')}")
        raise SystemExit(2)
    return took


def within(name: str, command: list[str], statuses: tuple[int, ...], limit: float, runs: int) -> bool:
    """Measures one command beside bare Python and prints a line; True where the ratio is within the limit."""
    seconds(BARE, (0,))  # both once unmeasured: byte code and the disk's cache
    seconds(command, statuses)
    bare, taken = [], []
    for _ in range(runs):
        bare.append(seconds(BARE, (0,)))
        taken.append(seconds(command, statuses))
    one, other = statistics.median(bare), statistics.median(taken)
    pairs = sorted(mine / base for base, mine in zip(bare, taken, strict=True))
    print(
        f"{name}: {other * 1e3:.0f} ms, bare {one * 1e3:.1f} ms, {other / one:.1f} times (limit {limit:g}; "
        f"single pairs {pairs[0]:.1f} to {pairs[-1]:.1f})", flush=True,
    )
    return other / one <= limit


def main() -> int:
    """Both commands; the exit status."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    if runs < 1:
        raise SystemExit("RUNS must be 1 or more")
    rig = largest_example().relative_to(ROOT)
    results = [
        within("topo --help", [*TOPO, "--help"], (0,), HELP_LIMIT, runs),
        within(f"topo check {rig}", [*TOPO, "check", str(rig)], (0, 1), CHECK_LIMIT, runs),
    ]
    return 0 if all(results) else 1


if __name__ == "__main__":
    raise SystemExit(main())
