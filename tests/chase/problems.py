"""The problems of the experiment: rigs, symptoms and who is hit. The examples first, then random rigs."""

from __future__ import annotations

import random
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from tests.chase.rigs import random_rig
from topo.chase.dossier import dossier_of
from topo.chase.of_rig import wires_of
from topo.chase.symptoms import SYMPTOM_OF
from topo.chase.things import THINGS
from topo.chase.wires import Wires
from topo.model.chase import Dossier
from topo.pipeline import study_file

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"

MIX = (
    ("drops", 25), ("several-drop", 11), ("slow-downloads", 10), ("guide-missing", 10), ("camera-timeout", 10),
    ("guide-late", 9), ("mount-stalls", 5),
)
"""How many problems of each symptom."""


def problems(seed: int = 1, mix: tuple[tuple[str, int], ...] = MIX) -> list[Dossier]:
    """The cases; everything is at hand in all of them. Each third problem is of an example, while these last."""
    rng = random.Random(seed)
    rigs = rigs_in_turn(rng)
    found = []
    for symptom, count in mix:
        while count:
            rig = next(rigs)
            victims = _victims(rng, rig, symptom)
            if victims:
                found.append(dossier_of(rig, (SYMPTOM_OF[symptom],), victims, tuple(THINGS)))
                count -= 1
    return found


def rigs_in_turn(rng: random.Random) -> Iterator[Wires]:
    """35 random rigs in turn, and after every second the next example."""
    rigs, number = [random_rig(rng) for _ in range(35)], 0
    while True:
        yield rigs[number % len(rigs)]
        if number % 2:
            yield examples()[number // 2 % len(examples())]
        number += 1


@cache
def examples() -> tuple[Wires, ...]:
    """The examples of the project, by name."""
    return tuple(wires_of(study_file(path)) for path in sorted(EXAMPLES.glob("*/rig.yaml")))


def _victims(rng: random.Random, rig: Wires, symptom: str) -> tuple[str, ...]:
    """Whom the symptom hits; nobody where the rig has none such."""
    roles = {"slow-downloads": "imaging", "camera-timeout": "imaging", "mount-stalls": "mount"}
    if symptom == "drops":
        return (rng.choice(rig.devices).part,)
    if symptom == "several-drop":
        branches = [sorted(devices) for devices in rig.now.under.values() if len(devices) >= 2]
        return tuple(rng.sample(rng.choice(branches), 2)) if branches else ()
    role = roles.get(symptom, "guiding")
    return tuple(wire.part for wire in rig.devices if wire.role == role)[:1]
