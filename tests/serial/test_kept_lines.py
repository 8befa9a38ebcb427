"""A serial line is worked out once for all rigs in which it is made of the same facts: it is always what it would be if
it were worked out now."""

from __future__ import annotations

from typing import Any

import pytest

from tests.place.random_rigs import rig_from
from topo.frozen import replace
from topo.model.change import MovePlug
from topo.model.line import SerialLine
from topo.model.rig import Rig
from topo.serial import lines
from topo.serial.lines import serial_lines
from topo.wiring.apply import apply
from topo.wiring.topology import Topology

RIG = """\
rig: r
computer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}, usb2-3: {speed: high}}}
devices:
  one: {speed: full, serial_sockets: 1, plug: computer/usb2-1}
  guide: {role: guiding, width_px: 900, height_px: 900, speed: high, plug: computer/usb2-2}
  mount: {role: mount, plug: one/serial-1, longest_pulse_ms: 900,
    serial: {baud: 9600, polls_per_s: 2, bytes_out: 9, bytes_in: 12, reply_ms: 5}}
"""
OTHERS = {
    "baud": ("baud: 9600", "baud: 19200"), "framing": ("baud: 9600", "baud: 9600, framing: 8N2"),
    "polls": ("polls_per_s: 2", "polls_per_s: 3"), "out": ("bytes_out: 9", "bytes_out: 8"),
    "in": ("bytes_in: 12", "bytes_in: 11"), "answer": ("reply_ms: 5", "reply_ms: 6"),
    "programs": ("reply_ms: 5", "reply_ms: 5, clients: 2"), "pulses": ("reply_ms: 5", "reply_ms: 5, pulse_bytes: 20"),
    "longest": ("longest_pulse_ms: 900", "longest_pulse_ms: 800"), "role": ("role: mount", "role: focuser"),
    "lead": ("speed: high, plug: computer/usb2-2", "speed: high, pulse_lead: mount, plug: computer/usb2-2"),
    "timer": ("serial_sockets: 1", "serial_sockets: 1, serial: {latency_timer_ms: 2}"),
    "bridge": ("serial_sockets: 1", "serial_sockets: 1, bridge: cdc"),
    "own": ("mount: {role: mount, plug: one/serial-1", "mount: {role: mount, speed: full, plug: computer/usb2-3"),
    "network": ("bytes_out: 9", "over: network, bytes_out: 9"), "name": ("  mount:", "  other:"),
    "adapter": ("  one: {speed: full", "  two: {speed: full"),
}
"""What a line hangs on, each with the text that makes another of it."""


def rig_with(name: str) -> Rig:
    old, new = OTHERS[name]
    text = RIG.replace(old, new)
    return rig_from(text.replace("one/serial-1", "two/serial-1") if name == "adapter" else text)


def sharing(rig: Rig, other: Rig) -> Rig:
    """The other rig, made of the same objects as the first wherever these say the same."""
    mine = [each for part in rig.devices for each in (part.serial, part.facts)]

    def same(facts: Any) -> Any:
        return next((each for each in mine if type(each) is type(facts) and each == facts), facts)

    return replace(other, devices=tuple(
        replace(part, serial=same(part.serial), facts=same(part.facts)) for part in other.devices))


def of(rig: Rig) -> tuple[SerialLine, ...]:
    return serial_lines(Topology(rig))


def anew(rig: Rig) -> tuple[SerialLine, ...]:
    """The lines of a rig with nothing known before."""
    lines._known.clear()
    return of(rig)


@pytest.mark.parametrize("name", OTHERS)
def test_another_fact_makes_another_line(name: str) -> None:
    rig, other = rig_from(RIG), rig_with(name)
    wanted, then = anew(rig), anew(other)
    assert wanted and then and wanted != then
    lines._known.clear()
    assert [of(rig), of(sharing(rig, other)), of(rig), of(other)] == [wanted, then, wanted, then]


def test_lines_of_rigs_that_are_gone_are_no_others() -> None:
    """Python gives the place of what is gone to what comes next: what is known keeps its facts from going."""
    lines._known.clear()
    found = [of(rig_from(RIG.replace("9600", str(9600 + number)))) for number in range(60)]
    assert [line.baud for (line,) in found] == [9600 + number for number in range(60)]


def test_a_line_is_worked_out_once_for_all_plans() -> None:
    """Another plug of the rig changes nothing of the line."""
    rig = rig_from(RIG)
    [line], [again] = of(rig), of(apply(rig, MovePlug("guide", "computer", "usb2-3")))
    assert line is again


def test_not_more_is_kept_than_allowed(monkeypatch: pytest.MonkeyPatch) -> None:
    lines._known.clear()
    monkeypatch.setattr(lines, "MOST_KNOWN", 3)
    rigs = [rig_from(RIG.replace("9600", str(9600 + number))) for number in range(8)]
    for rig in (*rigs, *rigs):
        [line] = of(rig)
        assert line.baud == rig.device("mount").serial.baud.value  # type: ignore[union-attr]
        assert len(lines._known) <= 3
