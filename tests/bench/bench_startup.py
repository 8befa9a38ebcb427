"""What commands cost against bare Python: processor time, and memory. A script: prints, exits 1 where one is far over.

    python tests/bench/bench_startup.py [RUNS]

Processor time, since a busy machine lengthens the clock's; each command in turn with `python -c pass`, and the least of
all runs of both, since whatever else goes on only adds. Byte code is compiled beforehand, into a folder of its own.
Exits 2 where a command fails: a quick failure is no quick start. Needs `os.wait4` (not on Windows). Limits are for an
environment in which topo is installed with `pip install -e`: that alone makes bare Python take longer there.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FAR = 1.5
"""Times its limit that a command may take before this exits with 1. The least of some runs differs by a tenth on one
machine; other machines and other Pythons differ more."""

SMALL, LARGE = "examples/two-cameras/rig.yaml", "examples/garden-pier/rig.yaml"
LIMITS: tuple[tuple[tuple[str, ...], float, float], ...] = (
    (("--help",), 3.0, 3.0),
    (("check", SMALL), 7.0, 9.0),
    (("check", LARGE), 12.0, 12.0),
    (("power", LARGE), 9.0, 11.0),
    (("planb", LARGE), 15.0, 14.0),
    (("draw", LARGE, "-o", "{out}/rig.svg"), 14.0, 17.0),
    (("draw", LARGE, "-o", "{out}/rig.png"), 17.0, 19.0),
    (("report", LARGE, "-o", "{out}/rig.html"), 16.0, 12.0),
    (("pack", LARGE, "-o", "{out}/pack"), 18.0, 15.0),
    (("chase", LARGE, "--symptom", "drops", "--at", "focuser", "--every", "20 minutes", "--have", "cable",
      "--saw", "none", "--new", "--state", "{out}/kept.chase.yaml"), 12.0, 13.0),
)
"""Commands, the times of bare Python that each may take, and what we aim at. The small rig shares nothing that guiding
minds; the large one has a guide camera that is held up.

Of the 15 of `report` some 11 are what `check` takes, 1 the plans to choose among beside what the advice had computed
(in a rig where no change alone is enough it may be ten times that), 1 what fails, 1 pictures and page, the rest is more
to import. Of `pack` 3 are the PNG (the engine's own process), 5 the rig examined as it is and again as anyone would
read it, with advice, 1 the other pictures, the rest is starting."""

MEMORY_MIB = 26.0
"""What a check of the large rig may hold at most."""


def once(command: Sequence[str], environ: dict[str, str]) -> tuple[float, float]:
    """Processor seconds and MiB of one run. Exits with 2 and the command's words where it fails."""
    process = subprocess.Popen(
        command, cwd=ROOT, env=environ, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        print(f"{' '.join(command)}: exit status {process.returncode}")
        raise SystemExit(2)
    return used.ru_utime + used.ru_stime, used.ru_maxrss / (1 << 20 if sys.platform == "darwin" else 1 << 10)


def measured(words: Sequence[str], runs: int, folder: Path) -> tuple[float, float]:
    """Times of bare Python that a command takes, and its MiB."""
    environ = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    environ["PYTHONPYCACHEPREFIX"] = str(folder / "code")
    bare, taken = [], []
    for number in range(runs + 1):
        shutil.rmtree(folder / "pack", ignore_errors=True)
        base = once([sys.executable, "-c", "pass"], environ)
        mine = once([sys.executable, "-m", "topo", *(word.format(out=folder) for word in words)], environ)
        if number:  # the first compiles
            bare.append(base[0])
            taken.append(mine)
    return min(seconds for seconds, _ in taken) / min(bare), min(memory for _, memory in taken)


def main() -> int:
    """Every command; the exit status."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    if runs < 1:
        raise SystemExit("RUNS must be 1 or more")
    far = False
    with tempfile.TemporaryDirectory() as folder:
        for words, limit, aim in LIMITS:
            ratio, memory = measured(words, runs, Path(folder))
            stated = f"(limit {limit:g}, aim {aim:g}), {memory:3.0f} MiB"
            print(f"{ratio:5.1f} times bare Python {stated}: topo {' '.join(words)}", flush=True)
            far |= ratio > FAR * limit or (words == ("check", LARGE) and memory > FAR * MEMORY_MIB)
    return 1 if far else 0


if __name__ == "__main__":
    raise SystemExit(main())
