"""The kernel's log read as a listing: the last "new … device" of each place that did not disconnect afterwards.

Messages: Linux `drivers/usb/core/hub.c` and older wordings of it. The start of a log may be overwritten, so a device
that is not in it may be there all the same.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from topo.errors import ScanError
from topo.frozen import replace
from topo.live.listings.assemble import assembled, root_hub, short
from topo.live.listings.values import hex4, lines_of, told, whole
from topo.live.places import DEVICE, place_of
from topo.model.limits import Limits
from topo.model.sighting import HostController, Scan, SerialPort, Sighting

LIMITS = Limits(
    devices="some", abilities="none", classes="none", halves="some", sockets="some", power="none", sleep="none",
    over_current="none", history="some", controllers="some", serial_ports="some", speeds="some",
)  # fmt: skip

DEVICE_NAME = r"(usb[0-9]{1,5}|[0-9]{1,5}-[0-9]{1,3}(?:\.[0-9]{1,3}){0,9})"
SIGN = re.compile(rf"\busb {DEVICE_NAME}: (?:new|reset) [\w .-]{{0,40}}USB device")
ARRIVED = re.compile(
    rf"{DEVICE_NAME}: (new|reset) ((?:low|full|high|super)[ -]?speed|SuperSpeed)([\w .]{{0,24}}?) USB device"
    r"(?: number ([0-9]{1,5}))?(?: using (\S{1,40}))?(?: and address ([0-9]{1,5}))?",
    re.IGNORECASE,
)
LEFT = re.compile(rf"\busb {DEVICE_NAME}: USB disconnect")
FOUND = re.compile(
    rf"\busb {DEVICE_NAME}: New USB device found, idVendor= ?([0-9a-f]{{4}}), idProduct= ?([0-9a-f]{{4}})", re.I
)
STRING = re.compile(rf"\busb {DEVICE_NAME}: (Product|Manufacturer|SerialNumber): (.*)$")
PORTS = re.compile(r"\bhub ([0-9]{1,5}-[0-9.]{1,40}):1\.0: ([0-9]{1,3}) ports? detected")
BUS = re.compile(r"(\S{1,60}): new USB bus registered, assigned bus number ([0-9]{1,5})")
ADAPTER = re.compile(rf"\busb {DEVICE_NAME}: .{{1,80}} now attached to (ttyUSB[0-9]{{1,4}})")
MODEM = re.compile(r"\bcdc_acm ([0-9]{1,5}-[0-9.]{1,40}):1\.([0-9]{1,3}): (ttyACM[0-9]{1,4}): USB ACM device")
SPEEDS = {"low": 1.5, "full": 12.0, "high": 480.0}
RECORD = re.compile(
    r"^\s*(?:<[0-9]+>)?\[|^\S.{0,80}?\bkernel(?:\[[0-9]+\])?: |^\s*(?:<[0-9]+>)?\w+[ -]\S+: |^\d+\.\d+ "
    r"|^(?:<[0-9]+>1 )?[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9:]{5,8}"
)
"""How a record begins, whatever printed the log."""


@dataclass
class _State:
    """What the log has told so far."""

    seen: dict[str, Sighting] = field(default_factory=dict)
    controllers: dict[int, str] = field(default_factory=dict)
    serial: dict[str, SerialPort] = field(default_factory=dict)


def looks_like(text: str) -> bool:
    """True where a line tells of a device that came."""
    return SIGN.search(text) is not None


def read(text: str) -> Scan:
    """What is plugged in at the end of the log. Raises ScanError where it tells of no device."""
    state = _State()
    for line in _records(text):
        _take(line, state)
    if not state.seen:
        raise ScanError("this log tells of no USB device that is there at its end")
    problems: list[str] = []
    buses = sorted({seen.bus for seen in state.seen.values()} | set(state.controllers))
    tree = assembled(state.seen.values(), problems, {bus: root_hub(bus) for bus in buses})
    ids = {s.id for s in tree}
    return Scan(
        when="",
        system="linux",
        kernel=None,
        scanner="kernel-log",
        controllers=_controllers(state),
        sightings=tuple(replace(s, controller=state.controllers.get(s.bus)) for s in tree),
        serial_ports=tuple(port for port in state.serial.values() if port.device in ids),
        problems=short(problems),
        limits=LIMITS,
    )


def _records(text: str) -> Iterator[str]:
    """Records, with what a mail program wrapped put back: a line that does not begin as one goes to that before."""
    held: str | None = None
    for raw in lines_of(text):
        line = _message(raw) if raw.startswith("{") else raw
        if not line.strip() or RECORD.match(line) or held is None or len(held) > 2000:
            if held is not None:
                yield held
            held = line if line.strip() else None
        else:
            held = f"{held.rstrip()} {line.strip()}"
    if held is not None:
        yield held


def _message(line: str) -> str:
    """The kernel's message of an entry that the journal printed as JSON, as a record; the line itself of any other."""
    try:
        entry = json.loads(line)
    except (ValueError, RecursionError):
        return line
    said = entry.get("MESSAGE") if isinstance(entry, dict) else None
    return f"[] {said}" if isinstance(said, str) else line


def _take(line: str, state: _State) -> None:
    if match := ARRIVED.search(line):
        _arrive(match, state)
    elif match := LEFT.search(line):
        gone = match[1]
        for name in [n for n in state.seen if n == gone or n.startswith(f"{gone}.")]:
            del state.seen[name]
    elif match := FOUND.search(line):
        _change(state, match[1], vendor_id=hex4(match[2]), product_id=hex4(match[3]))
    elif match := STRING.search(line):
        key = {"Product": "product", "Manufacturer": "manufacturer", "SerialNumber": "serial"}[match[2]]
        _change(state, match[1], **{key: told(match[3])})
    elif match := PORTS.search(line):
        bus, _, chain = match[1].partition("-")
        _change(state, f"usb{bus}" if chain == "0" else match[1], max_child=whole(match[2], 255), usb_class=9)
    elif (match := BUS.search(line)) and (number := whole(match[2], 99_999)) is not None:
        state.controllers[number] = match[1]
    elif match := ADAPTER.search(line):
        state.serial[match[2]] = SerialPort(f"/dev/{match[2]}", match[1])
    elif match := MODEM.search(line):
        state.serial[match[3]] = SerialPort(f"/dev/{match[3]}", match[1], whole(match[2], 255), "cdc_acm")


def _arrive(match: re.Match[str], state: _State) -> None:
    """A device came, or was reset; after a reset all that is known of it stays."""
    name, words = match[1], match[3].lower()
    if not DEVICE.fullmatch(name):
        return
    speed, lanes = _speed(words, match[4])
    devnum = whole(match[5] or match[7], 1 << 20)
    bus, ports = place_of(name)
    old = state.seen.get(name) if match[2] == "reset" else None
    fresh = old or Sighting(id=name, bus=bus, ports=ports)
    state.seen[name] = replace(
        fresh, devnum=devnum or fresh.devnum, speed_mbit=speed, rx_lanes=lanes, tx_lanes=lanes,
        side="superspeed" if speed is None else fresh.side,
    )  # fmt: skip


def _speed(words: str, more: str) -> tuple[float | None, int | None]:
    """Mb/s and lanes; older kernels say SuperSpeed alone of 5 Gb/s, and none knows more than the log says."""
    slow = next((rate for word, rate in SPEEDS.items() if words.startswith(word)), None)
    if slow is not None:
        return slow, None
    generation = re.search(r"Gen ?([12])(?:x([12]))?", more, re.IGNORECASE)
    lanes = int(generation[2]) if generation and generation[2] else None
    if generation:
        return 5000.0 * int(generation[1]) * (lanes or 1), lanes
    return (10000.0 if "plus" in more.lower() else 5000.0), None


def _change(state: _State, name: str, **facts: str | int | None) -> None:
    """Lays facts over a device; a root hub is first heard of by them."""
    if not DEVICE.fullmatch(name):
        return
    bus, ports = place_of(name)
    if ports and name not in state.seen:
        if "vendor_id" not in facts and "max_child" not in facts:
            return
        state.seen[name] = Sighting(id=name, bus=bus, ports=ports)
    known = state.seen.get(name) or root_hub(bus)
    state.seen[name] = replace(known, **facts)  # type: ignore[arg-type]  # each key with the type of its field


def _controllers(state: _State) -> tuple[HostController, ...]:
    buses: dict[str, list[int]] = {}
    for bus, name in sorted(state.controllers.items()):
        buses.setdefault(name, []).append(bus)
    return tuple(HostController(name, tuple(numbers)) for name, numbers in buses.items())
