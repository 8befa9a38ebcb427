"""Runs generated rig files through the reader; anything but a rig file or a RigFileError is a defect.

    python tests/fuzz_rigfile.py --count 100000 --seed 1

Half the files are mutations of good ones (bytes, lines, words), half come from a small grammar of YAML with the keys
of the schema. The same seed gives the same files.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
import traceback
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from topo.errors import RigFileError  # noqa: E402
from topo.rigfile.profiles import profiles_of, read_profiles  # noqa: E402
from topo.rigfile.read import read_text  # noqa: E402

GRAMMAR_SEEDS = [
    b"rig: A\ncomputer: {profile: pc, ports: {a: {speed: super, controller: x}}, controllers: {x: {uplink: pcie1x1}}}\n"
    b"hubs:\n  h: {plug: computer/a, ports: 4}\ndevices:\n  m:\n    role: mount\n    plug: h/1\n"
    b"    serial: {baud: 9600}\n"
    b"power:\n  supplies: {s: {volts: 13}}\n  leads: {l: {from: s, to: m, length_m: 1}}\n"
    b"profiles: {p: {facts: {speed: high, width_px: {value: 3, source: x}}}}\n",
]
_KEYS = (
    "rig computer hubs devices power supplies leads profiles profile_files profile plug cable length_m grade role use "
    "exposure_s bin roi serial baud guides from to volts amps facts ports controllers controller uplink speed identity "
    "vendor_id note kind source value summary width_px readout_mb_per_s length_cm awg << x computer/a 'q' \"d\" 1.10"
)
_VALUES = (
    "computer/usb3-1 a/1 x a m mount imaging usb3 1.2 80cm '1,2' 1/50 150s 0403 yes no ~ null 1e999 .inf .nan 0x10 "
    '9999999999999999999999 -1 {} [] [a] {a:1} *a &a !t @x %x ` | > \'\' "" "\\e[31m" "\\u202e" 🔭 é 640x480 high '
    'super \'\'\' "\\ud800" "\\x00" - ? : # 1_0 true 12:30 2024-01-01'
)
KEYS, VALUES = _KEYS.split(), _VALUES.split()
PIECES = [
    b"\t",
    b"\r",
    b"\n",
    b"\r\n",
    b"  ",
    b": ",
    b":",
    b"- ",
    b"? ",
    b"{",
    b"}",
    b"[",
    b"]",
    b"'",
    b'"',
    b"#",
    b"&a ",
    b"*a",
    b"!t ",
    b"---\n",
    b"...\n",
    b"|\n",
    b">-\n",
    b"\x00",
    b"\xff",
    b"\xc3",
    b"\xe2\x80\xa8",
    b"\xef\xbb\xbf",
    b"\x1b",
    b"%",
    b"@",
    b",",
    b"<<: ",
    b"null",
    b"\xf0\x9f\x94\xad",
    b"\xe2\x80\xae",
]


@dataclass
class Outcome:
    """What a run came to: counts, and each defect with the file that showed it."""

    read: int = 0
    refused: int = 0
    problems: int = 0
    slowest_ms: float = 0.0
    defects: list[tuple[bytes, str]] = field(default_factory=list)
    kinds: Counter[str] = field(default_factory=Counter)


def run(count: int, seed: int) -> Outcome:
    """Reads `count` generated files as rig files and as profile files."""
    rng = random.Random(seed)
    seeds = [path.read_bytes() for path in sorted((ROOT / "examples").glob("*/rig.yaml"))] + GRAMMAR_SEEDS
    outcome = Outcome()
    for _ in range(count):
        data = mutated(rng, rng.choice(seeds)) if rng.random() < 0.5 else written(rng).encode("utf-8", "surrogatepass")
        _try(data, outcome)
    return outcome


def mutated(rng: random.Random, data: bytes) -> bytes:
    """A good file with a few things done to it."""
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        at = rng.randrange(len(data) + 1)
        how = rng.randrange(6)
        if how == 0:
            data = data[:at] + rng.choice(PIECES) + data[at:]
        elif how == 1:
            data = data[:at] + data[at + rng.randint(1, 8) :]
        elif how == 2:
            data = data[:at] + bytes([rng.randrange(256)]) + data[at + 1 :]
        elif how == 3:
            lines = data.split(b"\n")
            lines.insert(rng.randrange(len(lines)), rng.choice(lines))
            data = b"\n".join(lines)
        elif how == 4:
            lines = data.split(b"\n")
            del lines[rng.randrange(len(lines))]
            data = b"\n".join(lines)
        else:
            words = data.split(b" ")
            words[rng.randrange(len(words))] = rng.choice(VALUES).encode()
            data = b" ".join(words)
    return data


def written(rng: random.Random) -> str:
    """A file from the grammar: mostly YAML, with keys of the schema in places where they may or may not be right."""
    text = rng.choice(["", "rig: A\ncomputer: {}\n", "rig: A\ncomputer:\n  ports:\n    a: {}\n"])
    return text + _block(rng, 0, rng.randint(1, 4))


def _block(rng: random.Random, indent: int, depth: int) -> str:
    lines = []
    for _ in range(rng.randint(1, 5)):
        key = rng.choice(KEYS)
        pad = " " * (indent if rng.random() < 0.97 else indent + rng.randint(0, 3))
        kind = rng.random()
        if kind < 0.3 and depth:
            lines.append(f"{pad}{key}:\n{_block(rng, indent + 2, depth - 1)}")
        elif kind < 0.5:
            lines.append(f"{pad}{key}: {_flow(rng, 2)}\n")
        elif kind < 0.55:
            lines.append(f"{pad}- {rng.choice(VALUES)}\n")
        elif kind < 0.6:
            lines.append(f"{pad}{key}: |\n{pad}  some\n{pad}  text\n")
        else:
            lines.append(f"{pad}{key}: {rng.choice(VALUES)}\n")
    return "".join(lines)


def _flow(rng: random.Random, depth: int) -> str:
    if not depth or rng.random() < 0.3:
        return rng.choice(VALUES)
    pairs = [f"{rng.choice(KEYS)}: {_flow(rng, depth - 1)}" for _ in range(rng.randint(0, 3))]
    return "{" + ", ".join(pairs) + "}" if rng.random() < 0.9 else "[" + ", ".join(pairs)


def _try(data: bytes, outcome: Outcome) -> None:
    start = time.perf_counter()
    try:
        rigfile = read_text(data, "rig.yaml")
        outcome.read += 1
        if not rigfile.document.profile_files:
            profiles_of(rigfile)
    except RigFileError as error:
        outcome.refused += 1
        outcome.problems += len(error.problems)
        _look_at(error, data, outcome)
    except BaseException:
        _defect(data, outcome)
    outcome.slowest_ms = max(outcome.slowest_ms, 1e3 * (time.perf_counter() - start))
    try:
        read_profiles(data, "profile.yaml", "fuzz")
    except RigFileError as error:
        _look_at(error, data, outcome)
    except BaseException:
        _defect(data, outcome)


def _look_at(error: RigFileError, data: bytes, outcome: Outcome) -> None:
    """Messages are safe to print, say something, and stay in the file."""
    lines = data.count(b"\n") + data.count(b"\r") + 2
    for problem in error.problems:
        told = problem.message + problem.hint
        if not told.isprintable() or not problem.message or not 0 <= problem.line <= lines:
            outcome.defects.append((data, f"an odd problem: {problem!r}"))
    if not error.problems:
        outcome.defects.append((data, "an error with no problem"))


def _defect(data: bytes, outcome: Outcome) -> None:
    words = traceback.format_exc()
    outcome.kinds[words.strip().splitlines()[-1][:100]] += 1
    outcome.defects.append((data, words))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=100_000, help="how many files")
    parser.add_argument("--seed", type=int, default=1, help="which files")
    chosen = parser.parse_args()
    start = time.perf_counter()
    outcome = run(chosen.count, chosen.seed)
    seconds = time.perf_counter() - start
    print(f"{chosen.count} files in {seconds:.0f} s: {outcome.read} read,")
    print(f"{outcome.refused} refused with {outcome.problems} problems,")
    print(f"slowest {outcome.slowest_ms:.0f} ms, {len(outcome.defects)} defects")
    for kind, times in outcome.kinds.most_common():
        print(f"{times:6} {kind}")
    for data, words in outcome.defects[:3]:
        print(f"\n{data!r}\n{words}")
    return 1 if outcome.defects else 0


if __name__ == "__main__":
    sys.exit(main())
