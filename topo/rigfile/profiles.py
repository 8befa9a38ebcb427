"""Profiles from YAML: those of a rig file, of files it names, and of anyone's profile folder.

Each fact is checked against the schema of its kind and carries the basis `profile` with the source that is given.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from topo.model.declare import R, known, with_facts
from topo.model.facts import Basis, Fact
from topo.model.profile import Profile
from topo.model.records import ComputerFacts, DeviceFacts, HubFacts, SerialFacts
from topo.model.rig import Controller, Socket
from topo.model.speed import Speed
from topo.rigfile.content import Content, check_name, content_of
from topo.rigfile.document import KeyPath, RigFile
from topo.rigfile.entries import ControllerEntry, PortEntry, ProfileEntry, SourcedFact
from topo.rigfile.meaning import check_controllers
from topo.rigfile.problems import Problems, shown
from topo.rigfile.source import check_text, decoded, load
from topo.rigfile.syntax import parsed
from topo.rigfile.validate import validated

_FACTS: dict[str, type[ComputerFacts | HubFacts | DeviceFacts]] = {
    "computer": ComputerFacts, "hub": HubFacts, "device": DeviceFacts,
}
NEEDS = "a profile needs a `summary:`, or figures under `facts:`"
SAYS = ("summary", "facts", "serial", "ports")
"""A profile of its own file has at least one of these."""
ONLY_CONTROLLER = "usb"
"""Name of the controller where nobody named one: one for all sockets, assumed."""


def read_profiles(text: str | bytes, path: str, supplied_by: str) -> tuple[Profile, ...]:
    """The profiles of a file: under `profiles:`, or one whose keys stand at the top, named by the file's stem.

    Raises RigFileError with every problem, each with its line and column.
    """
    text = decoded(text, path) if isinstance(text, bytes) else text
    check_text(text, path)
    problems = Problems(path)
    content = content_of(parsed(text, problems), path, problems, NEEDS)
    if ("profiles",) in content.places:
        found = _many(content, problems, supplied_by)
    elif content.places:
        name = Path(path).stem
        check_name(name, "profile", 0, 0, problems)
        found = [_profile(name, (), content.data, content, problems, supplied_by)]
        if not len(problems) and not any(content.data.get(key) for key in SAYS):
            problems.add(0, 0, "this profile says nothing", NEEDS)
    problems.raise_if_any()
    return tuple(profile for profile in found if profile is not None)


def profiles_of(rigfile: RigFile) -> tuple[Profile, ...]:
    """The profiles a rig file brings along: its `profiles:`, then those of its `profile_files`, in order.

    Paths are relative to the folder of the rig file and must stay beneath it. Raises RigFileError with the problems
    of the rig file, or of the first profile file that has any.
    """
    document = rigfile.document
    if not document.profiles and not document.profile_files:
        return ()
    problems = Problems(rigfile.path)
    content = Content(rigfile.path, {}, dict(rigfile.places), dict(rigfile.values))
    by = "the rig file"
    found = [_made(name, ("profiles", name), entry, content, problems, by) for name, entry in document.profiles.items()]
    names = {profile.name for profile in found if profile}
    for index, written in enumerate(document.profile_files):
        place = content.value_at("profile_files", str(index))
        path = _beneath(rigfile.path, written)
        if path is None:
            message = f"'{shown(written)}' is not a path beneath the folder of the rig file"
            problems.add(place.line, place.column, message, "keep profile files beside the rig file")
            continue
        for profile in read_profiles(load(path), str(path), f"the file {written}"):
            if profile.name in names:
                message = f"'{shown(written)}' has a profile '{shown(profile.name)}', and there is one already"
                problems.add(place.line, place.column, message)
            names.add(profile.name)
            found.append(profile)
    problems.raise_if_any()
    return tuple(profile for profile in found if profile is not None)


def check_facts(content: Content, problems: Problems) -> None:
    """Notes what is wrong with the facts of the profiles under `profiles:`."""
    _many(content, problems, "", entries_only=True)


def controllers_of(
    controllers: Mapping[str, ControllerEntry], basis: Basis, source: str = "", under: tuple[Controller, ...] = ()
) -> tuple[Controller, ...]:
    """The controllers of a computer of which something is said, laid over those of its profile (`under`)."""
    found = {controller.name: controller for controller in under}
    for name, entry in controllers.items():
        if entry.uplink is not None:
            found[name] = Controller(name, Fact(entry.uplink.value, basis, source))
    return tuple(found.values())


def sockets_of(
    ports: Mapping[str, PortEntry],
    controllers: Mapping[str, ControllerEntry],
    basis: Basis = "profile",
    under: tuple[Socket, ...] = (),
) -> tuple[Socket, ...]:
    """The sockets of a computer from its `ports`, laid over those of its profile (`under`), in that order.

    A port that names no controller is on the first one; one with no speed has the speed its name speaks of
    (`usb3-…` super, else high; a serial socket full), unless the profile knows better. Where either had to be assumed
    the basis is `assumed`; a socket with something of both keeps that of the profile.
    """
    sockets = {socket.name: socket for socket in under}
    first = next(iter(controllers), None) or next((s.controller for s in under if s.controller), ONLY_CONTROLLER)
    sole = len({*controllers, *(s.controller for s in under if s.controller)}) == 1
    for name, port in ports.items():
        old = sockets.get(name)
        sockets[name] = _over(old, port) if old is not None else _socket(name, port, first, sole, basis)
    return tuple(sockets.values())


def _over(old: Socket, port: PortEntry) -> Socket:
    """A socket of the profile with what the file says of it."""
    return Socket(
        old.name,
        Speed.from_word(port.speed) if port.speed else old.speed,
        port.kind or old.kind,
        port.controller or old.controller,
        port.usb2_bus or old.usb2_bus,
        "declared" if port.speed and port.controller else old.basis,
        _at(port) or old.at,
        old.may_give_ma if port.may_give_ma is None else port.may_give_ma,
    )


def _at(port: PortEntry) -> tuple[int, int] | None:
    """Bus and port of "1/3"."""
    if port.at is None:
        return None
    bus, _, number = port.at.partition("/")
    return int(bus), int(number)


def _socket(name: str, port: PortEntry, first: str, sole: bool, basis: Basis) -> Socket:
    kind = port.kind or ("serial" if name.startswith("serial") else "usb")
    if port.speed:
        speed = Speed.from_word(port.speed)
    elif kind == "serial":
        speed = Speed.FULL
    else:
        speed = Speed.SUPER if name.startswith("usb3") else Speed.HIGH
    known = (port.speed or kind == "serial") and (port.controller or sole)
    served_by = port.controller or first
    return Socket(name, speed, kind, served_by, port.usb2_bus, basis if known else "assumed", _at(port),
                  port.may_give_ma)


def _many(content: Content, problems: Problems, supplied_by: str, entries_only: bool = False) -> list[Profile | None]:
    for key in () if entries_only else content.data:
        if key != "profiles":
            place = content.key_at(key)
            message = f"there is no key '{shown(key)}' beside `profiles:`"
            problems.add(place.line, place.column, message, "a profile file holds `profiles:`, or one profile")
    entries = content.data.get("profiles")
    if not isinstance(entries, dict):
        if not entries_only:
            place = content.value_at("profiles")
            problems.add(place.line, place.column, "`profiles` takes names with a profile below each")
        return []
    return [_profile(name, ("profiles", name), data, content, problems, supplied_by) for name, data in entries.items()]


def _profile(
    name: str, base: KeyPath, data: Any, content: Content, problems: Problems, supplied_by: str
) -> Profile | None:
    entry = validated(ProfileEntry, content, problems, base, data)
    if isinstance(data, dict):
        check_controllers(content, base, data, problems)
    if entry is not None:
        return _made(name, base, entry, content, problems, supplied_by)
    if isinstance(data, dict):  # what can be read of its facts is checked all the same
        kind = data.get("kind", "device")
        for record, key in ((_FACTS.get(str(kind)), "facts"), (SerialFacts, "serial")):
            if record is not None and isinstance(data.get(key), dict):
                _checked(record, data[key], (*base, key), content, problems)
    return None


def _made(
    name: str, base: KeyPath, entry: ProfileEntry, content: Content, problems: Problems, supplied_by: str
) -> Profile | None:
    facts = _facts(_FACTS[entry.kind], entry, "facts", base, content, problems)
    serial = _facts(SerialFacts, entry, "serial", base, content, problems)
    for key in ("controllers", "ports") if entry.kind != "computer" else ("serial", "role"):
        if getattr(entry, key):
            place = content.key_at(*base, key)
            problems.add(place.line, place.column, f"a profile of a {entry.kind} has no `{key}`")
    if facts is None or serial is None:
        return None
    controllers = entry.controllers or {}
    return Profile(
        name=name,
        facts=facts,
        summary=entry.summary,
        role=entry.role or "other",
        serial=serial,
        sockets=sockets_of(entry.ports or {}, controllers),
        controllers=controllers_of(controllers, "profile", entry.source),
        supplied_by=supplied_by,
        place=content.key_at(*base) if base else content.key_at(*list(content.data)[:1]),
    )


def _facts(
    record: type[R], entry: ProfileEntry, key: str, base: KeyPath, content: Content, problems: Problems
) -> R | None:
    """The facts under `facts:` or `serial:` as a record, each with its source."""
    written: Mapping[str, str | SourcedFact] = getattr(entry, key)
    plain = {name: fact if isinstance(fact, str) else {"value": fact.value} for name, fact in written.items()}
    made = _checked(record, plain, (*base, key), content, problems)
    if made is None:
        return None
    sources = {name: entry.source if isinstance(fact, str) else fact.source for name, fact in written.items()}
    return with_facts(made, {name: Fact(fact.value, "profile", sources[name]) for name, fact in known(made)})


def _checked(record: type[R], written: Any, base: KeyPath, content: Content, problems: Problems) -> R | None:
    """Facts, plain or under `value`, held against their schema; a problem points at the figure itself."""
    plain: dict[str, str] = {}
    values = dict(content.values)
    for name, fact in written.items():
        figure = fact.get("value") if isinstance(fact, dict) else fact
        if isinstance(figure, str):
            plain[name] = figure
            values[*base, name] = values.get((*base, name, "value")) or content.value_at(*base, name)
    lifted = Content(content.path, _nested(base, plain), content.places, values, content.left_out)
    return validated(record, lifted, problems, base, plain)


def _nested(base: KeyPath, data: dict[str, str]) -> dict[str, Any]:
    nested: dict[str, Any] = data
    for key in reversed(base):
        nested = {key: nested}
    return nested


def _beneath(rig_path: str, written: str) -> Path | None:
    """The path of a profile file, or None where it leads out of the rig file's folder, links followed."""
    parts = PurePosixPath(written.replace("\\", "/"))
    if parts.is_absolute() or ".." in parts.parts or PureWindowsPath(written).drive or not parts.parts:
        return None
    try:
        folder = Path(os.path.realpath(Path(rig_path).parent))
        path = Path(os.path.realpath(folder / parts))
    except (OSError, ValueError):
        return None
    return path if path.is_relative_to(folder) else None
