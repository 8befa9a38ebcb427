"""A card with controllers of its own: offered where a slot is known to be free, computed as it would be done."""

from __future__ import annotations

import pytest

from tests.place.as_done import carried_out
from topo.analysis.study import Study
from topo.model.change import AddCard
from topo.pipeline import examine_text, examiner, rig_of
from topo.place.judge import Judge
from topo.place.proposals import card_for
from topo.rigfile.read import read_text
from topo.wiring.bought import CARD_CONTROLLERS, bought_card

DOME = """\
rig: dome with a desktop
computer: {profile: desktop-4usb3-4usb2}
devices:
  planet: {profile: camera-planet-1mp, role: imaging, plug: computer/usb2-1, use: {mode: video, fps: 60}}
  guide-camera: {profile: camera-guide-1mp, plug: computer/usb2-2, use: {exposure_s: 1}, cable: {length_m: 3}}
  mount: {profile: mount-worm-mid-serial, plug: computer/usb2-3}
"""


def study(text: str) -> Study:
    return Study(rig_of(read_text(text, "rig.yaml")))


def test_it_clears_what_no_other_socket_does() -> None:
    found = examine_text(DOME).findings
    lost = next(finding for finding in found if finding.name == "frame-lost" and finding.part == "guide-camera")
    assert lost.fix is not None and lost.fix.plan is not None
    assert any(isinstance(step, AddCard) for step in lost.fix.plan.proposal.steps)
    assert "a card with a USB 3 controller for each of its 4 sockets" in lost.fix.text
    after = examine_text(carried_out(DOME, lost.fix.plan.proposal)).findings
    assert not [f for f in after if f.name == "frame-lost" and f.part == "guide-camera"]
    names = {(f.name, f.part) for f in (*lost.fix.plan.leaves, *lost.fix.plan.brings)}
    assert {(f.name, f.part) for f in after if f.severity != "note"} <= names


@pytest.mark.parametrize("computer", [
    "{profile: mini-pc-4usb3}", "{profile: laptop-3usb3}", "{profile: desktop-4usb3-4usb2, card_slots: 0}",
])  # fmt: skip
def test_none_is_offered_where_no_slot_is_known(computer: str) -> None:
    text = DOME.replace("{profile: desktop-4usb3-4usb2}", computer).replace("usb2-1", "usb3-1").replace(
        "usb2-2", "usb3-2").replace("usb2-3", "usb3-3")  # fmt: skip
    assert not list(card_for(study(text).topology, "guide-camera"))


def test_its_sockets_take_names_that_are_free_and_share_nothing() -> None:
    rig = study(DOME.replace("{profile: desk", "{ports: {card-1: {controller: chipset}}, profile: desk")).rig
    card = bought_card(rig.computer)
    assert [socket.name for socket in card.sockets] == ["card-2", "card-3", "card-4", "card-5"]
    assert len({socket.controller for socket in card.sockets}) == CARD_CONTROLLERS == len(card.controllers)


def test_the_judge_and_the_text_agree() -> None:
    """What is computed of the rig with the card is what is found in the file with the card written into it."""
    now, examine = study(DOME), examiner()
    judge = Judge(now, examine(now), examine)
    for name in ("planet", "guide-camera", "mount"):
        for proposal in card_for(now.topology, name):
            judged = judge.judge(proposal)
            assert judged is not None
            written = study(carried_out(DOME, proposal))
            assert {(f.name, f.part, f.severity) for f in judged.findings} == {
                (f.name, f.part, f.severity) for f in examine(written)}
