"""Feeds the descriptor parsers bytes made to hurt: `python tests/fuzz_descriptors.py --count 1000000 [--seed N]`.

Most are whole descriptors with a few bytes changed, cut or repeated; the rest is noise. Every input must give a value
in bounded time: prints the slowest one, and ends with status 1 at the first failure, whose bytes it prints.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tests.live.recordings.make import SUPER, SUPER_PLUS, bos, camera, container, guide, hub, mount
from topo.live.descriptors import Abilities, Described, read_bos, read_descriptors

SLOWEST_S = 0.5
SPEEDS = (None, 1.5, 12.0, 480.0, 5000.0, 10000.0)


def seeds() -> list[bytes]:
    """Whole descriptors to begin from."""
    devices = (camera("1-1", 2, (1, 2), fast=True), guide("1-2", 3), mount("1-3", 4), hub("1-4", 5, 4, (1, 3)))
    abilities = bos(SUPER, SUPER_PLUS, container(3))
    return [*(device.descriptors for device in devices), abilities]


def mutated(chance: random.Random, whole: list[bytes]) -> bytes:
    """One input."""
    if chance.random() < 0.3:
        return chance.randbytes(chance.choice((0, 1, 2, 9, 18, 60, 300)))
    data = bytearray(chance.choice(whole))
    for _ in range(chance.randint(1, 6)):
        at = chance.randrange(len(data)) if data else 0
        move = chance.random()
        if move < 0.6 and data:
            data[at] = chance.choice((0, 1, 2, 3, 7, 9, 0x7F, 0x80, 0xFF, chance.randrange(256)))
        elif move < 0.75:
            del data[at:]
        elif move < 0.9:
            data[at:at] = chance.choice(whole)[: chance.randrange(60)]
        else:
            data += data[: chance.randrange(len(data) + 1)]
    return bytes(data)


def fuzz(count: int, seed: int) -> tuple[float, int]:
    """Runs `count` inputs. Returns the slowest in seconds of processor time, and how many gave something."""
    chance = random.Random(seed)
    whole = seeds()
    slowest, fruitful = 0.0, 0
    for _ in range(count):
        data = mutated(chance, whole)
        speed = chance.choice(SPEEDS)
        begin = time.thread_time()
        try:
            told, able = read_descriptors(data, speed), read_bos(data)
        except Exception as error:
            raise AssertionError(f"{data.hex()} at {speed}: {error!r}") from error
        slowest = max(slowest, time.thread_time() - begin)
        assert isinstance(told, Described) and isinstance(able, Abilities)
        fruitful += bool(told.configs or able.speeds_mbit)
    return slowest, fruitful


def main() -> int:
    parser = argparse.ArgumentParser(description="Fuzzes the descriptor parsers.")
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    begin = time.perf_counter()
    slowest, fruitful = fuzz(given.count, given.seed)
    took = time.perf_counter() - begin
    print(f"{given.count} inputs in {took:.1f} s, {fruitful} gave something; the slowest took {slowest * 1e3:.2f} ms")
    return 0 if slowest < SLOWEST_S else 1


if __name__ == "__main__":
    sys.exit(main())
