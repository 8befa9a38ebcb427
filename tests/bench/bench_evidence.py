"""Captures read against tshark's own sums of the same files, in one run; and memory on a large one.

200 MB of pictures, and 60 MB of small packets: at least three times as fast. 2 GB (a hole in a file of the same length
would be cheating, so it is written): under 120 MB of memory; only with --large, since it takes the room.
"""

from __future__ import annotations

import itertools
import os
import resource
import shutil
import struct
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.evidence.captures import USBMON, interface, section  # noqa: E402

TIMES_AS_FAST = 3.0
MOST_MB = 120
RUNS = 7
START_US = 1_700_000_000_000_000
_USB = struct.Struct("<" + USBMON)
READ = """
import resource, sys
from topo.evidence.capture.reader import read
from topo.model.evidence import Handed
with open(sys.argv[1], "rb") as file:
    reading = read(file, Handed("bench"))
print(sum(each.size_bytes for each in reading.transfers), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""


def packet(ident: int, event: int, device: int, at: int, status: int, length: int, body: bytes) -> bytes:
    """One event of a bulk endpoint as a block of pcapng."""
    usb = _USB.pack(ident, event, 3, 0x81, device, 1, 45, 0 if body else 60, at // 1_000_000, at % 1_000_000, status,
                    length, len(body), bytes(8), 0, 0, 0, 0)
    kept = len(usb) + len(body)
    size = 32 + (kept + 3) // 4 * 4
    head = struct.pack("<7I", 6, size, 0, at >> 32, at & 0xFFFFFFFF, kept, kept)
    return head + usb + body + bytes(size - 32 - kept) + struct.pack("<I", size)


def make(path: Path, size: int, payload: int, step_us: int) -> int:
    """Writes a capture of about that size, every read as long as asked; the bytes its devices moved."""
    at, written, number = START_US, 0, 0
    data = bytes(payload)
    with path.open("wb") as file:
        file.write(section() + interface())
        while written < size:
            for event, status, body in ((83, -115, b""), (67, 0, data)):
                at += step_us
                ident = 0xFFFF888000000000 + number % 16 * 64
                written += file.write(packet(ident, event, 5 + number % 3, at, status, payload, body))
            number += 1
    return number * payload


def make_small(path: Path, size: int, payload: int, step_us: int) -> int:
    """The same of reads that mostly bring less than asked: a guide camera, and adapters whose replies look like it."""
    at, written, moved = START_US, 0, 0
    with path.open("wb") as file:
        file.write(section() + interface())
        for number in itertools.cycle(range(1, 1001)):
            reads = [(device, length) for device in (5, 6, 7, 8) for length in (1514, 700, 1200)]
            reads += [(9, payload)] * 12 + [(9, 3000)] if number % 50 == 0 else []
            for device, length in reads:
                for event, status, told, body in ((83, -115, payload, b""), (67, 0, length, bytes(length))):
                    at += step_us // 6
                    written += file.write(packet(device, event, device, at, status, told, body))
                moved += length
            if written >= size:
                return moved
    return moved


def seconds(command: list[str], env: dict[str, str]) -> tuple[float, str]:
    """Processor time of a whole process, in s, and what it printed."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    said = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT, env=env).stdout
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime, said


def pairs(ours: list[str], theirs: list[str] | None, env: dict[str, str]) -> tuple[float, float, str]:
    """The quickest of several runs of both, one after the other in turns, and what ours printed.

    The first run compiles our sources, as installing does, and is not counted.
    """
    _, said = seconds(ours, env)
    mine, other = [], []
    for _ in range(RUNS):
        mine.append(seconds(ours, env)[0])
        if theirs is not None:
            other.append(seconds(theirs, env)[0])
    return min(mine), min(other, default=0.0), said


def main() -> int:
    """0 where all is within its limit."""
    tshark = shutil.which("tshark")
    bad = 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.pcapng"
        env = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
        env |= {"PYTHONPYCACHEPREFIX": str(Path(folder) / "compiled"), "PYTHONPATH": str(ROOT)}
        ours = [sys.executable, "-c", READ, str(path)]
        for name, size, payload, step in (
            ("pictures", 200_000_000, 32_768, 900),
            ("small packets", 60_000_000, 64, 120),
        ):
            moved = make(path, size, payload, step)
            theirs = None if tshark is None else [tshark, "-q", "-z", "io,stat,0", "-r", str(path)]
            mine, other, said = pairs(ours, theirs, env)
            assert int(said.split()[0]) == moved, "the capture was not read whole"
            if theirs is None:
                print(f"{name}: {mine:.3f} s; there is no tshark here to hold it against")
                continue
            print(f"{name}: {mine:.3f} s, {other / mine:.2f} times as fast (at least {TIMES_AS_FAST:.0f})")
            bad += other < TIMES_AS_FAST * mine
        if "--large" in sys.argv:
            for name, writer in (("long reads", make), ("many small frames", make_small)):
                writer(path, 2_000_000_000, 16_384, 900)
                took, said = seconds(ours, env)
                used = int(said.split()[1])
                print(f"2 GB of {name}: {used} MB of memory (at most {MOST_MB}), {took:.1f} s")
                bad += used > MOST_MB
    return int(bad > 0)


if __name__ == "__main__":
    raise SystemExit(main())
