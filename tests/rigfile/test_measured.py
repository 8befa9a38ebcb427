"""Figures that were measured, as the rig file says it: for any fact of a device, kept over writing and reading."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from topo.errors import RigFileError
from topo.model.declare import declared, known
from topo.model.facts import Fact
from topo.model.records import DeviceFacts, SeenFacts, SerialFacts, UseFacts
from topo.pipeline import rig_of
from topo.rigfile.edit import set_scalar
from topo.rigfile.measured import GROUPS, note_of
from topo.rigfile.read import read_text

RIG = "rig: A\ncomputer: {ports: {usb2-1: {speed: high}}}\ndevices:\n  cam: {plug: computer/usb2-1}  # mine\n"
RECORDS = {"": DeviceFacts, "use.": UseFacts, "serial.": SerialFacts, "seen.": SeenFacts}
FIGURES = [(before + each.key, each.type, each.bounds) for before, record in RECORDS.items()
           for each in declared(record) if each.type in (int, float)]  # fmt: skip


def test_groups_are_the_sections_of_a_device() -> None:
    assert {f"{name}.": record for name, record in GROUPS} == {k: v for k, v in RECORDS.items() if k}


def _facts(text: str) -> dict[str, Fact[Any]]:
    part = rig_of(read_text(text, "rig.yaml")).devices[0]
    groups = {"": part.facts, "use.": part.use, "serial.": part.serial, "seen.": part.seen}
    return {before + name: fact for before, record in groups.items() for name, fact in known(record)}


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(FIGURES), st.floats(0, 1), st.text("abc 0:,'\"#{}", min_size=1, max_size=30))
def test_any_figure_keeps_its_source_until_it_is_changed(figure: Any, share: float, words: str) -> None:
    key, kind, bounds = figure
    low, high = bounds.low or 0, min(bounds.high or 1000, 1e6)
    value = kind(float(f"{low + share * (high - low):.6g}")) if kind is float else int(low + share * (high - low))
    source = f"x{words}x"
    text = set_scalar(read_text(RIG, "rig.yaml"), ("devices", "cam", *key.split(".")), value)
    text = set_scalar(read_text(text, "rig.yaml"), ("devices", "cam", "measured", key), note_of(value, source))
    assert text.endswith("  # mine\n") and _facts(text)[key] == Fact(value, "measured", source)
    other = int(low) if value != int(low) else int(low) + 1
    if (bounds.low or 0) <= other <= (bounds.high or other):
        changed = set_scalar(read_text(text, "rig.yaml"), ("devices", "cam", *key.split(".")), kind(other))
        assert _facts(changed)[key].basis == "declared"


@pytest.mark.parametrize(("note", "told"), [
    ("readout: '5, a capture'", "'readout' is no figure of a device"),
    ("readout_mb_per_s: a capture", "takes a figure and where it was measured"),
    ("readout_mb_per_s: '5'", "takes a figure and where it was measured"),
    ("role: '5, a capture'", "'role' is no figure of a device"),
])  # fmt: skip
def test_a_note_that_says_nothing_is_refused_with_its_place(note: str, told: str) -> None:
    text = RIG.replace("usb2-1}  #", f"usb2-1, measured: {{{note}}}}}  #")
    with pytest.raises(RigFileError) as caught:
        read_text(text, "rig.yaml")
    (problem,) = caught.value.problems
    assert told in problem.message and problem.line == 4 and problem.column > 30


def test_a_note_of_another_figure_changes_nothing() -> None:
    text = RIG.replace("usb2-1}  #", "usb2-1, readout_mb_per_s: 7, measured: {readout_mb_per_s: '5, a capture'}}  #")
    assert _facts(text)["readout_mb_per_s"] == Fact(7.0, "declared")
