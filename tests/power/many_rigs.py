"""Random rigs with a 12 V side and USB cables, and what must never be true of any of them.

`PYTHONPATH=. python tests/power/many_rigs.py 10000` tries so many.

The volts that findings are held against are worked out here a second time, straight from the text of the rig: an own
walk through the leads, and a slow relaxation of the volts. `test_many_rigs.py` runs a sample each time.
"""

from __future__ import annotations

import math
import random
import sys
from typing import Any

import yaml

from topo.analysis.study import Study
from topo.model.finding import verdict
from topo.pipeline import examiner, rig_of
from topo.rigfile.read import read_text

ROLES = ("imaging", "guiding", "mount", "focuser", "dew", "other")
MIL_FREE = {10: 30.0, 12: 20.0, 14: 15.0, 16: 10.0, 18: 7.0}
"""US code 240.4(D), typed here a second time."""


def maybe(rng: random.Random, chance: float, key: str, value: Any) -> dict[str, Any]:
    return {key: value} if rng.random() < chance else {}


def random_power(seed: int) -> dict[str, Any]:
    """A whole rig file as nested mappings: every other rig built with care but for one thing, the rest at random; some
    facts stated, some left out."""
    rng = random.Random(seed)
    if seed % 2:
        return _careful(rng, seed)
    devices = {f"d{i}": _device(rng) for i in range(rng.randint(1, 5))}
    known = rng.choice((0.5, 0.9, 1.0))
    blocks = {f"block{i}": maybe(rng, 0.3, "fuse_amps", rng.choice((3, 5, 10))) for i in range(rng.randint(0, 1))}
    boxes = {f"box{i}": {"channels": {"1": maybe(rng, 0.7, "amps", rng.choice((2, 5, 7))), "2": {}}}
             for i in range(rng.randint(0, 1))}  # fmt: skip
    converters = {f"conv{i}": {"volts": rng.choice((5, 12, 19)), **maybe(rng, known, "volts_min", 10),
                               **maybe(rng, known, "amps", rng.choice((2, 5))),
                               **maybe(rng, known, "volts_max", 30)} for i in range(rng.randint(0, 1))}  # fmt: skip
    supplies = {f"s{i}": _supply(rng, known) for i in range(rng.choice((1, 1, 1, 2)))}
    leads: dict[str, Any] = {}
    sources = list(supplies)
    for name in (*blocks, *boxes, *converters, "computer", *devices):
        if rng.random() < 0.1:
            continue
        source = rng.choice(sources)
        begin = f"{source}/{rng.choice('12')}" if source in boxes and rng.random() < 0.7 else source
        leads[f"l{len(leads)}"] = {"from": begin, "to": name, **_wire(rng, known)}
        if name in blocks or name in boxes or name in converters:
            sources.append(name)
    if leads and rng.random() < 0.3:  # a second lead to one of the ends: beside the first, or from elsewhere
        again = rng.choice(list(leads.values()))
        begin = again["from"] if rng.random() < 0.7 else rng.choice([s for s in sources if s != again["to"]])
        leads[f"l{len(leads)}"] = {"from": begin, "to": again["to"], **_wire(rng, known)}
    power = {"supplies": supplies, "blocks": blocks, "boxes": boxes, "converters": converters, "leads": leads}
    computer = {
        "ports": {"usb3-1": {"speed": "super"}, "usb3-2": {"speed": "super"}, "usb2-1": {"speed": "high"}},
        **_draws(rng, known),
    }  # fmt: skip
    hubs: dict[str, Any] = {}
    if rng.random() < 0.5:
        hubs["hub"] = {"speed": "super", "ports": 4, "plug": "computer/usb3-2", "cable": _cable(rng),
                       **maybe(rng, 0.8, "powered", rng.choice(("true", "false"))),
                       **maybe(rng, 0.8, "bus_ma", rng.choice((0, 100)))}  # fmt: skip
    free = ["computer/usb3-1", "computer/usb2-1", *(f"hub/{i}" for i in range(1, 5) if hubs)]
    for device in devices.values():
        if free and rng.random() < 0.7:
            device |= {"plug": free.pop(0), "speed": rng.choice(("super", "high")), "cable": _cable(rng),
                       **maybe(rng, 0.8, "bus_ma", rng.choice((50, 300, 500, 900)))}  # fmt: skip
    return {"rig": f"Random {seed}", "computer": computer, "hubs": hubs, "devices": devices,
            "power": {key: value for key, value in power.items() if value}}  # fmt: skip


def _careful(rng: random.Random, seed: int) -> dict[str, Any]:
    """A pier as it should be, with one thing changed, or none."""
    devices: dict[str, Any] = {}
    leads: dict[str, Any] = {"feed": {"from": "s0", "to": "block0", "length_m": 1, "gauge_awg": 10, "fuse_amps": 25,
                                      "fuse_at_m": 0.1}}  # fmt: skip
    for index in range(rng.randint(1, 4)):
        amps = rng.choice((0.3, 1.0, 2.0))
        devices[f"d{index}"] = {"role": rng.choice(ROLES), "amps_typical": amps, "amps_peak": 1.3 * amps,
                                "volts_min": 10.5, "volts_max": 15, "interface": "none"}  # fmt: skip
        leads[f"l{index}"] = {"from": "block0", "to": f"d{index}", "length_m": rng.choice((0.5, 1, 2)),
                              "gauge_awg": rng.choice((14, 16)), "fuse_amps": 5, "fuse_at_m": 0.1}  # fmt: skip
    supply: dict[str, Any] = {"volts": 12.8, "amps": 25, "kind": "mains", "volts_by": "meter"}
    lead, device = rng.choice(list(leads.values())), rng.choice(list(devices.values()))
    change = rng.choice(("none", "none", "wire", "fuse", "length", "volts", "window", "load", "forgotten"))
    if change == "wire":
        lead["gauge_awg"] = rng.choice((20, 22, 24, 26, 28, 30))
    elif change == "fuse":
        lead["fuse_amps"] = rng.choice((1, 20, 30))
    elif change == "length":
        lead["length_m"] = rng.choice((8, 15, 25))
    elif change == "volts":
        supply["volts"] = rng.choice((11, 15.5))
    elif change == "window":
        device[rng.choice(("volts_min", "volts_max"))] = 12.7
    elif change == "load":
        device |= {"amps_typical": rng.choice((6, 12, 25)), "amps_peak": 25}
    elif change == "forgotten":
        del lead[rng.choice(("gauge_awg", "length_m", "fuse_amps"))]
    return {"rig": f"Careful {seed}", "computer": {}, "devices": devices,
            "power": {"supplies": {"s0": supply}, "blocks": {"block0": {}}, "leads": leads}}  # fmt: skip


def _device(rng: random.Random) -> dict[str, Any]:
    return {"role": rng.choice(ROLES), **_draws(rng, 0.85),
            **maybe(rng, 0.7, "volts_min", rng.choice((10.5, 11, 11.5, 12))),
            **maybe(rng, 0.7, "volts_max", rng.choice((13, 13.8, 14, 15)))}  # fmt: skip


def _draws(rng: random.Random, known: float) -> dict[str, Any]:
    typical = round(rng.choice((0.2, 0.5, 1, 2, 4)) * rng.uniform(0.5, 1.5), 2)
    return {**maybe(rng, known, "amps_typical", typical), **maybe(rng, known, "amps_peak", round(typical * 1.8, 2))}


def _supply(rng: random.Random, known: float) -> dict[str, Any]:
    made: dict[str, Any] = {"volts": rng.choice((12, 12.5, 13.2, 13.8)), **maybe(rng, known, "amps", rng.choice(
        (3, 5, 10, 30)))}  # fmt: skip
    if rng.random() < 0.4:
        return made | {"kind": "battery", **maybe(rng, known, "chemistry", rng.choice(("lifepo4", "agm"))),
                       **maybe(rng, known, "ah", rng.choice((12, 50, 100))),
                       **maybe(rng, known, "charge_percent", rng.choice((60, 100)))}  # fmt: skip
    return made | {**maybe(rng, known, "kind", "mains"), **maybe(rng, 0.5, "volts_by", "meter")}


def _wire(rng: random.Random, known: float) -> dict[str, Any]:
    size: dict[str, Any] = {}
    if rng.random() < known:
        size = rng.choice(({"gauge_awg": rng.choice((10, 14, 16, 18, 20, 22, 24, 28, 30))},
                           {"area_mm2": rng.choice((0.5, 0.75, 1.0, 1.5, 2.5, 4.0))}))  # fmt: skip
    return {**size, **maybe(rng, known, "length_m", rng.choice((0.5, 1, 2, 4))),
            **maybe(rng, 0.6, "fuse_amps", rng.choice((1, 3, 5, 10, 20, 30))),
            **maybe(rng, 0.4, "fuse_at_m", rng.choice((0, 0.1, 0.4))),
            **maybe(rng, 0.5, "to_plug", rng.choice(("barrel-2.1", "genderless-30", "screw")))}  # fmt: skip


def _cable(rng: random.Random) -> dict[str, Any]:
    return {"grade": "usb3", **maybe(rng, 0.8, "length_m", rng.choice((0.5, 1, 2, 3))),
            **maybe(rng, 0.7, "gauge_awg", rng.choice((20, 24, 28)))}  # fmt: skip


def text_of(seed: int) -> str:
    return yaml.dump(random_power(seed), sort_keys=False)


# -- a second way to the volts -----------------------------------------------------------------------------------------


def limit_of(lead: dict[str, Any]) -> float | None:
    """What a wire takes: the code's table, its neighbours by the same factor a gauge, metric by its copper."""
    gauge = lead.get("gauge_awg")
    if gauge is None:
        if "area_mm2" not in lead:
            return None
        gauge = next(g for g in range(4, 40) if math.pi / 4 * (0.127 * 92 ** ((36 - g) / 39)) ** 2 <= lead["area_mm2"])
    if gauge <= 18:
        return MIL_FREE[gauge + gauge % 2]
    return float(math.floor(10 * 7 * (30 / 7) ** ((18 - gauge) / 8)) / 10)


def relaxed(data: dict[str, Any], rig: Any, peak: bool) -> tuple[dict[str, float], dict[str, float]]:
    """Volts at each end and amps of each lead at the likely figures, by rounds of the plainest kind. The ohms of a lead
    are the house's own (`topo.power.tree`), which published tables are held against elsewhere."""
    from topo.power.loads import drawing
    from topo.power.tree import trees

    found = trees(rig)
    fed = {end: tree.volts.likely for tree in found for branch in tree.branches for end in branch.lead.ends}
    loads = {part.id: drawing(part, fed.get(part.id, 12.0)) for part in rig.parts}
    volts: dict[str, float] = {}
    amps: dict[str, float] = {}
    into: dict[str, float] = {}
    for tree in reversed(found):
        here = dict.fromkeys((end for b in tree.branches for end in b.lead.ends), tree.volts.likely)
        ends = {index: branch.lead.to for index, branch in enumerate(tree.branches)}
        each = [[max(1e-6, math.fsum(s.ohm.likely for s in steps or ())) for _, steps in branch.strands]
                for branch in tree.branches]  # fmt: skip
        ohms = [1 / math.fsum(1 / ohm for ohm in strands) for strands in each]
        total = 0.0
        for _ in range(3000):
            through = [0.0] * len(tree.branches)
            for index in range(len(tree.branches) - 1, -1, -1):
                name, load = ends[index], loads.get(ends[index])
                at = max(here[name], 0.5)
                drawn = into.get(name, 0.0) / at
                if load is not None:
                    level = (load.amps.peak if peak else load.amps.typical).likely  # type: ignore[union-attr]
                    drawn += level * (load.volts / at if load.draws == "watts" else at / load.volts
                                      if load.draws == "ohms" else 1.0)  # fmt: skip
                through[index] += drawn
                above = tree.branches[index].above
                if above >= 0:
                    through[above] += through[index]
            total = math.fsum(a for a, b in zip(through, tree.branches, strict=True) if b.above < 0)
            top = tree.volts.likely - total * tree.inside.likely
            for index, branch in enumerate(tree.branches):
                over = top if branch.above < 0 else here[ends[branch.above]]
                new = over - through[index] * ohms[index]
                here[ends[index]] += 0.5 * (new - here[ends[index]])
        volts |= here
        amps |= {lead.id: a * ohm / own
                 for branch, a, ohm, strands in zip(tree.branches, through, ohms, each, strict=True)
                 for (lead, _), own in zip(branch.strands, strands, strict=True) if branch.known}  # fmt: skip
        if tree.source.id in data["power"].get("converters", {}):
            share = value_or(tree.source)
            into[tree.source.id] = tree.volts.likely * total / share
    return volts, amps


def value_or(source: Any) -> float:
    from topo.power.forest import EFFICIENCY

    stated = source.facts.efficiency_percent
    return float(EFFICIENCY.likely if stated is None else stated.value / 100)


# -- what must never be -----------------------------------------------------------------------------------------------


def wrong_with(seed: int) -> list[str]:
    """What is wrong with what is said of a rig; nothing, for all seeds."""
    data, rig = random_power(seed), rig_of(read_text(text_of(seed), "rig.yaml"))
    study = Study(rig)
    found = examiner()(study)
    said = {(f.name, f.part) for f in found if f.severity != "note"}
    wrong = [*_silent(data, study)]
    fit = verdict(found) in ("clear", "note")
    wrong += [f"fit, and {each}" for each in _bad(data, rig)] if fit else []
    wrong += [f"not said: {each}" for each in _unsaid(data, study, said)]
    return wrong


def _bad(data: dict[str, Any], rig: Any) -> list[str]:
    """Wires above their limits and parts outside their windows, by the second way."""
    bad = []
    leads = data["power"].get("leads", {})
    dim = _dim(data)
    for peak in (False, True):
        volts, amps = relaxed(data, rig, peak)
        bad += [f"{name} carries {amps[name]:.2f} A" for name, lead in leads.items()
                if name in amps and (limit := limit_of(lead)) is not None and amps[name] > limit * 1.0001]  # fmt: skip
        for name, device in data["devices"].items():
            if name in volts and name not in dim and volts[name] < float(device.get("volts_min", 0)) - 1e-3:
                bad.append(f"{name} gets {volts[name]:.2f} V")
    for name, device in data["devices"].items():
        top = max((float(s["volts"]) for s in data["power"]["supplies"].values()), default=0.0)
        sole = name in volts and not data["power"].get("converters") and len(data["power"]["supplies"]) == 1
        if sole and name not in dim and top > float(device.get("volts_max", 99)):
            bad.append(f"{name} stands less than {top} V")
    return bad


def _dim(data: dict[str, Any]) -> set[str]:
    """Ends behind a lead whose length or gauge is not given."""
    leads = data["power"].get("leads", {})
    dim = {lead["to"] for lead in leads.values() if "length_m" not in lead or not {"gauge_awg", "area_mm2"} & {*lead}}
    for _ in leads:
        dim |= {lead["to"] for lead in leads.values() if lead["from"].partition("/")[0] in dim}
    return dim


def _silent(data: dict[str, Any], study: Study) -> list[str]:
    """Leads, supplies, parts and ports that are neither judged nor listed with a missing fact."""
    listed = {(each.what, each.name) for each in study.power.not_judged}
    silent = []
    for name in data["power"].get("leads", {}):
        power = study.power.lead(name)
        if ("lead", name) not in listed and (power is None or power.limit_a is None or not power.steps):
            silent.append(f"lead {name} is passed over")
    for name, supply in data["power"]["supplies"].items():
        if "amps" not in supply and ("supply", name) not in listed:
            silent.append(f"supply {name} is passed over")
    ends = {lead["to"] for lead in data["power"].get("leads", {}).values()}
    for name in ends & {"computer", *data["devices"]}:
        plug = study.power.plug(name)
        whole = plug is not None and None not in (plug.floor, plug.ceiling) and plug.amps.idle is not None
        if ("part", name) not in listed and not whole and not _cannot(study):
            silent.append(f"part {name} is passed over")
    wired = set(study.topology.wired[1:])
    for name in wired:
        usb = next((each for each in study.usb_power if each.part == name), None)
        if usb is None or (usb.volts is None and not usb.missing):
            silent.append(f"USB plug of {name} is passed over")
    return silent


def _cannot(study: Study) -> bool:
    return any(each.level == "likely" for each in study.power.unfed)


def _unsaid(data: dict[str, Any], study: Study, said: set[tuple[str, str]]) -> list[str]:
    """What the outcome itself shows to be wrong has a finding of its own, whatever else is found."""
    unsaid = []
    for plug in study.power.plugs:
        typical, peak = plug.volts.typical, plug.volts.peak
        if plug.floor is not None and any(v is not None and v.likely < plug.floor for v in (typical, peak)):
            unsaid += [] if ("volts-out-of-window", plug.part) in said else [f"{plug.part} below its window"]
        if plug.ceiling is not None and plug.at_rest.likely > plug.ceiling:
            unsaid += [] if ("volts-too-high", plug.part) in said else [f"{plug.part} above its window"]
    for lead in study.power.leads:
        if lead.limit_a is None:
            continue
        if any(a is not None and a.likely > lead.limit_a for a in (lead.amps.typical, lead.amps.peak)):
            unsaid += [] if ("wire-runs-hot", lead.to) in said else [f"{lead.id} hot"]
        names = {name for name, part in said if part == lead.to}
        if lead.fuse_a is not None and lead.fuse_a > lead.limit_a and not names & {"fuse-does-not-protect",
                                                                                  "wire-not-fused"}:
            unsaid += [] if _told_before(study, lead, said) else [f"{lead.id} over-fused"]
        if lead.fuse_a is None and "wire-not-fused" not in names and not _told_before(study, lead, said):
            unsaid.append(f"{lead.id} has no fuse")
    for usb in study.usb_power:
        if usb.volts is not None and usb.volts.likely < usb.floor and ("usb-volts-low", usb.part) not in said:
            unsaid.append(f"{usb.part} has {usb.volts.likely:.2f} V")
    if _cannot(study) and not any(name == "load-cannot-be-fed" for name, _ in said):
        unsaid.append("a load that cannot be fed")
    return unsaid


def _told_before(study: Study, lead: Any, said: set[tuple[str, str]]) -> bool:
    """Whether one before it, on the same way, is told to be without a fuse."""
    ends = {each.id: each.ends for each in study.rig.leads}
    here = lead
    while here is not None:
        if ("wire-not-fused", here.to) in said:
            return True
        here = next((each for each in study.power.leads if here.source in ends[each.id]), None)
    return False


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    start = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    failed = 0
    for seed in range(start, start + count):
        if wrong := wrong_with(seed):
            failed += 1
            print(seed, "; ".join(wrong))
    print(f"{count} rigs, {failed} with something wrong")
    sys.exit(1 if failed else 0)
