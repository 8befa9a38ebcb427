"""Which new name everything of a rig file gets: parts, sockets, controllers, supplies, leads, profiles."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from topo.frozen import frozen
from topo.model.profile import Profile
from topo.model.rig import COMPUTER
from topo.pack.names import Names
from topo.pack.removed import Removed
from topo.rigfile.entries import RigDocument

PLUGGED = re.compile(r"(usb|usb2|usb3|usb-c|usbc|usb2-c|usb3-c|serial|port)(-?[0-9]{1,2})?|[0-9]{1,2}")
"""Names of sockets that say nothing of anybody."""
STEMS = {"imaging": "imaging-camera", "guiding": "guide-camera", "other": "device", "dew": "dew-heater",
         "power": "power-box", "weather": "weather-sensor", "network": "network-adapter", "storage": "disk"}

ProfileOf = Callable[[str], Profile | None]


@frozen
class NewNames:
    """New names by kind. `shipped` tells whether a profile's name, and the names in it, may stay."""

    parts: Names
    sockets: Names
    controllers: Names
    buses: Names
    feeds: Names
    channels: Names
    leads: Names
    profiles: Names
    shipped: Callable[[str], bool]

    def profile(self, name: str | None) -> str | None:
        """The name a profile goes by: its own if it ships, else a new one."""
        return name if name is None or self.shipped(name) else self.profiles(name, "own-profile")

    def part(self, name: str | None) -> str | None:
        """The new name of a part; None for none and for a name that no part has."""
        return None if name is None else self.parts.known(name)

    def plug(self, plug: str | None, hubs: Iterable[str]) -> str | None:
        """PART/SOCKET in new names; None where there is no such part."""
        if plug is None:
            return None
        above, socket = plug.split("/")
        part = self.part(above)
        if part is None:
            return None
        if above == COMPUTER:
            return f"{part}/{self.socket(socket)}"
        if PLUGGED.fullmatch(socket):
            return f"{part}/{socket}"
        return f"{part}/{self.sockets(f'{above}/{socket}', 'socket')}" if above in hubs else None

    def socket(self, name: str) -> str:
        """The new name of a socket of the computer."""
        return name if PLUGGED.fullmatch(name) else self.sockets(name, _stem(name))

    def feed(self, name: str, stem: str = "supply") -> str:
        """The new name of an end of a lead: a part, or a supply, block, box or converter."""
        return self.parts.known(name) or self.feeds(name, stem)

    def channel(self, box: str, name: str) -> str:
        """The new name of a box's channel."""
        return name if PLUGGED.fullmatch(name) else self.channels(f"{box}/{name}", "channel")


def new_names(
    document: RigDocument, shipped: Callable[[str], bool], profile_of: ProfileOf, removed: Removed
) -> NewNames:
    """New names for a rig file; counts those that changed."""
    parts = _parts(document, profile_of)
    feeds = Names(new for _, new in parts.items())
    made = NewNames(parts, Names(), Names(), Names(), feeds, Names(), Names(), Names(), shipped)
    _computer(document, made, profile_of)
    supplies = document.power.supplies if document.power else {}
    leads = document.power.leads if document.power else {}
    between = (document.power.blocks, document.power.boxes, document.power.converters) if document.power else ()
    everything = (*supplies, *(name for section in between for name in section))
    made.feeds.reserve(name for name in everything if made.parts.known(name) is None)
    for stem, named in zip(("supply", "block", "box", "converter"), (supplies, *between), strict=False):
        for name in named:
            made.feed(name, stem)
    made.leads.reserve(leads)
    for name in leads:
        made.leads(name, "lead")
    removed.count("names of parts", made.parts.changed)
    removed.count("names of sockets and controllers",
                  made.sockets.changed + made.controllers.changed + made.buses.changed)
    removed.count("names of supplies and leads", made.feeds.changed + made.leads.changed + made.channels.changed)
    return made


def _parts(document: RigDocument, profile_of: ProfileOf) -> Names:
    parts = Names()
    parts.keep(COMPUTER, COMPUTER)
    parts.reserve((*document.hubs, *document.devices))
    for name in document.hubs:
        parts(name, "hub")
    for name, device in document.devices.items():
        profile = profile_of(device.profile) if device.profile else None
        role = device.role or (profile.role if profile else "other")
        parts(name, STEMS.get(role, role))
    return parts


def _computer(document: RigDocument, made: NewNames, profile_of: ProfileOf) -> None:
    entry = document.computer
    profile = profile_of(entry.profile) if entry.profile else None
    known = profile.sockets if profile else ()
    if profile is not None and entry.profile is not None and made.shipped(entry.profile):
        for socket in known:
            made.sockets.keep(socket.name, socket.name)
            for names, name in ((made.controllers, socket.controller), (made.buses, socket.usb2_bus)):
                if name is not None:
                    names.keep(name, name)
        known = ()
    ports = entry.ports or {}
    controllers = [*(s.controller for s in known), *(entry.controllers or {}), *(p.controller for p in ports.values())]
    buses = [*(s.usb2_bus for s in known), *(p.usb2_bus for p in ports.values())]
    for names, found, stem in ((made.controllers, controllers, "controller"), (made.buses, buses, "bus")):
        names.reserve(name for name in found if name is not None)
        for name in found:
            if name is not None:
                names(name, stem)
    for name in (*(s.name for s in known), *ports):
        made.socket(name)


def _stem(name: str) -> str:
    """The start of a socket's name, kept because a socket's kind and speed are guessed from it."""
    for start in ("usb3", "usb-c", "usbc", "serial"):
        if name.startswith(start):
            return f"{start}-socket"
    return "socket"
