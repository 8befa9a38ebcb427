"""The strips of a rig's night: one exposure's end as it is, and the same with the first advice done beneath it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.draw.strip import scale_of, strip
from topo.model.plain import plain
from topo.night.moment import DrawnNights, moment, worst_moment

if TYPE_CHECKING:
    from topo.draw.shapes import Sheet
    from topo.night.outcome import Nights

HERE = "One exposure's end, as it is"
DONE = "The same with this done: "


def strips_of(now: Nights, then: Nights | None, advice: str, seed: int = 0) -> tuple[Sheet, ...]:
    """One sheet, or two on the same scale; none where no guide camera is there beside pictures. `advice` in words."""
    draws = DrawnNights(seed)
    here = worst_moment(now, draws)
    if here is None:
        return ()
    after = None if then is None else moment(then, here.guide, here.camera, draws)
    if after is None:
        return (strip(here, f"{HERE}: {plain(here.guide)} while {plain(here.camera)} downloads", scale_of(here)),)
    scale = scale_of(here, after)
    return (strip(here, f"{HERE}: {plain(here.guide)} while {plain(here.camera)} downloads", scale),
            strip(after, DONE + plain(advice, 300), scale))
