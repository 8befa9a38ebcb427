"""Volts through the night as drawn, against scipy's volts at each hour worked out here from what runs then."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import pytest
from matplotlib.figure import Figure

from tests.power.nodal import by_nodes
from topo.analysis.study import Study
from topo.draw.look import DARK, LIGHT, Colours
from topo.draw.night_volts import draw_volts, volts_high
from topo.model.cautions import SHORT
from topo.pipeline import rig_of
from topo.power.solve import Joint
from topo.rigfile.read import read_text

HOURS, VOLTS = 5, 12.8
LEADS = {"feed": ("s", "block", 4.0), "a": ("block", "cam", 3.0), "b": ("block", "mount", 2.0),
         "c": ("block", "dew", 25.0)}  # fmt: skip
DRAWS = {"cam": (0.8, 3.0), "mount": (0.5, 2.5), "dew": (1.0, 1.0)}
FLOORS = {"cam": 12.0, "mount": 11.0, "dew": 6.0}
RIG = """\
rig: T
computer: {}
devices:
  cam: {role: imaging, interface: none, draws: watts, amps_typical: 0.8, amps_peak: 3, volts_min: 12}
  mount: {role: mount, interface: none, draws: watts, amps_typical: 0.5, amps_peak: 2.5, volts_min: 11}
  dew: {role: dew, interface: none, draws: ohms, amps_typical: 1, amps_peak: 1, volts_min: 6}
night: {hours: 5}
power:
  supplies: {s: {volts: 12.8, amps: 20, kind: mains, volts_by: meter}}
  blocks: {block: {contact_milliohm: 0}}
  leads:
""" + "".join(
    f"    {name}: {{from: {start}, to: {end}, length_m: {metres}, gauge_awg: 18, contact_milliohm: 0}}\n"
    for name, (start, end, metres) in LEADS.items()
)


def runs_at(hour: float) -> set[str]:
    """What is at its peak: the cooler for 20 minutes from dusk, the mount for a minute every two hours."""
    return ({"cam"} if hour < 1 / 3 else set()) | ({"mount"} if hour % 2 < 1 / 60 - 1e-9 else set())


def likely_volts(study: Study, hour: float) -> dict[str, float]:
    """By scipy: the ohms of each lead as the rig has them, everything else by hand."""
    ohms = {lead.id: math.fsum(step.ohm.likely for step in lead.steps) for lead in study.power.leads}
    joints, index = [Joint(-1)], {"s": 0}
    for name, (start, end, _) in LEADS.items():
        amps = DRAWS[end][end in runs_at(hour)] if end in DRAWS else 0.0
        watts, siemens = (0.0, amps / 12) if end == "dew" else (12 * amps, 0.0)
        index[end] = len(joints)
        joints.append(Joint(index[start], ohms[name], watts=watts, siemens=siemens))
    found = by_nodes(VOLTS, joints)
    assert found is not None
    return {end: float(found[number]) for end, number in index.items()}


@pytest.fixture(scope="module")
def study() -> Study:
    return Study(rig_of(read_text(RIG, "rig.yaml")))


def drawn(study: Study, colours: Colours = LIGHT) -> Figure:
    high = volts_high(study.volts_at_night)
    figure = Figure(figsize=(9.0, high / 100), dpi=100)
    draw_volts(figure, study.volts_at_night, 0.0, high, colours)
    return figure


def steps(figure: Figure) -> list[tuple[Sequence[float], Sequence[float]]]:
    """The lines of volts: those that are drawn as steps over the hours."""
    return [(list(line.get_xdata()), list(line.get_ydata())) for line in figure.axes[0].get_lines()
            if line.get_drawstyle() == "steps-post"]  # type: ignore[arg-type]


def told(figure: Figure) -> list[str]:
    return [each.get_text() for each in (*figure.axes[0].texts, *figure.texts)]


def test_the_lines_are_the_volts_of_each_hour(study: Study) -> None:
    """Those with least to spare first: cam, 12 V; mount, 11 V; dew, 6 V. At each moment within a millivolt of scipy."""
    lines = steps(drawn(study))
    assert len(lines) == 3
    for (hours, volts), name in zip(lines, ("cam", "mount", "dew"), strict=True):
        assert hours[0] == 0.0 and hours[-1] == HOURS and list(hours) == sorted(hours)
        for hour, shown in zip(hours[:-1], volts[:-1], strict=True):
            assert shown == pytest.approx(likely_volts(study, hour)[name], abs=1e-3), (name, hour)
        assert volts[-1] == volts[-2]
    changes = [hour for (hours, volts) in lines[:1] for hour, a, b in zip(hours[1:], volts, volts[1:], strict=False)
               if abs(a - b) > 1e-3]  # fmt: skip
    assert changes == pytest.approx([1 / 60, 1 / 3, 2, 2 + 1 / 60, 4, 4 + 1 / 60])


def test_the_lowest_volts_and_what_a_part_works_from_are_told(study: Study) -> None:
    figure = drawn(study)
    every = [likely_volts(study, hour) for hour in (0.0, 0.1, 1.0, 2.0)]
    for name, floor in FLOORS.items():
        lowest = min(each[name] for each in every)
        assert f"lowest {lowest:.2f} V, works from {floor:g}" in told(figure)
    heights = [line.get_ydata()[0] for line in figure.axes[0].get_lines()  # type: ignore[index]
               if line.get_drawstyle() == "default" and len(set(line.get_ydata())) == 1
               and line.get_transform() != figure.axes[0].transAxes]  # fmt: skip
    assert sorted(set(map(float, heights)) & {6.0, 11.0, 12.0}) == [6.0, 11.0, 12.0]
    assert {f"works from {floor} V" for floor in (6, 11, 12)} <= set(told(figure))


def test_the_band_is_low_to_high_of_the_first(study: Study) -> None:
    """Of cam, which falls below 12 V at the low end while its cooler ramps: the band holds both ends and the line."""
    figure = drawn(study)
    [band] = figure.axes[0].collections
    ends = band.get_paths()[0].vertices[:, 1]
    series = dict(study.volts_at_night.volts)["cam"]
    assert min(ends) == pytest.approx(min(each.low for each in series if each))
    assert max(ends) == pytest.approx(max(each.high for each in series if each))
    assert min(ends) < min(steps(figure)[0][1]) < max(steps(figure)[0][1]) < max(ends)


def test_where_the_low_end_is_dark_the_band_goes_down_to_the_edge() -> None:
    """A battery that lasts the night as likely and not at the low end: no part has volts there once it is flat."""
    battery = "volts: 13.2, amps: 50, chemistry: lifepo4, ah: 15.2, charge_percent: 100, night_celsius: 10"
    text = RIG.replace("volts: 12.8, amps: 20, kind: mains, volts_by: meter", battery)
    weak = Study(rig_of(read_text(text, "rig.yaml")))
    series = dict(weak.volts_at_night.volts)["cam"]
    assert None not in series and series[0] is not None and series[0].low > 0
    assert series[-1] is not None and series[-1].low == 0.0 < 11 < series[-1].likely
    figure = drawn(weak)
    [band] = figure.axes[0].collections
    assert min(band.get_paths()[0].vertices[:, 1]) < figure.axes[0].get_ylim()[0] < 11
    assert figure.axes[0].get_ylim()[0] > 5


def test_what_falls_out_is_said_beneath_with_the_caution_once(study: Study) -> None:
    """By scipy cam has fewer than its 12 V at dusk, and more once the cooler is done."""
    assert likely_volts(study, 0.0)["cam"] < 12.0 < likely_volts(study, 1.0)["cam"]
    words = " ".join(told(drawn(study)))
    assert re.search(r"cam falls out at dusk for 20 min, while cam( and mount)? draws? (its|their) peak", words), words
    assert words.count(SHORT) == 1


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_nothing_leaves_the_picture_and_no_words_meet(study: Study, colours: Colours) -> None:
    figure = drawn(study, colours)
    figure.canvas.draw()
    boxes = [each.get_window_extent() for each in (*figure.axes[0].texts, *figure.texts) if each.get_text()]
    wide, high = figure.get_size_inches() * figure.dpi
    assert all(box.x0 >= 0 and box.y0 >= 0 and box.x1 <= wide and box.y1 <= high for box in boxes)
    assert not [(a, b) for number, a in enumerate(boxes) for b in boxes[:number] if a.overlaps(b)]
