"""What descriptors tell of a device or hub, as facts: the one place where a sighting becomes facts.

Each carries the basis "measured" and says what it was read from. A value past the bounds of its fact is no value: it
comes from a device. Comparing lays these over the file's, a first rig file and a first profile are written from them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.model.facts import Fact, T
from topo.model.records import DeviceFacts, HubFacts, HubSpeed
from topo.wiring.kinds import best_mbit, endpoints, in_use, kind_of, speed_word, translators

if TYPE_CHECKING:
    from topo.model.sighting import Endpoint, Scan, Sighting

MOST_TOLD_ENDPOINTS = 31
MOST_SOCKETS = 31
MOST_MA = 5000
MOST_INTERRUPT_BYTES = 3072
"""Three transactions of 1,024 in a microframe (USB 2.0 5.9)."""
INTERVALS_US = (125.0, 4_096_000.0)
"""From a microframe to 2^15 of them (USB 2.0 9.6.6)."""
MOST_ISO_BYTES_PER_MS = 400_000.0

DESCRIPTOR = "its device descriptor"
CONFIGURATION = "what its configuration descriptor claims at most"
ENDPOINT = "its endpoint descriptor"
INTERFACES = "its interface descriptors"


def measured(value: T | None, source: str) -> Fact[T] | None:
    """A measured fact, or None where nothing was told."""
    return None if value is None else Fact(value, "measured", source)


def device_facts(seen: Sighting, scan: Scan) -> DeviceFacts:
    """What a device tells of itself. Its own hub, if it has one, is another sighting."""
    kind = kind_of(seen, scan)
    ends = in_use(seen)
    beat = _busiest(ends)
    named = scan.limits.serials == "all" and any((seen.serial, seen.product, seen.manufacturer))
    return DeviceFacts(
        speed=measured(speed_word(best_mbit((seen,))), _speed_source((seen,))),
        lanes=_lanes((seen,)),
        interface=measured(kind.interface, INTERFACES),
        interrupt_bytes=measured(beat.interval_bytes if beat else None, ENDPOINT),
        interrupt_interval_ms=measured(beat.interval_us / 1000 if beat and beat.interval_us else None, ENDPOINT),
        iso_bytes_per_ms=measured(_streamed(seen), "the largest setting of its streaming interface"),
        endpoints=measured(len(ends) if 1 <= len(ends) <= MOST_TOLD_ENDPOINTS else None, INTERFACES),
        has_serial_number=measured(seen.serial is not None if named else None, DESCRIPTOR),
        radio_2g4=measured(True if kind.radio else None, "it has a wireless interface"),
        bus_ma=measured(claimed_ma(seen), CONFIGURATION),
    )


def hub_facts(sides: Sequence[Sighting], used: int = 0) -> HubFacts:
    """What the sides of a hub tell, the USB 2 side first. `used` is the highest port that something is in."""
    first = sides[0]
    count = max(used, *(side.max_child or 0 for side in sides))
    supplied = [side.self_powered for side in sides if side.self_powered is not None]
    return HubFacts(
        speed=measured(hub_speed(sides), _speed_source(sides)),
        lanes=_lanes(sides),
        ports=measured(count if 1 <= count <= MOST_SOCKETS else None, "the hub descriptor; some may have no socket"),
        powered=measured(any(supplied) if supplied else None,
                         "its configuration descriptor, which some hubs fill in wrongly"),
        translators=measured(translators(first), DESCRIPTOR),
        bus_ma=measured(claimed_ma(first), CONFIGURATION),
    )


def _lanes(seen: Sequence[Sighting]) -> Fact[int] | None:
    """Two where 20 Gb/s were seen or are told: that is two lanes of 10 Gb/s (USB 3.2 3.1.1)."""
    return measured(2 if (best_mbit(seen) or 0) >= 20_000 else None, _speed_source(seen))


def hub_speed(sides: Sequence[Sighting]) -> HubSpeed | None:
    """The word of a hub's best side; no hub is a low-speed one (USB 2.0 11.1)."""
    word = speed_word(best_mbit(sides))
    return "full" if word == "low" else word


def claimed_ma(seen: Sighting) -> float | None:
    """What a device says it takes from the bus at most, mA; None where it says that it has a supply of its own."""
    told = seen.max_power_ma
    return None if told is None or seen.self_powered or not 0 <= told <= MOST_MA else float(told)


def _speed_source(seen: Sequence[Sighting]) -> str:
    if any(side.could_mbit for side in seen):
        return "the device's BOS descriptor"
    return "the speed it ran at; where a cable or hub held it back it can do more"


def _busiest(ends: Sequence[Endpoint]) -> Endpoint | None:
    """The interrupt endpoint that takes most of the bus."""
    least, most = INTERVALS_US
    often = [end for end in ends if end.kind == "interrupt" and end.interval_us and least <= end.interval_us <= most]
    busiest = max(often, key=lambda end: end.interval_bytes / (end.interval_us or 1), default=None)
    return busiest if busiest is not None and 1 <= busiest.interval_bytes <= MOST_INTERRUPT_BYTES else None


def _streamed(seen: Sighting) -> float | None:
    """Bytes that the largest isochronous setting reserves each millisecond."""
    streams = [end for end in endpoints(seen) if end.kind == "iso" and end.interval_us]
    most = max((end.interval_bytes / ((end.interval_us or 1) / 1000) for end in streams), default=0.0)
    return most if 1 <= most <= MOST_ISO_BYTES_PER_MS else None
