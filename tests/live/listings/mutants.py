"""Damaged listings: whatever is done to a text, reading it ends with a scan that saves, or with a ScanError.

    python -m tests.live.listings.mutants [NUMBER] [FORMAT…]

makes NUMBER mutants (10,000 unless told) of each format, and says how many were still scans. A few run on every test.
"""

from __future__ import annotations

import random
import sys

from tests.live.listings.formats import FORMATS
from tests.live.listings.machines import MACHINES
from topo.errors import ScanError
from topo.live.draft import draft
from topo.live.listings.decode import decoded
from topo.live.recording import read_scan
from topo.live.store import dumps, loads
from topo.live.tree import tree_lines
from topo.rigfile.read import read_text

SPLINTERS = (
    "\0", "\x1b[2J", "\n\n", "0x", "-1", "99999999999999999999", "|", "+-o ", "}", "{", "[", '"', "\\", "é", "\ud7ff",
    "T:  Bus=", "P: /devices/x/usb1/1-1", "USB\\VID_0000&PID_0000\\", "#USB(300)", "<Device ", "\u202e", ":", "> ",
    "usb 1-1.1.1.1.1.1.1.1.1: new high-speed USB device number 3\n", "/1-1/speed:", "    ", "&amp;", "//",
)  # fmt: skip


def mutant(text: str, luck: random.Random) -> bytes:
    """The text after one to eight accidents, in one of the encodings."""
    for _ in range(luck.randint(1, 8)):
        text = accident(text, luck)
    return text.encode(luck.choice(["utf-8", "utf-16", "utf-16-le", "cp1252", "latin-1"]), "replace")


def accident(text: str, luck: random.Random) -> str:
    at, end = luck.randint(0, len(text)), luck.randint(0, 400)
    lines = text.split("\n")
    return luck.choice([
        lambda: text[:at] + luck.choice(SPLINTERS) + text[at:],
        lambda: text[:at] + text[at + end:],
        lambda: text[:at],
        lambda: text[at:],
        lambda: text[:at] + text[at:at + end] * 3 + text[at + end:],
        lambda: "\n".join(luck.sample(lines, len(lines))),
        lambda: "\n".join(line for line in lines if luck.random() > 0.1),
        lambda: "".join(chr(ord(c) ^ 1) if luck.random() < 0.01 and c > " " else c for c in text),
        lambda: text.replace(luck.choice(lines), luck.choice(lines)),
    ])()  # fmt: skip


def survives(data: bytes, whole: bool = False) -> bool:
    """Reads it: True for a scan, which must save and print; with `whole` its draft must be a rig file."""
    try:
        scan = read_scan(decoded(data))
    except ScanError:
        return False
    assert loads(dumps(scan)) == scan
    assert not any(sign in line for line in tree_lines(scan) for sign in ("\x1b", "\n", "\u202e"))
    if whole:
        read_text(draft(scan), "draft.yaml")
    return True


def run(form: str, number: int, whole_every: int = 20) -> int:
    """How many of so many mutants of a format were scans."""
    luck = random.Random(f"{form} 1")
    texts = [FORMATS[form].print(machine) for machine in MACHINES.values()]
    made = ((mutant(luck.choice(texts), luck), n % whole_every == 0) for n in range(number))
    return sum(survives(data, whole) for data, whole in made)


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    for name in sys.argv[2:] or sorted(FORMATS):
        print(f"{name}: {run(name, count)} of {count} mutants were scans, none failed", flush=True)
