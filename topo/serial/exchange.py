"""How long one question and its answer hold a serial line. Formulas in seconds; ranges low, likely, high.

An exchange: question and answer at the line's rate, the device's time to reply, a frame of USB each way, and what the
adapter holds short answers back (its receive timer free-runs since the last packet, so 0 to the whole of it).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.model.facts import Range3

if TYPE_CHECKING:
    from topo.model.records import LineMedium

REPLY_S = Range3(0.001, 0.005, 0.020)
"""Time of a device to begin its answer, where none is declared (common practice, no source)."""

USUAL_TIMER_S = 0.016
"""Receive timer of adapters by default (published: a chip maker's note; the kernel's default where none is told)."""

TIMER_PACKET_BYTES = 62
"""Answers of this many bytes fill a packet and go out at once (published: the same note)."""

FRAMES_S = Range3(0.0, 0.001, 0.002)
"""Waiting for a full-speed frame on the way out and on the way back: up to 1 ms each."""

ROUND_TRIP_S: dict[LineMedium, Range3] = {
    "usb": Range3(0.0, 0.0, 0.0),
    "network": Range3(0.0005, 0.003, 0.2),
    "bluetooth": Range3(0.00125, 0.05, 0.15),
}
"""What a medium adds to an exchange. Network: a home network's round trip, up to the delayed acknowledgement of 0.2 s
that small send-send-reply exchanges meet (common practice, no source). Bluetooth: two slots of 0.625 ms; sniff
intervals of 50 and 150 ms (published: a module's manual)."""

ONE_WAY = 0.5
"""The part of a round trip that a command without an answer waits for before it acts."""


def character_s(baud: float, framing: str = "8N1") -> float:
    """Seconds of one character: start bit, data bits, parity bit where there is one, stop bits. Raises ValueError."""
    if not baud > 0:
        raise ValueError(f"a serial line has a baud rate above 0, not {baud}")
    return (1 + int(framing[0]) + (framing[1] != "N") + float(framing[2:])) / baud


def exchange_s(
    bytes_out: float, bytes_in: float, each_s: float, reply: Range3 = REPLY_S, timer: Range3 | None = None,
    over: LineMedium = "usb", usb: bool = True,
) -> Range3:
    """Seconds one exchange holds the line. `each_s` is the time of a character; `timer` the receive timer's range
    (None: no timer); `usb` whether a USB bus lies between."""
    wire = (bytes_out + bytes_in) * each_s
    held = Range3(0.0, 0.0, 0.0)
    if timer is not None and bytes_in < TIMER_PACKET_BYTES:
        held = Range3(0.0, timer.likely / 2.0, timer.high)
    frames = FRAMES_S if usb else Range3(0.0, 0.0, 0.0)
    return Range3(wire, wire, wire) + reply + held + frames + ROUND_TRIP_S[over]


def back_to_back_s(wire_s: float, reply_s: float, timer_s: float) -> float:
    """Seconds from one question to the next where a program asks again as soon as it has the answer: the receive timer
    locks the exchange to whole turns of itself."""
    took = wire_s + reply_s
    return took if timer_s <= 0 else math.ceil(took / timer_s - 1e-9) * timer_s


def command_s(
    size: float, each_s: float, over: LineMedium = "usb", usb: bool = True, reply: Range3 = REPLY_S
) -> Range3:
    """Seconds from a command's turn until the device acts on it: a frame of USB, its bytes, the device's own time."""
    frames = FRAMES_S.scaled(0.5) if usb else Range3(0.0, 0.0, 0.0)
    return Range3(*(size * each_s,) * 3) + reply + frames + ROUND_TRIP_S[over].scaled(ONE_WAY)
