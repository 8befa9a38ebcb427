"""A profile: the facts of a kind of device, hub or computer, each with where it comes from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field
from typing import Literal, Protocol

from topo.frozen import frozen
from topo.model.records import ComputerFacts, HubFacts, PartFacts, SerialFacts
from topo.model.rig import Controller, Place, Role, Socket

ProfileKind = Literal["computer", "hub", "device"]


@frozen
class Profile:
    """Facts of a kind of part. `supplied_by` says who brought it: a plugin with its version, a folder, or the rig file.

    `facts` is the record of its kind. `serial` holds the serial line of a device that has one. `sockets` and
    `controllers` are those of a computer; for hubs and devices sockets follow from the facts (`ports`, `hub_ports`,
    `serial_sockets`).
    """

    name: str
    facts: PartFacts
    summary: str
    role: Role = "other"
    serial: SerialFacts = SerialFacts()
    sockets: tuple[Socket, ...] = ()
    controllers: tuple[Controller, ...] = ()
    supplied_by: str = ""
    place: Place = field(default=Place(), compare=False)

    @property
    def kind(self) -> ProfileKind:
        """What it is a profile of, by the record of its facts."""
        if isinstance(self.facts, ComputerFacts):
            return "computer"
        return "hub" if isinstance(self.facts, HubFacts) else "device"


class ProfileSource(Protocol):
    """Where profiles are looked up: by name, and all names for a hint."""

    def profile(self, name: str) -> Profile | None: ...

    def profile_names(self) -> Sequence[str]: ...
