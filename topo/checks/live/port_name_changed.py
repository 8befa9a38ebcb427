"""A program would open a port that is no longer its part's.

The system gives port numbers in the order in which adapters come up: another socket, another start, or a port that a
program still held when the adapter came back, and the number is another one. Where the old name is now another part,
the mount's program talks to the focuser, and neither says why. What a program opens stands in the file as `opens`.

Certain where both parts are known by a serial number, or by ids that nothing else has. Twins are told apart by their
sockets only: then either the numbers changed or the two plugs were exchanged, and that is said.

A fault where the name is now another part of the file, else a risk.

Wrong if the program connects and its part answers under the old name.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import FOUR_SOCKETS, rig
from topo.checks.scans import adapter, hub, scan, tty
from topo.compare.ports import LivePort, deciding_test, lasting_name, meant_now, ports_of_part
from topo.compare.words import told_name
from topo.model.check import Case, Check
from topo.model.finding import Certainty, Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Device

if TYPE_CHECKING:
    from topo.model.comparison import Comparison


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each part whose program opens a name that is not its port's."""
    for part in comparison.declared.rig.devices:
        if part.opens is None:
            continue
        now, own = meant_now(comparison, part.opens), ports_of_part(comparison, part.id)
        if now is None or any(each.part == part.id for each in now):
            continue
        if now:
            yield _another(comparison, part, now[0], own)
        elif own:
            yield _nobody(comparison, part, own[0])


def _another(comparison: Comparison, part: Device, other: LivePort, own: tuple[LivePort, ...]) -> Finding:
    """The name is now somebody else's."""
    who = plain(other.part) if other.part is not None else f"{told_name(other.thing)}, which is not in the file"
    who += " (a guess by its socket or kind)" if other.part is not None and other.guessed else ""
    mine = f" {plain(part.id)} is {plain(own[0].port.name)} now." if own else f" {plain(part.id)} has no port now."
    # That the name is not the part's own is sure where the part is; who has it may be a guess all the same.
    guess = not own or any(each.guessed for each in own) or other.port.composed
    alike = own and other.part is not None and own[0].match is not None and other.thing.key in own[0].match.or_things
    both = " Or the plugs of the two were exchanged: they are alike, and nothing here tells which." if alike else ""
    return _finding(
        comparison, part, own, "fault" if other.part is not None else "risk", "possible" if guess else "certain",
        f"The program of {plain(part.id)} opens {plain(part.opens or '')}, which is now {who}: it would talk to that."
        f"{mine}{both}", (other.part,) if other.part is not None and other.part != part.id else (),
    )


def _nobody(comparison: Comparison, part: Device, own: LivePort) -> Finding:
    """Nothing has the name."""
    certainty: Certainty = "possible" if own.guessed or own.port.composed else "certain"
    return _finding(
        comparison, part, (own,), "risk", certainty,
        f"The program of {plain(part.id)} opens {plain(part.opens or '')}, and nothing has that name now. "
        f"{plain(part.id)} is {plain(own.port.name)}.", (),
    )


def _finding(comparison: Comparison, part: Device, own: tuple[LivePort, ...], severity: str, certainty: Certainty,
             message: str, others: tuple[str, ...]) -> Finding:
    return Finding(
        name="port-name-changed",
        severity="fault" if severity == "fault" else "risk",
        certainty=certainty,
        part=part.id,
        place=part.opens_place,
        others=others,
        message=message,
        refuted_by="the program connects under the old name, and its part answers",
        fix=Fix(_advice(comparison, part, own, certainty)),
    )


def _advice(comparison: Comparison, part: Device, own: tuple[LivePort, ...], certainty: Certainty) -> str:
    first = f"First, free: {deciding_test(comparison, part.id)}. " if certainty == "possible" else ""
    if not own:
        return f"{first}Leave that program closed until {plain(part.id)} has its port again."
    name = lasting_name(comparison, own[0])
    if name.lasts == "until it is plugged in again":
        return f"{first}Choose {plain(own[0].port.name)} in its program, connect again, and write it into `opens`."
    stays = "lasts in any socket" if name.lasts == "anywhere" else "lasts while it stays in that socket"
    return (f"{first}Choose {plain(name.name, 300)} in its program and write it into `opens`: that name {stays}. "
            f"For tonight {plain(own[0].port.name)} does as well.")


NUMBERED_IDS = "identity: {{vendor_id: f1a0, product_id: '0001', serial: {}}}"
LINE = "{0}: {{role: {0}, interface: serial, plug: hub/{1}, opens: /dev/ttyUSB{2}, {3}}}"
PAIR = rig(LINE.format("mount", 1, 0, NUMBERED_IDS.format("A1")),
           LINE.format("focuser", 2, 1, NUMBERED_IDS.format("A2")),
           hubs=FOUR_SOCKETS)
TWO_NUMBERED = (hub("3-1"), adapter("3-1.1", serial="A1"), adapter("3-1.2", serial="A2"))

CHECK = Check(
    name="port-name-changed",
    summary="a program would open a port that is no longer its part's",
    explanation=__doc__,
    symptoms=(
        "port not found", "no such file or directory", "the port has another number", "wrong port number",
        "wrong device answers", "could not open port",
    ),
    severities=("fault", "risk"),
    find=find,
    needs="comparison",
    cases=(
        Case("as yesterday", PAIR, 0,
             scan(*TWO_NUMBERED, serial_ports=[tty(0, "3-1.1", serial="A1"), tty(1, "3-1.2", serial="A2")])),
        Case("the two numbers exchanged", PAIR, 2,
             scan(*TWO_NUMBERED, serial_ports=[tty(1, "3-1.1", serial="A1"), tty(0, "3-1.2", serial="A2")])),
        Case("the next number", PAIR, 1,
             scan(*TWO_NUMBERED, serial_ports=[tty(2, "3-1.1", serial="A1"), tty(1, "3-1.2", serial="A2")])),
        Case("a name by place still holds", PAIR.replace(
            "/dev/ttyUSB0", "/dev/serial/by-path/pci-0000:00:1a.0-usb-0:1.1:1.0-port0"), 0,
             scan(*TWO_NUMBERED, serial_ports=[tty(7, "3-1.1", serial="A1"), tty(1, "3-1.2", serial="A2")])),
        Case("a listing that tells no ports", PAIR, 0, scan(*TWO_NUMBERED, limits={"serial_ports": "none"})),
    ),
)
