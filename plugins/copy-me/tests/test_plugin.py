"""What holds this plugin: it is found, it follows the rules, and each of its pieces does what it says."""

from __future__ import annotations

import csv
import io

import pytest
import topo_copy_me
from topo_copy_me.parts_list import HEADS, render
from topo_copy_me.slow_guide_download import CHECK

from topo.draw.picture import picture
from topo.model.check import Case
from topo.pipeline import examine_text
from topo.plugin.contract import breaches
from topo.plugin.load import loaded


def test_it_is_found_with_all_it_supplies() -> None:
    mine = [each for each in loaded().suppliers if each.supplier.plugin == "copy-me"]
    assert [(each.profiles, each.checks, each.renderers) for each in mine] == [
        (("camera-slit-viewer-2mp",), ("slow-guide-download",), ("parts-list",))
    ]
    assert not [trouble for trouble in loaded().troubles if trouble.plugin == "copy-me"]


def test_it_follows_the_rules() -> None:
    assert list(breaches(topo_copy_me.__name__)) == []


@pytest.mark.parametrize("case", CHECK.cases, ids=lambda case: case.name)
def test_the_check_finds_what_its_cases_say(case: Case) -> None:
    findings = [finding for finding in examine_text(case.rig).findings if finding.name == CHECK.name]
    assert len(findings) == case.findings
    for finding in findings:
        assert finding.supplied_by.startswith("copy-me (topo-copy-me ")
        assert finding.fix is not None and finding.fix.text


RIG = """\
rig: Names that a spreadsheet would run
computer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}}}
devices:
  '=1+1': {role: guiding, profile: camera-slit-viewer-2mp, plug: computer/usb2-1, cable: {length_m: 2}}
  'a "quoted", name': {role: focuser, speed: full, plug: computer/usb2-2}
"""


def test_the_table_has_every_part_and_no_formula() -> None:
    data = render(picture(examine_text(RIG).study))
    rows = list(csv.reader(io.StringIO(data.decode("utf-8"))))
    assert tuple(rows[0]) == HEADS
    assert [row[0] for row in rows[1:]] == ["computer", "'=1+1", 'a "quoted", name']
    assert [row[4] for row in rows[1:]] == ["", "usb2-1", "usb2-2"]
