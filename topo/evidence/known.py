"""Figures that a capture measures: sizes of frames, rates alone and with others on the wire, cadence, waiting."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Iterator, Sequence

from topo.model.answers import Known
from topo.model.evidence import FrameData, Transfers

LEAST_READS = 4
LEAST_MEASURED = 5
LEAST_REQUESTS = 50
ALONE_SHARE = 0.02
TOGETHER_SHARE = 0.10
LEAST_RATED_BYTES = 100_000
"""Less than this is over too fast for a rate: what waits between reads is then most of its time."""


def of_stream(name: str, part: str | None, bursts: Sequence[FrameData]) -> Iterator[Known]:
    """What the frames of one endpoint measure. `name` is the device in the capture, "bus.number"."""
    if len(bursts) < LEAST_MEASURED:
        return
    sizes = sorted(burst.size_bytes for burst in bursts)
    yield Known("bytes of a frame", name, part, _three(sizes), "byte", len(bursts))
    ends = [burst.until.seconds for burst in bursts]
    gaps = sorted(b - a for a, b in itertools.pairwise(ends))
    yield Known("time from frame to frame", name, part, _three(gaps), "s", len(gaps))
    for what, chosen in (("rate alone", [b for b in bursts if b.others_bytes <= ALONE_SHARE * b.size_bytes]),
                         ("rate with others", [b for b in bursts if b.others_bytes > TOGETHER_SHARE * b.size_bytes])):
        rates = sorted(rate for burst in chosen if (rate := rate_of(burst)) is not None)
        if len(rates) >= LEAST_MEASURED:
            yield Known(what, name, part, _three(rates), "MB/s", len(rates))
    lasting = sorted(b.until.seconds - b.at.seconds for b in bursts if b.reads >= LEAST_READS)
    if len(lasting) >= LEAST_MEASURED:
        yield Known("first to last byte of a frame", name, part, _three(lasting), "s", len(lasting))


def of_endpoint(one: Transfers, part: str | None) -> Iterator[Known]:
    """What an endpoint's own sums measure: how long requests wait, and how many failed."""
    if one.latency_likely_s is None or one.latency_high_s is None or one.kind not in ("bulk", "control"):
        return
    if one.completions >= LEAST_REQUESTS and not one.device.endswith(".1"):
        value = (one.latency_likely_s, one.latency_likely_s, one.latency_high_s)
        yield Known(f"request waits ({one.kind}, endpoint {one.endpoint & 127})", one.device, part, value, "s",
                    one.completions)


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
