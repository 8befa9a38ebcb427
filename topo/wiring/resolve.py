"""From a rig file and profiles to a `Rig`: every fact with its basis. What nobody said stays unknown, or is `assumed`.

Errors here are those that need profiles: names of profiles and sockets that do not exist.
"""

from __future__ import annotations

from topo.errors import Problem, RigFileError
from topo.frozen import replace
from topo.model.declare import over
from topo.model.facts import Fact, value_of
from topo.model.plain import plain
from topo.model.profile import Profile, ProfileSource
from topo.model.records import CableFacts, ComputerFacts, DeviceFacts, HubFacts, SeenFacts, UseFacts
from topo.model.rig import (
    NO_SERIAL,
    Computer,
    CopyPlan,
    Device,
    Hub,
    Identity,
    NightWishes,
    Part,
    Place,
    Plug,
    RemoteDesktop,
    Rig,
    Socket,
)
from topo.model.speed import Speed
from topo.rigfile.document import RigFile
from topo.rigfile.entries import ComputerEntry, DeviceEntry, HubEntry, IdentityEntry
from topo.rigfile.measured import with_measured
from topo.rigfile.profiles import ONLY_CONTROLLER, controllers_of, sockets_of
from topo.wiring.feeds import power_fields
from topo.wiring.sockets import sockets_of_part
from topo.words.lists import some_of
from topo.words.nearest import near_names

MOST_SHOWN = 8
SLOW_ROLES = ("mount", "focuser", "rotator", "filter-wheel", "dew", "power", "weather", "flat-panel")
SLOW_INTERFACES = ("serial", "hid", "audio")


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
    rig = Rig(
        name=document.rig,
        file=rigfile.path,
        computer=computer,
        hubs=hubs,
        devices=devices,
        **power_fields(rigfile),
    )
    rig = _with_assumed_sockets(replace(rig, night=_night(rigfile)))
    problems += _plug_problems(rigfile, rig)
    if problems:
        raise RigFileError(tuple(problems))
    return rig


def _night(rigfile: RigFile) -> NightWishes:
    entry = rigfile.document.night
    if entry is None:
        return NightWishes()
    remote = entry.remote_desktop
    return NightWishes(
        entry.facts,
        tuple(CopyPlan(name, each.when, each.for_s, each.every_s) for name, each in entry.copying.items()),
        None if remote is None else RemoteDesktop(remote.through, remote.mb_per_s),
        rigfile.place("night"),
    )


HOMES = {
    "device": "write this entry under `devices:`",
    "hub": "write this entry under `hubs:`",
    "computer": "write it as `profile:` under `computer:`",
}
"""Where the entry of a profile belongs, by its kind."""


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
        near = near_names(name, profiles.profile_names())
        hint = f"nearest name: {plain(near[0])}; " if near else ""
        unlisted = "" if near or kind != "device" else "; nothing fits? Leave `profile` out and give what you know, " \
            "for a camera width_px, height_px and speed"
        problems.append(
            Problem(
                rigfile.path,
                place.line,
                place.column,
                f"no profile is called '{plain(name)}'",
                f"{hint}`topo profiles WORD` searches them{unlisted}",
            )
        )
    elif profile.kind != kind:
        problems.append(
            Problem(
                rigfile.path,
                place.line,
                place.column,
                f"'{plain(name)}' is a profile of a {profile.kind}, and this is a {kind}",
                HOMES[profile.kind],
            )
        )
        return None
    return profile


def _computer(rigfile: RigFile, entry: ComputerEntry, profile: Profile | None) -> Computer:
    facts = entry.facts
    if profile is not None and isinstance(profile.facts, ComputerFacts):
        facts = over(profile.facts, facts)
    controllers, ports = entry.controllers or {}, entry.ports or {}
    return Computer(
        profile=entry.profile,
        facts=facts,
        controllers=controllers_of(controllers, "declared", under=profile.controllers if profile else ()),
        sockets=sockets_of(ports, controllers, "declared", profile.sockets if profile else ()),
        ways_in=entry.ways_in,
        sits=entry.sits,
        place=rigfile.place("computer"),
    )


def _plug(rigfile: RigFile, section: str, name: str, entry: HubEntry | DeviceEntry) -> Plug | None:
    if entry.plug is None:
        return None
    above, socket = entry.plug.split("/")
    return Plug(above, socket, rigfile.values.get((section, name, "plug")) or rigfile.place(section, name))


def _identity(entry: IdentityEntry | None) -> Identity:
    if entry is None:
        return Identity()
    return Identity(_lower(entry.vendor_id), _lower(entry.product_id), entry.serial)


def _lower(text: str | None) -> str | None:
    return None if text is None else text.lower()


def _hub(rigfile: RigFile, name: str, entry: HubEntry, profile: Profile | None) -> Hub:
    facts = entry.facts
    if profile is not None and isinstance(profile.facts, HubFacts):
        facts = over(profile.facts, facts)
    if facts.speed is None:
        facts = replace(facts, speed=Fact("high", "assumed", "no speed is given for this hub"))
    part = Hub(
        id=name,
        profile=entry.profile,
        plug=_plug(rigfile, "hubs", name, entry),
        cable=entry.cable or CableFacts(),
        identity=_identity(entry.identity),
        sits=entry.sits,
        after=entry.after,
        place=rigfile.place("hubs", name),
        facts=facts,
    )
    return replace(part, sockets=sockets_of_part(part))


def _device(rigfile: RigFile, name: str, entry: DeviceEntry, profile: Profile | None) -> Device:
    entry = with_measured(entry)
    facts, serial = entry.facts, entry.serial or NO_SERIAL
    if profile is not None and isinstance(profile.facts, DeviceFacts):
        facts, serial = over(profile.facts, facts), over(profile.serial, serial)
    role = entry.role or (profile.role if profile else "other")
    interface = value_of(facts.interface)
    if facts.speed is None and interface != "none":
        slow = role in SLOW_ROLES or interface in SLOW_INTERFACES or entry.serial is not None
        facts = replace(facts, speed=Fact("full" if slow else "high", "assumed", "no speed is given"))
    part = Device(
        id=name,
        role=role,
        profile=entry.profile,
        plug=_plug(rigfile, "devices", name, entry),
        cable=entry.cable or CableFacts(),
        identity=_identity(entry.identity),
        sits=entry.sits,
        after=entry.after,
        place=rigfile.place("devices", name),
        facts=facts,
        use=entry.use or UseFacts(),
        serial=serial,
        seen=entry.seen or SeenFacts(),
        guides=entry.guides,
        pulse_lead=entry.pulse_lead,
        opens=entry.opens,
        opens_place=rigfile.place("devices", name, "opens"),
        picks=entry.picks,
        picks_number=entry.picks_number,
    )
    return replace(part, sockets=sockets_of_part(part))


def resolve_part(rigfile: RigFile, name: str, entry: HubEntry | DeviceEntry, profile: Profile | None) -> Hub | Device:
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
        if part.sockets or isinstance(part, Device):
            continue
        sockets = tuple(_assumed_socket(part, name) for name in used.get(part.id, ()))
        rig = rig.with_part(replace(part, sockets=sockets))
    return rig


def _assumed_socket(part: Computer | Hub, name: str) -> Socket:
    if isinstance(part, Hub):
        return Socket(name, Speed.from_word(value_of(part.facts.speed, "high")), basis="assumed")
    if name.startswith("serial"):
        return Socket(name, Speed.FULL, kind="serial", basis="assumed")
    speed = Speed.SUPER if name.startswith(("usb3", "usb-c", "usbc")) else Speed.HIGH
    return Socket(name, speed, controller=ONLY_CONTROLLER, basis="assumed")


def _sockets_key(above: Part, part: Part) -> str:
    """The fact that gives a part the kind of sockets that another is said to be plugged into."""
    if above.kind == "hub":
        return "ports"
    assert part.plug is not None
    return "serial_sockets" if part.plug.socket.startswith("serial") else "hub_ports"


def _socket_hint(socket: str, names: list[str]) -> str:
    """Which sockets there are; where a serial lead goes if none of them is serial."""
    from topo.rigfile.shorthand import SERIAL_CURE, is_serial_word

    listed = f"it has {some_of(names, MOST_SHOWN)}"
    if is_serial_word(socket) and not any(is_serial_word(name) for name in names):
        return f"{listed}, and none is serial: {SERIAL_CURE}"
    near = near_names(socket, names, cutoff=0.4)
    return f"nearest name: {plain(near[0])}; {listed}" if near else listed


def _plug_problems(rigfile: RigFile, rig: Rig) -> list[Problem]:
    parts = {part.id: part for part in rig.parts}
    problems = []
    for part in rig.parts:
        if part.plug is None or (above := parts.get(part.plug.part)) is None or above.socket(part.plug.socket):
            continue
        names = [socket.name for socket in above.sockets]
        if not names:
            message = f"'{plain(above.id)}' has no sockets to plug into"
            hint = f"give it `{_sockets_key(above, part)}` if it has some"
        else:
            message = f"'{plain(above.id)}' has no socket '{plain(part.plug.socket)}'"
            hint = _socket_hint(part.plug.socket, names)
        place: Place = part.plug.place
        problems.append(Problem(rigfile.path, place.line, place.column, message, hint))
    return problems
