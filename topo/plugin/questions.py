"""Which facts a new profile is asked for; words, bounds and choices come from the declarations, never restated.

A figure's unit stands at the end of its key; this is also where a key is turned into a unit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from topo.frozen import frozen
from topo.model.declare import Declared, declared
from topo.model.records import ComputerFacts, DeviceFacts, HubFacts, SerialFacts

if TYPE_CHECKING:
    from topo.model.profile import ProfileKind
    from topo.model.rig import Role

KEY_UNITS = (
    ("_arcsec_per_s", "arcsec/s"), ("_bytes_per_ms", "B/ms"), ("_mb_per_s", "MB/s"), ("mb_per_s", "MB/s"),
    ("_arcsec", "arcsec"), ("_per_s", "1/s"), ("_px", "px"), ("_bits", "bit"), ("_mb", "MB"), ("_kb", "kB"),
    ("_bytes", "B"), ("_ms", "ms"), ("_ma", "mA"), ("_celsius", "°C"), ("_s", "s"), ("_fps", "frames/s"),
    ("baud", "Bd"),
)
"""Endings of keys and their units, the longest first. 1 MB is 10^6 bytes, 1 kB 1000."""

_CAMERA = ("width_px", "height_px", "sample_bits", "packed", "readout_mb_per_s", "max_fps", "frame_memory_mb",
           "fifo_kb", "hub_ports", "hub_speed")
_POWER = ("bus_ma", "amps_idle", "amps_typical", "amps_peak", "volts_min", "volts_max")
_SLOW = ("interface", "has_serial_number", "must_not_sleep", "ready_after_s")

BY_ROLE: dict[str, tuple[str, ...]] = {
    "imaging": ("speed", *_CAMERA, *_POWER),
    "guiding": ("speed", *_CAMERA, *_POWER),
    "mount": ("speed", "drift_arcsec_per_s", "gear", "periodic_error_arcsec", "periodic_error_period_s",
              "longest_pulse_ms", *_SLOW, *_POWER),
    "storage": ("speed", "mb_per_s", *_POWER),
    "network": ("speed", "mb_per_s", "radio_2g4", *_POWER),
    "other": ("speed", "serial_sockets", *_SLOW, *_POWER),
}
"""Facts asked for, by role; other roles are asked what a focuser is. Any fact of the schema can be given unasked."""

SLOW = ("speed", *_SLOW, *_POWER)
SERIAL_ROLES = ("mount", "focuser", "rotator", "filter-wheel", "dew", "power", "weather", "flat-panel")
SERIAL = ("baud", "polls_per_s", "bytes_out", "bytes_in")


@frozen
class Question:
    """One fact to ask for: its key, what it is, and what may be answered. `section` is where it stands in the file."""

    key: str
    words: str
    section: Literal["facts", "serial"] = "facts"
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()

    def __str__(self) -> str:
        if self.choices:
            allowed = ", ".join(self.choices)
        elif self.low is not None and self.high is not None:
            allowed = f"{_short(self.low)} to {_short(self.high)} {unit_of(self.key)}".strip()
        else:
            allowed = ""
        return f"{self.key}: {self.words}" + (f" ({allowed})" if allowed else "")


def _short(bound: float) -> str:
    return f"{bound:,.0f}" if bound == int(bound) else f"{bound:g}"


def unit_of(key: str) -> str:
    """The unit a key ends in; empty where it has none (counts, words, yes or no)."""
    if key.startswith(("volts", "amps")):
        return "V" if key.startswith("volts") else "A"
    if key in ("bytes_out", "bytes_in"):
        return "B"
    return next((unit for ending, unit in KEY_UNITS if key.endswith(ending)), "")


def questions(kind: ProfileKind, role: Role) -> tuple[Question, ...]:
    """The facts to ask for, in the order they are asked."""
    known = all_questions(kind)
    if kind != "device":
        return tuple(known.values())
    keys = BY_ROLE.get(role, SLOW) + (SERIAL if role in SERIAL_ROLES else ())
    return tuple(known[key] for key in keys)


def all_questions(kind: ProfileKind) -> dict[str, Question]:
    """Every fact a profile of that kind may hold, by key, in the order of the schema; the serial line's last."""
    record: Any = {"device": DeviceFacts, "hub": HubFacts, "computer": ComputerFacts}[kind]
    found = {each.name: _question(each, "facts") for each in declared(record)}
    if kind == "device":
        found |= {each.name: _question(each, "serial") for each in declared(SerialFacts)}
    return found


def _question(each: Declared, section: Literal["facts", "serial"]) -> Question:
    choices = ("true", "false") if each.type is bool else each.choices
    return Question(each.name, each.words or each.name, section, each.bounds.low, each.bounds.high, choices)
