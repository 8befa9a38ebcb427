"""The contract: what ships and the plugin to copy hold it; each rule catches a plugin that breaks it."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from topo import builtin
from topo.plugin.contract import breaches, main

MakePlugin = Callable[..., Path]
ROOT = Path(__file__).resolve().parents[2]
COPY_ME = ROOT / "plugins" / "copy-me"

HEAD = """
from topo.model.change import SetUse
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.model.renderer import Renderer
from topo.plugin import hook
from topo.plugin.values import ProfileFolder
"""
FOLDER = HEAD + "@hook\ndef topo_profiles(): return [ProfileFolder(__name__)]\n"

CLEAN = "rig: r\\ncomputer: {}\\n"
CAUGHT = CLEAN + "devices: {d: {role: dew, plug: computer/usb2-1}}\\n"
CHECK = HEAD + f"""
def find(study):
    for part in study.of_role("dew"):
        yield Finding("made-check", "note", "certain", part.id, part.place, "It is there.", (),
                      "it is not", Fix("Take it out."))

CASES = (Case("none", "{CLEAN}", 0), Case("one", "{CAUGHT}", 1))
CHECK = Check("made-check", "a dew controller is there", "It is. Wrong if a look says so.", ("note",), find, CASES)

@hook
def topo_checks():
    return [CHECK]
"""
RENDERER = HEAD + """
from xml.sax.saxutils import escape
def render(scene):
    return ("<svg>" + "".join(f"<text>{escape(node.name)}</text>" for node in scene.nodes) + "</svg>").encode()

@hook
def topo_renderers():
    return [Renderer("made", (".svg2", ".svg"), "made", render)]
"""


@pytest.mark.parametrize("package", [builtin.__name__, *builtin.families()])
def test_what_ships_holds_it(package: str) -> None:
    assert [breach for breach in breaches(package, fresh=False) if not breach.startswith("renderer pdf")] == []


def test_the_plugin_to_copy_holds_it_in_fresh_runs() -> None:
    environment = {**os.environ, "PYTHONPATH": str(COPY_ME)}
    result = subprocess.run([sys.executable, "-m", "topo.plugin.contract", "topo_copy_me"], capture_output=True,
                            text=True, timeout=120, env=environment, cwd=COPY_ME)
    assert (result.returncode, result.stdout) == (0, ""), result


PROFILES = {
    "camera-Loud.yaml": ("summary: s\nsource: x\nfacts: {speed: high}\n", "not lower-case words"),
    "camera-a.yaml": ("source: x\nfacts: {speed: high}\n", "it has no summary"),
    "camera-b.yaml": ("summary: s\nfacts: {speed: high}\n", "speed has no source"),
    "camera-c.yaml": ("summary: s\nsource: x\nfacts: {width_px: 0}\n",
                      "camera-c.yaml:3:19: `width_px` must be at least 1"),
    "camera-d.yaml": ("summary: s\nsource: x\nfacts: {readout: 3}\n", "there is no key 'readout'"),
    "camera-e.yaml": ("summary: s\nsource: x\nfacts: {width_px: 10}\n", "a frame needs both"),
    "camera-f.yaml": ("summary: s\nsource: x\nfacts: {amps_typical: 2, amps_peak: 1}\n",
                      "amps_typical is 2 and amps_peak only 1"),
    # 1920 x 1080 at 8 bits and 60 frames a second are 124.4 MB/s; USB 2.0 table 5-10 ends at 53.248.
    "camera-g.yaml": ("summary: s\nsource: x\nfacts: {speed: high, width_px: 1920, height_px: 1080, max_fps: 60}\n",
                      "are 124 MB/s at 8 bits, and high speed carries 53.248"),
    "hub-h.yaml": ("kind: hub\nsummary: s\nsource: x\nfacts: {width_px: 10}\n", "there is no key 'width_px'"),
    "camera-i.yaml": ("summary: " + "s" * 101 + "\nsource: x\nfacts: {speed: high}\n", "not one line"),
    "camera-j.yaml": ("summary: s\nsource: x\n", "it states no fact"),
    # USB 2.0 7.2.1: five unit loads of 100 mA.
    "camera-l.yaml": ("summary: s\nsource: x\nfacts: {speed: high, bus_ma: 501}\n", "a high-speed port gives 500"),
    "hub-m.yaml": ("kind: hub\nsummary: s\nsource: x\nfacts:\n"
                   "  {speed: high, powered: false, bus_ma: 100, all_ports_ma: 600}\n",
                   "gives 600 mA of the 500 it can get"),
    "mount-k.yaml": ("summary: s\nfacts: {speed: {value: full, source: x}}\nserial: {baud: 9600}\n",
                     "serial baud has no source"),
}


def test_rules_of_profiles(make_plugin: MakePlugin) -> None:
    good = "summary: s\nsource: a sheet\nfacts: {speed: high, width_px: 1920, height_px: 1080, max_fps: 25}\n"
    make_plugin("profiles", FOLDER, **{name: text for name, (text, _) in PROFILES.items()}, **{"camera-ok.yaml": good})
    found = list(breaches("profiles_rig_parts", fresh=False))
    for name, (_, message) in PROFILES.items():
        mine = [breach for breach in found if f"profile {name.partition('.')[0]}:" in breach]
        assert len(mine) == 1 and message in mine[0], (name, mine)
    assert len(found) == len(PROFILES)


FORGETFUL = "seen = []\ndef find(study):\n    seen.append(1)\n    if len(seen) % 2: return"

CHECKS = {
    "wrong-number": (CHECK.replace(', 1))\nCHECK', ', 2))\nCHECK'), "should give 2 findings and gives 1"),
    "no-clean-case": (CHECK.replace(', 0), Case', ', 1), Case'), "no case that it leaves alone"),
    "no-caught-case": (CHECK.replace(f', Case("one", "{CAUGHT}", 1)', ","), "no case that it catches"),
    "no-refutation": (CHECK.replace('"it is not"', '""'), "does not say what would refute it"),
    "no-fix": (CHECK.replace(', Fix("Take it out.")', ""), "does not say what to do"),
    "unexplained": (CHECK.replace("Wrong if", "Seen if"), "explanation does not say what would refute it"),
    "bad-rig": (CHECK.replace("rig: r", "rog: r"), "its rig cannot be read"),
    "other-name": (CHECK.replace('Finding("made-check"', 'Finding("other-check"'), "its name is 'other-check'"),
    "raises": (CHECK.replace("yield", "1 / 0; yield"), "raised ZeroDivisionError"),
    "no-place": (CHECK.replace("part.place", "type(part.place)()"), "has no line"),
    "forgetful": (CHECK.replace("def find(study):", FORGETFUL), "other findings when it runs again"),
    "shipped-name": (CHECK.replace("made-check", "frame-lost"), "is already supplied by topo.builtin"),
}


def test_a_good_check_breaks_no_rule(make_plugin: MakePlugin) -> None:
    make_plugin("goodcheck", CHECK)
    assert list(breaches("goodcheck_rig_parts", fresh=False)) == []


@pytest.mark.parametrize("name", CHECKS)
def test_rules_of_checks(name: str, make_plugin: MakePlugin) -> None:
    source, message = CHECKS[name]
    plain_name = f"check{name.replace('-', '')}"
    assert source != CHECK
    make_plugin(plain_name, source)
    found = list(breaches(f"{plain_name}_rig_parts", fresh=False))
    assert any(message in breach for breach in found), found


RENDERERS = {
    "unescaped": (RENDERER.replace("escape(node.name)", "node.name"), "lets markup of a name through unescaped"),
    "control": (RENDERER.replace('"</svg>"', '"\\x1b</svg>"'), "lets the character"),
    "script": (RENDERER.replace('"</svg>"', '"<g><script/></g></svg>"'), "has an element <script>"),
    "handler": (RENDERER.replace('"<svg>"', '"<svg onload=\'x\'>"'), "attribute onload"),
    "fetches": (RENDERER.replace('"<svg>"', '"<svg href=\'http://made.invalid/\'>"'), "attribute href"),
    "text": (RENDERER.replace(".encode()", ""), "gives str and not the bytes of a file"),
    "raises": (RENDERER.replace("return (", "return (1 / 0, "), "raised ZeroDivisionError"),
    "unstable": ("import itertools\nn = itertools.count()\n"
                 + RENDERER.replace('"</svg>"', 'f"<!--{next(n)}--></svg>"'),
                 "other bytes when it draws the same scene again"),
    "prints": (RENDERER.replace("    return (", "    print('x')\n    return ("), "writes to standard output"),
}


def test_a_good_renderer_breaks_no_rule(make_plugin: MakePlugin) -> None:
    make_plugin("gooddraw", RENDERER)
    assert list(breaches("gooddraw_rig_parts", fresh=False)) == []


@pytest.mark.parametrize("name", RENDERERS)
def test_rules_of_renderers(name: str, make_plugin: MakePlugin) -> None:
    source, message = RENDERERS[name]
    assert source != RENDERER
    make_plugin(f"draw{name}", source)
    found = list(breaches(f"draw{name}_rig_parts", fresh=False))
    assert any(message in breach for breach in found), found


def test_hash_order_is_found_in_fresh_runs(make_plugin: MakePlugin) -> None:
    make_plugin("hashes", RENDERER.replace("for node in scene.nodes", "for node in set(scene.nodes)"))
    found = list(breaches("hashes_rig_parts"))
    assert found == ["renderer made: another result in a fresh run (a set iterated, a clock, a random number)"]


def test_the_command(make_plugin: MakePlugin, capsys: pytest.CaptureFixture[str]) -> None:
    make_plugin("half", CHECK.replace("Wrong if", "Seen if"))
    assert main(["half_rig_parts"]) == 1
    out, err = capsys.readouterr()
    assert out.startswith("half_rig_parts: check made-check: its explanation") and "1 breach of the contract" in err
    assert main([]) == 2 and main(["--help"]) == 2
    assert main(["not_there_at_all"]) == 1
    assert "No module named 'not_there_at_all'" in capsys.readouterr().out
