"""SuperSpeed, PCI Express, translators, cables and currents: derived figures against published ones."""

from __future__ import annotations

import pytest

from tests.usb.volts import volts_at_device
from topo.model.facts import Fact
from topo.model.records import DeviceFacts
from topo.model.speed import Speed
from topo.usb.delivered import delivered
from topo.usb.limits import (
    BUS_POWERED_PORT_VOLTS,
    PORT_VOLTS_USB2,
    conductor_ohm_per_m,
    longest_cable_m,
)
from topo.usb.pcie import uplink_mb_per_s
from topo.usb.periodic import reservations
from topo.usb.superspeed import gen1_ceiling_mb_per_s, gen2_ceiling_mb_per_s
from topo.usb.translator import FULL_SPEED_BYTES_PER_MICROFRAME, split_bus_seconds_per_byte


def test_superspeed_ceilings() -> None:
    """474.93 and 1142.4 MB/s follow from coding, framing and skips; a chip maker prints about 485 without the rest."""
    assert gen1_ceiling_mb_per_s() == pytest.approx(474.93, abs=0.01)
    assert gen2_ceiling_mb_per_s() == pytest.approx(1142.4, abs=0.1)
    assert gen1_ceiling_mb_per_s() < 500 * 1024 / 1056 == pytest.approx(484.85, abs=0.01)


@pytest.mark.parametrize("speed", list(Speed))
def test_what_is_seen_never_passes_the_ceiling(speed: Speed) -> None:
    what = delivered(speed)
    assert 0 < what.expected.low <= what.expected.likely <= what.expected.high <= what.ceiling_mb_per_s
    assert what.source


@pytest.mark.parametrize(
    ("word", "payload", "published"),
    # Payload of one lane with 24 bytes of overhead, MB/s: processor makers' arithmetic.
    [
        ("pcie1x1", 128, 210.5),
        ("pcie1x1", 256, 228.6),
        ("pcie2x1", 128, 421.1),
        ("pcie2x1", 256, 457.1),
        ("pcie3x1", 128, 829.1),
        ("pcie3x1", 256, 900.2),
    ],
)
def test_uplinks(word: str, payload: int, published: float) -> None:
    assert uplink_mb_per_s(word, payload) == pytest.approx(published, abs=0.05)


def test_uplink_line_rates_are_those_the_kernel_encodes() -> None:
    """Linux drivers/pci/pci.h: 2000, 4000, 7876 Mb/s for 2.5, 5 and 8 GT/s (it truncates the last)."""
    lanes = [uplink_mb_per_s(f"pcie{n}x1", payload=1, overhead=0) * 8 for n in (1, 2, 3)]
    assert lanes == pytest.approx([2000, 4000, 7876], rel=2e-4)


@pytest.mark.parametrize("word", ["pcie9x1", "pcie2x3", "fast", "-5", "nan", ""])
def test_bad_uplinks(word: str) -> None:
    with pytest.raises(ValueError, match="uplink"):
        uplink_mb_per_s(word)
    assert uplink_mb_per_s("400") == 400


def test_translator_pieces() -> None:
    """USB 2.0 11.18.1: 1500/8 bytes a microframe, rounded up."""
    assert -(-1500 // 8) == FULL_SPEED_BYTES_PER_MICROFRAME == 188


def test_slow_bytes_cost_the_fast_bus_more_than_fast_ones() -> None:
    assert split_bus_seconds_per_byte(64) > (55 + 512) / 512 / 60e6


def test_reservations_by_hand() -> None:
    """64 bytes each 8 ms at full speed: (13 + 64) of 1500 bytes in one frame of eight: 0.64 %."""
    facts = DeviceFacts(interrupt_bytes=Fact(64, "declared"), interrupt_interval_ms=Fact(8.0, "declared"))
    assert reservations(facts, Speed.FULL).own_bus == pytest.approx(77 / 1500 / 8)
    assert reservations(facts, Speed.HIGH).high_speed_bus == 0
    # one endpoint of 3 x 1024 bytes in each microframe: (3 x 38 + 3072) of 7500 bytes, 42 %; two do not fit in 80 %
    iso = DeviceFacts(iso_bytes_per_ms=Fact(24_576, "declared"))
    assert reservations(iso, Speed.HIGH).own_bus == pytest.approx((3 * 38 + 3072) / 7500)
    assert 2 * reservations(iso, Speed.HIGH).own_bus > 0.8


# Milliohm per metre of solid copper at 20 C: handbook table after ASTM B258 and IEC 60028.
HANDBOOK = {
    10: 3.277,
    12: 5.211,
    14: 8.285,
    16: 13.17,
    18: 20.95,
    20: 33.31,
    22: 52.96,
    24: 84.21,
    26: 133.9,
    28: 212.9,
}


@pytest.mark.parametrize(("gauge", "milliohm"), HANDBOOK.items())
def test_conductors(gauge: int, milliohm: float) -> None:
    assert conductor_ohm_per_m(gauge) * 1000 == pytest.approx(milliohm, rel=1.2e-3)


def test_a_thin_cable_fails_and_a_thick_one_passes() -> None:
    """0.5 A over 3 m from 4.75 V: 28 AWG leaves about 4.0 V, 20 AWG 4.6 V; 4.40 V is the least (USB 2.0 7.2.2)."""
    assert volts_at_device(PORT_VOLTS_USB2, 0.5, 3, 28) == pytest.approx(3.994, abs=0.06)
    assert volts_at_device(PORT_VOLTS_USB2, 0.5, 3, 28) < BUS_POWERED_PORT_VOLTS
    assert volts_at_device(PORT_VOLTS_USB2, 0.5, 3, 20) > BUS_POWERED_PORT_VOLTS
    assert pytest.approx(4.75 - 2 * 0.125 - 0.1) == BUS_POWERED_PORT_VOLTS


def test_longest_cables() -> None:
    """26 ns at 5.2 ns/m is 5 m (USB 2.0 7.1.16)."""
    assert longest_cable_m(Speed.HIGH) == pytest.approx(26 / 5.2)
    assert longest_cable_m(Speed.SUPER_PLUS) < longest_cable_m(Speed.SUPER) < longest_cable_m(Speed.HIGH)
