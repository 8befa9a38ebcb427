"""Changes a person can make to a rig: moves of plugs, cables and settings. Applied by `topo.wiring.apply`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.records import CableFacts
    from topo.model.rig import Controller, Part, Socket


@frozen(order=True)
class MovePlug:
    """Pull one part's plug and push it into another socket, `PART/SOCKET`."""

    part: str
    to_part: str
    to_socket: str

    def __str__(self) -> str:
        return f"move {self.part} to {self.to_part}/{self.to_socket}"


@frozen(order=True)
class SwapPlugs:
    """Exchange the plugs of two parts."""

    part: str
    other: str

    def __str__(self) -> str:
        return f"swap the plugs of {self.part} and {self.other}"


@frozen
class SetCable:
    """Use another cable on a part's leg."""

    part: str
    cable: CableFacts

    def __str__(self) -> str:
        return f"change the cable of {self.part}"


@frozen(order=True)
class SetUse:
    """Change a setting of tonight's use, such as `limit_mb_per_s`, `bin`, `exposure_s` or `gap_s`."""

    part: str
    key: str
    value: float | int | str

    def __str__(self) -> str:
        return f"set {self.key} of {self.part} to {self.value}"


@frozen(order=True)
class SetLead:
    """Make a 12 V lead of something else: `gauge_awg`, `area_mm2`, `fuse_amps`, `fuse_at_m`, `length_m`."""

    lead: str
    key: str
    value: float | int

    def __str__(self) -> str:
        return f"set {self.key} of {self.lead} to {self.value}"


@frozen(order=True)
class SetSupply:
    """Set a supply's `volts`, `amps` or `ah`: by its own adjuster, or by another supply in its place."""

    supply: str
    key: str
    value: float

    def __str__(self) -> str:
        return f"set {self.key} of {self.supply} to {self.value}"


@frozen(order=True)
class SetSerial:
    """Change a setting of a serial line: `polls_per_s`, `baud`, `latency_timer_ms`, `clients`. It costs no picture."""

    part: str
    key: str
    value: float | int | str

    def __str__(self) -> str:
        return f"set {self.key} of the serial line of {self.part} to {self.value}"


@frozen
class AddPart:
    """Add a part, already plugged in."""

    part: Part

    def __str__(self) -> str:
        return f"add {self.part.id} at {self.part.plug}"


@frozen
class AddCard:
    """Put a card with USB controllers of its own into the computer: its controllers, and its sockets on these."""

    controllers: tuple[Controller, ...]
    sockets: tuple[Socket, ...]

    def __str__(self) -> str:
        return f"add a card with {', '.join(socket.name for socket in self.sockets)}"


Change = MovePlug | SwapPlugs | SetCable | SetUse | SetSerial | SetLead | SetSupply | AddPart | AddCard


@frozen
class Proposal:
    """Changes in the order in which they are done.

    `buys` names each thing that is not at hand, in words with an article. `to_try` names each cable that may be too
    short, with how much may be needed. `cables` are the parts that get another cable.
    """

    steps: tuple[Change, ...]
    buys: tuple[str, ...] = ()
    to_try: tuple[str, ...] = ()

    @property
    def plugs(self) -> int:
        """Plugs that have to be pulled and pushed in elsewhere. A swap is two."""
        return sum(2 if isinstance(s, SwapPlugs) else 1 for s in self.steps if isinstance(s, MovePlug | SwapPlugs))

    @property
    def settings(self) -> tuple[SetUse, ...]:
        """The settings among the steps."""
        return tuple(step for step in self.steps if isinstance(step, SetUse))
