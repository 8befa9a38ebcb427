"""What the 12 V side and the 5 V of USB come to: amps and volts at every plug, and what could not be judged.

Currents and volts come for each state of the loads (idle, typical, peak: all at once), each as low, likely and high.
"""

from __future__ import annotations

from typing import Literal

from topo.frozen import frozen
from topo.model.facts import Basis, Range3

LoadState = Literal["idle", "typical", "peak"]
LOAD_STATES: tuple[LoadState, ...] = ("idle", "typical", "peak")

StepKind = Literal["wire", "contact", "fuse", "box", "inside"]


@frozen
class ByState:
    """A figure with the loads idle, in normal work, and all at their peak. None where they cannot be fed."""

    idle: Range3 | None
    typical: Range3 | None
    peak: Range3 | None

    def of(self, state: LoadState) -> Range3 | None:
        """The figure in one state."""
        return self.idle if state == "idle" else self.typical if state == "typical" else self.peak


@frozen
class OhmStep:
    """One thing that costs volts on a lead: what it is, its ohms there and back, and its metres of lead."""

    kind: StepKind
    ohm: Range3
    metres: float = 0.0


@frozen
class LeadPower:
    """A lead: where from and to, what it carries, the volts at its two ends.

    `limit_a` is what its wire stands. `fuse_a` is the fuse that guards it, at `guard`: itself, or a lead, block or
    channel nearer the supply; `fuse_may_be_smaller` where a channel between may have a limit nobody stated.
    `starts_m` is how far from the supply it begins. `figures` is the weakest basis of its length, gauge and plugs,
    `drawn` that of its amps. `beside` are leads between the same two ends, which share the current by their ohms;
    `alone` is what it carries once these are open.
    """

    id: str
    source: str
    to: str
    supply: str
    amps: ByState
    volts_from: ByState
    volts_to: ByState
    steps: tuple[OhmStep, ...]
    starts_m: float
    length_m: float
    limit_a: float | None
    fuse_a: float | None
    guard: str | None
    fuse_may_be_smaller: bool
    figures: Basis
    drawn: Basis
    limit_basis: Basis
    fuse_basis: Basis
    beside: tuple[str, ...] = ()
    alone: ByState | None = None

    @property
    def all_amps(self) -> ByState:
        """What it carries together with the leads beside it."""
        return self.amps if self.alone is None else self.alone


@frozen
class PlugPower:
    """A part on the 12 V side: what it draws, the volts at its plug, and what it works at.

    `at_rest` are the volts with nothing drawn by anybody; `basis` the weakest of what its volts rest on, `rest_basis`
    that of volts at rest, `drawn` that of its own amps.
    """

    part: str
    lead: str
    amps: ByState
    volts: ByState
    at_rest: Range3
    floor: float | None
    ceiling: float | None
    basis: Basis
    rest_basis: Basis
    drawn: Basis
    floor_basis: Basis
    ceiling_basis: Basis


@frozen
class SourcePower:
    """A supply or a converter: its volts before anything is drawn, what is drawn, what it may give. `basis` is the
    weakest of what its amps rest on."""

    id: str
    kind: Literal["supply", "converter"]
    volts: Range3
    amps: ByState
    may_give_a: float | None
    fed: tuple[str, ...]
    basis: Basis
    volts_basis: Basis


@frozen
class Unfed:
    """Loads that cannot be fed: in this state and level of uncertainty, all on `source` together ask for more than its
    leads carry. `share` of it could be fed, and `lead` is where most is lost."""

    source: str
    state: LoadState
    level: Literal["low", "likely", "high"]
    share: float
    lead: str


@frozen
class NotJudged:
    """Something of power that nobody can judge, and the facts that are missing."""

    what: Literal["supply", "lead", "part", "usb"]
    name: str
    missing: tuple[str, ...]


@frozen
class Ring:
    """A thing that two ways from one source lead to, not over leads side by side: what each way carries is not worked
    out. `first` is the lead that is judged as if it carried all, `other` the second one as it is once that is open."""

    end: str
    first: str
    other: LeadPower


@frozen
class PowerOutcome:
    """The whole 12 V side."""

    sources: tuple[SourcePower, ...] = ()
    leads: tuple[LeadPower, ...] = ()
    plugs: tuple[PlugPower, ...] = ()
    unfed: tuple[Unfed, ...] = ()
    not_judged: tuple[NotJudged, ...] = ()
    rings: tuple[Ring, ...] = ()

    def plug(self, part: str) -> PlugPower | None:
        """What reaches a part; None where no lead that can be judged does."""
        return next((each for each in self.plugs if each.part == part), None)

    def lead(self, lead_id: str) -> LeadPower | None:
        """A lead that can be judged."""
        return next((each for each in self.leads if each.id == lead_id), None)


@frozen
class UsbPower:
    """The 5 V of one USB plug: what is drawn there with all behind it, what its socket may give, and the volts.

    `volts` are those at the part's own end of the cable; None where a fact is missing, which `missing` names. `floor`
    is what the part has to work at by the standard. `fed_12v` is the hub above, where that has its 5 V from the 12 V
    side.
    """

    part: str
    plug: str
    drawn_ma: float | None
    may_give_ma: float
    may_give_basis: Basis
    volts_at_socket: Range3 | None
    volts: Range3 | None
    floor: float
    drawn_basis: Basis
    volts_basis: Basis
    fed_12v: str | None = None
    missing: tuple[str, ...] = ()


@frozen
class FallOut:
    """A part that falls below its lowest volts, `at_s` into the night, for `lasts_s` (to dawn and on, where None).

    `source` feeds it. `battery_low` where it is the charge that ran down, and not only what else draws, `raised` the
    parts that draw their peak just then. `dark` loses its 12 V with it, `cut_off` is no longer reached from the
    computer. `level` is `low` where it is so only at the low end of what is uncertain.
    """

    part: str
    source: str
    at_s: float
    lasts_s: float | None
    level: Literal["low", "likely"]
    battery_low: bool
    raised: tuple[str, ...] = ()
    dark: tuple[str, ...] = ()
    cut_off: tuple[str, ...] = ()


@frozen
class BatteryNight:
    """A battery's night, as low, likely and high. `lasts_h` until what you let it give is used up, past dawn if it does
    that, which goes on as the night ended. `falls` are the parts that fall below their lowest volts before dawn because
    it runs down, in the order in which they do."""

    supply: str
    night_h: float
    lasts_h: Range3
    left_at_dawn: Range3
    falls: tuple[FallOut, ...] = ()


@frozen
class PowerNight:
    """Volts through the night. `times_s` ascending; `volts` of each plug at each time, `amps` of each source; None
    where it cannot be fed any more. `falls` are all parts that fall below their lowest volts, first to last, `floors`
    those of each part where they are known."""

    seconds: float
    times_s: tuple[float, ...] = ()
    volts: tuple[tuple[str, tuple[Range3 | None, ...]], ...] = ()
    amps: tuple[tuple[str, tuple[float | None, ...]], ...] = ()
    batteries: tuple[BatteryNight, ...] = ()
    falls: tuple[FallOut, ...] = ()
    floors: tuple[tuple[str, float], ...] = ()
