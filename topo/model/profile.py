"""A profile: the facts of a kind of device, hub or computer, each with where it comes from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from topo.model.facts import Facts
from topo.model.rig import Place, Role, Socket

ProfileKind = Literal["computer", "hub", "device"]


@dataclass(frozen=True, slots=True)
class Profile:
    """Facts of a kind of part. `supplied_by` says who brought it: a plugin with its version, a folder, or the rig file.

    `serial` holds the serial line of a device that has one. `sockets` are those of a computer; for hubs and devices
    they follow from the facts (`ports`, `hub_ports`, `serial_sockets`).
    """

    name: str
    kind: ProfileKind
    summary: str
    role: Role = "other"
    facts: Facts = field(default_factory=Facts)
    serial: Facts = field(default_factory=Facts)
    sockets: tuple[Socket, ...] = ()
    supplied_by: str = ""
    place: Place = field(default=Place(), compare=False)
