"""Ctrl-C at random moments of `topo rewire` and `topo check`: `python tests/bench/interrupted.py [TIMES]`.

Rigs of 24 and 80 devices of one family. Each run is stopped at a random moment of the search, and has to end within a
second with the best so far; `rewire` with what is proven of the fewest plugs. Exits 1 where one does not. Not to be
started in the background of a shell that ignores SIGINT: the runs would ignore it too.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench.family import family  # noqa: E402

WITHIN_S = 1.0
BOUNDS = ("at least", "it takes", "proven to be the fewest", "No plan of", "does not help further")
"""How `rewire` says what is proven."""

ASKED = """\
import sys
from topo.cli.main import run
from topo.place import judge
made = judge.Judge.__init__
def began(self, *more, **named):
    made(self, *more, **named)
    sys.stderr.write("searching\\n"); sys.stderr.flush()
judge.Judge.__init__ = began
run()
"""
"""Runs topo, and says when the search begins, so that the moment does not hang on how long Python takes to start."""


def stopped(command: str, path: Path, after_s: float) -> tuple[float, int, str, str]:
    """Seconds from Ctrl-C to the end of a run, its exit status, and what it wrote."""
    child = subprocess.Popen(
        [sys.executable, "-c", ASKED, command, str(path)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        cwd=ROOT, env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    assert child.stderr is not None
    while (line := child.stderr.readline()) and "searching" not in line:
        pass
    time.sleep(after_s)
    child.send_signal(signal.SIGINT)
    start = time.perf_counter()
    out, err = child.communicate(timeout=120)
    return time.perf_counter() - start, child.returncode, out, err


def wrong(command: str, took_s: float, status: int, out: str, err: str) -> str:
    """What is wrong with a run, in words; empty where nothing is. One that had ended before is right too."""
    if took_s > WITHIN_S:
        return f"ended {took_s:.2f} s after Ctrl-C"
    if status not in (0, 1):
        return f"exit status {status}: {err[-300:]}"
    if command == "rewire":
        said = " ".join(out.split())
        return "" if any(words in said for words in BOUNDS) else f"no bound: {said[-200:]}"
    return "" if "FAULT" in out else "no report"


def main() -> int:
    """The exit status."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    dice = random.Random(1)
    bad = 0
    longest = 0.0
    with tempfile.TemporaryDirectory() as folder:
        for number in range(times):
            devices, command = dice.choice((24, 80)), "check" if number % 5 == 4 else "rewire"
            path = Path(folder) / f"{devices}.yaml"
            path.write_text(family(devices))
            ended = stopped(command, path, dice.uniform(0.0, 1.0 if command == "check" else 5.0))
            longest = max(longest, ended[0])
            if why := wrong(command, *ended):
                bad += 1
                print(f"{command} of {devices} devices: {why}", flush=True)
    print(f"{times} runs stopped, {bad} wrong, the slowest ended {longest:.2f} s after Ctrl-C")
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main())
