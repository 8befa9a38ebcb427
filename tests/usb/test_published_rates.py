"""What the tool takes a link to carry, against rates that are published: `published_rates.py` is the table."""

from __future__ import annotations

import pytest

from tests.usb.published_rates import LINK, PLAIN_RATES, PUBLISHED, SENSOR, Published
from topo.model.facts import Range3
from topo.model.speed import Speed
from topo.pipeline import examine_text
from topo.usb.delivered import delivered

SPEEDS = {"high": Speed.HIGH, "super": Speed.SUPER}
BOUND = [case for case in PUBLISHED if case.left_out == LINK]


def told(case: Published) -> tuple[float, Range3]:
    """The published figure, and the range the tool gives for it: MB/s of a stream, seconds of a download."""
    what = delivered(SPEEDS[case.link])
    if case.kind == "fps":
        return case.rate * case.megabytes, what.expected
    return case.rate, Range3.over(lambda rate: case.megabytes / rate, what.expected) + what.fixed_s


def inside(case: Published) -> bool:
    figure, given = told(case)
    half = 0.005 if case.kind == "s" else 0.0  # times are published to a hundredth of a second
    return given.low - half <= figure <= given.high + half


def test_the_table_is_as_long_as_it_has_to_be() -> None:
    assert len(PUBLISHED) >= 40 and len(BOUND) >= 30
    assert len(set(PUBLISHED)) == len(PUBLISHED)


def test_nine_in_ten_rates_that_the_link_bounds_are_inside() -> None:
    outside = [case for case in BOUND if not inside(case)]
    assert len(outside) <= 0.1 * len(BOUND), outside
    for link, rate, _ in PLAIN_RATES:
        expected = delivered(SPEEDS[link]).expected
        assert expected.low <= rate <= expected.high


def test_five_gigabits_are_seen_from_about_320_to_390() -> None:
    rates = [told(case)[0] for case in BOUND if case.link == "super" and case.kind == "fps"]
    expected = delivered(Speed.SUPER).expected
    assert (expected.low, expected.high) == (320.0, 390.0)
    assert expected.low <= min(rates) < 325 and 375 < max(rates) <= expected.high


def test_what_is_left_out_has_its_reason_in_its_figures() -> None:
    for case in PUBLISHED:
        figure, given = told(case)
        if case.left_out == SENSOR:
            assert figure < given.low
    bursts = [told(case)[0] for case in PUBLISHED if "burst" in case.left_out]
    assert all(figure > delivered(Speed.SUPER).expected.high for figure in bursts)


def named(case: Published) -> str:
    return f"{case.link}-{case.width}x{case.height}-{case.bits}-{case.rate:g}"


@pytest.mark.parametrize("case", BOUND, ids=named)
def test_none_of_them_is_at_fault(case: Published) -> None:
    """A camera that does what is published, alone on its computer, is not told that it cannot."""
    use = f"mode: video, fps: {case.rate:g}" if case.kind == "fps" else "exposure_s: 60"
    bits = f"sample_bits: {case.bits}" + ("" if case.bits in (8, 16) else ", packed: true")
    report = examine_text(
        "rig: X\ncomputer: {ports: {usb3-1: {speed: super, usb2_bus: a}, usb2-1: {speed: high, usb2_bus: a}}}\n"
        f"devices: {{camera: {{role: imaging, width_px: {case.width}, height_px: {case.height}, {bits}, "
        f"speed: {case.link}, plug: computer/usb{3 if case.link == 'super' else 2}-1, use: {{{use}}}}}}}\n")
    assert not [finding for finding in report.findings if finding.severity == "fault"]
