"""`topo check` in a process of its own with a plugin for each bad behaviour: the rig is checked, and each is named."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from topo.cli.main import status_of
from topo.plugin.load import loaded

MakePlugin = Callable[..., Path]
ROOT = Path(__file__).resolve().parents[2]
RIG = ROOT / "examples" / "two-cameras" / "rig.yaml"

HEAD = ("from topo.plugin import hook\nfrom topo.model.check import Check\nimport os, sys, time\n"
        "from topo.model.change import Proposal\nfrom topo.model.facts import Figure\n"
        "from topo.model.finding import Finding, Fix, Plan\n"
        "from topo.model.rig import Place\n")


def with_check(name: str, body: str) -> str:
    """A plugin with one check."""
    return HEAD + (f"def find(study):\n    {body}\n    yield from ()\n@hook\ndef topo_checks():\n"
                   f"    return [Check('{name}', 's', 'e', ('note',), find)]\n")


FOUND = "Finding('{name}', 'note', 'certain', 'mount', {place}, 'm', ({figures}), 'r', {fix})"
MISBEHAVES = {
    name: "yield " + FOUND.format(**{"name": name, "place": "Place('f', 1, 1)", "figures": "", "fix": "None", **odd})
    for name, odd in {
        "noline": {"place": "Place('f', None)"}, "lineoftext": {"place": "Place('f', '3', 1)"},
        "hugefigure": {"figures": "Figure('a', 10**400, 's', 'assumed'),"},
        "oddfigure": {"figures": "Figure('a', type('F', (float,), {'__round__': None})('nan'), 's', 'assumed'),"},
        "oddchange": {"fix": "Fix('do', ('move it',))"}, "perhaps": {"fix": "Fix('do', plan='perhaps')"},
    }.items()
} | {
    "exits": "os._exit(0)", "exitsbelow": "import posix; posix._exit(0)", "replaces": "os.execv('/bin/true', ['true'])",
    "wanders": "os.chdir('/')", "limits": "sys.setrecursionlimit(90)", "environs": "os.environ['TOPO_PROFILES'] = '/x'",
    "empties": "object.__setattr__(study.rig, 'devices', ()); study.__dict__.clear(); raise ValueError('emptied')",
}
"""Bodies of checks, by the name of the plugin: what they hand over is wrong, or what they do to the process."""


def topo(folder: Path | None, *arguments: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    environment = dict(os.environ)
    if folder is not None:
        environment["PYTHONPATH"] = os.pathsep.join((str(folder), str(ROOT)))
    return subprocess.run([sys.executable, "-m", "topo", *arguments], capture_output=True, text=True, timeout=120,
                          env=environment, cwd=cwd)


def check(folder: Path | None, *options: str) -> subprocess.CompletedProcess[str]:
    return topo(folder, "check", str(RIG), *options)


@pytest.mark.slow
def test_no_plugin_stops_a_check_of_the_rig(make_plugin: MakePlugin) -> None:
    alone = json.loads(check(None, "--json", "--fail-on", "never").stdout)
    bad = {
        "importraises": "raise RuntimeError('at import')",
        "hookraises": HEAD + "@hook\ndef topo_checks(): raise ValueError('in hook')\n",
        "checkraises": with_check("check-raises", "raise KeyError('in check')"),
        "checkleaves": with_check("check-leaves", "sys.exit(0)"),
        "checkhangs": with_check("check-hangs", "time.sleep(60)"),
        "checkprints": with_check("check-prints", "print('{}'); os.write(1, b'{}')"),
        "nonsense": HEAD + "@hook\ndef topo_checks(): return 42\n",
        "misspelt": HEAD + "@hook\ndef topo_cheks(): return []\n",
        **{name: with_check(name, body) for name, body in MISBEHAVES.items()},
    }
    for name, source in bad.items():
        folder = make_plugin(name, source).parent
    result = check(folder, "--json", "--fail-on", "never")
    report = json.loads(result.stdout)
    assert result.returncode == 3, result
    for key in ("verdict", "links", "devices", "findings"):
        assert report[key] == alone[key]
    for name in bad:
        assert any(f"plugin {name} ({name}-rig-parts 1.2): " in told for told in report["plugins_failed"]), name
    text = check(folder, "--fail-on", "never")
    assert text.returncode == 3
    assert all(name in text.stdout + text.stderr for name in bad), text.stdout


LEAVES_MUCH = HEAD + """
import atexit, threading
def noise():
    while True:
        print("noise"); sys.stdout.write("noise"); time.sleep(0.001)
threading.Thread(target=noise, daemon=True).start()
threading.Thread(target=lambda: (time.sleep(0.05), os._exit(0))).start()
atexit.register(lambda: (print("late"), os._exit(0)))
os.chdir("/")
def find(study):
    yield Finding("leaves-much", "note", "certain", study.rig.devices[0].id, Place("f", 1, 1), "m",
                  fix=Fix("Do.", plan=Plan(Proposal(()), (), (), ())))
@hook
def topo_checks():
    return [Check("leaves-much", "s", "e", ("note",), find)]
"""


def test_what_a_plugin_leaves_behind_reaches_no_answer(make_plugin: MakePlugin, tmp_path: Path) -> None:
    folder = make_plugin("leaves", LEAVES_MUCH).parent
    for _ in range(2):
        result = topo(folder, "check", str(RIG), "--json", "--fail-on", "note")
        report = json.loads(result.stdout)
        assert result.returncode == 1
        finding = next(each for each in report["findings"] if each["name"] == "leaves-much")
        assert finding["supplied_by"] == "leaves (leaves-rig-parts 1.2)"
        assert finding["after_fix"] is None
        assert "leaves-rig-parts 1.2): changes the working folder of the process" in str(report["plugins_failed"])
    text = check(folder, "--fail-on", "note").stdout
    assert "from plugin leaves (leaves-rig-parts" in " ".join(text.split()) and "that clears it" not in text
    result = topo(folder, "report", str(RIG), "-o", "page.html", cwd=tmp_path)
    assert result.returncode == 3 and "from plugin leaves" in (tmp_path / "page.html").read_text(encoding="utf-8")


COMMANDS = (
    ("check", "RIG", "--fail-on", "never"), ("pack", "RIG", "-o", "OUT/pack"), ("rewire", "RIG", "--moves", "1"),
    ("planb", "RIG"), ("power", "RIG"), ("place", "RIG", "camera-guide-1mp"), ("diff", "RIG", "RIG"), ("draw", "RIG"),
    ("night", "RIG", "--nights", "3"), ("report", "RIG", "-o", "OUT/page.html"), ("draw", "RIG", "-o", "OUT/rig.svg"),
    ("chase", "RIG", "--symptom", "guide-late", "--every", "4 minutes", "--state", "OUT/kept.yaml"),
)


def test_a_failed_check_is_told_by_every_command_that_rests_on_it(
    make_plugin: MakePlugin, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    make_plugin("fails", with_check("fails-always", "raise KeyError('in check')"))
    what = "plugin fails (fails-rig-parts 1.2): check fails-always raised KeyError: 'in check'"
    words = "these plugins or checks failed, so what they look for was not looked for"
    loaded.cache_clear()
    try:
        for number, command in enumerate(COMMANDS):
            for options in ((), ("--json",)) if command[0] in ("pack", "place", "diff") else ((),):
                out = tmp_path / f"{number}{len(options)}"
                out.mkdir()
                arguments = [word.replace("RIG", str(RIG)).replace("OUT", str(out)) for word in command]
                status = status_of([*arguments, *options])
                answer, told = capfd.readouterr()
                assert status == 3, (command, options, told)
                told = " ".join((answer + told).split())
                assert what in told and (words in told.lower() or options), (command, told)
                if options:
                    assert json.loads(answer)["plugins_failed"] == [what]
    finally:
        loaded.cache_clear()
    assert "a plugin failed here" in (tmp_path / "10" / "pack" / "post.txt").read_text(encoding="utf-8")


ODD = HEAD + """
from topo.model.renderer import Renderer
from topo.model.scanner import Scanner
from topo.model.sighting import Scan, Sighting
@hook
def topo_renderers():
    return [Renderer("odd", (".odd",), "s", lambda scene: "text")]
def orphan():
    return Scan("", "linux", None, "x", sightings=(Sighting("1-1", 1, (1,)), Sighting("1-1", 1, (1,))))
@hook
def topo_scanners():
    return [Scanner("words", "s", (), lambda: "text"), Scanner("twice", "s", (), orphan)]
"""


def test_what_renderers_and_scanners_give_is_judged_with_their_name(make_plugin: MakePlugin, tmp_path: Path) -> None:
    folder = make_plugin("odd", ODD).parent
    for arguments, words in (
        (("draw", str(RIG), "-o", str(tmp_path / "rig.odd")),
         "odd: render: what it returns is a value of type str, not bytes"),
        (("live", "--scanner", "words"), "words: scan: what it returns is a value of type str, not a Scan"),
        (("live", "--scanner", "twice"), "twice: scan: in what it returns, sightings[1]: the id 1-1 is there twice"),
    ):
        result = topo(folder, *arguments)
        assert result.returncode == 3, result
        assert f"plugin odd (odd-rig-parts 1.2): {words}" in result.stderr, result.stderr
    assert not (tmp_path / "rig.odd").exists()
