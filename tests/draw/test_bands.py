"""A tall picture on paper: in bands that follow each other, none taller than a sheet; no word, no card cut through."""

from __future__ import annotations

import re
from itertools import pairwise

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.draw.rigs import finding_at, rig_text, study_of
from tests.draw.test_any_width import rigs
from topo.draw.bands import SHEET_HIGH, TALL, bands_of
from topo.draw.choices import figure_of_two
from topo.draw.layout import place
from topo.draw.paint import painted
from topo.draw.picture import picture
from topo.draw.shapes import Sheet, Slab, Words


def cut_through(sheet: Sheet, bands: tuple[tuple[float, float], ...]) -> list[str]:
    """Words and cards that lie on both sides of a cut."""
    found = []
    for cut in [end for _, end in bands[:-1]]:
        for shape in sheet.flat:
            if isinstance(shape, Words) and shape.y - 0.8 * shape.size < cut < shape.y + 0.2 * shape.size:
                found.append(shape.text)
            card = isinstance(shape, Slab) and shape.fill and shape.height < TALL
            if card and shape.y < cut < shape.y + shape.height:
                found.append(f"a card at {shape.y}")
    return found


@given(rigs(), st.sampled_from([380.0, SHEET_HIGH]))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_bands_cut_through_nothing_that_is_read(text: str, most: float) -> None:
    study = study_of(text)
    names = [device.id for device in study.rig.devices]
    sheet = painted(place(picture(study, [finding_at(names[0])] if names else [], 960)))
    bands = bands_of(sheet, most)
    assert bands[0][0] == 0.0 and bands[-1][1] == sheet.height
    assert all(one[1] == two[0] for one, two in pairwise(bands))
    assert all(0.0 < bottom - top <= most for top, bottom in bands)
    assert not cut_through(sheet, bands)


def test_the_measure_can_fail() -> None:
    sheet = Sheet(100, 300, (Words(0, 154, "word"), Slab(0, 120, 50, 60, "bar")), "", "")
    assert cut_through(sheet, ((0.0, 150.0), (150.0, 300.0))) == ["word", "a card at 120"]


def test_a_page_has_every_part_once_however_it_is_cut() -> None:
    devices = "".join(f"  d{n}: {{role: other, speed: full, plug: pier-hub/{n}}}\n" for n in range(1, 31))
    text = rig_text().replace("ports: 4", "ports: 31").replace('/1"', '/31"')
    text = text.replace("devices:\n", "devices:\n" + devices)
    sheet = painted(place(picture(study_of(text), [], 960)))
    assert len(bands_of(sheet)) > 1
    html = figure_of_two(sheet, None, "picture")
    ids = re.findall(r' id="([^"]*)"', html)
    assert len(ids) == len(set(ids))
    assert {f"picture-broad-{shape.key}" for shape in sheet.shapes if getattr(shape, "key", "")} <= set(ids)
    assert html.count("<svg ") == len(bands_of(sheet))
    said = re.findall(r">([^<>]+)</text>", html)
    assert all(said.count(f"d{n}") == 1 for n in range(1, 31)), "and no word twice"
