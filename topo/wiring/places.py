"""Where things of a rig stand in its file, by name: parts, and what stands between the plugs of the 12 V side."""

from __future__ import annotations

from topo.model.rig import Place, Rig


def place_of(rig: Rig, name: str) -> Place:
    """The place of a part, supply, block, box or converter; no place for a name that nothing has."""
    things = (*rig.parts, *rig.supplies, *rig.blocks, *rig.boxes, *rig.converters)
    return next((thing.place for thing in things if thing.id == name), Place())
