"""`topo power` as a person runs it: the table at 80 columns, JSON against its schema, the picture in all its forms."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import topo.report
from tests.samples import share
from topo.cli.main import status_of
from topo.model.cautions import CAUTIONS

ROOT = Path(__file__).resolve().parents[2]
PIER = str(ROOT / "examples" / "garden-pier" / "rig.yaml")
NO_POWER = str(ROOT / "examples" / "two-cameras" / "rig.yaml")
SCHEMA = json.loads((Path(topo.report.__path__[0]) / "power.schema.json").read_text(encoding="utf-8"))
BAD = """\
rig: Bad
computer: {ports: {usb3-1: {speed: super}}}
devices:
  camera: {role: imaging, width_px: 100, height_px: 100, speed: super, plug: computer/usb3-1, bus_ma: 900,
    cable: {length_m: 3, gauge_awg: 28, grade: usb3}, amps_typical: 12, amps_peak: 12, volts_min: 11, volts_max: 13}
  strap: {role: dew, interface: none}
power:
  supplies: {pier: {volts: 13.8, amps: 10, kind: mains}}
  leads:
    one: {from: pier, to: camera, length_m: 2, gauge_awg: 20}
    two: {from: pier, to: strap, length_m: 1, fuse_amps: 30}
"""


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = status_of(["power", *words])
    out, err = capsys.readouterr()
    return status, out, err


@pytest.fixture
def bad(tmp_path: Path) -> str:
    path = tmp_path / "bad.yaml"
    path.write_text(BAD)
    return str(path)


@pytest.mark.parametrize("rig", [PIER, NO_POWER])
def test_the_table_fits_80_columns(rig: str, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, rig)
    assert status == 0
    assert max(map(len, out.splitlines())) <= 80
    assert " ".join(out.split()).count(CAUTIONS[0]) == 1


def test_what_is_wrong_and_what_is_not_judged_is_said(bad: str, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, bad)
    words = " ".join(out.split())
    assert status == 1
    for name in ("volts-too-high", "wire-not-fused", "wire-runs-hot", "supply-overloaded", "usb-volts-low"):
        assert name in words
    assert "lead two: gauge_awg or area_mm2" in words
    assert "part strap: amps_typical, volts_min, volts_max" in words
    assert words.index("volts-too-high") < min(words.index(name) for name in ("wire-runs-hot", "supply-overloaded"))
    assert run(capsys, bad, "--fail-on", "never")[0] == 0


@pytest.mark.parametrize("rig", [PIER, NO_POWER, "BAD"])
def test_json_follows_its_schema(rig: str, bad: str, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, bad if rig == "BAD" else rig, "--json")
    Draft202012Validator.check_schema(SCHEMA)
    Draft202012Validator(SCHEMA).validate(json.loads(out))


def test_the_schema_says_of_power_what_that_of_check_says() -> None:
    check = json.loads((Path(topo.report.__path__[0]) / "check.schema.json").read_text(encoding="utf-8"))
    for name in ("power", "by_state", "range_or_null"):
        assert SCHEMA["$defs"][name] == check["$defs"][name]


def test_usb_at_900_ma_over_3_m_of_28_awg(bad: str, capsys: pytest.CaptureFixture[str]) -> None:
    """4.45 V - 0.9 A x (6 m x 0.232 x 1.04 + 4 x 40 milliohm) = 3.0 V at worst; 3.1 V with new contacts at 20 C."""
    _, out, _ = run(capsys, bad, "--json")
    [usb] = json.loads(out)["power"]["usb"]
    assert usb["volts"][0] == pytest.approx(4.45 - 0.9 * (6 * 0.232 * 1.04 + 0.16), abs=1e-5)
    assert usb["volts"][1] == pytest.approx(5 - 0.9 * (6 * 0.232 + 0.12), abs=1e-5)


@pytest.mark.parametrize("name", share(["a.svg", "a.png", "a.pdf"], 1))
def test_the_picture_is_the_same_each_time(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = []
    for number in range(2):
        path = tmp_path / f"{number}{name}"
        assert run(capsys, PIER, "-o", str(path))[0] == 0
        made.append(path.read_bytes())
    assert made[0] == made[1]
    start: dict[str, bytes] = {"a.svg": b"<?xml", "a.png": b"\x89PNG", "a.pdf": b"%PDF"}
    assert made[0].startswith(start[name])


def test_light_and_dark_differ(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words in ((), ("--dark",)):
        assert run(capsys, PIER, "-o", str(tmp_path / f"x{len(words)}.svg"), *words)[0] == 0
    assert (tmp_path / "x0.svg").read_bytes() != (tmp_path / "x1.svg").read_bytes()


@pytest.mark.parametrize(("rig", "output", "words"), [
    (PIER, "a.bmp", "written as .svg, .png or .pdf"), (NO_POWER, "a.svg", "nothing to draw"),
])  # fmt: skip
def test_no_file_where_there_is_nothing_to_draw(
    rig: str, output: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, _, err = run(capsys, rig, "-o", str(tmp_path / output))
    assert status == 2 and words in err and not (tmp_path / output).exists()


def test_names_are_no_formulas(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "rig.yaml"
    text = BAD.replace("camera:", "'$x_1$\\frac':").replace("to: camera", "to: '$x_1$\\frac'")
    path.write_text(text)
    result: Any = run(capsys, str(path), "-o", str(tmp_path / "a.svg"))
    assert result[0] == 1 and (tmp_path / "a.svg").exists()


def test_the_night_tells_volts_too(capsys: pytest.CaptureFixture[str]) -> None:
    """The simulated night's own focus runs are in it; coolers and slews as they usually are."""
    schema = json.loads((Path(topo.report.__path__[0]) / "night.schema.json").read_text(encoding="utf-8"))
    assert status_of(["night", PIER, "--nights", "3", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    Draft202012Validator(schema).validate(told)
    assert {each["part"] for each in told["power"]["volts"]} == {
        "main-camera", "mount", "power-box", "pier-hub", "dew-controller"
    }  # fmt: skip
    assert status_of(["night", PIER, "--nights", "3"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "The lowest volts at each plug" in out and out.count("Mains supplies stay closed") == 1
    assert status_of(["night", NO_POWER, "--nights", "3", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["power"] is None
