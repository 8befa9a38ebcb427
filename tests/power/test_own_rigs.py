"""Ten rigs that are wrong, each in its own way: what is wrong is named, and what is advised holds once it is done."""

from __future__ import annotations

import pytest

from tests.place.test_advice_is_true import every_plan_holds, found
from tests.power.own_rigs import OWN_RIGS
from topo.pipeline import examine_text

WRONG = {
    "a thin extension to a cooled camera": {"fuse-does-not-protect", "volts-out-of-window", "wire-runs-hot"},
    "a converter that is too small": {"supply-overloaded"},
    "a strap on the camera's channel": {"channel-overloaded", "fuse-blows-in-use"},
    "the fuse at the far end": {"fuse-in-wrong-place"},
    "15 V on a 12 V camera": {"volts-too-high"},
    "an old battery in the cold": {"battery-empty-before-dawn"},
    "a hub without a supply behind 3 m of 28 AWG": {"usb-volts-low", "port-current-exceeded", "colder-than-rated"},
    "two parts on one thin lead": {"fuse-does-not-protect", "contact-overloaded", "wire-runs-hot",
                                   "volts-out-of-window", "fuse-blows-in-use", "load-cannot-be-fed"},
    "a power bank with a 12 V trigger": {"wire-not-fused", "battery-empty-before-dawn", "contact-overloaded",
                                         "wire-runs-hot", "volts-out-of-window", "supply-overloaded"},
    "the mount on a supply of its own, of 24 V": {"volts-too-high", "grounds-meet-in-data"},
}  # fmt: skip
"""All faults and risks of each, by name."""

COMPUTED = {"a converter that is too small": 0, "an old battery in the cold": 0}
"""Where nothing computed helps: there are words alone."""


@pytest.mark.parametrize("name", OWN_RIGS)
def test_what_is_wrong_is_named_and_no_more(name: str) -> None:
    assert {each.name for each in found(OWN_RIGS[name]) if each.severity != "note"} == WRONG[name]


@pytest.mark.parametrize("name", OWN_RIGS)
def test_what_is_advised_holds_once_done(name: str) -> None:
    assert (every_plan_holds(OWN_RIGS[name]) == 0) == (name in COMPUTED)


def test_a_converter_is_not_called_a_supply() -> None:
    fixes = {each.name: each.fix.text for each in examine_text(OWN_RIGS["a converter that is too small"]).findings
             if each.fix is not None}  # fmt: skip
    assert fixes["supply-overloaded"].startswith("Use a converter that gives 3 A or more in place of brick.")
