"""Every rig at every width from 300 to 2000 pixels: no wider than asked, text of readable size, inside and apart.

Text is measured as the layout measures it, which is wide on purpose; tests/draw/test_browser.py measures in a browser.
"""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.computed import example_report
from tests.draw.rigs import EXAMPLES, finding_at, hostile, rig_text, study_of
from topo.draw.blocks import wire_texts
from topo.draw.layout import place
from topo.draw.look import TEXT_SIZE
from topo.draw.metrics import text_width
from topo.draw.paint import painted
from topo.draw.picture import picture
from topo.draw.scene import Load, Scene, Wire
from topo.draw.shapes import Sheet, Slab, Stroke, Words

WIDTHS = st.integers(300, 2000)


@st.composite
def rigs(draw: st.DrawFn) -> str:
    """A computer, up to nine hubs in any tree, up to nine devices anywhere; names short and long."""
    word = st.text(st.sampled_from("abcdefghij-"), min_size=1, max_size=24).filter(lambda text: text.strip("-"))
    hubs = draw(st.lists(word.map("h".__add__), max_size=9, unique=True))
    devices = draw(st.lists(word.map("d".__add__), max_size=9, unique=True))
    free = {"computer": [f"usb3-{n}" for n in range(1, 5)]}
    lines: list[str] = []
    for section, names in (("hubs", hubs), ("devices", devices)):
        lines.append(f"{section}:" if names and any(free.values()) else "")
        for name in names:
            places = sorted(key for key, sockets in free.items() if sockets)
            if not places:
                break
            above = draw(st.sampled_from(places))
            socket = free[above].pop(0)
            if section == "hubs":
                ports = draw(st.integers(2, 10))
                lines.append(f"  {name}: {{speed: super, ports: {ports}, plug: {above}/{socket}}}")
                free[name] = [str(n) for n in range(1, ports + 1)]
            else:
                role = draw(st.sampled_from(["imaging", "guiding", "focuser", "other"]))
                lines.append(f"  {name}: {{role: {role}, speed: high, width_px: 1280, height_px: 960, "
                             f"readout_mb_per_s: 30, plug: {above}/{socket}, use: {{exposure_s: 2}}}}")
    ports = ", ".join(f"usb3-{n}: {{speed: super, controller: c}}" for n in range(1, 5))
    return "\n".join([f"rig: R\ncomputer: {{controllers: {{c: {{}}}}, ports: {{{ports}}}}}", *filter(None, lines), ""])


def wrong(sheet: Sheet, width: int) -> list[str]:
    """What of a picture sticks out, is too small, or lies over other text."""
    found = [] if sheet.width == width else [f"{sheet.width} wide"]
    texts = []
    for shape in sheet.flat:
        if isinstance(shape, Words):
            wide = text_width(shape.text, shape.size, shape.bold)
            left = shape.x - {"start": 0.0, "middle": wide / 2, "end": wide}[shape.anchor]
            found += [f"{shape.text} is {shape.size} px"] if shape.size < TEXT_SIZE else []
            found += [f"{shape.text} from {left:.0f} to {left + wide:.0f}"] if left < 0 or left + wide > width else []
            texts.append((shape.y, left, left + wide, shape))
        else:
            xs = [shape.x, shape.x + shape.width] if isinstance(shape, Slab) else [x for x, _ in shape.points]
            if min(xs) < 0 or max(xs) > width:
                found.append(f"{type(shape).__name__} from {min(xs):.0f} to {max(xs):.0f}")
    texts.sort(key=lambda each: each[:3])
    for number, (y, left, right, words) in enumerate(texts):
        for other_y, other_left, other_right, other in texts[number + 1 :]:
            if other_y - y > 8.0:
                break
            if left < other_right - 1 and other_left < right - 1:
                found.append(f"{words.text} over {other.text}")
    return found


@pytest.mark.slow
@given(rigs(), WIDTHS)
@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_rig_at_any_width(text: str, width: int) -> None:
    study = study_of(text)
    names = [device.id for device in study.rig.devices]
    found = [finding_at(names[0])] if names else []
    assert not wrong(painted(place(picture(study, found, width))), width)


def _example(name: str, width: int) -> Scene:
    report = example_report(name)
    return picture(report.study, report.findings, width, report.first)


@given(st.sampled_from(sorted(path.parent.name for path in EXAMPLES.glob("*/rig.yaml"))), WIDTHS)
@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_examples_at_any_width(name: str, width: int) -> None:
    assert not wrong(painted(place(_example(name, width))), width)


@given(st.lists(hostile, min_size=5, max_size=5, unique=True), WIDTHS)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_hostile_names_at_any_width(five: list[str], width: int) -> None:
    hub, camera, guide, mount, title = five
    study = study_of(rig_text(hub, camera, guide, mount, title))
    assert not wrong(painted(place(picture(study, [finding_at(guide, title)], width))), width)


SPEEDS = st.sampled_from(["", "480 Mb/s", "5 Gb/s", "10 Gb/s, held to 480 Mb/s"])
LENGTHS = st.sampled_from(["", "0.5 m", "1.2 m USB 2", "15 m USB 2 active"])
LOADS = st.sampled_from(["", "29 of 42 MB/s free", "no room while right-camera downloads", "67 MB/s asked, carries 42"])


@given(SPEEDS, LENGTHS, LOADS, st.integers(90, 400), st.booleans())
def test_a_wire_says_each_thing_once(speed: str, length: str, said: str, width: int, measured: bool) -> None:
    load = Load(said, 0.5, False) if measured and said else None
    wire = Wire("w0", "both", "a", "b", speed=speed, length=length, load=load, note="" if load else said)
    texts = wire_texts(wire, width)
    shown = " ".join([*texts.above, *texts.below]).replace("- ", "-").split()
    told = " ".join([speed, length, said]).split()
    assert sorted(word for word in shown if word != "·") == sorted(told)
    assert all(text_width(line, TEXT_SIZE) <= width for line in (*texts.above, *texts.below))


def test_the_measure_can_fail() -> None:
    over = (Words(10, 20, "one word", 12.0), Words(12, 22, "another", 12.0), Stroke(((0, 0), (400, 0))),
            Words(290, 90, "sticks out", 9.0))
    assert len(wrong(Sheet(300, 100, over, "", ""), 300)) == 4
