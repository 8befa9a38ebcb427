"""Cables over the mount's axes: against a mount that is turned, on random rigs; and what the chase makes of them."""

from __future__ import annotations

import math
import random

import pytest

from tests.place.test_advice_is_true import every_plan_holds
from topo.analysis.study import Study
from topo.chase.dossier import suspects
from topo.chase.of_rig import wires_of
from topo.chase.symptoms import ATTITUDE, SYMPTOM_OF
from topo.pipeline import rig_of
from topo.rigfile.read import read_text
from topo.wiring.crossings import crossings, places_missing

PLACES = ("tube", "counterweight", "mount", "pier", "indoors", "")


def text(seed: int) -> str:
    dice = random.Random(seed)
    seat = lambda: f", sits: {place}" if (place := dice.choice(PLACES)) else ""  # noqa: E731
    count = dice.randint(1, 9)
    rows = ["  computer-camera: {plug: hub/9" + seat() + "}"]
    rows += [f"  part{n}: {{plug: {dice.choice(['hub', 'computer'])}/{n + 1}{seat()}}}" for n in range(count)]
    rows += [f"  mount: {{role: mount{seat()}}}", f"  guide: {{plug: hub/10, pulse_lead: mount{seat()}}}"]
    leads = "".join(f"    lead{n}: {{from: hub, to: part{n}}}\n" for n in range(count) if dice.random() < 0.4)
    power = f"power:\n  supplies: {{pier: {{volts: 12}}}}\n  leads:\n{leads}" if leads else ""
    place = seat().replace(", ", "\n  ")
    head = f"rig: Random\ncomputer:\n  os: linux{place}\nhubs:\n  hub: {{plug: computer/9, ports: 10{seat()}}}\n"
    return head + "devices:\n" + "\n".join(rows) + "\n" + power


def moved(place: str, ra: float, dec: float) -> tuple[float, float, float]:
    """Where a mark fixed to a place is once the axes are turned: the tube's by both, the bar's by the first."""
    x, y, z = (1.0, 0.3, 0.2)
    if place == "tube":
        x, y, z = x, y * math.cos(dec) - z * math.sin(dec), y * math.sin(dec) + z * math.cos(dec)
    if place in ("tube", "counterweight"):
        x, y, z = x * math.cos(ra) - y * math.sin(ra), x * math.sin(ra) + y * math.cos(ra), z
    return x, y, z


def by_turning(one: str, other: str) -> int:
    """Axes that pull at a cable between two places: each axis turned alone, does the distance to its end change?"""
    found = 0
    for ra, dec in ((0.7, 0.0), (0.0, 0.7)):
        a, b = moved(one, ra, dec), moved(other, ra, dec)
        found += max(abs(p - q) for p, q in zip(a, b, strict=True)) > 1e-9
    return found


@pytest.mark.parametrize("seed", range(120))
def test_against_a_mount_that_is_turned(seed: int) -> None:
    rig = rig_of(read_text(text(seed), "rig.yaml"))
    seats = {part.id: part.sits for part in rig.parts}
    cables = [("data", part.id, part.plug.part, part.id) for part in rig.plugged if part.plug is not None]
    cables += [("pulse", part.id, part.pulse_lead, part.id) for part in rig.devices if part.pulse_lead]
    cables += [("power", lead.id, lead.source, lead.to) for lead in rig.leads]
    wanted = [(kind, name, axes) for kind, name, near, far in cables
              if seats.get(near) and seats.get(far) and (axes := by_turning(seats[near] or "", seats[far] or ""))]
    found = crossings(rig)
    assert [(each.kind, each.part, each.axes) for each in found] == wanted
    unsaid = {part.id for part in rig.parts if part.sits is None}
    assert not any(each.near in unsaid or each.far in unsaid for each in found)
    assert set(places_missing(rig)) <= unsaid


SEATED = """\
rig: Seated
computer: {sits: pier, controllers: {one: {}}, ports: {usb3-1: {controller: one, speed: super},
  usb2-1: {controller: one, speed: high}, usb2-2: {controller: one, speed: high}}}
devices:
  main-camera: {role: imaging, width_px: 6248, height_px: 4176, speed: super, plug: computer/usb3-1, sits: tube,
    use: {exposure_s: 100}}
  focuser: {role: focuser, speed: full, plug: computer/usb2-1, sits: tube}
  mount: {role: mount, speed: full, plug: computer/usb2-2, sits: mount}
"""


def weight(of: str, victim: str, symptom: str) -> float:
    wires = wires_of(Study(rig_of(read_text(of, "rig.yaml"))))
    found = suspects(wires, (SYMPTOM_OF[symptom],), frozenset({victim}))
    return next(s.weight for s in found if s.kind == "cable" and s.piece == victim)


def test_trouble_at_one_attitude_points_to_cables_over_the_axes() -> None:
    over, still = (weight(SEATED, name, ATTITUDE) for name in ("focuser", "mount"))
    assert over > 10 * still
    assert weight(SEATED, "focuser", "drops") == pytest.approx(weight(SEATED, "mount", "drops"))
    nowhere = SEATED.replace("sits: pier, ", "")
    assert still < weight(nowhere, "focuser", ATTITUDE) < over


def test_what_a_hub_on_the_tube_saves_is_computed() -> None:
    three = SEATED.replace("sits: mount", "sits: tube")
    assert every_plan_holds(three) > 0
