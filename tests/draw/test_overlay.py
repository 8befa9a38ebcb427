"""Differences laid over a scene: every kind shows in every renderer, and strangers hang where they were seen."""

from __future__ import annotations

from tests.draw.rigs import rig_text, study_of
from topo.draw.layout import place
from topo.draw.overlay import Seen, overlaid
from topo.draw.picture import picture
from topo.draw.svg import render_svg
from topo.draw.tree import plain_text, tree_lines

DIFFERENCES = (
    Seen("missing", "mount", "nothing like it is plugged in"),
    Seen("slower", "main-camera", "480 Mb/s seen"),
    Seen("moved", "guide-camera", "seen in computer/usb2-1"),
    Seen("unexpected", "a <keyboard>", "", "pier-hub", "4"),
    Seen("unexpected", "phone", ""),
)


def test_marks_and_strangers_are_drawn() -> None:
    scene = overlaid(picture(study_of(rig_text())), DIFFERENCES)
    assert [node.part for node in scene.nodes].index("a <keyboard>") > [
        node.part for node in scene.nodes].index("guide-camera")
    placed = place(scene)
    boxes = {box.node.part: box for box in placed.boxes if box.node.kind != "again"}
    hub, stranger = boxes["pier-hub"], boxes["a <keyboard>"]
    assert hub.y <= stranger.y and stranger.y + stranger.height <= hub.y + hub.height
    text = plain_text(tree_lines(scene))
    svg = render_svg(scene).decode()
    for words in ("missing: nothing like it", "moved: seen in", "slower: 480", "unexpected", "slower than it could be"):
        assert words in text
    assert "a &lt;keyboard&gt;" in svg and "stroke-dasharray" in svg


def test_no_difference_changes_nothing() -> None:
    scene = picture(study_of(rig_text()))
    assert overlaid(scene, ()) == scene
