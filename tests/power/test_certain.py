"""What is certain of the 12 V side is there whatever the file leaves open turns out to be: one fact at a time is told,
at either end of what it could be, and what was certain before is found again.

But for a rig that then can't be fed at all, which is said instead. Left out are the volts at which amps are stated:
12 V, or those of the rig they were measured on, which are within a tenth or so of them.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
import yaml

from tests.place.random_rigs import EXAMINER
from tests.power.many_rigs import random_power
from tests.samples import share
from topo.analysis.study import Study
from topo.model.finding import Finding
from topo.pipeline import rig_of
from topo.rigfile.read import read_text

FUSES = ("blade", "glass", "resettable", "breaker")
ENDS: dict[str, dict[str, tuple[Any, ...]]] = {
    "supplies": {"internal_milliohm": (0, 60)},
    "batteries": {"internal_milliohm": (0, 60), "charge_percent": (20, 100), "usable_percent": (30, 100),
                  "age_years": (0, 12), "night_celsius": (-20, 20), "ah": (5, 300), "ah_hours": (5, 20),
                  "chemistry": ("lifepo4", "agm")},
    "leads": {"length_m": (0.1, 8), "gauge_awg": (10, 26), "contact_milliohm": (0, 20), "aluminium": (True, False),
              "to_plug": ("genderless-45", "barrel-2.1", "ring"), "from_plug": ("genderless-45", "car-socket", "ring"),
              "fuse_class": FUSES, "fuse_at_m": (0, 0.3)},
    "blocks": {"contact_milliohm": (0, 20), "fuse_class": FUSES},
    "boxes": {"through_milliohm": (0, 50)},
    "converters": {"efficiency_percent": (60, 98), "amps": (1, 20), "volts_min": (9, 11), "volts_max": (15, 30)},
    "devices": {"amps_typical": (0.05, 4), "amps_idle": (0, 0.05), "volts_min": (5, 11.8), "volts_max": (12.9, 30),
                "bus_ma": (0, 900), "draws": ("amps", "watts", "ohms")},
    "computer": {"amps_typical": (0.3, 4), "volts_min": (8, 11.8), "volts_max": (13, 28)},
    "night": {"hours": (1, 14), "coldest_celsius": (-25, 20)},
    "cables": {"length_m": (0.3, 3), "gauge_awg": (20, 28), "contact_milliohm": (0, 100)},
}  # fmt: skip
"""What a fact that a file leaves out could be, at its ends: typed from what is sold (no source)."""


def places(data: dict[str, Any]) -> Iterator[tuple[str, tuple[str, ...], dict[str, Any]]]:
    """What of a rig has facts: its kind, the way to it in the file, and what is said of it."""
    for section in ("supplies", "leads", "blocks", "boxes", "converters"):
        for name, entry in data["power"].get(section, {}).items():
            kind = "batteries" if entry.get("kind") == "battery" else section
            yield kind, ("power", section, name), entry
    for name, entry in data["devices"].items():
        yield "devices", ("devices", name), entry
        if "cable" in entry:
            yield "cables", ("devices", name, "cable"), entry["cable"]
    yield "computer", ("computer",), data["computer"]
    yield "night", ("night",), {}


def told(data: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """The rig with one more fact, in every way."""
    for kind, way, entry in places(data):
        for fact, ends in ENDS[kind].items():
            said = fact in entry or (fact == "gauge_awg" and "area_mm2" in entry)
            if said or (fact.startswith("fuse") and "fuse_amps" not in entry):
                continue
            for value in ends:
                changed = copy.deepcopy(data)
                there = changed
                for step in way:
                    there = there.setdefault(step, {})
                there[fact] = value
                yield changed


def found(data: dict[str, Any]) -> tuple[Finding, ...]:
    return EXAMINER(Study(rig_of(read_text(yaml.dump(data, sort_keys=False), "rig.yaml"))))


@pytest.mark.parametrize("start", share(range(0, 96, 4), 2))
def test_what_is_certain_is_so_whatever_is_left_open(start: int) -> None:
    seen = 0
    for seed in range(start, start + 4):
        data = random_power(seed)
        certain = {(each.name, each.part) for each in found(data) if each.certainty == "certain"}
        for changed in told(data) if certain else ():
            now = {(each.name, each.part) for each in found(changed)}
            if "load-cannot-be-fed" not in {name for name, _ in now}:
                assert certain <= now, (seed, certain - now, changed)
        seen += len(certain)
    assert seen
