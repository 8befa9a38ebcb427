"""Two plans side by side: what moved, what changed, and what that did to the findings."""

from __future__ import annotations

from topo.frozen import frozen
from topo.model.declare import Record, known
from topo.model.facts import value_of
from topo.model.finding import Finding
from topo.model.records import CableFacts
from topo.model.rig import Computer, Device, Part, Rig
from topo.place.consequence import gone_findings, new_findings
from topo.place.powered import power_things, power_words
from topo.place.renamed import finding_renamed, renamed, under_new_names


@frozen
class Difference:
    """One difference of a part. `what` is renamed, added, removed, moved or changed; before and after in words."""

    part: str
    what: str
    before: str
    after: str


@frozen
class PlanDiff:
    """Differences of parts in the order of the first rig, then new ones; findings gone, new and still there."""

    parts: tuple[Difference, ...]
    gone: tuple[Finding, ...]
    new: tuple[Finding, ...]
    kept: tuple[Finding, ...]


def compare_plans(one: Rig, other: Rig, findings: tuple[Finding, ...], then: tuple[Finding, ...]) -> PlanDiff:
    """What is different in the second rig, and which findings went and came. A part that only got another name is told
    as renamed, and is the same part in all else."""
    names = renamed(one, other)
    one = under_new_names(one, names)
    findings = tuple(finding_renamed(finding, names) for finding in findings)
    theirs = {part.id: part for part in other.parts}
    mine = {part.id for part in one.parts}
    differences = [Difference(new, "renamed", old, new) for old, new in names.items()]
    for part in one.parts:
        after = theirs.get(part.id)
        if after is None:
            differences.append(Difference(part.id, "removed", str(part.plug or ""), ""))
        else:
            differences += _of_part(part, after)
    differences += [
        Difference(part.id, "added", "", str(part.plug or "")) for part in other.parts if part.id not in mine
    ]
    differences += _of_power(one, other)
    differences += _of_night(one, other)
    gone, new = gone_findings(findings, then), new_findings(findings, then)
    fresh = {id(finding) for finding in new}
    return PlanDiff(tuple(differences), gone, new, tuple(f for f in then if id(f) not in fresh))


def _of_part(before: Part, after: Part) -> list[Difference]:
    found = []
    if str(before.plug) != str(after.plug):
        found.append(Difference(before.id, "moved", str(before.plug or "unplugged"), str(after.plug or "unplugged")))
    words = _said(before), _said(after)
    for name in words[0]:
        if words[0][name] != words[1][name]:
            old, new = (_words(said[name]) for said in words)
            found.append(Difference(before.id, "changed", f"{name} {old}", f"{name} {new}"))
    if (was := _sockets(before)) != (now := _sockets(after)):
        left = [text for text in was if text not in now]
        come = [text for text in now if text not in was]
        found.append(
            Difference(before.id, "changed", f"sockets {', '.join(left) or 'none'}", ", ".join(come) or "none")
        )
    values = _values(before), _values(after)
    for key in dict.fromkeys((*values[0], *values[1])):
        if values[0].get(key) != values[1].get(key):
            old, new = (_words(known.get(key)) for known in values)
            found.append(Difference(before.id, "changed", f"{key[1]} {old}", f"{key[1]} {new}"))
    return found


def _said(part: Part) -> dict[str, object]:
    """What is said of a part besides its facts."""
    guides = part.guides if isinstance(part, Device) else None
    return {"profile": part.profile, "role": part.role, "cable": _cable(part.cable), "guides": guides,
            "sits": part.sits, "after": part.after}


def _values(part: Part) -> dict[tuple[str, str], object]:
    """The value of every fact of a part, by group and name."""
    groups: tuple[Record, ...] = (part.facts,)
    if isinstance(part, Device):
        groups = (part.use, part.serial, part.seen, part.facts)
    found = {(type(group).__name__, name): fact.value for group in groups for name, fact in known(group)}
    uplinks = part.controllers if isinstance(part, Computer) else ()
    return found | {("controllers", f"uplink:{each.name}"): value_of(each.uplink) for each in uplinks}


def _sockets(part: Part) -> list[str]:
    return [
        f"{s.name} ({s.kind}, {s.speed.word}"
        + (f", controller {s.controller}" if s.controller else "")
        + (f", bus {s.usb2_bus}" if s.usb2_bus else "")
        + ")"
        for s in part.sockets
    ]


def _of_power(one: Rig, other: Rig) -> list[Difference]:
    """Supplies and leads that are not the same, each under its own name."""
    found = []
    before, after = _powers(one), _powers(other)
    for name in dict.fromkeys((*before, *after)):
        if before.get(name) != after.get(name):
            found.append(Difference(name, "changed", before.get(name, "not there"), after.get(name, "not there")))
    return found


def _of_night(one: Rig, other: Rig) -> list[Difference]:
    """What is planned otherwise for the night."""
    before, after = _planned(one), _planned(other)
    return [
        Difference("night", "changed", f"{key} {_words(before.get(key))}", f"{key} {_words(after.get(key))}")
        for key in dict.fromkeys((*before, *after)) if before.get(key) != after.get(key)
    ]


def _planned(rig: Rig) -> dict[str, object]:
    night = rig.night
    found: dict[str, object] = {name: fact.value for name, fact in known(night.facts)}
    for each in night.copying:
        spans = f"{each.for_s:g} s in {each.every_s:g} s" if each.for_s and each.every_s else "all-night"
        found[f"copying of {each.part}"] = each.when or spans
    if night.remote is not None:
        rate = night.remote.mb_per_s
        found["remote desktop"] = f"through {night.remote.through}" + ("" if rate is None else f", {rate:g} MB/s")
    return found


def _powers(rig: Rig) -> dict[str, str]:
    return {thing.id: power_words(thing) for thing in power_things(rig)}


def _words(value: object) -> str:
    if value is None:
        return "not given"
    if isinstance(value, tuple):  # a cable
        length_m, grade, _, active, more = value
        words = [] if length_m is None else [f"{length_m:g} m"]
        words += [] if grade is None else [grade]
        words += ["active"] if active else []
        words += [f"{name} {_words(said)}" for name, said in more if said is not None]
        return ", ".join(words) or "not given"
    return str(value)


def _cable(cable: CableFacts) -> tuple[object, ...]:
    """What makes one cable another: its figures, whoever gave them."""
    more = (
        ("data pairs AWG", value_of(cable.data_gauge_awg)), ("plug", value_of(cable.connector)),
        ("joints", value_of(cable.joints)), ("flat", value_of(cable.flat)),
    )
    length, grade, gauge = value_of(cable.length_m), value_of(cable.grade), value_of(cable.gauge_awg)
    return length, grade, gauge, value_of(cable.active, False), more
