"""The figures and plans of random rigs, digit by digit, as they were when the tests that know better had passed.

Nothing here says that a figure is right: closed forms, published figures and second solvers do that (DEVELOPERS.md,
"Numbers"). It says that none changes unseen, in corners that the examples do not have. `figures/NAME.yaml` is a rig as
`tests/place/random_rigs.py` or `tests/power/many_rigs.py` once drew it, or one by hand; `NAME.txt` its figures to five
digits. TOPO_UPDATE writes these anew: read the difference, and say in the commit why the new ones are truer.
"""

from __future__ import annotations

import dataclasses
import math
import os
from collections.abc import Iterator
from enum import Enum
from pathlib import Path
from typing import Any

import pytest

from topo.analysis.study import Study
from topo.model.finding import Finding
from topo.night.tonight import tonight
from topo.pipeline import examiner, new_part, rig_of
from topo.place.options import place
from topo.place.planb import plan_b
from topo.place.startlist import start_list
from topo.rigfile.read import read_text

FIGURES = Path(__file__).with_name("figures")
RIGS = sorted({*FIGURES.glob("usb-*.yaml"), *FIGURES.glob("power-*.yaml")})
PLANNED = sorted(FIGURES.glob("plan-*.yaml"))
LONGEST = 16
"""Of a longer row of figures, a night's volts for instance, every so many are written that this many are left."""
SIMULATED = ("usb-serial-and-streams", "usb-150")
UNSAID = ("text", "assumption", "label", "source", "place", "rig",
          "assumed", "study", "why", "words", "fix")
"""Fields in words, and what is no figure."""


def told(name: str, value: Any) -> Iterator[str]:
    """A value as lines, each figure with the way to it; what is empty, None or no is left out."""
    if isinstance(value, float):
        yield f"{name} {value:.5g}" if math.isfinite(value) else f"{name} {value}"
    elif isinstance(value, Enum | str | int):
        if value:
            yield f"{name} {value.name if isinstance(value, Enum) else value}"
    elif isinstance(value, dict):
        for key, each in value.items():
            yield from told(f"{name}.{key}", each)
    elif isinstance(value, frozenset):
        yield from told(name, tuple(sorted(value)))
    elif isinstance(value, Finding):
        yield f"{name} {value.severity} {value.certainty} {value.name} {value.part}"
    elif dataclasses.is_dataclass(value):
        inner = [(field.name, getattr(value, field.name)) for field in dataclasses.fields(value)]
        if all(isinstance(each, float) for _, each in inner):
            yield f"{name} {' '.join(f'{each:.5g}' for _, each in inner)}"
            return
        for field, each in inner:
            if field not in UNSAID:
                yield from told(f"{name}.{field}", each)
    elif isinstance(value, list | tuple):
        some = value[:: -(-len(value) // LONGEST)] if value else ()
        if all(isinstance(each, str | float) for each in some):
            yield from ([f"{name} {' '.join(f'{e:.5g}' if isinstance(e, float) else e for e in some)}"] if some else [])
            return
        for number, each in enumerate(some):
            yield from told(f"{name}.{number}", each)


def figures(rig_name: str, text: str) -> list[str]:
    """All figures of a rig; of some rigs those of a night simulated twice."""
    study = Study(rig_of(read_text(text, "rig.yaml")))
    found = {name: getattr(study, name) for name in (
        "links", "devices", "guided", "shared", "pulses", "power", "usb_power", "volts_at_night")}
    cameras = [each.delay.camera for each in study.guided]
    found |= {"plan": study.nights.plan, "busiest": study.busiest(),
              "trouble": {camera: study.is_trouble(camera) for camera in cameras}}
    if rig_name in SIMULATED:
        found["lateness"] = {camera: study.lateness(camera) for camera in cameras}
        found["tonight"] = tonight(study.nights, 2, 1)
    return [line for name, value in found.items() for line in told(name, value)]


def same(lines: list[str], golden: Path) -> None:
    if os.environ.get("TOPO_UPDATE"):
        golden.write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert lines == golden.read_text(encoding="utf-8").splitlines()


@pytest.mark.parametrize("rig", RIGS, ids=lambda path: path.stem)
def test_no_figure_changes_unseen(rig: Path) -> None:
    same(figures(rig.stem, rig.read_text(encoding="utf-8")), rig.with_suffix(".txt"))


def plans(text: str) -> list[str]:
    """What planning makes of a rig: the best places for a further camera, plan B, the order of starting.

    What `rewire` finds is left out: it is held against brute force, and may find better plans any day.
    """
    study = Study(rig_of(read_text(text, "rig.yaml")))
    camera = new_part(read_text(text, "rig.yaml"), "new", {"profile": "camera-guide-2mp"})
    placed = place(study.rig, camera, examiner(), cable_m=2.0)
    return [line for name, value in {
        "place": placed.options, "ruled out": placed.ruled_out, "before": placed.before,
        "fails": plan_b(study.rig, examiner()), "start": start_list(study.rig),
    }.items() for line in told(name, value)]


@pytest.mark.parametrize("rig", PLANNED, ids=lambda path: path.stem)
def test_no_plan_changes_unseen(rig: Path) -> None:
    same(plans(rig.read_text(encoding="utf-8")), rig.with_suffix(".txt"))


def test_there_are_enough() -> None:
    assert len(RIGS) >= 20 and len(PLANNED) >= 8
    assert all(len(rig.with_suffix(".txt").read_text(encoding="utf-8")) > 500 for rig in (*RIGS, *PLANNED))
