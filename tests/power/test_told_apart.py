"""Figures that a finding sets against each other never read the same: on random rigs, and a hair past each limit."""

from __future__ import annotations

import random
import re
from collections import Counter

import pytest

from tests.power.many_rigs import text_of
from tests.power.rigs import METER, part, text
from tests.samples import share
from topo.pipeline import examine_text
from topo.words.apart import apart

FIGURE = re.compile(r"(?<![\w.-])(\d+(?:\.\d+)?) (A|V|h|mA|MB/s|MiB)\b")
WITH_TWO = ("wire-runs-hot", "contact-overloaded", "fuse-blows-in-use", "supply-overloaded", "channel-overloaded",
            "volts-too-high", "fuse-does-not-protect", "usb-volts-low", "battery-empty-before-dawn")  # fmt: skip


def read_the_same(message: str) -> list[str]:
    """Figures that a message tells twice with the same unit, whether as `2.30 A` or `2.3 A`."""
    told = Counter((float(number), unit) for number, unit in FIGURE.findall(message))
    return [f"{number:g} {unit}" for (number, unit), times in told.items() if times > 1]


def test_a_figure_told_twice_is_seen() -> None:
    assert read_the_same("2.3 A runs at the peak through a lead, and its 24 AWG wire can take 2.3 A.") == ["2.3 A"]
    assert read_the_same("cam gets 13.2 V and can take 13.20 V") == ["13.2 V"]
    assert read_the_same("2.31 A runs through it, and 2.3 A it takes; 13.8 V") == []


@pytest.mark.parametrize("start", share(range(0, 150, 25), 1))
def test_no_finding_of_a_random_rig_tells_two_figures_as_one(start: int) -> None:
    same = {(seed, finding.name): wrong for seed in range(start, start + 25)
            for finding in examine_text(text_of(seed)).findings
            if finding.name in WITH_TWO and (wrong := read_the_same(finding.message))}  # fmt: skip
    assert same == {}


@pytest.mark.parametrize("over", [0.04, 0.004, 0.0004, 0.00004])
@pytest.mark.parametrize(("name", "limit", "power"), [
    ("wire-runs-hot", 7, "{from: s, to: x, length_m: 1, gauge_awg: 18, fuse_amps: 7, fuse_at_m: 0.1}"),
    ("contact-overloaded", 3, "{from: s, to: x, length_m: 1, gauge_awg: 14, fuse_amps: 10, to_plug: barrel-2.1}"),
    ("fuse-blows-in-use", 4, "{from: s, to: x, length_m: 1, gauge_awg: 14, fuse_amps: 4}"),
    ("supply-overloaded", 20, "{from: s, to: x, length_m: 1, gauge_awg: 10, fuse_amps: 30}"),
    ("channel-overloaded", 5, "{from: box/1, to: x, length_m: 1, gauge_awg: 14}"),
])  # fmt: skip
def test_a_hair_past_a_limit_the_two_figures_differ(name: str, limit: float, power: str, over: float) -> None:
    box = "\nboxes: {box: {channels: {1: {amps: 5}}}}" if "box" in power else ""
    feed = ", f: {from: s, to: box, length_m: 1, gauge_awg: 10, fuse_amps: 15}" if box else ""
    lines = f"supplies: {{s: {{volts: 12, amps: 20, kind: mains, {METER}}}}}{box}\nleads: {{l: {power}{feed}}}"
    found = examine_text(text(lines, part("x", limit + over))).findings
    message = next(each.message for each in found if each.name == name)
    assert read_the_same(message) == [] and f"{limit:g} A" in message


@pytest.mark.parametrize("over", [0.04, 0.004, 0.0004])
def test_a_hair_past_its_ceiling_the_two_volts_differ(over: float) -> None:
    lines = f"supplies: {{s: {{volts: {13.2 + over}, amps: 20, kind: mains, {METER}}}}}\n"
    lines += "leads: {l: {from: s, to: x, length_m: 1, gauge_awg: 14, fuse_amps: 5}}"
    found = examine_text(text(lines, part("x", 1, more=", volts_max: 13.2"))).findings
    message = next(each.message for each in found if each.name == "volts-too-high")
    assert read_the_same(message) == [] and "13.2 V" in message


def test_what_is_apart_reads_apart_and_what_is_not_reads_as_before() -> None:
    """Two figures of 10,000 pairs at random, near each other: the texts compare as the figures do."""
    rng = random.Random(1)
    for _ in range(10_000):
        other = float(f"{rng.uniform(0.5, 60):.4g}")
        value = other + rng.choice((-1, 1)) * 10 ** rng.uniform(-6, 1)
        shown = float(apart(value, other))
        assert (shown > other) == (value > other) and abs(shown - value) <= 0.05 + 1e-9
        if abs(value - other) > 0.1:
            assert apart(value, other) == f"{value:.1f}"
    assert apart(3.0, 3.0) == "3.0"
