"""Rules of the bus: why five hubs, what currents add up to, and how far a cable's copper reaches."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.usb.volts import volts_at_device
from topo.model.speed import Speed
from topo.usb import limits
from topo.usb.frames import BYTES_PER_FRAME
from topo.usb.limits import CABLE_OHM_PER_M, cable_ohm_per_m, conductor_ohm_per_m, longest_cable_m


def full_speed_answers_in_time(hubs: int) -> bool:
    """Round trip of hubs and cables (70 ns each, 30 ns the last) and a response of 6.5 bits, within 16 bits.

    USB 2.0 7.1.18, 7.1.19; 70 ns and 30 ns from memory.
    """
    bit_ns = 1e9 / 12e6
    return 2 * (hubs * 70 + 30) + 6.5 * bit_ns < 16 * bit_ns


def high_speed_answers_in_time(hubs: int) -> bool:
    """The same at high speed: 36 bits and 4 ns a hub, 26 ns a cable, response of 192 bits, within 736 (from memory)."""
    bit_ns = 1e9 / 480e6
    return 2 * (hubs * (36 * bit_ns + 4) + (hubs + 1) * 26) + 192 * bit_ns < 736 * bit_ns


def test_five_hubs_in_a_row_and_not_six() -> None:
    assert full_speed_answers_in_time(limits.MOST_HUBS_IN_A_ROW)
    assert not full_speed_answers_in_time(limits.MOST_HUBS_IN_A_ROW + 1)
    assert high_speed_answers_in_time(limits.MOST_HUBS_IN_A_ROW)
    assert limits.MOST_TIERS == 1 + limits.MOST_HUBS_IN_A_ROW + 1


def test_periodic_shares_in_bytes() -> None:
    """6,000 bytes or 100 us of a microframe, as kernels schedule them."""
    assert limits.HIGH_SPEED_PERIODIC_SHARE * BYTES_PER_FRAME[Speed.HIGH] == pytest.approx(6000)


def test_currents() -> None:
    """500 and 900 mA a port; a hub with no supply keeps one unit load and has four for its sockets (USB 2.0 7.2.1)."""
    assert (limits.PORT_MA_USB2, limits.PORT_MA_USB3) == (500, 900)
    assert (limits.PORT_MA_USB2 - limits.UNIT_LOAD_MA_USB2) / limits.BUS_POWERED_PORT_MA == 4


def test_addresses_are_a_whole_bit_field() -> None:
    assert limits.MOST_ADDRESSES == 2**7 - 1


# Longest power pairs by gauge as the standard's publisher tells them (old answers to questions): metres at 500 mA.
PUBLISHED_LENGTHS = [(28, 0.81), (26, 1.31), (24, 2.08), (22, 3.33), (20, 5.00)]


@pytest.mark.parametrize(("gauge", "length_m"), PUBLISHED_LENGTHS)
def test_published_lengths_are_what_the_drop_allows(gauge: int, length_m: float) -> None:
    """125 mV a leg at 500 mA with two contacts of 30 milliohm each: 0.19 ohm of wire a leg. 4.75 V arrive as 4.50."""
    assert volts_at_device(limits.PORT_VOLTS_USB2, 0.5, length_m, gauge) == pytest.approx(4.50, abs=0.012)


@pytest.mark.parametrize(("gauge", "length_m"), PUBLISHED_LENGTHS)
def test_the_same_lengths_carry_900_ma_at_usb_3(gauge: int, length_m: float) -> None:
    """0.38 ohm of wire and 0.12 of contacts at 0.9 A are the 450 mV from 4.45 to 4.00 V (USB 3.1 11.4.2)."""
    far_end = volts_at_device(limits.PORT_VOLTS_USB3, 0.9, length_m, gauge)
    assert far_end == pytest.approx(limits.DEVICE_VOLTS_USB3, abs=0.021)


@pytest.mark.parametrize("gauge", sorted(CABLE_OHM_PER_M))
def test_the_table_lies_7_to_9_percent_over_solid_copper(gauge: int) -> None:
    """Table 6-6 is for stranded, tinned conductors, so it must lie a little above the formula for solid copper."""
    assert 1.07 < CABLE_OHM_PER_M[gauge] / conductor_ohm_per_m(gauge) < limits.USB_CABLE_MARGIN + 0.001


def test_beside_the_table_the_worst_excess_is_taken() -> None:
    """28 AWG: 0.232 over 0.2129 ohm per metre is 1.09, the most of the five; 30 AWG is solid copper and as much."""
    worst = max(ohm / conductor_ohm_per_m(gauge) for gauge, ohm in CABLE_OHM_PER_M.items())
    assert worst == pytest.approx(limits.USB_CABLE_MARGIN, abs=1e-3)
    assert cable_ohm_per_m(30) == pytest.approx(0.3385 * 1.09, rel=2e-3)


def test_thinner_is_worse_in_and_beside_the_table() -> None:
    figures = [cable_ohm_per_m(gauge) for gauge in range(16, 33)]
    assert figures == sorted(figures) and len(set(figures)) == len(figures)


def test_three_gauges_double_the_resistance() -> None:
    """The gauge's own law: 39 steps are a factor of 92 in diameter, so 3 steps about 2 in area (ASTM B258)."""
    assert conductor_ohm_per_m(27) / conductor_ohm_per_m(24) == pytest.approx(2, rel=0.005)
    assert conductor_ohm_per_m(36) / conductor_ohm_per_m(-3) == pytest.approx(92**2)


@given(st.floats(0, 3), st.floats(0, 10), st.integers(16, 32), st.floats(4, 5.5))
def test_no_cable_adds_volts(amps: float, length_m: float, gauge: int, port_volts: float) -> None:
    far_end = volts_at_device(port_volts, amps, length_m, gauge)
    assert far_end <= port_volts
    assert volts_at_device(port_volts, amps, length_m + 1, gauge) <= far_end
    assert volts_at_device(port_volts, 0.0, length_m, gauge) == port_volts


def test_grades() -> None:
    """5 m for high speed on either grade; SuperSpeed by makers' guidance, and never on a cable with one pair."""
    assert longest_cable_m(Speed.HIGH, "usb2") == longest_cable_m(Speed.HIGH, "usb3") == 5
    assert (longest_cable_m(Speed.SUPER, "usb3"), longest_cable_m(Speed.SUPER_PLUS, "usb3")) == (3, 1)
    for speed in (Speed.SUPER, Speed.SUPER_PLUS):
        with pytest.raises(ValueError, match="no pairs"):
            longest_cable_m(speed, "usb2")
