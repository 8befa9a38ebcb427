"""What the computation found for each link, device and pair of cameras: plain figures for checks and reports."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from topo.model.facts import Basis, Range3
    from topo.model.rig import Role
    from topo.model.speed import Speed
    from topo.model.traffic import Direction, FlowKind, LinkKind

Lost = Literal["no", "possible", "certain"]


@dataclass(frozen=True, slots=True)
class Limit:
    """What keeps a device from its best speed: the part whose leg it is, which element of the leg, and how in words."""

    part: str
    element: Literal["port", "cable", "hub", "computer", "serial"]
    speed: Speed
    text: str


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
class DeviceOutcome:
    """One device: the speed it gets and could get, its frame, its download alone and together, its losses.

    `path` lists the plugs from the device up to the computer. Times are seconds. `together` is the download when
    every other download on the shared links starts with it. Delays, overlap and drift are for guide cameras: extra
    seconds of a guide frame under fair sharing and when others are served first; the chance that a download meets a
    guide frame; arcseconds of drift during each delay where the mount's drift is known.
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
    delay_serialised_s: Range3 | None = None
    drift_fair_arcsec: Range3 | None = None
    drift_serialised_arcsec: Range3 | None = None
    overlap_chance: float | None = None
    lost: Lost = "no"
    lost_after_s: Range3 | None = None


@dataclass(frozen=True, slots=True)
class PairOutcome:
    """A guide camera and another burst on a link they share; `links` from the nearest to the guide camera up."""

    guide: str
    other: str
    links: tuple[str, ...]
    delay_fair_s: Range3
    delay_serialised_s: Range3
    overlap_chance: float | None
    lost: Lost
