"""What a stream gets: its rate beside all that is steady, how far downloads press it down, and the frames it loses.

A stream asks all the time; downloads come and go. So two figures stand side by side: the rate over the night, and the
dip while downloads go down the same link. A dip that the camera's memory can hold costs no frame.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.facts import Range3

ON_THE_DOT = 1e-9
"""A share of frames below this is rounding."""

if TYPE_CHECKING:
    from topo.model.traffic import Flow


@frozen
class Dip:
    """Downloads of one camera on a stream's links: how long each lasts beside it, and seconds from one to the next."""

    lasts_s: float
    every_s: float


@frozen
class Stream:
    """A stream at one level: bytes/s over the night, and the share of its frames that is lost."""

    night: float
    skipped: float


@frozen
class Streaming:
    """A stream at every level: MB/s over the night, share of frames lost, seconds of a dip and from one to the next."""

    night_mb_per_s: Range3
    skipped: Range3
    dip_s: float
    dip_every_s: float | None


def stream_at(flow: Flow, steady: float, pressed: float, dips: Sequence[Dip], buffer_bytes: float) -> Stream:
    """One level. `steady` is its rate beside all that is steady, `pressed` while everything downloads, bytes/s."""
    down = min(1.0, math.fsum(dip.lasts_s / dip.every_s for dip in dips if dip.every_s > 0.0))
    night = steady * (1.0 - down) + pressed * down
    asks = flow.demand_bytes_per_s
    if not math.isfinite(asks) or asks <= 0.0:
        return Stream(night, 0.0)
    lost = max(0.0, asks - steady)
    for dip in dips:
        spilt = (min(asks, steady) - pressed) * dip.lasts_s - buffer_bytes
        if spilt > 0.0:
            lost += spilt / max(dip.every_s, dip.lasts_s)
    share = min(1.0, lost / asks)
    return Stream(night, share if share > ON_THE_DOT else 0.0)


def streaming(levels: Sequence[Stream], dips: Sequence[Dip]) -> Streaming:
    """The levels together; the dip that lasts longest stands for all."""
    longest = max(dips, key=lambda dip: dip.lasts_s, default=None)
    return Streaming(
        Range3.of(*sorted(each.night / 1e6 for each in levels)), Range3.of(*sorted(each.skipped for each in levels)),
        0.0 if longest is None else longest.lasts_s, None if longest is None else longest.every_s,
    )


def dips_of(
    bursts: Sequence[Flow], took_s: Mapping[str, float], cycles_s: Mapping[str, float | None]
) -> tuple[Dip, ...]:
    """The downloads of cameras that press a stream down; one whose exposure is not known downloads all the time."""
    found = []
    for other in bursts:
        cycle, took = cycles_s.get(other.device), took_s.get(other.device, 0.0)
        if took > 0.0 and math.isfinite(took):
            found.append(Dip(took, cycle if cycle else took))
    return tuple(found)
