"""A USB capture as a `Reading`. Where two interfaces saw one endpoint (all buses, one bus), the fuller one counts."""

from __future__ import annotations

from typing import BinaryIO

from topo.evidence.capture.blocks import PCAP, SECTION, Walked, walk
from topo.evidence.capture.meter import Meter
from topo.evidence.capture.packets import HEADERS
from topo.model.evidence import (
    Arrival,
    ClockSpan,
    ClockStep,
    EvidenceEvent,
    FrameData,
    Handed,
    Moment,
    Reading,
    Transfers,
)
from topo.model.reader import EvidenceReader


def recognises(head: bytes) -> bool:
    """True for pcap and pcapng by their magic numbers."""
    return head[:4] in PCAP or head[:4] == SECTION


def read(stream: BinaryIO, handed: Handed) -> Reading:
    """Reads a capture. Raises ValueError where it holds no packet of USB that can be read."""
    walked = walk(stream)
    meters = [meter for meter in walked.meters.values() if meter.endpoints]
    if not meters:
        raise ValueError(_why_empty(walked))
    transfers, bursts = _merged(meters)
    first = min(t.first_s for t in transfers)
    last = max(t.last_s for t in transfers)
    steps = [ClockStep(Moment(at, "utc"), round(step, 3)) for meter in meters for at, step in meter.steps]
    events: list[EvidenceEvent] = [*steps, *_arrivals(transfers, first), *bursts]
    events.sort(key=lambda event: (event.at.seconds, type(event).__name__))
    links = sorted({face.link for face in walked.faces if face.meter.endpoints})
    return Reading(
        f"USB capture (link type {', '.join(map(str, links))})", (ClockSpan("utc", "utc", first, last, 1e-6),),
        events=tuple(events), transfers=tuple(transfers), skipped=tuple(_skipped(walked, meters)),
    )


def _why_empty(walked: Walked) -> str:
    links = sorted({face.link for face in walked.faces})
    if links and not any(link in HEADERS for link in links):
        return f"a capture of link type {', '.join(map(str, links))}, which is no USB"
    return walked.ended or "it holds no packet of USB that can be read"


def _merged(meters: list[Meter]) -> tuple[list[Transfers], list[FrameData]]:
    best: dict[tuple[str, int], tuple[Transfers, int]] = {}
    for number, meter in enumerate(meters):
        for one in meter.transfers():
            key = (one.device, one.endpoint)
            if key not in best or _packets(one) > _packets(best[key][0]):
                best[key] = (one, number)
    bursts = [burst for number, meter in enumerate(meters) for burst in meter.bursts()
              if best[(burst.device, burst.endpoint)][1] == number]
    return [best[key][0] for key in sorted(best, key=_order)], bursts


def _packets(one: Transfers) -> int:
    return one.submissions + one.completions


def _order(key: tuple[str, int]) -> tuple[int, int, int]:
    bus, device = key[0].split(".")
    return int(bus), int(device), key[1]


def _arrivals(transfers: list[Transfers], first: float) -> list[Arrival]:
    """Devices first seen more than a second after the start: what joins a capture with a kernel log.

    Their place is not told by a capture, so the path is "bus.device" as there.
    """
    seen: dict[str, float] = {}
    for one in transfers:
        seen[one.device] = min(seen.get(one.device, one.first_s), one.first_s)
    return [Arrival(Moment(at, "utc"), device, int(device.split(".")[1]))
            for device, at in seen.items() if at > first + 1.0 and not device.endswith(".1")]


def _skipped(walked: Walked, meters: list[Meter]) -> list[str]:
    told = []
    if walked.ended:
        told.append(walked.ended)
    if walked.unread:
        told.append(f"{walked.unread} of its {walked.packets} packets are no transfers of USB that can be read")
    if walked.cut:
        told.append(f"{walked.cut} packets were cut short when captured; sizes come from their headers")
    if walked.dropped:
        told.append(f"it says that {walked.dropped} packets were lost, so a gap in it proves nothing")
    left_out = sum(c.frames.left_out for m in meters for c in m.endpoints.values() if c.frames is not None)
    if left_out:
        told.append(f"{left_out} frames are only in the sums: too many to keep, or too small for pictures")
    return told


def reader() -> EvidenceReader:
    """The reader of USB captures."""
    return EvidenceReader("usb-capture", "USB captures: pcap and pcapng of Linux and Windows", (".pcap", ".pcapng"),
                          recognises, read)
