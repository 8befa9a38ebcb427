"""A plan that changes supplies and leads alone keeps what it does not touch, and finds what a new study finds."""

from __future__ import annotations

import pytest

from tests.power.own_rigs import OWN_RIGS
from topo.analysis.study import Study
from topo.model.change import SetLead, SetSupply
from topo.pipeline import examiner, rig_of
from topo.place.remembered import Remembered
from topo.rigfile.read import read_text
from topo.wiring.apply import apply
from topo.wiring.bought import bought_card


@pytest.mark.parametrize("name", OWN_RIGS)
def test_the_same_findings_as_of_a_new_study(name: str) -> None:
    rig = rig_of(read_text(OWN_RIGS[name], "rig.yaml"))
    study, ask = Study(rig), examiner()
    ask(study)
    kept = Remembered(study, ask)
    changes = [SetLead(lead.id, key, value) for lead in rig.leads
               for key, value in (("gauge_awg", 26), ("fuse_amps", 1.0), ("length_m", 9.0))]  # fmt: skip
    for change in (*changes, *(SetSupply(each.id, "volts", 10.9) for each in rig.supplies)):
        changed = apply(rig, change)
        assert kept.only_feeds_differ(changed)
        after = kept.of(changed)
        assert after.study.power == Study(changed).power
        said = {(f.name, f.part, f.severity, f.message, f.figures) for f in after.findings}
        assert said == {(f.name, f.part, f.severity, f.message, f.figures) for f in ask(Study(changed))}, change


def test_a_card_that_is_bought_is_no_change_of_feeds_alone() -> None:
    rig = rig_of(read_text(OWN_RIGS["15 V on a 12 V camera"], "rig.yaml"))
    kept = Remembered(Study(rig), examiner())
    assert not kept.only_feeds_differ(apply(rig, bought_card(rig.computer)))
