"""What a plan changes but plugs, in words to stand twice in a picture: as it is now, and as it will be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.draw.words import joined, length_text
from topo.frozen import frozen
from topo.model.change import SetCable, SetLead, SetSerial, SetSupply, SetUse
from topo.model.facts import Fact, value_of
from topo.model.figures import number
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.change import Change, Proposal
    from topo.model.records import CableFacts
    from topo.model.rig import Rig

SAID = {
    "limit_mb_per_s": "limit {} MB/s", "fps": "{} frames a second", "bin": "bin {}", "gap_s": "pause {} s",
    "exposure_s": "exposes {} s", "timeout_s": "waits {} s", "mb_per_s": "{} MB/s", "roi": "reads {} pixels",
    "sample_bits": "{} bits", "polls_per_s": "asked {} times a second", "clients": "programs: {}",
    "latency_timer_ms": "timer {} ms", "baud": "{} baud", "gauge_awg": "{} AWG", "area_mm2": "{} mm²",
    "fuse_amps": "fuse {} A", "fuse_at_m": "fuse at {} m", "length_m": "{} m", "volts": "{} V", "amps": "{} A",
    "ah": "{} Ah",
}
"""A setting or fact with its value, in few words."""
UNSET = {
    "limit_mb_per_s": "no limit", "gap_s": "no pause", "bin": "bin 1", "roi": "whole field",
    "fuse_amps": "no fuse here",
}
"""What stands where the file says nothing."""


@frozen
class Changed:
    """By part, and by part or lead of a wire: words for now and words for then, either of them empty where nothing is
    to be said."""

    parts: dict[str, tuple[str, str]]
    wires: dict[str, tuple[str, str]]


def changed(now: Rig, then: Rig, proposal: Proposal) -> Changed:
    """What the steps of a proposal set, by where it is set. Plugs that move are no setting."""
    parts: dict[str, list[tuple[str, str]]] = {}
    wires: dict[str, list[tuple[str, str]]] = {}
    for step in proposal.steps:
        if isinstance(step, SetCable):
            wires.setdefault(step.part, []).append(_cables(now, then, step.part))
        elif isinstance(step, SetLead):
            if step.key == "fuse_at_m" and any(isinstance(o, SetLead) and o.key == "fuse_amps" for o in proposal.steps):
                continue  # where a new fuse sits is said in the words of what to do
            wires.setdefault(step.lead, []).append((_said(now, step), _said(then, step)))
        elif isinstance(step, SetUse | SetSerial | SetSupply):
            name = step.supply if isinstance(step, SetSupply) else step.part
            parts.setdefault(name, []).append((_said(now, step), _said(then, step)))
    return Changed(_together(parts), _together(wires))


def _together(found: dict[str, list[tuple[str, str]]]) -> dict[str, tuple[str, str]]:
    return {name: (joined(*(one for one, _ in pairs)), joined(*(two for _, two in pairs)))
            for name, pairs in found.items()}


def _said(rig: Rig, step: Change) -> str:
    """What a rig has where a step sets something."""
    facts: object
    if isinstance(step, SetLead):
        facts = next(lead.facts for lead in rig.leads if lead.id == step.lead)
    elif isinstance(step, SetSupply):
        supply = next(each for each in rig.supplies if each.id == step.supply)
        facts = supply.facts if step.key == "ah" else supply
    else:
        assert isinstance(step, SetUse | SetSerial)
        device = rig.device(step.part)
        facts = device.use if isinstance(step, SetUse) else device.serial
    value = getattr(facts, step.key)
    value = value_of(value) if isinstance(value, Fact) else value
    if value is None:
        return UNSET.get(step.key, "")
    words = number(value) if isinstance(value, float) else plain(str(value))
    return SAID.get(step.key, plain(step.key) + " {}").format(words)


def _cables(now: Rig, then: Rig, part: str) -> tuple[str, str]:
    """What sets a part's cable apart from the one it will have: `28 AWG`, `24 AWG`."""
    one, two = _cable(now.part(part).cable), _cable(then.part(part).cable)
    apart = [number for number, words in enumerate(one) if words != two[number]] or range(len(one))
    return joined(*(one[number] for number in apart)), joined(*(two[number] for number in apart))


def _cable(cable: CableFacts) -> tuple[str, str, str]:
    gauge = value_of(cable.gauge_awg)
    usb3 = "USB 3" if value_of(cable.grade) == "usb3" else ""
    return length_text(cable), usb3, f"{gauge} AWG" if gauge is not None else ""
