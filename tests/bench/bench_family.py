"""Planning on one family of rigs as ratio to bare Python: `python tests/bench/bench_family.py [RUNS]`.

Processor time of whole commands over that of `python -c pass`, the least of RUNS (3), bytecode compiled beforehand;
beside it the same less what the start alone takes (`check` of the example two-cameras). The family (`family.py`) has
trouble in two of three telescopes. Prints each limit; exits 1 where one is passed.
"""

from __future__ import annotations

import compileall
import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench.family import family  # noqa: E402

LIMITS = (
    ("check", 15, 12), ("check", 50, 20), ("check", 100, 40), ("check", 200, 80), ("check", 400, 200),
    ("rewire", 16, 40), ("rewire", 24, 60), ("rewire", 40, 150), ("planb", 15, 18), ("planb", 40, 120),
)  # fmt: skip
SECONDS_OF_80 = 5.0
"""How long a plan and a bound may take on a rig of 80 devices."""


def spent_s(command: list[str], runs: int) -> float:
    """The least processor time of some runs, in seconds."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    found = []
    for _ in range(runs):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        found.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(found)


def main() -> int:
    """The exit status."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    compileall.compile_dir(ROOT / "topo", quiet=2)
    bare = spent_s([sys.executable, "-c", "pass"], 5 * runs)
    topo = [sys.executable, "-m", "topo"]
    start = spent_s([*topo, "check", "examples/two-cameras/rig.yaml"], runs) / bare
    print(f"bare Python {bare * 1e3:.1f} ms, start {start:.1f} times")
    failed = False
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rig.yaml"
        for command, devices, limit in LIMITS:
            path.write_text(family(devices))
            ratio = spent_s([*topo, command, str(path)], runs) / bare
            failed |= ratio > limit
            told = f"{ratio:7.1f} times (limit {limit}), {ratio - start:7.1f} beyond start"
            print(f"{command:7}{devices:4} devices {told}", flush=True)
        path.write_text(family(80))
        seconds = spent_s([*topo, "rewire", str(path)], 1)
        failed |= seconds > SECONDS_OF_80
        print(f"rewire   80 devices {seconds:7.1f} s of processor (limit {SECONDS_OF_80:g})")
    return 1 if failed else 0


if __name__ == "__main__":
    raise SystemExit(main())
