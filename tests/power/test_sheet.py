"""The meter sheet: cautions first, every plug once in each step, its figures those of the solve, and what is read on it
goes back into the rig file by the keys and the arithmetic it names."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.power.rigs import METER, part, text
from topo.analysis.study import Study
from topo.cli.main import status_of
from topo.model.cautions import CAUTIONS
from topo.pipeline import rig_of, study_file
from topo.report.lines import Line
from topo.report.power_sheet import sheet_lines
from topo.rigfile.read import read_text

ROOT = Path(__file__).resolve().parents[2]
WITH_POWER = ("field-battery", "garden-pier", "pier-block")


def study_text(written: str) -> Study:
    return Study(rig_of(read_text(written, "rig.yaml")))


def words_of(lines: list[Line]) -> list[str]:
    return ["".join(piece for piece, _ in line) for line in lines]


def step(lines: list[str], word: str) -> dict[str, list[str]]:
    """The rows of one step by their first cell."""
    begin = next(number for number, line in enumerate(lines) if line.startswith(word))
    block = []
    for line in lines[begin + 1 :]:
        if not line.strip():
            break
        block.append(line)
    return {cells[0]: cells[1:] for cells in (re.split(r"\s{2,}", line.strip()) for line in block
                                              if line.startswith("  ") and not line.startswith("   "))}  # fmt: skip


@pytest.mark.parametrize("name", WITH_POWER)
def test_every_figure_is_that_of_the_solve(name: str) -> None:
    study = study_file(ROOT / "examples" / name / "rig.yaml")
    lines = words_of(sheet_lines(study))
    assert max(map(len, lines)) <= 80
    empty, loaded, amps = step(lines, "EMPTY"), step(lines, "UNDER LOAD"), step(lines, "AMPS")
    for plug in study.power.plugs:
        assert plug.volts.typical is not None and plug.volts.peak is not None
        ends = [f"{plug.at_rest.low:.2f}", f"{plug.at_rest.high:.2f}"]
        assert empty[plug.part][0] == "–".join(dict.fromkeys(ends))
        assert loaded[plug.part][:2] == [f"{each.low:.2f}–{each.high:.2f}"
                                         for each in (plug.volts.typical, plug.volts.peak)]  # fmt: skip
        if plug.amps.typical is not None and plug.amps.typical.low < plug.amps.typical.high:
            assert amps[plug.part][0] == f"{plug.amps.typical.low:.2f}–{plug.amps.typical.high:.2f}"
    assert set(step(lines, "LEADS")) - {"lead"} == {lead.id for lead in study.power.leads if lead.steps}
    assert set(step(lines, "SUPPLIES")) - {"supply"} == {source.id for source in study.power.sources}


def test_the_cautions_come_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["power", str(ROOT / "examples" / "pier-block" / "rig.yaml"), "--sheet"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert max(out.index(each) for each in CAUTIONS) < out.index("Work down the page") < out.index("SUPPLIES")
    assert all(out.count(each) == 1 for each in CAUTIONS)


@pytest.mark.parametrize("more", [["--json"], ["-o", "x.svg"]])
def test_it_is_a_page_of_its_own(more: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of(["power", str(ROOT / "examples" / "pier-block" / "rig.yaml"), "--sheet", *more]) == 2
    assert "--sheet" in capsys.readouterr().err


@pytest.mark.parametrize("worn", [8.0, 50.0, 130.0])
@pytest.mark.parametrize("at_block", [False, True])
def test_a_bad_contact_that_is_measured_goes_back_into_the_file(worn: float, at_block: bool) -> None:
    """A lead with worn contacts is metered; the sheet's arithmetic gives these milliohms, and with them written the
    volts that were read."""
    start = "b" if at_block else "s"
    feed = ", f: {from: s, to: b, length_m: 1, gauge_awg: 12, contact_milliohm: 0}" if at_block else ""
    lines = f"supplies: {{s: {{volts: 12.6, amps: 20, kind: mains, {METER}}}}}\n"
    lines += "blocks: {b: {contact_milliohm: 2}}\n"
    lines += f"leads: {{l: {{from: {start}, to: x, length_m: 2, gauge_awg: 16, fuse_amps: 5, PLUGS}}{feed}}}"
    plugs = "to_plug: barrel-2.1" if at_block else "from_plug: screw, to_plug: barrel-2.1"
    believed = study_text(text(lines.replace("PLUGS", plugs), part("x", 2)))
    true = study_text(text(lines.replace("PLUGS", f"{plugs}, contact_milliohm: {worn}"), part("x", 2)))
    there = true.power.lead("l")
    assert there is not None and there.volts_from.typical and there.volts_to.typical and there.amps.typical
    lost = there.volts_from.typical.likely - there.volts_to.typical.likely
    row = step(words_of(sheet_lines(believed, width=120)), "LEADS")["l"]
    ohm, times = float(row[-2]), float(row[-1])
    if at_block:  # the ohms of the block's way are among those of wire and fuse
        assert times == 500
    made = (lost / there.amps.typical.likely - ohm) * times
    assert made == pytest.approx(worn, abs=0.1)
    again = study_text(text(lines.replace("PLUGS", f"{plugs}, contact_milliohm: {made}"), part("x", 2))).power.plug("x")
    assert again is not None and again.volts.typical is not None
    assert again.volts.typical.likely == pytest.approx(there.volts_to.typical.likely, abs=1e-3)
