"""The strips of a rig's night: one exposure's end as it is, and the same with the first advice done beneath it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.draw.strip import scale_of, strip
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.draw.shapes import Sheet
    from topo.night.moment import CloseUp

HERE = "One exposure's end, as it is"
DONE = "The same with this done: "


def strips_of(here: CloseUp | None, after: CloseUp | None, advice: str) -> tuple[Sheet, ...]:
    """One sheet, or two on the same scale; none where no guide camera is there beside pictures. `advice` in words."""
    if here is None:
        return ()
    if after is None:
        return (strip(here, f"{HERE}: {plain(here.guide)} while {plain(here.camera)} downloads", scale_of(here)),)
    scale = scale_of(here, after)
    return (strip(here, f"{HERE}: {plain(here.guide)} while {plain(here.camera)} downloads", scale),
            strip(after, DONE + plain(advice, 300), scale))
