"""What a night watch costs: processor time of the watch itself at 30 devices, a look every 2 s, as a share of one core.

`python tests/live/bench_watch.py [LOOKS]`. The devices are files in a folder (a recording laid out as sysfs), so a read
costs what a read of a small file costs; the share counts everything the process does after its first scan.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

from tests.live.tools import build, recording
from topo.live import sysfs
from topo.live.scanners import sysfs_scanner
from topo.live.watch import Clock, Watcher

EVERY_S = 2.0
LIMIT = 0.01


def main() -> int:
    looks = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    with tempfile.TemporaryDirectory() as folder:
        top = str(build(recording("crowd"), Path(folder)))
        watcher = Watcher(sysfs_scanner(top), EVERY_S, lambda scan: {}, Clock())
        list(watcher.look())
        begin, wall = time.process_time(), time.perf_counter()
        for _ in range(looks):
            list(watcher.look())
        used, took = time.process_time() - begin, time.perf_counter() - wall
        begin = time.process_time()
        sysfs.scan(top)
        whole = time.process_time() - begin
    share = used / looks / EVERY_S
    print(f"{used / looks * 1e3:.2f} ms of processor time a look ({took / looks * 1e3:.2f} ms on the wall)")
    print(f"a look every {EVERY_S:g} s takes {share:.3%} of one core; the limit is {LIMIT:.0%}")
    print(f"a whole scan, made only after a change, takes {whole * 1e3:.1f} ms")
    return 0 if share < LIMIT else 1


if __name__ == "__main__":
    sys.exit(main())
