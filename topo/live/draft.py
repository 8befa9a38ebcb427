"""A first rig file from a scan, in which a person only has to name the parts. The text is valid as it stands.

What a device says of itself goes into comments and quoted scalars only, escaped; names are made here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from topo.live.computer import computer_lines
from topo.model.plain import plain
from topo.model.plugged import PluggedIn, Thing
from topo.model.rig import COMPUTER, ROLES
from topo.model.sighting import Endpoint, Scan, Sighting
from topo.rigfile.quote import double_quoted
from topo.wiring.kinds import best_mbit, in_use, kind_of, speed_word, translators
from topo.wiring.plugged import plugged_in

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
    live = plugged_in(scan)
    names = _names(live)
    lines = [HEAD.format(roles=ROLE_WORDS, when=f" of {plain(scan.when, 40)}" if scan.when else "")]
    lines += computer_lines(live)
    for section, kind in (("hubs", "hub"), ("devices", "device")):
        things = [thing for thing in live.things if thing.kind == kind]
        if things:
            lines.append(f"\n{section}:")
        for thing in things:
            lines += _part(thing, names, live)
    return "\n".join(lines) + "\n"


def _names(live: PluggedIn) -> dict[str, str]:
    """hub-1, storage-1, device-1, …: numbered from the computer down."""
    counts: dict[str, int] = {}
    names = {COMPUTER: COMPUTER}
    for thing in live.things:
        counts[thing.word] = counts.get(thing.word, 0) + 1
        names[thing.key] = f"{thing.word}-{counts[thing.word]}"
    return names


def _plug(thing: Thing, names: Mapping[str, str]) -> str | None:
    if thing.plug is None or (thing.plug.number is not None and not 1 <= thing.plug.number <= MOST_HUB_PORTS):
        return None
    return f"{names[thing.plug.part]}/{thing.plug.socket}"


def _hub_speed(thing: Thing) -> str:
    """The word of the hub inside a device; no hub is a low-speed one (USB 2.0 11.1)."""
    word = speed_word(thing.seen[0].speed_mbit) or "high"
    return "full" if word == "low" else word


def _part(thing: Thing, names: Mapping[str, str], live: PluggedIn) -> Iterator[str]:
    main = thing.own
    told = " ".join(filter(None, (main.manufacturer, main.product))) or "it tells no name"
    yield f"  {names[thing.key]}:    # {plain(told, 70)}"
    yield f"    # seen at {' and '.join(side.id for side in thing.seen)}{_how(thing)}"
    for line in _marks(thing):
        yield f"    # {line}"
    plug = _plug(thing, names)
    yield f"    plug: {plug}" if plug is not None else "    # where it is plugged in is not known"
    facts = _hub_facts(thing, live) if thing.kind == "hub" else _device_facts(thing, live)
    for fact in facts:
        yield f"    {fact.key}: {fact.value}" + (f"    # {fact.why}" if fact.why else "")
    yield from _identity(main)


def _how(thing: Thing) -> str:
    joined = thing.joined_by
    if joined is None:
        return ""
    what = "the two sides of one hub" if thing.kind == "hub" else "its own hub and itself"
    guess = ", which is a guess" if joined in ("same place", "same make") else ""
    return f": {what}, joined by {joined}{guess}"


def _marks(thing: Thing) -> Iterator[str]:
    got = max((s.speed_mbit or 0 for s in thing.seen), default=0)
    best = best_mbit(thing.seen)
    if got and best and best > got:
        yield f"it could run at {best:g} Mb/s and runs at {got:g}: a cable, hub or socket on the way carries no more"
    if any(s.sleep.control == "auto" for s in thing.seen if not s.is_hub):
        yield "the system may put it to sleep (power control is auto)"


@dataclass(frozen=True, slots=True)
class _Fact:
    key: str
    value: str
    why: str = ""


def _hub_facts(thing: Thing, live: PluggedIn) -> Iterator[_Fact]:
    if word := speed_word(best_mbit(thing.seen)):
        yield _Fact("speed", "full" if word == "low" else word)
    ports = _port_count(thing, live)
    if ports is not None:
        yield _Fact("ports", str(ports), "as it says; some may have no socket outside")
    told = [s.self_powered for s in thing.seen if s.self_powered is not None]
    if told:
        yield _Fact("powered", "true" if any(told) else "false", "as it says; look whether a supply is plugged in")
    if kind := translators(thing.seen[0]):
        yield _Fact("translators", kind)
    yield from _current(thing)


def _port_count(thing: Thing, live: PluggedIn) -> int | None:
    told = max((s.max_child or 0 for s in thing.seen), default=0)
    used = max((each.port or 0 for each in live.below(thing.key)), default=0)
    count = max(told, used)
    return count if 1 <= count <= MOST_HUB_PORTS else None


def _device_facts(thing: Thing, live: PluggedIn) -> Iterator[_Fact]:
    main = thing.own
    kind = kind_of(main, live.scan)
    role = kind.interface if kind.interface in ("storage", "network") else "other"
    yield _Fact("role", role, "" if role != "other" else "what does it do?")
    if word := speed_word(best_mbit([main])):
        yield _Fact("speed", word)
    if kind.interface:
        yield _Fact("interface", kind.interface)
    ports = [p.name for p in live.scan.serial_ports if p.device == main.id]
    if ports:
        yield _Fact("serial", "{}", f"{plain(', '.join(ports), 60)}; add baud and polls_per_s")
    if kind.radio:
        yield _Fact("radio_2g4", "true")
    # Text that lacks a hub's own line shows a device with others behind it: it has sockets all the same.
    if (len(thing.seen) > 1 or live.below(thing.key)) and (count := _port_count(thing, live)):
        yield _Fact("hub_ports", str(count), "sockets on its back")
        yield _Fact("hub_speed", _hub_speed(thing))
        if inside := translators(thing.seen[0]):
            yield _Fact("hub_translators", inside)
    yield from _endpoint_facts(in_use(main))
    if live.scan.limits.serials == "all" and (main.serial or main.product):
        yield _Fact("has_serial_number", "true" if main.serial else "false")
    yield from _current(thing)


def _endpoint_facts(ends: tuple[Endpoint, ...]) -> Iterator[_Fact]:
    if 1 <= len(ends) <= MOST_HUB_PORTS:
        yield _Fact("endpoints", str(len(ends)))
    often = [e for e in ends if e.kind == "interrupt" and e.interval_us and 125 <= e.interval_us <= 4_096_000]
    if often:
        busiest = max(often, key=lambda e: e.interval_bytes / (e.interval_us or 1))
        if 1 <= busiest.interval_bytes <= 3072:
            yield _Fact("interrupt_bytes", str(busiest.interval_bytes))
            yield _Fact("interrupt_interval_ms", f"{(busiest.interval_us or 0) / 1000:g}")


def _current(thing: Thing) -> Iterator[_Fact]:
    told = [s.max_power_ma for s in thing.seen if s.max_power_ma is not None and not s.self_powered]
    if told and 0 < max(told) <= 5000:
        yield _Fact("bus_ma", str(max(told)), "the most it claims")


def _identity(main: Sighting) -> Iterator[str]:
    if main.vendor_id is None or main.product_id is None:
        return
    serial = ""
    if main.serial and main.serial.isascii() and main.serial.isprintable() and len(main.serial) <= 126:
        serial = f", serial: {double_quoted(main.serial)}"
    elif main.serial:
        yield "    # its serial number has characters that a rig file cannot hold"
    ids = f"vendor_id: {double_quoted(main.vendor_id)}, product_id: {double_quoted(main.product_id)}"
    yield f"    identity: {{{ids}{serial}}}"
