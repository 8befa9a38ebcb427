"""A serial line as it is planned: who asks on it, how often, and how long each exchange holds it. Plain figures."""

from __future__ import annotations

import math
from functools import cached_property
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.facts import Range3

if TYPE_CHECKING:
    from topo.model.facts import Basis
    from topo.model.records import LineMedium, PulseBy


@frozen
class Asker:
    """One program that asks one part on a line: every `period_s`, each exchange holding the line for `holds_s`."""

    part: str
    period_s: float
    holds_s: Range3
    payload_bytes: float


@frozen
class PulseCommand:
    """A guide command on a line: what it takes besides waiting for its turn, seconds, and who times the pulse
    (None: not known). `longest_s` is the longest pulse sent, None where that is not known."""

    part: str
    takes_s: Range3
    by: PulseBy | None
    longest_s: float | None
    basis: Basis


@frozen(slots=False)
class SerialLine:
    """One serial line: of a serial socket, of a part with a serial bridge inside, or of a part on the network.

    `parts` are those on it, in the order of the file; `askers` those that are polled. `baud` is the slowest rate on
    it, None where none is known. `timer_s` is the receive timer of its bridge (0: none), `basis` the weakest of the
    figures that exchanges are computed from. `pulse` is there where a mount on it is steered by commands.
    """

    id: str
    label: str
    parts: tuple[str, ...]
    askers: tuple[Asker, ...]
    baud: int | None
    character_s: float | None
    over: LineMedium
    timer_s: float
    basis: Basis
    assumption: str = ""
    pulse: PulseCommand | None = None

    @cached_property
    def load(self) -> Range3:
        """Share of its time that polls ask for; 1 and above is never caught up with."""
        return Range3(*(math.fsum(getattr(each.holds_s, level) / each.period_s for each in self.askers)
                        for level in ("low", "likely", "high")))


@frozen
class LineWaits:
    """How long a command waits for its turn on a line, seconds, over random phases of the polls.

    `chance` is how often it waits at all; `mean_s` over all commands, of the middle phases; `worst_s` the longest
    possible. `error_s` is the standard deviation of the difference of two waits one pulse apart. All inf where the line
    never catches up.
    """

    chance: float
    mean_s: float
    worst_s: float
    error_s: float
