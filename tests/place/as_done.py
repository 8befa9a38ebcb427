"""Advice carried out on the text of a rig file, as a person would: plug, cable, setting, the part that was bought.

Apart from the project's own `apply`, on purpose: the text is loaded, changed and written with PyYAML. No tests here.
"""

from __future__ import annotations

from typing import Any

import yaml

from topo.model.change import (
    AddCard,
    AddPart,
    MovePlug,
    Proposal,
    SetCable,
    SetLead,
    SetSerial,
    SetSupply,
    SetUse,
    SwapPlugs,
)
from topo.model.declare import Record, known
from topo.model.rig import Hub


def carried_out(text: str, proposal: Proposal) -> str:
    """The text of the rig file after all steps of a proposal. Scalars stay the text they were."""
    document = yaml.load(text, Loader=yaml.BaseLoader)
    for step in proposal.steps:
        if isinstance(step, MovePlug):
            _entry(document, step.part)["plug"] = f"{step.to_part}/{step.to_socket}"
        elif isinstance(step, SwapPlugs):
            one, other = _entry(document, step.part), _entry(document, step.other)
            one["plug"], other["plug"] = other["plug"], one["plug"]
        elif isinstance(step, SetCable):
            _entry(document, step.part)["cable"] = _written(step.cable)
        elif isinstance(step, SetUse):
            _entry(document, step.part).setdefault("use", {})[step.key] = str(step.value)
        elif isinstance(step, SetLead):
            lead = document["power"]["leads"][step.lead]
            lead.pop({"gauge_awg": "area_mm2", "area_mm2": "gauge_awg"}.get(step.key, ""), None)
            lead[step.key] = str(step.value)
        elif isinstance(step, SetSupply):
            document["power"]["supplies"][step.supply][step.key] = str(step.value)
        elif isinstance(step, SetSerial):
            _entry(document, step.part).setdefault("serial", {})[step.key] = str(step.value)
        elif isinstance(step, AddCard):
            _add_card(document, step)
        else:
            assert isinstance(step, AddPart)
            _add(document, step)
    return yaml.dump(document, sort_keys=False, allow_unicode=True)


def _entry(document: dict[str, Any], name: str) -> dict[str, Any]:
    found: dict[str, Any] = document.get("hubs", {}).get(name) or document["devices"][name]
    return found


def _add(document: dict[str, Any], step: AddPart) -> None:
    """A hub that was bought, with what it is said to be; in place of an old one where it has the name of one."""
    hub = step.part
    assert isinstance(hub, Hub)
    entry: dict[str, Any] = _written(hub.facts)
    entry["plug"] = str(hub.plug)
    if hub.sits is not None:
        entry["sits"] = hub.sits
    document.setdefault("hubs", {})[hub.id] = {**entry, "cable": _written(hub.cable)}


def _add_card(document: dict[str, Any], step: AddCard) -> None:
    """Controllers and ports are written under the computer, beside those that are there."""
    computer = document["computer"]
    for controller in step.controllers:
        assert controller.uplink is not None
        computer.setdefault("controllers", {})[controller.name] = {"uplink": controller.uplink.value}
    for socket in step.sockets:
        computer.setdefault("ports", {})[socket.name] = {"controller": socket.controller, "speed": "super"}


def _written(record: Record) -> dict[str, str]:
    return {name: str(fact.value).lower() if isinstance(fact.value, bool) else str(fact.value)
            for name, fact in known(record)}  # fmt: skip
