"""From a rig file and profiles to a `Rig`: every fact with its basis. What nobody said stays unknown, or is `assumed`.

Errors here are those that need profiles: names of profiles and sockets that do not exist.
"""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Protocol

from topo.errors import Problem, RigFileError
from topo.model.facts import Fact, Facts
from topo.model.plain import plain
from topo.model.profile import Profile
from topo.model.rig import COMPUTER, Cable, Identity, Lead, Part, Place, Plug, Rig, Socket, Supply
from topo.model.speed import Speed
from topo.rigfile.document import RigFile
from topo.rigfile.profiles import ONLY_CONTROLLER, facts_of, sockets_of
from topo.rigfile.schema import CableEntry, ComputerEntry, DeviceEntry, HubEntry, IdentityEntry
from topo.wiring.sockets import sockets_of_part

SLOW_ROLES = ("mount", "focuser", "rotator", "filter-wheel", "dew", "power", "weather", "flat-panel")
SLOW_INTERFACES = ("serial", "hid", "audio")


class ProfileSource(Protocol):
    """Where profiles are looked up: by name, and all names for a hint."""

    def profile(self, name: str) -> Profile | None: ...

    def profile_names(self) -> Sequence[str]: ...


def resolve(rigfile: RigFile, profiles: ProfileSource) -> Rig:
    """The rig a file declares. Raises RigFileError with every profile and socket that does not exist."""
    document = rigfile.document
    problems: list[Problem] = []

    def find(keys: tuple[str, ...], name: str | None, kind: str) -> Profile | None:
        return _profile(rigfile, profiles, keys, name, kind, problems)

    entry = document.computer
    computer = _computer(rigfile, entry, find(("computer", "profile"), entry.profile, "computer"))
    hubs = tuple(
        _hub(rigfile, name, hub, find(("hubs", name, "profile"), hub.profile, "hub"))
        for name, hub in document.hubs.items()
    )
    devices = tuple(
        _device(rigfile, name, device, find(("devices", name, "profile"), device.profile, "device"))
        for name, device in document.devices.items()
    )
    power = document.power
    rig = Rig(
        name=document.rig,
        file=rigfile.path,
        computer=computer,
        hubs=hubs,
        devices=devices,
        supplies=tuple(
            Supply(name, supply.volts, supply.amps, rigfile.place("power", "supplies", name))
            for name, supply in (power.supplies.items() if power else ())
        ),
        leads=tuple(
            Lead(
                name,
                lead.source,
                lead.to,
                lead.length_m,
                lead.gauge_awg,
                lead.fuse_amps,
                rigfile.place("power", "leads", name),
            )
            for name, lead in (power.leads.items() if power else ())
        ),
    )
    rig = _with_assumed_sockets(rig)
    problems += _plug_problems(rigfile, rig)
    if problems:
        raise RigFileError(tuple(problems))
    return rig


def _profile(
    rigfile: RigFile,
    profiles: ProfileSource,
    keys: tuple[str, ...],
    name: str | None,
    kind: str,
    problems: list[Problem],
) -> Profile | None:
    if name is None:
        return None
    profile = profiles.profile(name)
    place = rigfile.values.get(keys) or rigfile.place(*keys)
    if profile is None:
        near = difflib.get_close_matches(name, profiles.profile_names(), n=1, cutoff=0.5)
        hint = f"nearest name: {plain(near[0])}; " if near else ""
        problems.append(
            Problem(
                rigfile.path,
                place.line,
                place.column,
                f"no profile is called '{plain(name)}'",
                f"{hint}`topo profiles WORD` searches them",
            )
        )
    elif profile.kind != kind:
        problems.append(
            Problem(
                rigfile.path,
                place.line,
                place.column,
                f"'{plain(name)}' is a profile of a {profile.kind}, and this is a {kind}",
            )
        )
        return None
    return profile


def _merged(profile: Profile | None, declared: Facts) -> Facts:
    return profile.facts.under(declared) if profile else declared


def _computer(rigfile: RigFile, entry: ComputerEntry, profile: Profile | None) -> Part:
    facts = _merged(profile, facts_of(entry, "declared"))
    uplinks = {
        f"uplink:{name}": Fact(controller.uplink, "declared")
        for name, controller in (entry.controllers or {}).items()
        if controller.uplink is not None
    }
    return Part(
        id=COMPUTER,
        kind="computer",
        profile=entry.profile,
        facts=facts.under(Facts(uplinks)),
        sockets=sockets_of(
            entry.ports or {}, entry.controllers or {}, "declared", profile.sockets if profile else ()
        ),
        place=rigfile.place("computer"),
    )


def _plugged(rigfile: RigFile, section: str, name: str, entry: HubEntry | DeviceEntry) -> dict[str, Any]:
    plug = None
    if entry.plug is not None:
        above, socket = entry.plug.split("/")
        plug = Plug(above, socket, rigfile.values.get((section, name, "plug")) or rigfile.place(section, name))
    return {
        "id": name,
        "profile": entry.profile,
        "plug": plug,
        "cable": _cable(entry.cable),
        "identity": _identity(entry.identity),
        "place": rigfile.place(section, name),
    }


def _cable(entry: CableEntry | None) -> Cable:
    if entry is None:
        return Cable()
    return Cable(entry.length_m, entry.grade, entry.gauge_awg, bool(entry.active))


def _identity(entry: IdentityEntry | None) -> Identity:
    if entry is None:
        return Identity()
    return Identity(_lower(entry.vendor_id), _lower(entry.product_id), entry.serial)


def _lower(text: str | None) -> str | None:
    return None if text is None else text.lower()


def _hub(rigfile: RigFile, name: str, entry: HubEntry, profile: Profile | None) -> Part:
    facts = _merged(profile, facts_of(entry, "declared"))
    if "speed" not in facts:
        facts = Facts({"speed": Fact("high", "assumed", "no speed is given for this hub")}).under(facts)
    part = Part(kind="hub", facts=facts, **_plugged(rigfile, "hubs", name, entry))
    return replace(part, sockets=sockets_of_part(part))


def _device(rigfile: RigFile, name: str, entry: DeviceEntry, profile: Profile | None) -> Part:
    facts = _merged(profile, facts_of(entry, "declared"))
    role = entry.role or (profile.role if profile else "other")
    if "speed" not in facts and facts.value("interface") != "none":
        slow = role in SLOW_ROLES or facts.value("interface") in SLOW_INTERFACES or entry.serial is not None
        facts = Facts({"speed": Fact("full" if slow else "high", "assumed", "no speed is given")}).under(facts)
    serial = facts_of(entry.serial, "declared") if entry.serial else Facts()
    part = Part(
        kind="device",
        role=role,
        facts=facts,
        use=facts_of(entry.use, "declared") if entry.use else Facts(),
        serial=profile.serial.under(serial) if profile else serial,
        guides=entry.guides,
        **_plugged(rigfile, "devices", name, entry),
    )
    return replace(part, sockets=sockets_of_part(part))


def resolve_part(rigfile: RigFile, name: str, entry: HubEntry | DeviceEntry, profile: Profile | None) -> Part:
    """One hub or device with its profile merged, as it would be if it stood in the file."""
    if isinstance(entry, HubEntry):
        return _hub(rigfile, name, entry, profile)
    return _device(rigfile, name, entry, profile)


def _with_assumed_sockets(rig: Rig) -> Rig:
    """Where nobody said how many sockets a hub or computer has, the ones in use are assumed to be there."""
    used: dict[str, list[str]] = {}
    for part in rig.parts:
        if part.plug is not None and part.plug.socket not in used.setdefault(part.plug.part, []):
            used[part.plug.part].append(part.plug.socket)
    for part in rig.parts:
        if part.sockets or part.kind == "device":
            continue
        sockets = tuple(_assumed_socket(part, name) for name in used.get(part.id, ()))
        rig = rig.with_part(replace(part, sockets=sockets))
    return rig


def _assumed_socket(part: Part, name: str) -> Socket:
    if part.kind == "hub":
        return Socket(name, Speed.from_word(part.facts.value("speed")), basis="assumed")
    if name.startswith("serial"):
        return Socket(name, Speed.FULL, kind="serial", basis="assumed")
    speed = Speed.SUPER if name.startswith(("usb3", "usb-c", "usbc")) else Speed.HIGH
    return Socket(name, speed, controller=ONLY_CONTROLLER, basis="assumed")


def _plug_problems(rigfile: RigFile, rig: Rig) -> list[Problem]:
    parts = {part.id: part for part in rig.parts}
    problems = []
    for part in rig.parts:
        if part.plug is None or (above := parts.get(part.plug.part)) is None or above.socket(part.plug.socket):
            continue
        names = [socket.name for socket in above.sockets]
        if not names:
            message, hint = f"'{plain(above.id)}' has no sockets to plug into", "give it `hub_ports` if it has some"
        else:
            near = difflib.get_close_matches(part.plug.socket, names, n=1, cutoff=0.4)
            message = f"'{plain(above.id)}' has no socket '{plain(part.plug.socket)}'"
            hint = (f"nearest name: {plain(near[0])}; " if near else "") + f"it has {_listed(names)}"
        place: Place = part.plug.place
        problems.append(Problem(rigfile.path, place.line, place.column, message, hint))
    return problems


def _listed(names: Sequence[str], limit: int = 8) -> str:
    shown = ", ".join(plain(name) for name in names[:limit])
    return shown if len(names) <= limit else f"{shown} and {len(names) - limit} more"
