"""The scan as lines of text: the physical tree, with marks where something is not as it could be. All texts escaped."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from topo.model.limits import cannot_tell
from topo.model.plain import plain
from topo.model.plugged import PluggedIn, RootSocket, Thing
from topo.model.rig import COMPUTER
from topo.model.sighting import Scan, Sighting, SocketPower
from topo.wiring.kinds import best_mbit, translators
from topo.wiring.plugged import plugged_in
from topo.words.cells import cells, fitting
from topo.words.lists import counted

LONG_AGO_MS = 600_000
"""Ten minutes: a part that came this much later than its bus has been plugged in again, or dropped."""


def tree_lines(scan: Scan, width: int = 80) -> list[str]:
    """The lines of the tree, none longer than `width` cells."""
    live = plugged_in(scan)
    lines = [_head(live), ""]
    controllers = {c.id: c for c in scan.controllers}
    for roots in live.roots:
        first = scan.sighting(roots[0])
        controller = controllers.get(first.controller or "") if first else None
        name = plain(controller.id, 40) if controller else " and ".join(roots)
        driver = f" ({plain(controller.driver, 30)})" if controller and controller.driver else ""
        lines.append(f"controller {name}{driver}: bus {', '.join(_bus(root) for root in roots)}")
        things = [thing for thing in live.below(COMPUTER) if live.root_of(thing) == roots]
        lines += _branch(live, things, "") if things else ["  nothing plugged in"]
    if loose := live.below(None):
        lines.append("place not known")
        lines += _branch(live, loose, "")
    lines += [*_sockets(live), *_serial(scan), *_system(scan), *_cannot(scan)]
    lines += [f"! {plain(problem, 400)}" for problem in scan.problems]
    return [part for line in lines for part in _fitted(line, width)]


def _head(live: PluggedIn) -> str:
    scan = live.scan
    devices = sum(not s.is_hub for s in scan.sightings)
    hubs = sum(thing.kind == "hub" for thing in live.things)
    when = f" at {plain(scan.when_words, 40)}" if scan.when else ""
    kernel = f" {plain(scan.kernel, 40)}" if scan.kernel else ""
    return f"{counted(devices, 'device')}, {counted(hubs, 'hub')}; {plain(scan.system, 20)}{kernel}{when}"


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _bus(root: str) -> str:
    return root.removeprefix("usb")


def _branch(live: PluggedIn, things: Sequence[Thing], indent: str) -> Iterator[str]:
    for n, thing in enumerate(things):
        last = n == len(things) - 1
        inner = indent + ("   " if last else "│  ")
        yield f"{indent}{'└─ ' if last else '├─ '}{_line(thing)}"
        for mark in _marks(thing, live):
            yield f"{inner}! {mark}"
        yield from _branch(live, live.below(thing.key), inner)


def _line(thing: Thing) -> str:
    speeds = _rates(thing.seen)
    what, main = thing.word, thing.own
    if thing.kind == "hub":
        what += f" of {main.max_child}" if main.max_child else ""
        kind = next((k for s in thing.seen if (k := translators(s))), None)
        what += ", a translator for each port" if kind == "per-port" else ", one translator" if kind else ""
    else:
        what += " with a hub inside" if len(thing.seen) > 1 else ""
    name = plain(main.product or main.manufacturer or "", 30)
    ids = f" {main.vendor_id}:{main.product_id}" if main.vendor_id and main.product_id else ""
    places = " + ".join(side.id for side in thing.seen)
    return f"{places}  {speeds or 'speed not told'}  {what}{ids}" + (f"  {name}" if name else "")


def _rates(seen: Sequence[Sighting]) -> str:
    """The speeds of each side in words; where only the side is told, its bound."""
    told = [f"{side.speed_mbit:g}" for side in seen if side.speed_mbit is not None]
    if told:
        return f"{', '.join(told)} Mb/s"
    bounds = {"usb2": "480 Mb/s or less", "superspeed": "5000 Mb/s or more"}
    return ", ".join(bounds[side.side] for side in seen if side.side is not None)


def _marks(thing: Thing, live: PluggedIn) -> Iterator[str]:
    got = max((s.speed_mbit or 0 for s in thing.seen), default=0)
    best = best_mbit(thing.seen)
    if best and got and best > got:
        yield f"could do {best:g} Mb/s, got {got:g}"
    for seen in thing.seen:
        if seen.sleep.status == "suspended" and not seen.is_hub:
            yield "asleep now"
        elif seen.sleep.control == "auto" and not seen.is_hub:
            yield "may be put to sleep (power control is auto)"
    yield from _late(thing.seen, live.scan.sighting(f"usb{thing.seen[0].bus}"))
    if thing.kind == "device" and len(thing.seen) == 1 and _may_be_super(thing.own):
        yield "says USB 2.10: it may be a USB 3 device on a USB 2 path; what is kept here does not tell (its BOS)"
    sides = [side.id for side in thing.seen]
    for port in live.scan.ports:
        if port.over_current_count and port.hub in sides:
            yield f"port {port.number}: over-current {_times(port.over_current_count)} since the system started"


def _may_be_super(seen: Sighting) -> bool:
    return (seen.usb_version or 0) >= 2.1 and not seen.could_mbit and seen.speed_mbit == 480


def _late(members: tuple[Sighting, ...], root: Sighting | None) -> Iterator[str]:
    start = root.sleep.connected_ms if root else None
    for seen in members:
        since = seen.sleep.connected_ms
        if start is not None and since is not None and start - since > LONG_AGO_MS:
            yield f"plugged in for {span(since)} only, its bus runs for {span(start)}: it came later, or came back"


def span(milliseconds: float) -> str:
    """A time as people say it: 40 s, 12 min, 3 h 20 min, 27 d 20 h."""
    seconds = round(milliseconds / 1000)
    if seconds < 120:
        return f"{seconds} s"
    minutes, hours = seconds // 60, seconds // 3600
    if minutes < 60:
        return f"{minutes} min"
    return f"{hours} h {minutes % 60} min" if hours < 48 else f"{hours // 24} d {hours % 24} h"


def _sockets(live: PluggedIn) -> Iterator[str]:
    """The computer's sockets that can be plugged into, and which are free: where the system tells of empty ones."""
    if live.scan.limits.sockets != "all":
        return
    used = {thing.plug.socket for thing in live.things if thing.plug is not None and thing.plug.part == COMPUTER}
    outside = [each for each in live.sockets if each.outside]
    if not outside:
        return
    yield "sockets of the computer, as the firmware tells them"
    for each in outside:
        ports = " and ".join(f"{hub} port {number}" for hub, number in each.ports)
        state = "in use" if each.socket.name in used else "free"
        limits = f"{_lanes(live, each)}{_gives(live, each)}"
        yield f"  {each.socket.name}  {each.socket.speed.label}  {state}  ({plain(ports, 80)}){limits}"


def _lanes(live: PluggedIn, each: RootSocket) -> str:
    """Lanes of a SuperSpeed link that has more or fewer than one each way, where something runs there."""
    for thing in live.below(COMPUTER):
        if thing.plug is not None and thing.plug.socket == each.socket.name:
            for side in thing.seen:
                if side.is_super and side.rx_lanes is not None and side.tx_lanes is not None:
                    return f", {side.rx_lanes} lane{'' if side.rx_lanes == 1 else 's'} in, {side.tx_lanes} out"
    return ""


GIVES: Mapping[SocketPower, str] = {
    "default": "as USB allows", "1.5A": "1.5 A", "3.0A": "3 A", "usb_power_delivery": "by power delivery",
}  # fmt: skip


def _gives(live: PluggedIn, each: RootSocket) -> str:
    """What a Type-C socket says that it may give."""
    told = {(port.hub, port.number): port.gives for port in live.scan.ports}
    word = next((gives for key in each.ports if (gives := told.get(key)) is not None), None)
    return f", gives power {GIVES[word]}" if word is not None else ""


def _system(scan: Scan) -> Iterator[str]:
    """Power saving of idle devices, and the kernel's pool for USB buffers, where the system tells them."""
    delay = scan.sleep_setting.in_force_s if scan.sleep_setting is not None else None
    if delay is not None:
        what = "never sleep" if delay < 0 else f"sleep when idle for {delay} s, where their driver allows it"
        yield f"power saving: new devices {what}"
    if scan.low_volts is not None:
        yield "board's own supply: " + ("SAGGED since its start" if scan.low_volts else "never sagged since its start")
    if scan.usbfs_memory_mb is not None:
        size = "no limit" if scan.usbfs_memory_mb == 0 else f"{scan.usbfs_memory_mb} MB"
        yield f"kernel's pool for USB buffers: {size}"


def _cannot(scan: Scan) -> Iterator[str]:
    """What the way the scan was made cannot tell."""
    none, some = cannot_tell(scan.limits)
    if none:
        yield f"not in this scan: {', '.join(none)}"
    if some:
        yield f"only in part: {', '.join(some)}"


def _serial(scan: Scan) -> list[str]:
    if not scan.serial_ports:
        return []
    lines = ["serial ports"]
    for port in scan.serial_ports:
        timer = f", receive timer {port.latency_timer_ms} ms" if port.latency_timer_ms is not None else ""
        where = f"at {plain(port.device, 40)}" if port.device else "not on USB, or the system does not say where"
        lines.append(f"  {plain(port.name, 40)}  {where}{timer}")
    return lines


def _fitted(line: str, width: int) -> Iterator[str]:
    """The line, cut at spaces into lines of at most `width` cells; what follows stands below the text."""
    lead = len(line) - len(line.lstrip(" │├└─!"))
    while cells(line) > width:
        cut = len(fitting(line, width))
        space = line.rfind(" ", lead + 8, cut)
        head, rest = (line[:space], line[space + 1 :]) if space > 0 else (line[:cut], line[cut:])
        yield head.rstrip()
        line = line[:lead].replace("├─", "│ ").replace("└─", "  ").replace("!", " ") + rest
    yield line
