"""Places: nothing overlaps, wires run straight from a bar to what hangs on it, and it fits the width."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given, settings

from tests.computed import example_report
from tests.draw.rigs import EXAMPLES, finding_at, hostile, rig_text, study_of
from topo.draw.layout import place
from topo.draw.metrics import text_width, wrapped
from topo.draw.paint import painted
from topo.draw.picture import picture
from topo.draw.scene import Scene, WireKind
from topo.draw.shapes import Stroke


def scenes() -> list[Scene]:
    found = []
    for file in sorted(EXAMPLES.glob("*/rig.yaml")):
        report = example_report(file.parent.name)
        found.append(picture(report.study, report.findings))
    return found


@pytest.fixture(scope="module")
def examples() -> list[Scene]:
    return scenes()


def test_examples_fit_900_pixels_and_overlap_nowhere(examples: list[Scene]) -> None:
    assert len(examples) >= 5
    for scene in examples:
        placed = place(scene)
        assert placed.width == 900, scene.title
        leaves = [box for box in placed.boxes if box.node.kind != "computer"]
        for one, other in itertools.combinations(leaves, 2):
            apart = (one.x + one.width <= other.x or other.x + other.width <= one.x
                     or one.y + one.height <= other.y or other.y + other.height <= one.y)
            assert apart, f"{one.node.name} over {other.node.name} in {scene.title}"
        for box in placed.boxes:
            assert box.x >= 0 and box.x + box.width <= placed.width and box.y + box.height <= placed.height


def test_wires_end_at_their_parts(examples: list[Scene]) -> None:
    for scene in examples:
        placed = place(scene)
        boxes = {box.node.key: box for box in placed.boxes}
        for strand in placed.strands:
            above, below = boxes[strand.wire.above], boxes[strand.wire.below]
            (x1, y1), (x2, y2) = strand.points
            assert x1 == pytest.approx(above.x + above.width) and x2 == pytest.approx(below.x) and y1 == y2
            assert above.y <= strand.y <= above.y + above.height
            assert below.y <= strand.y <= below.y + below.height


def test_two_hundred_hubs_in_a_row_are_placed() -> None:
    hubs = "\n".join(f"  h{n}: {{speed: high, ports: 4, plug: {'computer/usb2-1' if n == 0 else f'h{n - 1}/1'}}}"
                     for n in range(200))
    scene = picture(study_of(f"rig: deep\ncomputer: {{ports: {{usb2-1: {{}}}}}}\nhubs:\n{hubs}\n"))
    placed = place(scene)
    assert len(placed.boxes) == 202 and placed.width == 900
    assert all(900 - box.x >= 170 for box in placed.boxes), "text keeps its room however deep it hangs"


@given(hostile)
@settings(max_examples=80, deadline=None)
def test_wrapped_lines_fit_and_lose_nothing(text: str) -> None:
    lines = wrapped(text, 60, 11, most=200)
    assert all(text_width(line, 11) <= 60 or len(line.rstrip("\u0301")) <= 1 for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_no_word_is_broken_where_it_fits_a_line() -> None:
    assert wrapped("A Extension", text_width("Extension", 11) + 1, 11) == ("A", "Extension")
    rows = [run for hub in (_deep("Extension 10m"), _deep("a-hub-on-the-tripod")) for run in hub]
    assert "Extension 10m" in rows or {"Extension", "10m"} <= set(rows)
    assert not {"Extensi", "a-hub-on-the-tripo"} & set(rows)


def _deep(name: str) -> list[str]:
    """Lines of text of a rig so deep that columns are squeezed, with a hub of that name."""
    hubs = [f"  {name}: {{speed: super, ports: 4, plug: computer/usb3-1}}"]
    above = name
    for number in range(4):
        hubs.append(f"  h{number}: {{speed: super, ports: 4, plug: {above}/1}}")
        above = f"h{number}"
    computer = "rig: R\ncomputer:\n  controllers: {c: {}}\n  ports:\n    usb3-1: {speed: super, controller: c}\n"
    scene = picture(study_of(computer + "hubs:\n" + "\n".join(hubs) + "\n"), ())
    return [text for box in place(scene).boxes for row in box.rows for _, text in row.runs]


def test_a_figure_is_not_parted_from_its_unit() -> None:
    lines = wrapped("peak 41 % and 480 Mb/s of it", 60, 11)
    assert not any(line.startswith(("%", "Mb/s")) for line in lines)


def wire_to(scene: Scene, part: str) -> tuple[WireKind, tuple[str, ...], tuple[str, ...]]:
    key = next(node.key for node in scene.nodes if node.part == part and node.kind != "again")
    wire = scene.wire_to(key)
    assert wire is not None
    return wire.kind, wire.carries, tuple(mark.kind for mark in wire.marks)


def test_scene_says_where_guiding_meets_imaging_and_what_slows() -> None:
    # By hand: both cameras run through the USB 2 hub's one 480 Mb/s bus, and the hub keeps the camera from 5 Gb/s.
    scene = picture(study_of(rig_text()), [replace(finding_at("guide-camera"), others=("main-camera",))])
    assert wire_to(scene, "pier-hub") == ("usb2", ("imaging", "guiding"), ("meet",))
    assert wire_to(scene, "main-camera") == ("usb2", ("imaging", "guiding"), ())  # told once, nearest the computer
    assert wire_to(scene, "guide-camera") == ("usb2", ("guiding",), ())
    marks = {node.part: [mark.text for mark in node.marks] for node in scene.nodes}
    assert marks["pier-hub"] == ["slows main-camera"]
    assert marks["guide-camera"] == ["fault 1: guiding-shares-link"]
    assert scene.cautions and scene.verdict == "Expect trouble: 1 fault."


def test_a_scene_without_supplies_or_leads_needs_no_cautions() -> None:
    text = rig_text().partition("\npower:")[0]
    assert picture(study_of(text)).cautions == ()


def test_the_case_of_a_computer_is_close_where_it_is_tall() -> None:
    """Much on one controller makes it tall; the case then is no large white field."""
    devices = "".join(f"  d{n}: {{role: other, speed: high, plug: pier-hub/{n}}}\n" for n in range(4, 20))
    text = rig_text().replace("ports: 4", "ports: 20").replace("devices:\n", "devices:\n" + devices)
    placed = place(picture(study_of(text), []))
    box = next(each for each in placed.boxes if each.node.kind == "computer")
    points = next(shape for shape in painted(placed).flat if isinstance(shape, Stroke) and len(shape.points) > 5
                  and shape.points[0] == (box.x, box.y)).points
    across = [(x1, x2) for (x1, _), (x2, _) in itertools.pairwise(points) if x1 != x2]
    area = abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in itertools.pairwise(points))) / 2
    assert across and area < 0.6 * box.width * box.height
    for each in placed.boxes:  # and its controllers are inside
        if each.node.kind == "controller":
            assert min(x for x, _ in points) < each.x and each.right < max(x for x, _ in points)
            assert each.y + each.height <= max(y for _, y in points)
