"""What the pictures lose by a change, in words: longer downloads, fewer frames, fewer pixels, a slower guide cycle."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Protocol

from topo.model.figures import number, seconds
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.outcome import DeviceOutcome
    from topo.model.traffic import Flow

TELLING = 1.05
"""Downloads that get longer by less than this are not spoken of."""


class Outcomes(Protocol):
    """A studied rig, as far as it is asked here."""

    @property
    def devices(self) -> tuple[DeviceOutcome, ...]:
        """The outcome of every device, in the order of the file."""

    def flow(self, part_id: str, /) -> Flow | None:
        """What a device moves, or None."""


def prices(before: Outcomes, after: Outcomes) -> tuple[str, ...]:
    """Each loss in one phrase, in the order of the rig; empty where nothing is lost."""
    new = {device.id: device for device in after.devices}
    return tuple(
        words for old in before.devices if old.id in new for words in _of_device(before, after, old, new[old.id])
    )


def share_lost(before: Outcomes, after: Outcomes) -> float:
    """What the camera that loses most loses of its pixels or of its frames a second, 0 to 1, to a hundredth: the larger
    of the two. Downloads that get longer lose none."""
    return round(max((_share(before, after, old.id) for old in before.devices), default=0.0), 2)


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


def _of_device(before: Outcomes, after: Outcomes, old: DeviceOutcome, new: DeviceOutcome) -> Iterator[str]:
    name = plain(old.id)
    if old.frame_bytes and new.frame_bytes and new.frame_bytes < old.frame_bytes * 0.999:
        yield f"{name}: keeps {number(100 * new.frame_bytes / old.frame_bytes, 2)} % of its pixels"
    flow, then = before.flow(old.id), after.flow(old.id)
    if flow is None or then is None:
        return
    if flow.kind == "video" and then.demand_bytes_per_s < flow.demand_bytes_per_s * 0.999 and flow.frame_bytes:
        was, now = flow.demand_bytes_per_s / flow.frame_bytes, then.demand_bytes_per_s / max(1.0, then.frame_bytes)
        if now < was * 0.999:
            yield f"{name}: {number(was - now, 2)} of {number(was, 2)} frames a second not taken"
    limited = old.flow == "still" and flow.cap_bytes_per_s != then.cap_bytes_per_s
    if limited and old.alone_s and new.alone_s and new.alone_s.likely > old.alone_s.likely * TELLING:
        yield f"{name}: downloads {number(new.alone_s.likely / old.alone_s.likely, 2)} times longer"
    if flow.is_burst and flow.period_s and then.period_s and then.period_s > flow.period_s * 1.001:
        yield f"{name}: a frame every {seconds(then.period_s)} instead of {seconds(flow.period_s)}"


def loss(before: Outcomes, after: Outcomes) -> float:
    """All that pictures lose by a change in one figure, smaller is better: the logarithms of how many times fewer the
    pixels, fewer the frames, longer the downloads and the cycles are, added up (our own)."""
    new = {device.id: device for device in after.devices}
    return round(math.fsum(
        _lost(before, after, old, new[old.id]) for old in before.devices if old.id in new and old.frame_bytes
    ), 6)


def _lost(before: Outcomes, after: Outcomes, old: DeviceOutcome, new: DeviceOutcome) -> float:
    flow, then = before.flow(old.id), after.flow(old.id)
    if flow is None or then is None or not flow.frame_bytes or not then.frame_bytes:
        return 0.0
    ratios = [*_times_fewer(flow, then)]
    limited = flow.cap_bytes_per_s != then.cap_bytes_per_s and (flow.kind != "video" or not then.demand_bytes_per_s)
    if limited and old.alone_s and new.alone_s and old.alone_s.likely > 0.0:
        ratios.append(new.alone_s.likely / old.alone_s.likely)
    if flow.is_burst and flow.period_s and then.period_s:
        ratios.append(then.period_s / flow.period_s)
    return math.fsum(math.log(ratio) for ratio in ratios if 1.0 < ratio < math.inf)
