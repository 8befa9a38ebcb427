"""Captures read against tshark's own sums of the same files, in one run; and memory on a large one.

200 MB of pictures, and 60 MB of small packets: at least three times as fast. 2 GB (a hole in a file of the same length
would be cheating, so it is written): under 120 MB of memory; only with --large, since it takes the room.
"""

from __future__ import annotations

import os
import shutil
import struct
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.evidence.captures import USBMON, interface, section  # noqa: E402

TIMES_AS_FAST = 3.0
MOST_MB = 120
RUNS = 3
READ = """
import resource, sys
from topo.evidence.capture.reader import read
from topo.model.evidence import Handed
with open(sys.argv[1], "rb") as file:
    reading = read(file, Handed("bench"))
print(sum(each.size_bytes for each in reading.transfers), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""


def make(path: Path, size: int, payload: int, step_us: int) -> int:
    """Writes a capture of about that size; the bytes its devices moved."""
    at, written, number, moved = 1_700_000_000_000_000, 0, 0, 0
    data = bytes(payload)
    with path.open("wb") as file:
        file.write(section() + interface())
        while written < size:
            for event, status, body in ((83, -115, b""), (67, 0, data)):
                at += step_us
                usb = struct.pack(
                    "<" + USBMON,
                    0xFFFF888000000000 + number % 16 * 64,
                    event,
                    3,
                    0x81,
                    5 + number % 3,
                    1,
                    45,
                    0 if body else 60,
                    at // 1_000_000,
                    at % 1_000_000,
                    status,
                    payload,
                    len(body),
                    bytes(8),
                    0,
                    0,
                    0,
                    0,
                )
                whole = usb + body + bytes(-len(usb + body) % 4)
                length = 32 + len(whole)
                kept = len(usb + body)
                file.write(
                    struct.pack("<7I", 6, length, 0, at >> 32, at & 0xFFFFFFFF, kept, kept)
                    + whole
                    + struct.pack("<I", length)
                )
                written += length
            number, moved = number + 1, moved + payload
    return moved


def seconds(command: list[str]) -> tuple[float, str]:
    """The quickest of several runs of a whole process, in s of processor time, and what it printed."""
    best, said = float("inf"), ""
    for _ in range(RUNS):
        before = os.times()
        said = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT).stdout
        after = os.times()
        best = min(best, after.children_user - before.children_user + after.children_system - before.children_system)
    return best, said


def main() -> int:
    """0 where all is within its limit."""
    tshark = shutil.which("tshark")
    bad = 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.pcapng"
        for name, size, payload, step in (
            ("pictures", 200_000_000, 32_768, 900),
            ("small packets", 60_000_000, 64, 120),
        ):
            moved = make(path, size, payload, step)
            ours, said = seconds([sys.executable, "-c", READ, str(path)])
            assert int(said.split()[0]) == moved, "the capture was not read whole"
            if tshark is None:
                print(f"{name}: {ours:.2f} s; there is no tshark here to hold it against")
                continue
            theirs, _ = seconds([tshark, "-q", "-z", "io,stat,0", "-r", str(path)])
            print(f"{name}: {theirs / ours:.1f} times as fast (at least {TIMES_AS_FAST:.0f})")
            bad += theirs < TIMES_AS_FAST * ours
        if "--large" in sys.argv:
            make(path, 2_000_000_000, 16_384, 900)
            begun = time.perf_counter()
            used = int(seconds([sys.executable, "-c", READ, str(path)])[1].split()[1])
            print(f"2 GB: {used} MB of memory (at most {MOST_MB}), {(time.perf_counter() - begun) / RUNS:.1f} s")
            bad += used > MOST_MB
    return int(bad > 0)


if __name__ == "__main__":
    raise SystemExit(main())
