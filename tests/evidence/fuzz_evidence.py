"""Mutants of logs, captures and tables through every reader, the whole answer, held against a rig, in words and JSON:
no crash, no hang, bounded memory.

By hand: python -m tests.evidence.fuzz_evidence 100000
"""

from __future__ import annotations

import gzip
import json
import lzma
import random
import resource
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.evidence.captures import Packet, pcap, pcapng, reads
from topo.analysis.study import Study
from topo.checks.evidence_cases import LOG_OF_A_BRANCH, NIGHT_RIG
from topo.checks.scans import hub, seen
from topo.evidence.answer import KnownNames, answer
from topo.evidence.open import gather
from topo.evidence.readers import readers
from topo.evidence.series import LEAST_FRAMES
from topo.model.answers import DeclaredTimes
from topo.pipeline import hold_evidence, rig_of
from topo.report.compose import compose
from topo.report.evidence import EvidenceReport, evidence_lines
from topo.report.evidence_json import evidence_json
from topo.rigfile.read import read_text

HERE = Path(__file__).parent / "recordings"
LONGEST_S = 20.0
MOST_MB = 600
HELD_EACH = 4
"""Every so many mutants are held against a rig as well."""
WORDS = (
    b"\x00",
    b"\xff" * 8,
    b"\n",
    b"[",
    b"9" * 400,
    b"-71",
    b"usb 1-1: ",
    b"\x1b[2J",
    b"=\n",
    b"\xc2\xa0",
    b'"',
    b"{",
    b";",
    b"PM: suspend exit",
    b"1e308",
    b"\n\r\r\n",
    b"\x01\x00\x00\x00",
    b"END     ",
    b"Infinity",
    b"99999999-99-99",
)


def originals() -> list[bytes]:
    """Every kind of file there is, small."""
    found = [path.read_bytes() for path in sorted(HERE.iterdir())]
    start = 1_700_000_000_000_000
    packets: list[Packet] = []
    for n in range(LEAST_FRAMES + 5):
        packets += reads(start + n * 200_000, [4096] * 3 + [100], 4096, ident=100 + 10 * n)
        packets += reads(start + n * 100_000 + 50, [512, 10], 512, ident=9000 + 10 * n, device=6)
    iso = Packet(start, "C", 7, kind="iso", endpoint=0x82, iso=((0, 0, 1000), (-71, 0, 0)))
    control = Packet(start, "C", 7, kind="control", endpoint=0x80, data=bytes([18, 1]) + bytes(16))
    found += [
        pcapng([*packets, iso, control]),
        pcapng(packets, ">"),
        pcap(packets[:60], 189),
        pcap(packets[:60], 249, ">"),
    ]
    guide = "time,dx,dy\n" + "".join(f"{1.7e9 + 2 * n:.1f},{n % 3},{n % 5}\n" for n in range(60))
    frames = "start,exposure,closed\n" + "".join(f"{1.7e9 + 20 * n},15,{1.7e9 + 20 * n + 16}\n" for n in range(10))
    card = "DATE-OBS= '2024-03-14T15:09:26.0'".ljust(80) + "EXPTIME =                  120".ljust(80)
    fits = ("SIMPLE  =                    T".ljust(80) + card + "END".ljust(80)).ljust(2880)
    watch = (
        '{"kind":"start","at":"2026-11-24T22:00:00+01:00","monotonic_s":10.0,"format":"topo.watch.1","every_s":2.0}\n'
        '{"kind":"dropped","at":"2026-11-24T22:10:00+01:00","monotonic_s":610.0,"device":"1-1","devnum":5}\n'
    )
    scan = '{"format":"topo.scan.1","when":"","system":"linux","kernel":null,"scanner":"recording"}'
    comma = guide.replace(",", ";").replace(".", ",")
    actions = "time;event;until\n2026-11-24T21:13:01Z;dither;2026-11-24T21:13:05Z\n2026-11-24T21:14:01Z;slew;\n"
    watch += (
        '{"kind":"clock","at":"2026-11-24T22:20:00+01:00","monotonic_s":1110.0,"seconds":60.0}\n'
        '{"kind":"port","at":"2026-11-24T22:21:00+01:00","monotonic_s":1171.0,"device":"1-1","ports":["/dev/ttyUSB1"]}\n'
    )
    before = json.dumps({**json.loads(scan), "when": "2026-11-24T20:00:00Z", "sightings": [seen("3-1"), hub("3-2")]})
    log = LOG_OF_A_BRANCH + "-- Boot 0123456789abcdef --\n" + LOG_OF_A_BRANCH
    return [*found, *(text.encode() for text in (guide, comma, actions, frames, fits, watch, scan, before, log)),
            gzip.compress(LOG_OF_A_BRANCH.encode(), mtime=0), lzma.compress(guide.encode())]


def mutant(rng: random.Random, files: list[bytes]) -> bytes:
    """One file with a few things wrong with it."""
    data = bytearray(rng.choice(files))
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(data) + 1)
        kind = rng.randrange(7)
        if kind == 0 and data:
            data[min(at, len(data) - 1)] = rng.randrange(256)
        elif kind == 1:
            del data[at : at + rng.randint(1, 200)]
        elif kind == 2:
            data[at:at] = rng.choice(WORDS)
        elif kind == 3:
            data[at:at] = data[at : at + rng.randint(1, 300)]
        elif kind == 4:
            other = rng.choice(files)
            start = rng.randrange(len(other))
            data[at:at] = other[start : start + rng.randint(1, 500)]
        elif kind == 5 and len(data) > 8:
            data[at : at + 4] = rng.randrange(1 << 32).to_bytes(4, "little")
        else:
            del data[at:]
    return bytes(data)


def told_of(report: EvidenceReport) -> None:
    """Everything that is made of an answer but pictures."""
    lines = evidence_lines(report, 80)
    assert all("\x1b" not in text for line in lines for text, _ in line)
    json.dumps(evidence_json(report), allow_nan=False)


def run(count: int, seed: int) -> Counter[str]:
    """Tries so many mutants, alone and in pairs. Raises what a reader raises."""
    rng, files, told = random.Random(seed), originals(), Counter[str]()
    known = readers()
    study = Study(rig_of(read_text(NIGHT_RIG, "rig.yaml")))
    with tempfile.TemporaryDirectory() as folder:
        names = [str(Path(folder) / "a"), str(Path(folder) / "b")]
        for turn in range(count):
            chosen = names[: rng.choice((1, 1, 2))]
            for name in chosen:
                Path(name).write_bytes(mutant(rng, files))
            begun = time.process_time()
            sources = gather(chosen, known, {})
            told_of(EvidenceReport(answer(sources, {}, None, KnownNames()), None))
            if turn % HELD_EACH == 0:
                held, findings, troubles = hold_evidence(study, sources, DeclaredTimes())
                assert not troubles, troubles
                told_of(EvidenceReport(held.answers, compose(study, findings, None, ())))
            if time.process_time() - begun > LONGEST_S:
                raise AssertionError("a file took too long")
            for source in sources:
                told[source.reader or "unknown"] += 1
    return told


def main() -> None:
    """Prints what the mutants were taken for, and the most memory used."""
    told = run(int(sys.argv[1]) if len(sys.argv) > 1 else 1000, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(dict(sorted(told.items())), f"{used:.0f} MB")
    if used > MOST_MB:
        raise SystemExit("too much memory")


if __name__ == "__main__":
    main()
