"""A sample of `many_rigs.py`: never fit with a wire above its limit or a part outside its window; nothing silent."""

from __future__ import annotations

import pytest

from tests.power import many_rigs
from tests.power.many_rigs import text_of, wrong_with
from tests.samples import share
from topo.pipeline import examine_text, examiner
from topo.power import dc


@pytest.mark.parametrize("start", share(range(0, 150, 25), 2))
def test_of_no_rig_is_too_little_said(start: int) -> None:
    assert {seed: wrong for seed in range(start, start + 25) if (wrong := wrong_with(seed))} == {}


@pytest.mark.slow
def test_the_sample_has_rigs_that_are_fit_and_rigs_that_are_not() -> None:
    verdicts = [examine_text(text_of(seed)).verdict for seed in range(60)]
    assert verdicts.count("clear") + verdicts.count("note") > 10 and verdicts.count("fault") > 10


@pytest.mark.parametrize("name", ["wire-runs-hot", "volts-out-of-window", "volts-too-high", "fuse-does-not-protect",
                                  "wire-not-fused", "usb-volts-low", "load-cannot-be-fed"])  # fmt: skip
def test_a_check_that_is_left_out_is_missed(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = examiner()
    monkeypatch.setattr(many_rigs, "examiner", lambda: lambda study: tuple(f for f in whole(study) if f.name != name))
    assert any(wrong_with(seed) for seed in range(0, 600, 1 if name != "usb-volts-low" else 2))


def test_a_fact_that_is_passed_over_is_missed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("topo.power.dc.not_judged", lambda rig, trees, loads: ())
    monkeypatch.setattr("topo.power.dc._power_of", dc._power_of.__wrapped__)
    assert any("passed over" in each for seed in range(60) for each in wrong_with(seed))
