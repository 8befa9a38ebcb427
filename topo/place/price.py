"""What the pictures lose by a change, in words: longer downloads, fewer frames, fewer pixels, a slower guide cycle."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Protocol

from topo.model.figures import number, seconds
from topo.model.plain import plain
from topo.usb.camera import field_px

if TYPE_CHECKING:
    from topo.model.facts import Range3
    from topo.model.rig import Rig
    from topo.model.traffic import Flow

TELLING = 1.05
"""Downloads that get longer by less than this are not spoken of."""


class Outcomes(Protocol):
    """A studied rig, as far as it is asked here."""

    def flow(self, part_id: str, /) -> Flow | None:
        """What a device moves, or None."""

    def alone_s(self, part_id: str, /) -> Range3 | None:
        """Seconds that a frame of a device takes alone; None where it moves no frames."""

    @property
    def rig(self) -> Rig:
        """The rig."""


def prices(before: Outcomes, after: Outcomes) -> tuple[str, ...]:
    """Each loss in one phrase, in the order of the rig; empty where nothing is lost."""
    return tuple(words for part in before.rig.devices for words in _of_device(before, after, part.id))


def share_lost(before: Outcomes, after: Outcomes) -> float:
    """What the camera that loses most loses of its pixels, of a side of its field or of its frames a second, 0 to 1, to
    a hundredth: the largest of these. Downloads that get longer lose none."""
    return round(max((_share(before, after, part.id) for part in before.rig.devices), default=0.0), 2)


def _share(before: Outcomes, after: Outcomes, name: str) -> float:
    flow, then = before.flow(name), after.flow(name)
    if flow is None or then is None or not flow.frame_bytes or not then.frame_bytes:
        return 0.0
    fewer = _times_fewer(flow, then, _field_cut(before, after, name))
    return max((1.0 - 1.0 / ratio for ratio in fewer if 1.0 < ratio < math.inf), default=0.0)


def _field_cut(before: Outcomes, after: Outcomes, name: str) -> float:
    """How many times fewer pixels of the sensor are read, 1 where that is not known."""
    was, now = (field_px(part.facts, part.use) for part in (before.rig.device(name), after.rig.device(name)))
    return 1.0 if was is None or now is None else math.prod(was) / math.prod(now)


def _times_fewer(flow: Flow, then: Flow, cut: float) -> Iterator[float]:
    """How many times fewer the pixels of a frame are by binning, how many times shorter a side of the field is, and, of
    a stream, how many times fewer the frames a second; both send frames.

    A field that is `cut` counts by its side, and so for less than as many frames: a planet fills little of the frame
    and loses nothing with the sky around it, while every frame that is not taken is missing in its stack (our own).
    """
    yield flow.frame_bytes / then.frame_bytes / cut
    yield math.sqrt(cut)
    if flow.kind == "video" and 0.0 < then.demand_bytes_per_s < math.inf:
        yield flow.demand_bytes_per_s / flow.frame_bytes * then.frame_bytes / then.demand_bytes_per_s


def _of_device(before: Outcomes, after: Outcomes, part_id: str) -> Iterator[str]:
    name = plain(part_id)
    flow, then = before.flow(part_id), after.flow(part_id)
    if flow is None or then is None:
        return
    cut, part = _field_cut(before, after, part_id), after.rig.device(part_id)
    if cut > 1.001 and (field := field_px(part.facts, part.use)) is not None:
        yield (f"{name}: a smaller field of {field[0]} × {field[1]} pixels, {number(100 / cut, 2)} % of it now; what "
               "it films must stay in it")
    was, now = flow.frame_bytes / cut, then.frame_bytes
    if was and now and now < was * 0.999:
        yield f"{name}: keeps {number(100 * now / was, 2)} % of its pixels"
    if flow.kind == "video" and then.demand_bytes_per_s < flow.demand_bytes_per_s * 0.999 and flow.frame_bytes:
        asked, asks = flow.demand_bytes_per_s / flow.frame_bytes, then.demand_bytes_per_s / max(1.0, then.frame_bytes)
        if asks < asked * 0.999:
            yield f"{name}: {number(asked - asks, 2)} of {number(asked, 2)} frames a second not taken"
    limited = flow.kind == "still" and flow.cap_bytes_per_s != then.cap_bytes_per_s
    if limited and (longer := _times_longer(before, after, part_id)) > TELLING:
        yield f"{name}: downloads {number(longer, 2)} times longer"
    if flow.is_burst and flow.period_s and then.period_s and then.period_s > flow.period_s * 1.001:
        yield f"{name}: a frame every {seconds(then.period_s)} instead of {seconds(flow.period_s)}"


def _times_longer(before: Outcomes, after: Outcomes, part_id: str) -> float:
    """How many times longer a download is, 0 where there is none to compare."""
    was, now = before.alone_s(part_id), after.alone_s(part_id)
    return now.likely / was.likely if was is not None and now is not None and was.likely > 0.0 else 0.0


def loss(before: Outcomes, after: Outcomes) -> float:
    """All that pictures lose by a change in one figure, smaller is better: the logarithms of how many times fewer the
    pixels, fewer the frames, longer the downloads and the cycles are, added up (our own)."""
    return round(math.fsum(_lost(before, after, part.id) for part in before.rig.devices), 6)


def _lost(before: Outcomes, after: Outcomes, part_id: str) -> float:
    flow, then = before.flow(part_id), after.flow(part_id)
    if flow is None or then is None or not flow.frame_bytes or not then.frame_bytes:
        return 0.0
    ratios = [*_times_fewer(flow, then, _field_cut(before, after, part_id))]
    limited = flow.cap_bytes_per_s != then.cap_bytes_per_s and (flow.kind != "video" or not then.demand_bytes_per_s)
    if limited:
        ratios.append(_times_longer(before, after, part_id))
    if flow.is_burst and flow.period_s and then.period_s:
        ratios.append(then.period_s / flow.period_s)
    return math.fsum(math.log(ratio) for ratio in ratios if 1.0 < ratio < math.inf)
