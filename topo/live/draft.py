"""A first rig file from a scan, in which a person only has to name the parts. The text is valid as it stands.

What a device says of itself goes into comments and quoted scalars only, escaped; names are made here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from topo.frozen import replace
from topo.live.computer import computer_lines
from topo.model.declare import known
from topo.model.facts import value_of
from topo.model.plain import plain
from topo.model.plugged import PluggedIn, Thing
from topo.model.records import DeviceFacts, HubFacts
from topo.model.rig import COMPUTER, ROLES, socket_number
from topo.model.sighting import Scan, SerialPort, Sighting
from topo.rigfile.quote import as_text, double_quoted
from topo.wiring.kinds import best_mbit
from topo.wiring.measured import MOST_SOCKETS, device_facts, hub_facts, hub_speed, measured
from topo.wiring.plugged import plugged_in

HEAD = """\
# A first rig file, made from a scan{when}.
# Still to do: give the parts names of your own (the words before the colons, and in every `plug` that uses them);
# say what each device does (`role`: {roles});
# add exposures, cables and profiles. `topo profiles WORD` finds profiles.
rig: My rig
"""
ROLE_WORDS = ", ".join(ROLES[:6]) + ",\n# " + ", ".join(ROLES[6:])
WHY = {
    "ports": "as it says; some may have no socket outside",
    "powered": "as it says; look whether a supply is plugged in",
    "hub_ports": "sockets on its back",
    "bus_ma": "the most it claims",
}
"""What a person should know of a figure that a device tells."""


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
    if thing.plug is None or (thing.plug.number is not None and not 1 <= thing.plug.number <= MOST_SOCKETS):
        return None
    return f"{names[thing.plug.part]}/{thing.plug.socket}"


def _part(thing: Thing, names: Mapping[str, str], live: PluggedIn) -> Iterator[str]:
    main = thing.own
    told = " ".join(filter(None, (main.manufacturer, main.product))) or "it tells no name"
    yield f"  {names[thing.key]}:    # {plain(told, 70)}"
    yield f"    # seen at {' and '.join(side.id for side in thing.seen)}{_how(thing)}"
    for line in _marks(thing):
        yield f"    # {line}"
    plug = _plug(thing, names)
    unsure = "" if thing.port is not None else "    # which of its sockets is not known"
    yield f"    plug: {plug}{unsure}" if plug is not None else "    # where it is plugged in is not known"
    yield from _hub(thing, live) if thing.kind == "hub" else _device(thing, live)
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
        yield f"it could run at {best:g} Mb/s but runs at {got:g}: a cable, hub or socket on the way carries no more"
    if any(s.sleep.control == "auto" for s in thing.seen if not s.is_hub):
        yield "the system may put it to sleep (power control is auto)"


def _hub(thing: Thing, live: PluggedIn) -> Iterator[str]:
    facts = hub_facts(thing.seen, _used(thing, live))
    if facts.bus_ma is not None and not _weighs(thing, live, facts.bus_ma.value):
        yield _left_out(facts.bus_ma.value)
        facts = replace(facts, bus_ma=None)
    yield from _lines(facts)


def _device(thing: Thing, live: PluggedIn) -> Iterator[str]:
    main = thing.own
    facts = replace(device_facts(main, live.scan), iso_bytes_per_ms=None)  # what it may reserve, not what it does
    interface = value_of(facts.interface)
    yield f"    role: {interface}" if interface in ("storage", "network") else "    role: other    # what does it do?"
    # Text that lacks a hub's own line shows a device with others behind it: it has sockets all the same.
    if len(thing.seen) > 1 or live.below(thing.key):
        inside = hub_facts(thing.seen[:1], _used(thing, live))
        if inside.ports is not None:
            runs = hub_speed((replace(thing.seen[0], could_mbit=()),)) or "high"
            facts = replace(facts, hub_ports=inside.ports, hub_speed=measured(runs, "the speed it runs at"),
                            hub_translators=inside.translators)
    if facts.bus_ma is not None and not _weighs(thing, live, facts.bus_ma.value):
        yield _left_out(facts.bus_ma.value)
        facts = replace(facts, bus_ma=None)
    yield from _lines(facts)
    if ports := [port for port in live.scan.serial_ports if port.device == main.id]:
        yield f"    serial: {{}}    # {plain(', '.join(port.name for port in ports), 60)}; add baud and polls_per_s"
        yield from _opens(ports[0])


def _opens(port: SerialPort) -> Iterator[str]:
    """What programs open now; what the person typed into theirs is not known to a scan."""
    if port.name.isascii() and port.name.isprintable() and len(port.name) <= 255:
        yield f"    opens: {double_quoted(port.name)}    # does its program open this? else write what it opens"
    for link in port.links[:2]:
        yield f"    # a name that lasts{', made up here' if port.composed else ''}: {plain(link, 120)}"


def _used(thing: Thing, live: PluggedIn) -> int:
    """The highest number of a socket of it that something is in."""
    plugs = (each.plug for each in live.below(thing.key))
    return max((socket_number(plug.socket) or 0 for plug in plugs if plug is not None), default=0)


def _weighs(thing: Thing, live: PluggedIn, claimed_ma: float) -> bool:
    """True where what it claims can be held against a socket: each hub above tells whether it has a supply, and no
    more is claimed than its side of USB allows (USB 2.0 7.2.1: 500 mA; USB 3.2 11.4.1: 900 mA)."""
    above = live.path(thing)[:-1]
    told = all(any(side.self_powered is not None for side in hub.hub_sides) for hub in above)
    return told and claimed_ma <= (900 if any(side.is_super for side in thing.seen) else 500)


def _left_out(claimed_ma: float) -> str:
    return f"    # it claims {claimed_ma:g} mA at most; not counted, since how it is supplied is not told"


def _lines(facts: DeviceFacts | HubFacts) -> Iterator[str]:
    for name, fact in known(facts):
        yield f"    {name}: {as_text(fact.value)}" + (f"    # {WHY[name]}" if name in WHY else "")


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
