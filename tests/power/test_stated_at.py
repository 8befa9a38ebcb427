"""At which volts a part draws the amps that a file states for it, where the file doesn't say."""

from __future__ import annotations

import pytest

from topo.analysis.study import Study
from topo.model.power import ByState
from topo.pipeline import rig_of
from topo.rigfile.read import read_text

BOARD = """\
rig: Board on a converter
computer: {ports: {usb2-1: {speed: high}}, AMPS}
devices:
  mount: {profile: mount-strain-wave-serial, plug: computer/usb2-1}
power:
  supplies: {psu: {volts: 13, amps: 10, kind: mains, volts_by: meter}}
  converters: {brick: {volts: VOLTS, amps: 5, efficiency_percent: 90}}
  leads:
    in: {from: psu, to: brick, length_m: 1, gauge_awg: 16, fuse_amps: 5, fuse_at_m: 0.1}
    out: {from: brick, to: computer, length_m: 0.01, gauge_awg: 10, contact_milliohm: 0}
"""


def drawn(volts: float, amps: str) -> ByState:
    text = BOARD.replace("VOLTS", f"{volts:g}").replace("AMPS", amps)
    return Study(rig_of(read_text(text, "rig.yaml"))).power.lead("out").amps


@pytest.mark.parametrize("volts", [5.1, 9, 19, 24])
def test_what_is_not_fed_some_12_volts_draws_its_amps_at_what_it_is_fed(volts: float) -> None:
    """A board that is labelled 5.1 V, 3 A draws 3 A from a converter to 5.1 V, and not 3 x 12 / 5.1."""
    peak = drawn(volts, "amps_typical: 1.5, amps_peak: 3").peak
    assert peak is not None and peak.likely == pytest.approx(3, rel=0.005)


@pytest.mark.parametrize("volts", [11, 13.8, 15])
def test_near_12_volts_they_are_those_of_12(volts: float) -> None:
    peak = drawn(volts, "amps_typical: 1.5, amps_peak: 3").peak
    assert peak is not None and peak.likely == pytest.approx(3 * 12 / volts, rel=0.005)


@pytest.mark.parametrize("volts", [5.1, 12, 24])
def test_what_is_said_counts(volts: float) -> None:
    peak = drawn(volts, "amps_typical: 1.5, amps_peak: 3, amps_at_volts: 19").peak
    assert peak is not None and peak.likely == pytest.approx(3 * 19 / volts, rel=0.005)


def test_a_profile_states_them_at_12() -> None:
    """The mini PC's figure is for 12 V: on 19 V it draws 12/19 of it."""
    text = BOARD.replace("{ports: {usb2-1: {speed: high}}, AMPS}", "{profile: mini-pc-2usb3-2usb2}")
    at_12, at_19 = (
        Study(rig_of(read_text(text.replace("VOLTS", each), "rig.yaml"))).power.lead("out").amps.peak
        for each in ("12", "19")
    )  # fmt: skip
    assert at_12 is not None and at_19 is not None
    assert at_19.likely / at_12.likely == pytest.approx(12 / 19, rel=0.005)
