"""A few hundred of the generated rigs of `fuzz_check`, and the rigs that once showed a defect."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys

import pytest

from tests.fuzz_check import (
    ROOT,
    Outcome,
    examine_one,
    profiles,
    run,
    wrong_json,
    wrong_lines,
    wrong_pictures,
    wrong_report,
    wrong_shares,
)
from tests.fuzz_rigs import Maker
from tests.samples import share
from topo.errors import RigFileError
from topo.pipeline import examine_text
from topo.report.asjson import report_json
from topo.report.lines import text_of
from topo.report.text import report_lines


@pytest.mark.parametrize("seed", share(range(20, 28), 1))
def test_generated_rigs_are_examined_without_a_defect(seed: int) -> None:
    outcome = run(50, seed)
    assert [words for _, words in outcome.defects] == []
    assert outcome.examined > 20 and outcome.refused > 1
    assert outcome.allocations > 80


def test_the_same_seed_makes_the_same_rigs() -> None:
    known = list(profiles())
    one, other = (Maker(random.Random(7), known) for _ in range(2))
    assert [one.text() for _ in range(20)] == [other.text() for _ in range(20)]


@pytest.mark.slow
def test_reports_of_generated_rigs_do_not_hang_on_the_order_of_hashes() -> None:
    code = (
        "import json, random\nfrom tests.fuzz_check import profiles\nfrom tests.fuzz_rigs import Maker\n"
        "from topo.errors import TopoError\nfrom topo.pipeline import examine_text\n"
        "from topo.report.asjson import report_json\nmake = Maker(random.Random(5), profiles())\n"
        "for _ in range(30):\n"
        "    try:\n        print(json.dumps(report_json(examine_text(make.text()))))\n"
        "    except TopoError as error:\n        print(error)\n"
    )
    told = {
        subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True,
                       env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"}).stdout
        for seed in ("0", "1", "22")
    }  # fmt: skip
    assert len(told) == 1 and max(map(len, told)) > 10_000


@pytest.mark.slow
def test_generated_rigs_say_all_there_is_to_say() -> None:
    """Every finding that needs no scan comes up, so that the words and figures of each are tried."""
    rng, outcome = random.Random(3), Outcome()
    make = Maker(rng, profiles())
    for number in range(60):
        examine_one(make.text(), number * 100 + 1, rng, outcome)
    assert len(outcome.findings) >= 12, outcome.findings


ONCE = {
    "more reserved than a link has": """rig: A
computer: {ports: {usb2-1: {speed: high}}}
hubs: {h: {speed: high, ports: 4, plug: computer/usb2-1}}
devices:
  a: {speed: high, interface: iso, iso_bytes_per_ms: 400000, plug: h/1, role: imaging, width_px: 99, height_px: 99,
      readout_mb_per_s: 60, use: {mode: video, fps: 3000}}
  b: {speed: high, plug: h/2, role: other, width_px: 99, height_px: 99, use: {mode: video, fps: 3000}}
  c: {speed: super, plug: h/3, role: guiding, width_px: 99, height_px: 99, use: {exposure_s: 1}}
""",
    "a computer with nothing on it": "rig: A\ncomputer: {volts_max: 1.65}\n",
    "a translator with nothing left": """rig: A
computer: {profile: small-board-shared-bus}
hubs: {h: {speed: high, ports: 4, plug: computer/usb2-1}}
devices:
  a: {speed: full, interrupt_bytes: 64, interrupt_interval_ms: 0.125, iso_bytes_per_ms: 400000, plug: h/1}
  b: {speed: full, role: imaging, width_px: 640, height_px: 480, plug: h/2, use: {exposure_s: 1}}
  c: {speed: super, role: guiding, width_px: 640, height_px: 480, plug: h/3, use: {exposure_s: 1}}
""",
}


@pytest.mark.parametrize("name", ONCE)
def test_what_once_was_a_defect(name: str) -> None:
    report = examine_text(ONCE[name])
    assert list(wrong_report(report, Outcome())) == []
    assert list(wrong_json(report_json(report))) == []
    assert list(wrong_pictures(report)) == []
    assert list(wrong_shares(report.study)) == []
    assert list(wrong_lines([text_of(line) for line in report_lines(report, 60, "ascii")], 60, "ascii")) == []


@pytest.mark.parametrize("uplink", ["0", "0.0", "0000", "0.0001", "1000000", "-1", "1e3", "pcie6x1", "pcie2x3"])
def test_an_uplink_that_is_none_is_refused_with_its_place(uplink: str) -> None:
    with pytest.raises(RigFileError, match="uplink") as caught:
        examine_text(f'rig: A\ncomputer: {{controllers: {{a: {{uplink: "{uplink}"}}}}}}\n')
    assert [problem.line for problem in caught.value.problems] == [2]


@pytest.mark.parametrize("uplink", ["0.001", "0.5", "1", "400", "999999.5", "pcie1x1", "pcie5x16"])
def test_an_uplink_that_is_one_is_taken(uplink: str) -> None:
    text = (
        f'rig: A\ncomputer: {{controllers: {{a: {{uplink: "{uplink}"}}}}, ports: {{usb2-1: {{}}}}}}\n'
        "devices: {a: {role: imaging, width_px: 9, height_px: 9, speed: high, plug: computer/usb2-1}}\n"
    )
    assert any(link.kind == "uplink" for link in examine_text(text).study.links)


def test_json_of_a_link_with_nothing_left_has_nulls() -> None:
    body = report_json(examine_text(ONCE["a translator with nothing left"]))
    json.dumps(body, allow_nan=False)
    camera = next(device for device in body["devices"] if device["id"] == "b")
    assert camera["download_s"]["together"][2] is None
