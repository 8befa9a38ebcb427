"""How much worse a night goes on after a change, in words: slower downloads, later guide frames, lost frames."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.model.figures import seconds
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.outcome import DeviceOutcome

SLOWER = 1.25
"""Downloads that get longer by less than this are not spoken of."""

TELLING_S = 0.1
"""Nor are downloads that get longer, or guide frames that get later, by less than this many seconds."""


def worse_by(before: Study, after: Study) -> tuple[str, ...]:
    """What gets worse, a phrase each, in the order of the rig; of parts that are wired in both."""
    new = {device.id: device for device in after.devices}
    return tuple(words for old in before.devices if old.id in new for words in _of_device(old, new[old.id]))


def _of_device(old: DeviceOutcome, new: DeviceOutcome) -> Iterator[str]:
    name = plain(old.id)
    if old.role == "imaging" and old.alone_s is not None and new.alone_s is not None:
        was, now = old.alone_s.likely, new.alone_s.likely
        if now > was * SLOWER and now - was > TELLING_S:
            longer = f"takes {seconds(now)} to download instead of {seconds(was)}"
            yield f"a picture of {name} {longer if math.isfinite(now) else 'may never come'}"
    late = old.delay_last_s, new.delay_last_s
    if old.role == "guiding" and late[0] and late[1] and late[1].high > late[0].high + TELLING_S:
        later = f"come up to {seconds(late[1].high)} late"
        yield f"guide frames of {name} {later if math.isfinite(late[1].high) else 'may never come'}"
    if old.lost == "no" and new.lost != "no":
        yield f"{name} may lose frames"
