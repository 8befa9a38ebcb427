"""Every figure of power carries the basis it truly has: on random rigs each input is changed a little, and no figure
that moves with it may claim a firmer basis than the input's."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

import pytest

from tests.power.many_rigs import text_of
from tests.samples import share
from topo.analysis.study import Study
from topo.model.facts import BASES, Basis, Fact, Range3
from topo.model.rig import Rig
from topo.pipeline import examiner, rig_of
from topo.report.power_json import power_json
from topo.rigfile.read import read_text

DRAWS = ("amps_idle", "amps_typical", "amps_peak", "bus_ma")
WINDOW = ("volts_min", "volts_max")
WIRE = ("length_m", "area_mm2", "contact_milliohm")
MOVES = {"amps_basis": ("amps", "amps_alone"), "basis": ("volts", "volts_to", "volts_from"),
         "volts_at_rest_basis": ("volts_at_rest",), "volts_min_basis": ("volts_min",),
         "volts_max_basis": ("volts_max",), "drawn_basis": ("drawn_ma",), "volts_basis": ("volts",),
         "may_give_basis": ("may_give_ma",), "wire_limit_basis": ("wire_limit_a",), "fuse_basis": ("fuse_a",)}
"""Of which figures each basis of the JSON speaks."""


def spoken_of(kind: str, basis: str) -> tuple[str, ...]:
    if kind == "supplies":
        return {"basis": ("amps",), "volts_basis": ("volts",)}.get(basis, ())
    if kind == "leads" and basis == "basis":
        return ()  # that of its length, gauge and plugs, which are no figures of the JSON
    return MOVES.get(basis, ())


def weakened(rng: random.Random, rig: Rig) -> Rig:
    """The rig with the basis of every fact of its parts and leads drawn anew."""
    def record(facts: Any) -> Any:
        return replace(facts, **{each.name: replace(fact, basis=rng.choice(BASES[:3])) for each in fields(facts)
                                 if isinstance(fact := getattr(facts, each.name), Fact)})

    return replace(
        rig, computer=replace(rig.computer, facts=record(rig.computer.facts)),
        hubs=tuple(replace(each, facts=record(each.facts), cable=record(each.cable)) for each in rig.hubs),
        devices=tuple(replace(each, facts=record(each.facts), cable=record(each.cable)) for each in rig.devices),
        leads=tuple(replace(each, facts=record(each.facts)) for each in rig.leads),
    )  # fmt: skip


def changes(rig: Rig) -> Iterator[tuple[str, Basis, Rig]]:
    """Each input a little larger: its name, its basis, and the rig with it."""
    for place in ("hubs", "devices", "leads"):
        for index, thing in enumerate(getattr(rig, place)):
            for record in ("facts", "cable") if place != "leads" else ("facts",):
                facts = getattr(thing, record)
                for each in fields(facts):
                    fact = getattr(facts, each.name)
                    if each.name not in (*DRAWS, *WINDOW, *WIRE) or not isinstance(fact, Fact):
                        continue
                    more = replace(facts, **{each.name: replace(fact, value=fact.value * 1.05)})
                    new = list(getattr(rig, place))
                    new[index] = replace(thing, **{record: more})
                    yield f"{thing.id}.{each.name}", fact.basis, replace(rig, **{place: tuple(new)})


def numbers(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [number for each in value.values() for number in numbers(each)]
    if isinstance(value, list):
        return [number for each in value for number in numbers(each)]
    return [float(value)] if isinstance(value, int | float) and not isinstance(value, bool) else []


def moved(before: Any, after: Any, volts: bool) -> bool:
    """Whether a figure rests on what was changed by 5 %: amps by a fifth of that, volts by 3 mV. Less comes only by way
    of what others draw as volts fall."""
    one, other = numbers(before), numbers(after)
    if len(one) != len(other):
        return True
    return any(abs(a - b) > (3e-3 if volts else 0.01 * abs(a)) for a, b in zip(one, other, strict=True))


def firm(power: Any) -> bool:
    """Whether no more than a fifth of the volts is lost on any lead, at the low end too."""
    volts = [(lead["volts_from"][state], lead["volts_to"][state]) for lead in power["leads"]
             for state in ("idle", "typical", "peak")]  # fmt: skip
    return all(one and other and other[0] > 0.8 * one[0] for one, other in volts)


@pytest.mark.parametrize("start", share(range(0, 120, 20), 1))
def test_no_figure_claims_more_than_what_it_moves_with(start: int) -> None:
    claims = 0
    for seed in range(start, start + 20):
        rng = random.Random(seed)
        rig = weakened(rng, rig_of(read_text(text_of(seed), "r")))
        before = power_json(Study(rig))
        if before["cannot_be_fed"] or not firm(before):
            continue  # near the fold everything rests on everything, and nothing works there
        for name, basis, changed in changes(rig):
            after = power_json(Study(changed))
            for kind in ("supplies", "leads", "plugs", "usb"):
                for one, other in zip(before[kind], after[kind], strict=True):
                    for key in (key for key in one if key.endswith("basis")):
                        for figure in spoken_of(kind, key):
                            if not moved(one.get(figure), other.get(figure), figure.startswith("volts")):
                                continue
                            claims += 1
                            assert BASES.index(one[key]) >= BASES.index(basis), (seed, name, basis, kind, one, figure)
    assert claims > 20


@pytest.mark.parametrize("seed", range(40))
def test_figures_of_findings_say_the_same(seed: int) -> None:
    """A window, a fuse and a wire's limit in a finding have the basis that the outcome has for them."""
    study = Study(weakened(random.Random(seed), rig_of(read_text(text_of(seed), "r"))))
    for finding in examiner()(study):
        said = {figure.name: figure for figure in finding.figures}
        plug = study.power.plug(finding.part)
        if plug is not None and "lowest it works at" in said:
            assert said["lowest it works at"].basis == plug.floor_basis
        if plug is not None and "highest it stands" in said:
            assert said["highest it stands"].basis == plug.ceiling_basis
            assert said["volts with nothing drawn"].basis == plug.rest_basis
        leads = [lead for lead in study.power.leads if lead.to == finding.part]
        if finding.name in ("wire-runs-hot", "fuse-does-not-protect"):
            assert said["wire's limit"].basis in {lead.limit_basis for lead in leads}
            assert all(figure.basis in {lead.drawn for lead in leads} for figure in finding.figures
                       if figure.name in ("in normal work", "at the peak"))  # fmt: skip


def test_a_window_of_a_profile_is_no_declared_one() -> None:
    text = "rig: T\ncomputer: {}\ndevices: {m: {profile: mount-worm-mid-serial, volts_max: 14}}\npower:\n"
    text += "  supplies: {s: {volts: 12}}\n  leads: {l: {from: s, to: m, length_m: 1, gauge_awg: 16}}\n"
    [plug] = power_json(Study(rig_of(read_text(text, "r"))))["plugs"]
    assert (plug["volts_min_basis"], plug["volts_max_basis"]) == ("profile", "declared")
    assert json.dumps(plug) and math.isfinite(Range3.of(*plug["volts_at_rest"]).likely)
