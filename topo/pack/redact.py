"""The redactor: a rig file becomes another that holds only what an allow-list lets through.

Figures, words of the schema and names of shipped profiles pass. Names people make up become plain ones, serial
numbers become tags that are equal where the numbers were equal (salted for each pack), and free text is left out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from topo.frozen import frozen
from topo.model.declare import known
from topo.model.facts import value_of
from topo.model.profile import Profile
from topo.pack.emit import yaml_text
from topo.pack.mapping import NewNames, ProfileOf, new_names
from topo.pack.power import WORD, filled, power_shown, shown_facts
from topo.pack.removed import Removed
from topo.rigfile.document import RigFile
from topo.rigfile.entries import ComputerEntry, ControllerEntry, DeviceEntry, HubEntry, IdentityEntry
from topo.rigfile.measured import note_of, with_measured
from topo.rigfile.profiles import ONLY_CONTROLLER
from topo.wiring.lasting import BY_ID, BY_PATH, canonical, kind_of_name

MEASURED = "when and where is left out"
HEX4 = re.compile(r"[0-9a-f]{4}")
HEAD = "# Made for a post: names are changed, serial numbers are tags, notes are left out.\n"


@frozen
class Redacted:
    """A redacted rig file, with the new names of parts by their old ones."""

    text: str
    parts: Mapping[str, str]


class Tags:
    """Serial numbers to tags: equal numbers get equal tags. The salt belongs to one pack and is kept nowhere."""

    def __init__(self, salt: bytes) -> None:
        self._salt = salt

    def __call__(self, serial: str) -> str:
        """`tag-` and ten hexadecimal digits."""
        import hashlib

        digest = hashlib.blake2b(serial.encode("utf-8", "surrogatepass"), key=self._salt, digest_size=5)
        return f"tag-{digest.hexdigest()}"


def redacted(
    rigfile: RigFile, profile_of: ProfileOf, shipped: Callable[[str], bool], tags: Tags, removed: Removed
) -> Redacted:
    """The rig file that may be shown. `profile_of` finds any profile, `shipped` tells those that anyone has."""
    document = rigfile.document
    names = new_names(document, shipped, profile_of, removed)
    writer = _Writer(names, profile_of, tags, removed, tuple(document.hubs))
    removed.count("name of the rig")
    removed.count("paths of files", 1 + len(document.profile_files))
    removed.count("notes and comments", _notes(rigfile))
    data: dict[str, Any] = {
        "rig": "rig", "computer": writer.computer(document.computer),
        "hubs": {names.part(name): writer.plugged(entry) for name, entry in document.hubs.items()},
        "devices": {names.part(name): writer.plugged(entry) for name, entry in document.devices.items()},
    }
    if (power := document.power) is not None:
        data["power"] = power_shown(power, names)
    if (night := document.night) is not None:
        data["night"] = filled({
            **shown_facts(night.facts),
            "copying": {names.part(name): filled({"when": each.when, "for_s": each.for_s, "every_s": each.every_s})
                        for name, each in night.copying.items()},
            "remote_desktop": None if night.remote_desktop is None else filled({
                "through": names.part(night.remote_desktop.through), "mb_per_s": night.remote_desktop.mb_per_s}),
        })
    data["profiles"] = writer.profiles
    kept = {key: value for key, value in data.items() if value or key == "computer"}
    return Redacted(HEAD + yaml_text(kept), dict(names.parts.items()))


class _Writer:
    """Entries of a rig file as nested mappings of what may stay."""

    def __init__(self, names: NewNames, profile_of: ProfileOf, tags: Tags, removed: Removed,
                 hubs: tuple[str, ...]) -> None:
        self.names, self.profile_of, self.tags, self.removed, self.hubs = names, profile_of, tags, removed, hubs
        self.profiles: dict[str, Any] = {}

    def plugged(self, entry: HubEntry | DeviceEntry) -> dict[str, Any]:
        """A hub or device."""
        made = {
            "profile": self._profile(entry.profile),
            "plug": self.names.plug(entry.plug, self.hubs),
            "cable": shown_facts(entry.cable),
            "identity": self._identity(entry.identity),
            "sits": entry.sits, "after": self.names.part(entry.after),
            **shown_facts(entry.facts),
        }
        if isinstance(entry, DeviceEntry):
            made |= {
                "role": entry.role, "use": shown_facts(entry.use),
                "serial": shown_facts(entry.serial), "seen": shown_facts(entry.seen),
                "measured": _undated(with_measured(entry)),
                "guides": self.names.part(entry.guides),
                "pulse_lead": self.names.part(entry.pulse_lead),
                "opens": self._opens(entry.opens), "picks": entry.picks, "picks_number": entry.picks_number,
            }
        return filled(made)

    def computer(self, entry: ComputerEntry) -> dict[str, Any]:
        """The computer."""
        return filled({
            "profile": self._profile(entry.profile), **shown_facts(entry.facts), "sits": entry.sits,
            "controllers": self._controllers(entry.controllers or {}),
            "ports": {self.names.socket(name): self._port(port.controller, port.speed, port.usb2_bus, port.kind,
                                                             port.may_give_ma)
                      for name, port in (entry.ports or {}).items()},
        })

    def _opens(self, typed: str | None) -> str | None:
        """What a program opens: a number the system gives out as it is, anything else by its kind."""
        if typed is None:
            return None
        shown = port_name(typed, self.tags)
        self.removed.count("names of ports, replaced by their kinds", 0 if shown == canonical(typed) else 1)
        return shown

    def _controllers(self, entries: Mapping[str, ControllerEntry]) -> dict[str, Any]:
        return {self.names.controllers(name, "controller"): filled({"uplink": _matching(WORD, value_of(entry.uplink))})
                for name, entry in entries.items()}

    def _port(self, controller: str | None, speed: str | None, bus: str | None, kind: str | None,
              may_give_ma: float | None = None) -> dict[str, Any]:
        return filled({
            "controller": None if controller is None else self.names.controllers(controller, "controller"),
            "speed": speed, "usb2_bus": None if bus is None else self.names.buses(bus, "bus"), "kind": kind,
            "may_give_ma": may_give_ma,
        })

    def _identity(self, entry: IdentityEntry | None) -> dict[str, Any]:
        if entry is None:
            return {}
        if entry.serial is not None:
            self.removed.count("serial numbers, replaced by tags")
        return filled({
            "vendor_id": _matching(HEX4, entry.vendor_id and entry.vendor_id.lower()),
            "product_id": _matching(HEX4, entry.product_id and entry.product_id.lower()),
            "serial": None if entry.serial is None else self.tags(entry.serial),
        })

    # -- profiles that do not ship go into the file, figures alone --------------------------------------------------

    def _profile(self, old: str | None) -> str | None:
        name = self.names.profile(old)
        if old is None or name is None or name == old or name in self.profiles:
            return name
        self.removed.count("profile names")
        profile = self.profile_of(old)
        if profile is not None:
            self.removed.count("profile sources")
            self.profiles[name] = self._figures(profile)
        return name

    def _figures(self, profile: Profile) -> dict[str, Any]:
        uplinks = {each.name: value_of(each.uplink) for each in profile.controllers}
        controllers = list(dict.fromkeys((*(s.controller for s in profile.sockets if s.controller), *uplinks)))
        if not uplinks and controllers == [ONLY_CONTROLLER]:
            controllers = []
        first = controllers[0] if controllers else ONLY_CONTROLLER
        ports = {}
        for socket in profile.sockets:
            guessed = socket.basis == "assumed"
            controller = None if guessed and socket.controller == first else socket.controller
            speed = None if guessed and controller is not None else socket.speed.word
            ports[self.names.socket(socket.name)] = self._port(controller, speed, socket.usb2_bus, socket.kind,
                                                           socket.may_give_ma)
        return filled({
            "kind": profile.kind, "role": profile.role if profile.kind == "device" else None,
            "facts": shown_facts(profile.facts), "serial": shown_facts(profile.serial),
            "controllers": {self.names.controllers(name, "controller"):
                            filled({"uplink": _matching(WORD, uplinks.get(name))}) for name in controllers},
            "ports": ports,
        })


def _undated(entry: DeviceEntry) -> dict[str, str]:
    """Which figures were measured, without the words of where and when."""
    groups = (("", entry.facts), ("use.", entry.use), ("serial.", entry.serial), ("seen.", entry.seen))
    return {before + name: note_of(fact.value, MEASURED) for before, record in groups if record is not None
            for name, fact in known(record) if fact.basis == "measured" and isinstance(fact.value, int | float)}


def port_name(typed: str, tags: Tags) -> str | None:
    """A name of a port that may be shown: one the system numbers as it is, else its kind and a tag; equal names get
    equal tags. None for an address in a network, of which not even that much stays."""
    name = canonical(typed)
    kind = kind_of_name(name)
    if kind in ("number", "com"):
        return name
    heads = {"by-id": BY_ID, "by-path": BY_PATH, "callout": "/dev/cu.", "own": "/dev/"}
    return heads[kind] + tags(name) if kind in heads else None


def _matching(pattern: re.Pattern[str], text: str | None) -> str | None:
    return text if text is not None and pattern.fullmatch(text) else None


def _notes(rigfile: RigFile) -> int:
    """How many notes and comments the file has (lines with a `#`, counted generously)."""
    document = rigfile.document
    entries: list[Any] = [document.computer, *document.hubs.values(), *document.devices.values()]
    if document.power is not None:
        power = document.power
        for section in (power.supplies, power.blocks, power.boxes, power.converters, power.leads):
            entries += section.values()
    entries += [document.night] if document.night is not None else []
    written = sum(entry.note is not None for entry in entries)
    return written + sum("#" in line for line in rigfile.text.splitlines())
