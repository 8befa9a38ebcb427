"""PCI Express uplinks: every word, in exact fractions; what is no word; and what it means for two cameras."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.usb.delivered import delivered_uplink
from topo.usb.pcie import uplink_mb_per_s
from topo.usb.superspeed import gen1_ceiling_mb_per_s

# GT/s and coding by generation (PCI Express base specification, 2.5 to 32 GT/s).
LINE = {1: ("2.5", 8, 10), 2: ("5", 8, 10), 3: ("8", 128, 130), 4: ("16", 128, 130), 5: ("32", 128, 130)}
GENERATIONS, LANES = st.sampled_from(sorted(LINE)), st.sampled_from([1, 2, 4, 8, 16])


@given(GENERATIONS, LANES, st.integers(1, 4096), st.integers(0, 28))
def test_exact_fractions(generation: int, lanes: int, payload: int, overhead: int) -> None:
    transfers, data, coded = LINE[generation]
    exact = Fraction(transfers) * 1000 * Fraction(data, coded) / 8 * lanes * Fraction(payload, payload + overhead)
    assert uplink_mb_per_s(f"pcie{generation}x{lanes}", payload, overhead) == pytest.approx(float(exact), rel=1e-12)


@given(GENERATIONS, LANES, st.integers(1, 4095))
def test_larger_packets_carry_more_and_never_the_line_rate(generation: int, lanes: int, payload: int) -> None:
    word = f"pcie{generation}x{lanes}"
    assert uplink_mb_per_s(word, payload) < uplink_mb_per_s(word, payload + 1) < uplink_mb_per_s(word, 1, 0)


@pytest.mark.parametrize(("overhead", "small", "large"), [(20, 432.4, 463.8), (24, 421.1, 457.1)])
def test_overheads_as_published(overhead: int, small: float, large: float) -> None:
    """5 to 7 double words a packet (a processor maker's documents), one lane of 5 GT/s, 128 and 256 bytes."""
    found = [uplink_mb_per_s("pcie2x1", payload, overhead) for payload in (128, 256)]
    assert found == pytest.approx([small, large], abs=0.05)


def test_one_old_lane_is_below_one_port() -> None:
    """One lane at 5 GT/s feeds all ports of a card, and carries less than one of them; at 2.5 GT/s half of that."""
    assert uplink_mb_per_s("pcie2x1") < gen1_ceiling_mb_per_s() < uplink_mb_per_s("pcie2x2")
    assert uplink_mb_per_s("pcie1x1", 256, 20) < 350


def test_range_of_an_uplink() -> None:
    what = delivered_uplink("pcie2x1")
    assert what.expected.rounded(1) == [421.1, 421.1, 457.1]
    assert what.ceiling_mb_per_s == what.expected.high
    assert list(delivered_uplink(400).expected) == [400, 400, 400]
    assert what.basis == "assumed" and what.source


@pytest.mark.parametrize(
    "word",
    ["pcie0x1", "pcie6x1", "pcie2x3", "pcie2x32", "pcie2", "PCIE 2 x1", "pcie2x1\n", "x4", "", "inf", "0", "1e9", True],
)
def test_what_is_no_uplink(word: str | bool) -> None:
    with pytest.raises(ValueError, match="uplink"):
        uplink_mb_per_s(word)


@pytest.mark.parametrize(("payload", "overhead"), [(0, 24), (-128, 24), (128, -1)])
def test_packets_that_cannot_be(payload: int, overhead: int) -> None:
    with pytest.raises(ValueError, match="packets"):
        uplink_mb_per_s("pcie2x1", payload, overhead)


@given(st.text(max_size=20))
def test_any_text_gives_a_rate_or_a_plain_error(word: str) -> None:
    try:
        assert 0 < uplink_mb_per_s(word) < 1e6
    except ValueError as error:
        assert "uplink" in str(error)
