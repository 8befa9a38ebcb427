"""What the computation found for each link, device and pair of cameras: plain figures for checks and reports."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.facts import Basis, Range3
    from topo.model.rig import Role
    from topo.model.speed import Speed
    from topo.model.traffic import Direction, FlowKind, LinkKind

Lost = Literal["no", "possible", "certain"]


@frozen
class Limit:
    """What keeps a device from its best speed: the part whose leg it is, which element of the leg, and how in words."""

    part: str
    element: Literal["port", "cable", "hub", "computer", "serial"]
    speed: Speed
    text: str


@frozen
class LinkOutcome:
    """One link with what it carries. `load_average` and `load_peak` are shares of its likely capacity."""

    id: str
    kind: LinkKind
    direction: Direction
    label: str
    legs: tuple[str, ...]
    ceiling_mb_per_s: float
    expected_mb_per_s: Range3
    reserved: float
    load_average: float
    load_peak: float
    asked_mb_per_s: float
    carries: tuple[str, ...]
    basis: Basis
    assumption: str = ""


@frozen
class DeviceOutcome:
    """One device: the speed it gets and could get, its frame, its download alone and together, its losses.

    `path` lists the plugs from the device up to the computer. Times are seconds. `together` is the download when
    every other download on the shared links starts with it, and `delay` what that adds for a guide camera: the worst
    coincidence, where all share fairly and where the others come first (inf: its frames never come). `chance` is the
    share of downloads that delay a guide frame. For a stream `night_mb_per_s` is its rate over the night, `dip_s` how
    long and `dip_every_s` how often downloads press it down to `gets`, and `skipped` the share of its frames lost.
    """

    id: str
    role: Role
    path: tuple[str, ...]
    speed: Speed | None
    could_be: Speed | None
    limited_by: Limit | None
    flow: FlowKind | None = None
    frame_bytes: int | None = None
    cadence_s: float | None = None
    alone_s: Range3 | None = None
    together_s: Range3 | None = None
    asked_mb_per_s: float | None = None
    gets_mb_per_s: Range3 | None = None
    delay_fair_s: Range3 | None = None
    delay_last_s: Range3 | None = None
    chance: float | None = None
    night_mb_per_s: Range3 | None = None
    dip_s: float = 0.0
    dip_every_s: float | None = None
    skipped: Range3 | None = None
    lost: Lost = "no"
    lost_after_s: float | None = None
