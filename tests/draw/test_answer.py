"""The picture carries the answer: finding 1 is loudest, what to do is in it, innocents fade, notes stay calm."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.draw.rigs import EXAMPLES, finding_at, rig_text, study_of
from topo.draw.answer import FIGURES, ON_LINKS, figure_of
from topo.draw.before_after import STACKED_BELOW, bars_of, before_after, shown_finding
from topo.draw.blocks import MARK_STYLE
from topo.draw.layout import place
from topo.draw.look import FIGURE_SIZE, NAME_SIZE, TEXT_SIZE
from topo.draw.paint import painted
from topo.draw.picture import picture
from topo.draw.scene import Scene
from topo.draw.shapes import Cluster, Slab, Stroke, Words
from topo.pipeline import advised_study, check_file
from topo.report.compose import Report

NAMES = sorted(path.parent.name for path in EXAMPLES.glob("*/rig.yaml"))
ROOT = Path(__file__).parents[2]


def report_of(name: str) -> Report:
    return check_file(EXAMPLES / name / "rig.yaml")


def scene_of(report: Report, width: int = 900) -> Scene:
    return picture(report.study, report.findings, width, report.first)


def strokes_of(scene: Scene) -> dict[str, list[Stroke]]:
    return {shape.key: [each for each in shape.shapes if isinstance(each, Stroke)]
            for shape in painted(place(scene)).shapes if isinstance(shape, Cluster) and shape.ends}


@pytest.mark.parametrize("name", NAMES)
def test_the_loudest_thing_is_what_finding_1_is_about(name: str) -> None:
    report = report_of(name)
    scene = scene_of(report)
    loud = [one for one in (*scene.wires, *scene.nodes) if one.tone == "loud"]
    if report.verdict in ("fault", "risk"):
        assert scene.answer is not None and loud
        assert scene.answer.severity == report.findings[0].severity
        faded = {node.part for node in scene.nodes if node.tone == "faded" and node.kind not in ("again", "supply")}
        assert not faded & {report.findings[0].part, *report.findings[0].others}
    else:
        assert scene.answer is None and not loud and all(node.tone == "" for node in scene.nodes)


@pytest.mark.parametrize("name", NAMES)
def test_a_loud_line_is_three_times_as_thick_and_has_dark_edges(name: str) -> None:
    """So that it is seen in grey and by any eyes: width and casing, not colour (item 4)."""
    scene = scene_of(report_of(name))
    drawn = strokes_of(scene)
    calm = [stroke.width for wire in scene.wires if wire.tone != "loud" and wire.kind != "power"
            for stroke in drawn.get(wire.key, ()) if stroke.ink in ("line", "edge")]
    for wire in scene.wires:
        if wire.tone == "loud":
            casing, core = drawn[wire.key][-3:-1] if wire.kind in ("serial", "power") else drawn[wire.key][-2:]
            assert core.ink == "trouble" and casing.ink == "line" and casing.width > core.width
            assert max(stroke.width for stroke in drawn[wire.key]) >= 3 * max(calm, default=1.0) - 1e-9


def test_only_the_side_that_is_shared_is_loud() -> None:
    # By hand: the hub's cable carries the left camera on its SuperSpeed side, and both slow cameras on its USB 2 side.
    scene = scene_of(report_of("twin-telescopes"))
    [wire] = [wire for wire in scene.wires if wire.tone == "loud"]
    assert (wire.kind, wire.side) == ("both", "usb2")
    inks = [stroke.ink for stroke in strokes_of(scene)[wire.key]]
    assert inks == ["line", "line", "line", "trouble"]  # two SuperSpeed lines as ever; the third with its casing


@pytest.mark.parametrize("name", NAMES)
def test_notes_never_look_like_faults(name: str) -> None:
    report = report_of(name)
    scene = scene_of(report)
    told = {mark.text for one in (*scene.nodes, *scene.wires) for mark in one.marks
            if mark.kind in ("note", "limit", "beside")}
    assert all(MARK_STYLE[kind] == "note" for kind in ("note", "limit", "beside"))
    for shape in painted(place(scene)).flat:
        if isinstance(shape, Words) and any(shape.text and shape.text in text for text in told) and shape.text not in (
                node.name for node in scene.nodes):
            assert shape.ink not in ("trouble", "on_trouble"), shape.text


def test_a_slow_cable_is_marked_in_colour_only_where_a_finding_says_so() -> None:
    report = report_of("behind-the-camera")
    slow = next(each for each in report.findings if each.name == "slower-than-it-could-be")
    assert slow.severity == "note"

    def kinds(scene: Scene) -> list[str]:
        return [mark.kind for wire in scene.wires for mark in wire.marks if mark.text == "cable slows"]

    assert kinds(picture(report.study, report.findings)) == ["limit"]
    worse = [replace(each, severity="risk") if each is slow else each for each in report.findings]
    assert kinds(picture(report.study, worse)) == ["risk"]


@pytest.mark.parametrize("name", NAMES)
def test_what_is_to_be_done_stands_in_the_picture(name: str) -> None:
    report = report_of(name)
    scene = scene_of(report)
    if report.first is None:
        assert not scene.moves
        return
    done = [mark.text for node in scene.nodes for mark in node.marks if mark.kind == "do"]
    said = [*done, *(move.words for move in scene.moves if move.words)]
    assert scene.answer is not None and [f"{words}." for words in said] == list(scene.answer.steps)
    for route in place(scene).routes:
        box = next(box for box in place(scene).boxes if box.node.key == route.move.part)
        assert box.y - 6 <= route.points[0][1] <= box.y + box.height
    assert len(place(scene).routes) == len(scene.moves)


@pytest.mark.parametrize("name", NAMES)
def test_text_has_three_sizes_and_the_figure_is_largest(name: str) -> None:
    scene = scene_of(report_of(name))
    sizes = {shape.size for shape in painted(place(scene)).flat if isinstance(shape, Words)}
    assert sizes == ({TEXT_SIZE, NAME_SIZE} if scene.answer is None else {TEXT_SIZE, NAME_SIZE, FIGURE_SIZE})
    largest = " ".join(shape.text for shape in painted(place(scene)).flat
                       if isinstance(shape, Words) and shape.size == FIGURE_SIZE)
    assert largest == ("" if scene.answer is None else scene.answer.figure)


@pytest.mark.parametrize("name", NAMES)
def test_a_full_link_alarms_only_where_the_first_finding_is_about_it(name: str) -> None:
    scene = scene_of(report_of(name))
    loads = [load for node in scene.nodes for load in node.loads] + [wire.load for wire in scene.wires if wire.load]
    hatched = [shape for shape in painted(place(scene)).flat if isinstance(shape, Slab) and shape.edge == "trouble"
               and shape.height == 6.0]
    assert len(hatched) == sum(load.loud for load in loads)
    if scene.answer is None:
        assert not any(load.loud for load in loads)


def test_every_finding_about_sharing_is_known_to_be_about_a_link() -> None:
    folder = ROOT / "topo" / "checks" / "sharing"
    assert sorted(ON_LINKS) == sorted(path.stem.replace("_", "-") for path in folder.glob("*.py")
                                      if path.stem != "__init__")


def test_figures_are_named_as_checks_name_them() -> None:
    """A figure that no check gives would silently be left out of the picture."""
    sources = " ".join(path.read_text("utf-8") for path in (ROOT / "topo" / "checks").rglob("*.py"))
    for name, (_, wanted) in FIGURES.items():
        assert list((ROOT / "topo" / "checks").rglob(f"{name.replace('-', '_')}.py")), name
        for figure, _ in wanted:
            assert f'"{figure}"' in sources or figure in ("at the peak",), (name, figure)


def test_a_finding_with_no_figure_is_named() -> None:
    assert figure_of(replace(finding_at("a"), name="adapters-look-alike")) == "adapters look alike"


def test_free_sockets_are_drawn() -> None:
    placed = place(picture(study_of(rig_text())))
    free = [(placed.scene.node(stub.above).name, name) for stub in placed.stubs for name in stub.names]
    # By hand: of the hub's four sockets one holds the camera, of the camera's two one holds the guide camera.
    assert sorted(
        free) == [("main-camera", "usb2-2"), ("pier-hub", "2"), ("pier-hub", "3"), ("pier-hub", "4")]
    words = [shape.text for shape in painted(placed).flat if isinstance(shape, Words)]
    assert any(text.endswith("free") for text in words)


@pytest.mark.parametrize("width", [390, 900])
@pytest.mark.parametrize("name", NAMES)
def test_before_and_after_keep_their_places(name: str, width: int) -> None:
    report = report_of(name)
    after = advised_study(report)
    if after is None or report.first is None:
        return
    sheet = before_after(report.study, after, report.findings, report.first, width)
    assert sheet is not None and sheet.width == width
    now, done = (next(shape for shape in sheet.shapes if isinstance(shape, Cluster) and shape.classes == each)
                 for each in ("now", "done"))

    def names(cluster: Cluster) -> list[tuple[float, float, str]]:
        boxes = [each for each in cluster.shapes if isinstance(each, Slab) and each.width == 4.0]
        words = [each for each in cluster.shapes if isinstance(each, Words) and any(
            abs(each.x - box.x - 8) < 0.01 and abs(each.y - box.y - 18.5) < 0.01 for box in boxes)]
        return [(each.x - words[0].x, each.y - words[0].y, each.text) for each in words]

    assert names(now) and [each[2] for each in names(now)] == [each[2] for each in names(done)]
    for (x1, y1, _), (x2, y2, _) in zip(names(now), names(done), strict=True):
        assert (x1, y1) == pytest.approx((x2, y2))
    planned = [each for each in now.shapes if isinstance(each, Stroke) and each.dash == "9 4"]
    assert len(planned) == sum(1 for move in scene_of(report).moves)
    assert not [each for each in done.shapes if isinstance(each, Stroke) and each.dash]
    finding = shown_finding(report.findings, report.first, after)
    assert finding is not None and bars_of(finding, report.first, after) is not None
    assert width < STACKED_BELOW or sheet.height < 400
