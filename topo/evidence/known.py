"""Figures that a capture measures: sizes of frames, rates alone and with others on the wire, cadence, waiting."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Iterator, Sequence

from topo.model.answers import Known, RequestWaits
from topo.model.evidence import FrameData, Transfers

LEAST_READS = 4
LEAST_MEASURED = 5
LEAST_REQUESTS = 50
ALONE_SHARE = 0.02
TOGETHER_SHARE = 0.10
LEAST_RATED_BYTES = 100_000
"""Less than this is over too fast for a rate: what waits between reads is then most of its time."""


def of_stream(name: str, part: str | None, bursts: Sequence[FrameData], shift_s: float) -> Iterator[Known]:
    """What the frames of one endpoint measure. `name` is the device in the capture, "bus.number".

    `shift_s` added to times of the capture gives those of the common clock.
    """
    if len(bursts) < LEAST_MEASURED:
        return
    at = bursts[0].at.seconds + shift_s
    sizes = sorted(burst.size_bytes for burst in bursts)
    yield Known("bytes of a frame", name, part, _three(sizes), "byte", len(bursts), at_s=at)
    ends = [burst.until.seconds for burst in bursts]
    gaps = sorted(b - a for a, b in itertools.pairwise(ends))
    yield Known("time from frame to frame", name, part, _three(gaps), "s", len(gaps), at_s=at)
    for what, chosen in (("rate alone", [b for b in bursts if b.others_bytes <= ALONE_SHARE * b.size_bytes]),
                         ("rate with others", [b for b in bursts if b.others_bytes > TOGETHER_SHARE * b.size_bytes])):
        rates = sorted(rate for burst in chosen if (rate := rate_of(burst)) is not None)
        if len(rates) >= LEAST_MEASURED:
            yield Known(what, name, part, _three(rates), "MB/s", len(rates), at_s=at)
    lasting = sorted(b.until.seconds - b.at.seconds for b in bursts if b.reads >= LEAST_READS)
    if len(lasting) >= LEAST_MEASURED:
        yield Known("first to last byte of a frame", name, part, _three(lasting), "s", len(lasting), at_s=at)


def waits_of(one: Transfers, part: str | None) -> RequestWaits | None:
    """How long an endpoint's requests waited; None where they are too few, or wait for something to happen anyway."""
    low, median, high = one.latency_low_s, one.latency_median_s, one.latency_high_s
    if low is None or median is None or high is None or one.kind not in ("bulk", "control"):
        return None
    if one.completions < LEAST_REQUESTS or one.device.endswith(".1"):
        return None
    return RequestWaits(one.device, part, one.kind, one.endpoint, one.completions, low, median, high)


def rate_of(burst: FrameData) -> float | None:
    """MB/s from the first completion to the last: the first read's bytes came before. None where reads are too few."""
    lasted = burst.until.seconds - burst.at.seconds
    if burst.reads < LEAST_READS or burst.size_bytes < LEAST_RATED_BYTES or lasted <= 0:
        return None
    return burst.size_bytes * (burst.reads - 1) / burst.reads / lasted / 1e6


def _three(values: Sequence[float]) -> tuple[float, float, float]:
    """The 5th, 50th and 95th of a hundred: low, likely, high."""
    ordered = sorted(values)
    last = len(ordered) - 1
    return (float(ordered[math.floor(0.05 * last)]), float(statistics.median(ordered)),
            float(ordered[math.ceil(0.95 * last)]))
