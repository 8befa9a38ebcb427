"""A first rig file from a scan, in which a person only has to name the parts. The text is valid as it stands.

What a device says of itself goes into comments and quoted scalars only, escaped; names are made here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from topo.live.computer import computer_lines, sockets_of_computer
from topo.live.hubs import Box
from topo.live.kinds import best_mbit, in_use, kind_of, speed_word, translators
from topo.live.outline import Entry, Outline, outline
from topo.live.scalars import comment, quoted
from topo.model.plain import plain
from topo.model.rig import ROLES
from topo.model.sighting import Endpoint, Scan, Sighting

HEAD = """\
# A first rig file, made from a scan{when}.
# Still to do: give the parts names of your own (the words before the colons, and in every `plug` that uses them);
# say what each device does (`role`: {roles});
# add exposures, cables and profiles. `topo profiles WORD` finds profiles.
rig: My rig
"""
ROLE_WORDS = ", ".join(ROLES[:6]) + ",\n# " + ", ".join(ROLES[6:])
MOST_HUB_PORTS = 31


def draft(scan: Scan) -> str:
    """The text of a rig file for everything in the scan, but root hubs."""
    whole = outline(scan)
    names = _names(whole)
    sockets = sockets_of_computer(whole)
    lines = [HEAD.format(roles=ROLE_WORDS, when=f" of {plain(scan.when, 40)}" if scan.when else "")]
    lines += computer_lines(scan, sockets)
    for section, kind in (("hubs", "hub"), ("devices", "device")):
        entries = [e for e in whole.entries if e.box.kind == kind]
        if entries:
            lines.append(f"\n{section}:")
        for entry in entries:
            plug = _plug(entry, whole, names, {key: s.name for s in sockets for key in s.keys})
            lines += _part(entry, names[entry.box], plug, whole)
    return "\n".join(lines) + "\n"


def _names(whole: Outline) -> dict[Box, str]:
    """hub-1, storage-1, device-1, …: numbered in the order of the outline."""
    counts: dict[str, int] = {}
    names = {}
    for entry in whole.entries:
        word = "hub" if entry.box.kind == "hub" else kind_of(_main(entry), whole.scan).word
        counts[word] = counts.get(word, 0) + 1
        names[entry.box] = f"{word}-{counts[word]}"
    return names


def _main(entry: Entry) -> Sighting:
    """The device itself where a hub is inside it, else the only or USB 2 side."""
    return entry.seen[-1] if entry.box.kind == "device" else entry.seen[0]


def _plug(entry: Entry, whole: Outline, names: dict[Box, str], sockets: dict[tuple[str, int], str]) -> str | None:
    if entry.above is None or entry.port is None:
        return None
    if entry.above.kind == "root":
        socket = sockets.get(entry.port)
        return f"computer/{socket}" if socket else None
    number = str(entry.port[1])
    return f"{names[entry.above]}/{f'usb2-{number}' if entry.above.kind == 'device' else number}"


def _part(entry: Entry, name: str, plug: str | None, whole: Outline) -> Iterator[str]:
    main = _main(entry)
    told = " ".join(filter(None, (main.manufacturer, main.product))) or "it tells no name"
    yield f"  {name}:    # {comment(told, 70)}"
    yield f"    # seen at {' and '.join(entry.box.members)}{_how(entry)}"
    for line in _marks(entry):
        yield f"    # {line}"
    if plug is None:
        yield "    # where it is plugged in is not known"
    else:
        yield f"    plug: {plug}"
    facts = _hub_facts(entry, whole) if entry.box.kind == "hub" else _device_facts(entry, whole)
    for fact in facts:
        yield f"    {fact.key}: {fact.value}" + (f"    # {fact.why}" if fact.why else "")
    yield from _identity(main)


def _how(entry: Entry) -> str:
    joined = entry.box.joined_by
    if joined is None:
        return ""
    what = "the two sides of one hub" if entry.box.kind == "hub" else "its own hub and itself"
    guess = ", which is a guess" if joined == "same place" else ""
    return f": {what}, joined by {joined}{guess}"


def _marks(entry: Entry) -> Iterator[str]:
    got = max((s.speed_mbit or 0 for s in entry.seen), default=0)
    best = best_mbit(entry.seen)
    if got and best and best > got:
        yield f"it could run at {best:g} Mb/s and runs at {got:g}: a cable, hub or socket on the way carries no more"
    if any(s.sleep.control == "auto" for s in entry.seen if not s.is_hub):
        yield "the system may put it to sleep (power control is auto)"


@dataclass(frozen=True, slots=True)
class _Fact:
    key: str
    value: str
    why: str = ""


def _hub_facts(entry: Entry, whole: Outline) -> Iterator[_Fact]:
    if word := speed_word(best_mbit(entry.seen)):
        yield _Fact("speed", word)
    ports = _port_count(entry, whole)
    if ports is not None:
        yield _Fact("ports", str(ports), "as it says; some may have no socket outside")
    told = [s.self_powered for s in entry.seen if s.self_powered is not None]
    if told:
        yield _Fact("powered", "true" if any(told) else "false", "as it says; look whether a supply is plugged in")
    if kind := translators(entry.seen[0]):
        yield _Fact("translators", kind)
    yield from _current(entry)


def _port_count(entry: Entry, whole: Outline) -> int | None:
    told = max((s.max_child or 0 for s in entry.seen), default=0)
    used = max((e.port[1] for e in whole.below(entry.box) if e.port), default=0)
    count = max(told, used)
    return count if 1 <= count <= MOST_HUB_PORTS else None


def _device_facts(entry: Entry, whole: Outline) -> Iterator[_Fact]:
    main = _main(entry)
    kind = kind_of(main, whole.scan)
    role = kind.interface if kind.interface in ("storage", "network") else "other"
    yield _Fact("role", role, "" if role != "other" else "what does it do?")
    if word := speed_word(best_mbit([main])):
        yield _Fact("speed", word)
    if kind.interface:
        yield _Fact("interface", kind.interface)
    ports = [p.name for p in whole.scan.serial_ports if p.device == main.id]
    if ports:
        yield _Fact("serial", "{}", f"{comment(', '.join(ports), 60)}; add baud and polls_per_s")
    if kind.radio:
        yield _Fact("radio_2g4", "true")
    if len(entry.seen) > 1 and (count := _port_count(entry, whole)):
        yield _Fact("hub_ports", str(count), "sockets on its back")
        yield _Fact("hub_speed", speed_word(entry.seen[0].speed_mbit) or "high")
        if inside := translators(entry.seen[0]):
            yield _Fact("hub_translators", inside)
    yield from _endpoint_facts(in_use(main))
    if main.serial or main.product:
        yield _Fact("has_serial_number", "true" if main.serial else "false")
    yield from _current(entry)


def _endpoint_facts(ends: tuple[Endpoint, ...]) -> Iterator[_Fact]:
    if 1 <= len(ends) <= MOST_HUB_PORTS:
        yield _Fact("endpoints", str(len(ends)))
    often = [e for e in ends if e.kind == "interrupt" and e.interval_us and 125 <= e.interval_us <= 4_096_000]
    if often:
        busiest = max(often, key=lambda e: e.interval_bytes / (e.interval_us or 1))
        if 1 <= busiest.interval_bytes <= 3072:
            yield _Fact("interrupt_bytes", str(busiest.interval_bytes))
            yield _Fact("interrupt_interval_ms", f"{(busiest.interval_us or 0) / 1000:g}")


def _current(entry: Entry) -> Iterator[_Fact]:
    told = [s.max_power_ma for s in entry.seen if s.max_power_ma is not None and not s.self_powered]
    if told and 0 < max(told) <= 5000:
        yield _Fact("bus_ma", str(max(told)), "the most it claims")


def _identity(main: Sighting) -> Iterator[str]:
    if main.vendor_id is None or main.product_id is None:
        return
    serial = ""
    if main.serial and main.serial.isascii() and main.serial.isprintable() and len(main.serial) <= 126:
        serial = f", serial: {quoted(main.serial)}"
    elif main.serial:
        yield "    # its serial number has characters that a rig file cannot hold"
    yield f"    identity: {{vendor_id: {quoted(main.vendor_id)}, product_id: {quoted(main.product_id)}{serial}}}"
