"""What the pictures lose by a change, in words: longer downloads, fewer frames, fewer pixels, a slower guide cycle."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Protocol

from topo.model.figures import number, seconds
from topo.model.plain import plain

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


class Before(Outcomes, Protocol):
    """The rig before a change."""

    @property
    def rig(self) -> Rig:
        """The rig."""


def prices(before: Before, after: Outcomes) -> tuple[str, ...]:
    """Each loss in one phrase, in the order of the rig; empty where nothing is lost."""
    return tuple(words for part in before.rig.devices for words in _of_device(before, after, part.id))


def share_lost(before: Before, after: Outcomes) -> float:
    """What the camera that loses most loses of its pixels or of its frames a second, 0 to 1, to a hundredth: the larger
    of the two. Downloads that get longer lose none."""
    return round(max((_share(before, after, part.id) for part in before.rig.devices), default=0.0), 2)


def _share(before: Outcomes, after: Outcomes, name: str) -> float:
    flow, then = before.flow(name), after.flow(name)
    if flow is None or then is None or not flow.frame_bytes or not then.frame_bytes:
        return 0.0
    return max((1.0 - 1.0 / ratio for ratio in _times_fewer(flow, then) if 1.0 < ratio < math.inf), default=0.0)


def _times_fewer(flow: Flow, then: Flow) -> Iterator[float]:
    """How many times fewer the pixels of a frame are and, of a stream, the frames a second; both send frames."""
    yield flow.frame_bytes / then.frame_bytes
    if flow.kind == "video" and 0.0 < then.demand_bytes_per_s < math.inf:
        yield flow.demand_bytes_per_s / flow.frame_bytes * then.frame_bytes / then.demand_bytes_per_s


def _of_device(before: Outcomes, after: Outcomes, part_id: str) -> Iterator[str]:
    name = plain(part_id)
    flow, then = before.flow(part_id), after.flow(part_id)
    if flow is None or then is None:
        return
    was, now = int(flow.frame_bytes), int(then.frame_bytes)
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


def loss(before: Before, after: Outcomes) -> float:
    """All that pictures lose by a change in one figure, smaller is better: the logarithms of how many times fewer the
    pixels, fewer the frames, longer the downloads and the cycles are, added up (our own)."""
    return round(math.fsum(_lost(before, after, part.id) for part in before.rig.devices), 6)


def _lost(before: Outcomes, after: Outcomes, part_id: str) -> float:
    flow, then = before.flow(part_id), after.flow(part_id)
    if flow is None or then is None or not flow.frame_bytes or not then.frame_bytes:
        return 0.0
    ratios = [*_times_fewer(flow, then)]
    limited = flow.cap_bytes_per_s != then.cap_bytes_per_s and (flow.kind != "video" or not then.demand_bytes_per_s)
    if limited:
        ratios.append(_times_longer(before, after, part_id))
    if flow.is_burst and flow.period_s and then.period_s:
        ratios.append(then.period_s / flow.period_s)
    return math.fsum(math.log(ratio) for ratio in ratios if 1.0 < ratio < math.inf)
