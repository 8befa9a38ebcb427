"""Every gauge from 10 to 30 and every metric size is judged: fused too large, bare, and hot."""

from __future__ import annotations

import pytest

from topo.pipeline import examine_text
from topo.power.copper import AREAS_MM2

WIRES = [f"gauge_awg: {gauge}" for gauge in range(10, 31)] + [f"area_mm2: {area}" for area in (0.25, 0.5, *AREAS_MM2)]


def names(wire: str, lead: str = "", supply: str = "kind: battery", amps: float = 0.1) -> set[str]:
    text = (
        f"rig: T\ncomputer: {{}}\ndevices: {{a: {{interface: none, amps_typical: {amps}, amps_peak: {amps}}}}}\n"
        f"power:\n  supplies: {{s: {{volts: 12.8, amps: 200, {supply}}}}}\n"
        f"  leads: {{l: {{from: s, to: a, length_m: 0.3, {wire}{lead}}}}}\n"
    )
    return {finding.name for finding in examine_text(text).findings}


@pytest.mark.parametrize("wire", WIRES)
def test_each_size_is_judged(wire: str) -> None:
    assert "wire-not-fused" in names(wire)
    assert "wire-not-fused" in names(wire, supply="kind: mains")
    assert "fuse-does-not-protect" in names(wire, ", fuse_amps: 60")
    assert names(wire, ", fuse_amps: 60", amps=55) & {"wire-runs-hot", "load-cannot-be-fed"}
    careful = names(wire, ", fuse_amps: 0.5, fuse_at_m: 0.1")
    assert not careful & {"wire-not-fused", "fuse-does-not-protect", "wire-runs-hot", "fuse-blows-in-use"}


def test_the_rig_of_the_issue_is_told_all_of_it() -> None:
    """A 30 A fuse on 24 AWG, 12 A through bare 20 AWG, 900 mA over 3 m of 28 AWG: once it was fit for the night."""
    from tests.place.told_rigs import WIRES as RIG

    found = {(finding.name, finding.part, finding.severity) for finding in examine_text(RIG).findings}
    assert ("fuse-does-not-protect", "main-camera", "fault") in found
    assert ("wire-runs-hot", "heater", "fault") in found
    assert ("wire-not-fused", "heater", "risk") in found
    assert ("usb-volts-low", "main-camera", "fault") in found


def test_what_destroys_is_named_first() -> None:
    from tests.place.told_rigs import WIRES as RIG

    assert examine_text(RIG).findings[0].name == "volts-too-high"
