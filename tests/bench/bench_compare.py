"""How long holding a 30-part rig against a scan takes. A script: prints times side by side, exits 1 over the limit.

    python tests/bench/bench_compare.py [RUNS]

The limit is for what a comparison adds to start-up: aligning, measuring, studying again and all live checks, in a
process that has read the rig and loaded plugins. The worst case has every device a twin of the others and no socket in
place, so that no assignment is settled at a glance. Whole commands stand beside bare Python and `topo check`.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from topo.checks.scans import BOS, adapter, disk, hub, scan, seen, wheel  # noqa: E402

LIMIT_S = 0.25
HUBS, EACH = 4, 6

FACTS = (
    "role: imaging, width_px: 6248, height_px: 4176, speed: super, use: {exposure_s: 60}",
    "role: guiding, width_px: 1280, height_px: 960, speed: high, use: {exposure_s: 2}",
    "role: filter-wheel, interface: hid, speed: full",
    "role: storage, speed: super, use: {mb_per_s: 20}",
    "role: mount, interface: serial, speed: full, serial: {baud: 9600, polls_per_s: 1, bytes_in: 10, bytes_out: 10}",
    "role: focuser, interface: serial, speed: full, serial: {baud: 9600, polls_per_s: 1, bytes_in: 10, bytes_out: 10}",
)


def rig_text(twins: bool) -> str:
    """Four hubs of seven sockets with six devices each, and two more at the computer: 30 parts."""
    lines = ["rig: Thirty parts", "computer:", "  controllers: {one: {}}", "  ports:"]
    lines += [f"    usb3-{n}: {{controller: one, speed: super}}" for n in range(1, HUBS + 3)]
    lines.append("hubs:")
    lines += [f"  hub-{n}: {{speed: super, ports: 7, plug: computer/usb3-{n}}}" for n in range(1, HUBS + 1)]
    lines.append("devices:")
    for n in range(1, HUBS + 1):
        for k in range(1, EACH + 1):
            lines.append(f"  part-{n}-{k}: {{{FACTS[4 if twins else k - 1]}, plug: hub-{n}/{k}}}")
    lines += [f"  extra-{n}: {{{FACTS[4]}, plug: computer/usb3-{HUBS + n}}}" for n in (1, 2)]
    return "\n".join(lines) + "\n"


def scan_text(twins: bool) -> str:
    """The same as seen; with twins, in sockets that are none of the file's."""
    found = [adapter("1-5", product_id="0005"), adapter("1-6", product_id="0005")]
    for n in range(1, HUBS + 1):
        box = f"{n:032x}"
        found += [hub(f"1-{n}", ports=7, container_id=box), hub(f"2-{n}", 5000, ports=7, container_id=box)]
        for k in range(1, EACH + 1):
            found.append(adapter(f"1-{n}.{k % EACH + 2}", product_id="0005") if twins else device(n, k))
    return scan(*found)


def device(n: int, k: int) -> dict[str, object]:
    """Device `k` of hub `n`."""
    fast = seen(f"2-{n}.1", speed=5000, product_id="0260", could_mbit=BOS)
    kinds = (fast, seen(f"1-{n}.2", product_id="0120"), wheel(f"1-{n}.3", product_id="0007"),
             disk(f"2-{n}.4", product_id="0010"), adapter(f"1-{n}.5", serial=f"M{n}"),
             adapter(f"1-{n}.6", serial=f"F{n}"))
    return kinds[k - 1]


INSIDE = """
import sys, time
from topo.live.recording import replay
from topo.pipeline import compare_scan, plugins, study_file
study, held = study_file(sys.argv[1]), replay(sys.argv[2])
plugins()
start = time.perf_counter(); compare_scan(study, held); first = time.perf_counter() - start
start = time.perf_counter(); found = compare_scan(study, held)[0]; second = time.perf_counter() - start
print(first, second, len(found.matches), "networkx" in sys.modules)
"""


def main() -> int:
    """Both cases and the whole commands; the exit status."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    worst = 0.0
    with tempfile.TemporaryDirectory() as folder:
        for name, twins in (("mixed", False), ("all twins, all moved", True)):
            rig, held = Path(folder, f"{twins}.yaml"), Path(folder, f"{twins}.json")
            rig.write_text(rig_text(twins), encoding="utf-8")
            held.write_text(scan_text(twins), encoding="utf-8")
            told = [run([sys.executable, "-c", INSIDE, str(rig), str(held)])[1].split() for _ in range(runs)]
            first, second = (statistics.median(float(each[i]) for each in told) for i in (0, 1))
            worst = max(worst, first)
            imported = "imported" if told[0][3] == "True" else "not needed"
            print(f"{name}: {first * 1e3:.0f} ms the first time, {second * 1e3:.0f} ms again; {told[0][2]} parts "
                  f"found; networkx {imported} (limit {LIMIT_S * 1e3:.0f} ms)")
            tool = [sys.executable, "-m", "topo"]
            for words in ([sys.executable, "-c", "pass"], [*tool, "check", str(rig)],
                          [*tool, "compare", str(rig), str(held)]):
                took = statistics.median(run(words)[0] for _ in range(runs))
                print(f"  {' '.join(words[2:4]):<14} {took * 1e3:.0f} ms as a whole")
    return 0 if worst <= LIMIT_S else 1


def run(words: list[str]) -> tuple[float, str]:
    """Wall time in seconds and standard output of a command."""
    start = time.perf_counter()
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    took = time.perf_counter() - start
    if done.returncode not in (0, 1):
        raise SystemExit(f"{' '.join(words[:4])}: exit status {done.returncode}\n{done.stderr}")
    return took, done.stdout


if __name__ == "__main__":
    raise SystemExit(main())
