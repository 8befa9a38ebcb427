"""The serial lines of a wired rig: one for each serial socket in use, one for each part with a bridge of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.model.facts import Basis, Fact, Range3, basis_of, value_of
from topo.model.line import Asker, PulseCommand, SerialLine
from topo.model.rig import COMPUTER, Computer, Device, Part
from topo.serial.exchange import REPLY_S, USUAL_TIMER_S, character_s, command_s, exchange_s

if TYPE_CHECKING:
    from topo.model.records import LineMedium
    from topo.wiring.topology import Topology

PULSE_BYTES = 9.0
"""Bytes of a guide command where none are declared (common practice, no source)."""

REPLY_ASSUMED = "how long a part on it takes to answer is not known: 1 to 20 ms are taken"
TIMER_ASSUMED = "how the adapter hands answers on is not known: a receive timer of 16 ms or none is taken"


def serial_lines(topology: Topology) -> tuple[SerialLine, ...]:
    """Every serial line with somebody on it, in the order of the file."""
    on: dict[str, list[Device]] = {}
    for part in topology.rig.devices:
        if part.has_serial_line and not value_of(part.facts.serial_sockets):
            on.setdefault(_line_of(topology, part), []).append(part)
    guided = frozenset(part.pulse_lead for part in topology.rig.devices)
    return tuple(_kept_line(name, tuple(parts), _holder(topology, parts[0]), guided) for name, parts in on.items())


def _line_of(topology: Topology, part: Device) -> str:
    leg = topology.leg(part.id)
    if leg is not None and leg.socket.kind == "serial" and _over(part) == "usb":
        return f"serial:{leg.plug}"
    return f"serial:{part.id}"


def _holder(topology: Topology, part: Device) -> Part:
    """The part whose bridge a line is on: the adapter it is plugged into, or itself."""
    leg = topology.leg(part.id)
    if leg is not None and leg.socket.kind == "serial" and _over(part) == "usb":
        return topology.part(leg.above)
    return part


def _over(part: Device) -> LineMedium:
    return value_of(part.serial.over, "usb")


def _kept_line(name: str, parts: tuple[Device, ...], holder: Part, guided: frozenset[str | None]) -> SerialLine:
    """A line, worked out once for all rigs in which it is made of the same facts: plans move other plugs than these."""
    facts = tuple(each for part in (holder, *parts) if isinstance(part, Device) for each in (part.serial, part.facts))
    roles = tuple((part.id, part.role, part.id in guided) for part in parts)
    key = name, roles, type(holder), holder.id == parts[0].id, tuple(map(id, facts))
    if key not in _known:
        if len(_known) >= MOST_KNOWN:
            _known.clear()
        _known[key] = _line(name, parts, holder, guided), facts  # facts that are kept keep their ids to themselves
    return _known[key][0]


MOST_KNOWN = 4096
_known: dict[tuple[object, ...], tuple[SerialLine, tuple[object, ...]]] = {}
"""Lines that were worked out, by what they hang on."""


def _line(name: str, parts: tuple[Device, ...], holder: Part, guided: frozenset[str | None]) -> SerialLine:
    bridge = _Bridge(parts[0], holder)
    bauds = [fact for part in parts if (fact := part.serial.baud) is not None]
    baud = min((fact.value for fact in bauds), default=None)
    framing = next((told.value for part in parts if (told := part.serial.framing) is not None), "8N1")
    each_s = None if baud is None else character_s(baud, framing)
    asked = [part for part in parts if value_of(part.serial.polls_per_s) and _size(part)]
    askers: list[Asker] = []
    if each_s is not None:
        for part in asked:
            askers += [_asker(part, each_s, bridge)] * value_of(part.serial.clients, 1)
    used = tuple(fact for part in asked for fact in _used(part))
    basis: Basis = basis_of(*used, *bridge.facts) if asked else "assumed"
    place = name.removeprefix("serial:")
    return SerialLine(
        name, f"serial line of {place}", tuple(part.id for part in parts), tuple(askers), baud, each_s,
        bridge.over, bridge.timer.high if bridge.timer is not None else 0.0, basis,
        _assumed(asked, bridge), _pulse(parts, guided, each_s, bridge),
    )


def _assumed(asked: list[Device], bridge: _Bridge) -> str:
    reply = REPLY_ASSUMED if any(part.serial.reply_ms is None and not _unasked(part) for part in asked) else ""
    return "; ".join(words for words in (bridge.assumption, reply) if words)


def _size(part: Device) -> float:
    return value_of(part.serial.bytes_out, 0.0) + value_of(part.serial.bytes_in, 0.0)


def _used(part: Device) -> tuple[Fact[object] | None, ...]:
    """The figures that an exchange is computed from, so that its basis is that of the weakest."""
    line = part.serial
    sizes = tuple(fact for fact in (line.bytes_out, line.bytes_in) if fact is not None)
    reply = () if _unasked(part) else (line.reply_ms,)
    return line.baud, line.polls_per_s, *reply, *sizes


def _unasked(part: Device) -> bool:
    """Whether a part reports by itself, as receivers do: nobody waits for it to begin."""
    return value_of(part.serial.bytes_out, 1.0) == 0.0


def _asker(part: Device, each_s: float, bridge: _Bridge) -> Asker:
    out, back = value_of(part.serial.bytes_out, 0.0), value_of(part.serial.bytes_in, 0.0)
    polls = part.serial.polls_per_s
    assert polls is not None
    holds = exchange_s(out, back, each_s, _reply(part), bridge.timer, bridge.over, bridge.usb)
    return Asker(part.id, 1.0 / polls.value, holds, out + back)


def _reply(part: Device) -> Range3:
    told = 0.0 if _unasked(part) else value_of(part.serial.reply_ms)
    return REPLY_S if told is None else Range3(*(told / 1000.0,) * 3)


def _pulse(
    parts: tuple[Device, ...], guided: frozenset[str | None], each_s: float | None, bridge: _Bridge
) -> PulseCommand | None:
    """The guide commands on a line: those of the first mount on it that no lead from a guide port steers."""
    for part in parts:
        if part.role != "mount" or each_s is None or part.id in guided or value_of(part.serial.pulse) == "guide-port":
            continue
        size = value_of(part.serial.pulse_bytes, PULSE_BYTES)
        longest = value_of(part.facts.longest_pulse_ms)
        basis: Basis = basis_of(part.serial.baud, part.serial.pulse_bytes, part.serial.reply_ms, *bridge.facts)
        return PulseCommand(
            part.id, command_s(size, each_s, bridge.over, bridge.usb, _reply(part)), value_of(part.serial.pulse),
            None if longest is None else longest / 1000.0, basis,
        )
    return None


class _Bridge:
    """What lies between a line and the computer: a USB bridge with or without a receive timer, or none at all."""

    def __init__(self, part: Device, holder: Part) -> None:
        self.over = _over(part)
        self.usb = self.over == "usb" and not isinstance(holder, Computer) and holder.id != COMPUTER
        self.timer, self.facts, self.assumption = None, (), ""  # type: Range3 | None, tuple[Fact[object] | None, ...], str
        if self.usb and isinstance(holder, Device):
            self._read(part, holder)

    def _read(self, part: Device, holder: Device) -> None:
        told = part.serial.latency_timer_ms or holder.serial.latency_timer_ms
        kind = holder.facts.bridge
        if kind is not None and kind.value != "timer":
            self.facts = (kind,)
            return
        if told is not None:
            ms = told.value / 1000.0
            self.timer, self.facts = Range3(ms, ms, ms), (told,)
            return
        usual = USUAL_TIMER_S
        self.timer, self.facts = Range3(usual, usual, usual), (None,)
        self.assumption = "" if kind is not None else TIMER_ASSUMED

