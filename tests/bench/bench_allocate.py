"""How the time of max-min shares grows with the devices. A script: exits 1 where it grows too steeply.

    python tests/bench/bench_allocate.py [REPEATS]

The rigs are trees of hubs with buses, translators, SuperSpeed legs and uplinks as a large site would have them: all
of it scaled by the number of devices, so that there are as many full links as in many rigs side by side. Beside them
the hard case: every device on one bus, each stopping at a level of its own.
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.flows.certificate import violations
from topo.flows.allocate import Demand, allocate
from topo.model.traffic import Use

SIZES = (10, 30, 100, 300, 1000, 3000, 10_000)
LIMIT = 2.0
"""Growth from 100 to 10,000 devices may be this many times that of n log n."""

Case = tuple[list[Demand], dict[str, float]]


def site(count: int) -> Case:
    """Devices over controllers of 15, hubs of 7 in trees up to four deep; 1 s/s of bus time a link, as in a rig."""
    dice = random.Random(count)
    capacities: dict[str, float] = {}
    demands = []
    hubs: list[tuple[int, tuple[str, ...]]] = []
    for number in range(count):
        controller = number // 15
        if number % 15 == 0:
            hubs = [(0, ())]
        if number % 5 == 0 and number % 15:
            above = dice.choice([hub for hub in hubs if hub[0] < 4])
            hubs.append((above[0] + 1, (f"leg-{number}", *above[1])))
        legs = dice.choice(hubs)[1]
        kind = dice.choice(["still-usb2", "still-usb3", "video-usb3", "serial", "serial"])
        bus, uplink = f"bus-{controller}", f"uplink-{controller}"
        uses: tuple[Use, ...]
        if kind == "serial":
            translator = f"translator-{legs[0] if legs else controller}"
            uses = (Use(translator, 1 / 1.2e6), Use(bus, 1 / 20e6), Use(uplink, 1e-9))
            cap, weight = dice.choice([200.0, 960.0, 11_520.0]), 64.0
        elif kind == "still-usb2":
            uses, weight = (Use(bus, 1 / 53.2e6), Use(uplink, 1 / 800e6)), 512.0
            cap = dice.choice([math.inf, 24e6, 38e6])
        else:
            uses = (*(Use(leg, 1 / 460e6) for leg in legs), Use(uplink, 1 / 800e6))
            cap, weight = dice.choice([math.inf, 350e6, dice.uniform(20e6, 200e6)]), 1024.0
        demands.append(Demand(f"device-{number}", cap, weight, uses))
        capacities.update((use.resource, 0.8) for use in uses)
    return demands, capacities


def one_bus(count: int) -> Case:
    """All devices on one bus, in pairs on links of their own, caps and capacities spread: a level for almost each."""
    dice = random.Random(count)
    capacities = {"bus": float(count)}
    demands = []
    for number in range(count):
        link = f"link-{number // 2}"
        capacities[link] = dice.uniform(0.5, 4.0)
        demands.append(Demand(f"device-{number}", dice.uniform(0.1, 4.0), 1.0, (Use(link, 1.0), Use("bus", 1.0))))
    return demands, capacities


def seconds(case: Case, repeats: int) -> float:
    """The best of several runs, each long enough for the clock."""
    runs = max(1, 2000 // len(case[0]))
    best = math.inf
    for _ in range(repeats):
        start = time.perf_counter()
        for _ in range(runs):
            allocate(*case)
        best = min(best, (time.perf_counter() - start) / runs)
    return best


def exponent(points: list[tuple[int, float]]) -> float:
    """Least-squares slope of log time over log n."""
    logs = [(math.log(n), math.log(t)) for n, t in points]
    mean_n, mean_t = (sum(values) / len(logs) for values in zip(*logs, strict=True))
    return float(sum((n - mean_n) * (t - mean_t) for n, t in logs) / sum((n - mean_n) ** 2 for n, _ in logs))


def run(name: str, make: Callable[[int], Case], repeats: int) -> bool:
    """Prints one table; True where the growth is within the limit."""
    print(f"{name}\n{'devices':>9} {'uses':>7} {'full':>6} {'time':>12} {'time/(n log n)':>16}")
    points: list[tuple[int, float]] = []
    for count in SIZES:
        case = make(count)
        found = allocate(*case)
        problems = violations(*case, found, 1e-6)
        if problems:
            raise SystemExit(f"not max-min fair: {problems[0]}")
        points.append((count, seconds(case, repeats)))
        full = len({link for link in found.bottleneck.values() if link is not None})
        uses = sum(len(demand.uses) for demand in case[0])
        ratio = unit(points[-1]) / unit(points[0])
        print(f"{count:>9} {uses:>7} {full:>6} {points[-1][1] * 1e6:>9.1f} us {ratio:>15.2f}x", flush=True)
    known = dict(points)
    growth = unit((10_000, known[10_000])) / unit((100, known[100]))
    print(f"fitted exponent {exponent(points):.3f}; 100 to 10,000: {growth:.2f} times n log n (limit {LIMIT})\n")
    return growth <= LIMIT


def unit(point: tuple[int, float]) -> float:
    """Time over n log n."""
    return point[1] / (point[0] * math.log(point[0]))


def main() -> int:
    """All cases; the exit status."""
    repeats = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    within = [
        run("realistic rigs, side by side", site, repeats),
        run("one bus, a level for almost each device", one_bus, repeats),
    ]
    return 0 if all(within) else 1


if __name__ == "__main__":
    raise SystemExit(main())
