"""How fast planning is beside the straightforward recomputation: `python tests/bench/bench_planning.py`.

The rig has 16 devices and 24 sockets, and needs three moves. `rewire` beside the same search with every plan computed
whole (no controllers kept); `place` beside computing each free socket, alike or not. Medians of runs in pairs, one of
each in turn, beyond start-up, with the ratio. The straightforward search of three moves is run over a part of its
plans and scaled, as it takes minutes.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.place.large import LARGE
from topo.analysis.study import Study
from topo.model.rig import Part, Plug, Rig
from topo.pipeline import examiner, new_part, rig_of
from topo.place.consequence import consequence
from topo.place.options import place
from topo.place.planb import plan_b
from topo.place.search import rewire
from topo.rigfile.read import read_text

EVERY = examiner()
PAIRS = 7
PLANS = 40
"""Plans the straightforward search is timed over."""


def timed(run: Callable[[], object]) -> float:
    """Seconds of one run."""
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def straight_place(rig: Rig, part: Part) -> None:
    """Every free socket computed whole."""
    EVERY(Study(rig))
    for above, socket in Study(rig).topology.free_sockets():
        if socket.kind == "usb":
            study = Study(rig.with_part(replace(part, plug=Plug(above, socket.name))))
            consequence(study, EVERY(study))


def straight_plans(rig: Rig) -> None:
    """A few plans computed whole."""
    for _ in range(PLANS):
        study = Study(rig)
        consequence(study, EVERY(study))


def report(name: str, fast: list[float], slow: list[float], scale: float = 1.0) -> None:
    """One line: medians and the ratio."""
    one, other = statistics.median(fast), statistics.median(slow) * scale
    print(f"{name:34} {one * 1000:9.1f} ms  straightforward {other * 1000:10.1f} ms  ratio {other / one:6.1f}")


def main() -> None:
    rigfile = read_text(LARGE, "rig.yaml")
    rig = rig_of(rigfile)
    part = new_part(rigfile, "new", {"profile": "camera-guide-1mp", "role": "guiding"})
    sockets = sum(len(each.sockets) for each in rig.parts)
    print(f"{len(rig.devices)} devices, {sockets} sockets, {len(rig.hubs)} hubs")
    examine = EVERY
    answer = rewire(rig, examine)
    assert answer.plan is not None and len(answer.plan.moves) == 3, answer.plan
    plans = sum(answer.searched.studied)
    rewired, placed, plans_b, straight = [], [], [], {"rewire": [], "place": []}
    for _ in range(PAIRS):
        rewired.append(timed(lambda: rewire(rig, examine)))
        straight["rewire"].append(timed(lambda: straight_plans(rig)))
        placed.append(timed(lambda: place(rig, part, examine)))
        straight["place"].append(timed(lambda: straight_place(rig, part)))
        plans_b.append(timed(lambda: plan_b(rig, examine)))
    report(f"rewire, 3 moves, {plans} plans", rewired, straight["rewire"], plans / PLANS)
    report("place", placed, straight["place"])
    print(f"{'planb':34} {statistics.median(plans_b) * 1000:9.1f} ms")


if __name__ == "__main__":
    main()
