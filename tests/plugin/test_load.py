"""Loading: every way a plugin can misbehave, one plugin to each. None stops the rest; each is named with its version.

The plugins are real: a package and its dist-info in a folder on sys.path.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from topo.plugin import spec
from topo.plugin.load import Plugins, load

MakePlugin = Callable[..., Path]

GOOD = """
from topo.model.check import Check
from topo.model.renderer import Renderer
from topo.plugin import hook
from topo.plugin.values import EvidenceReader, ProfileFolder, Scanner

@hook
def topo_profiles():
    return [ProfileFolder(package=__name__)]

@hook
def topo_checks():
    return [Check("good-check", "finds nothing", "Nothing at all. Refuted by anything.", ("note",), lambda study: ())]

@hook
def topo_scanners():
    return [Scanner("good-scan", "sees nothing", ("linux",), lambda: ())]

@hook
def topo_renderers():
    return [Renderer("good-drawing", (".good",), "draws nothing", lambda scene: b"")]

@hook
def topo_evidence_readers():
    return [EvidenceReader("good-log", "reads nothing", (".goodlog",), lambda head: False, lambda path: ())]
"""

HEAD = "from topo.plugin import hook\nfrom topo.model.check import Check\nfrom topo.plugin.values import *\n"


def told(plugins: Plugins, distribution: str) -> list[str]:
    return [trouble.what for trouble in plugins.troubles if trouble.distribution == distribution]


def test_a_good_plugin_brings_one_of_each(make_plugin: MakePlugin) -> None:
    make_plugin("good", GOOD, **{"camera-made.yaml": "facts: {}\n", "notes.txt": "", ".hidden.yaml": ""})
    plugins = load()
    assert not told(plugins, "good-rig-parts")
    mine = next(each for each in plugins.suppliers if each.supplier.plugin == "good")
    assert str(mine.supplier) == "good (good-rig-parts 1.2)"
    assert mine.profiles == ("camera-made",)
    assert (mine.checks, mine.scanners, mine.renderers, mine.evidence_readers) == (
        ("good-check",), ("good-scan",), ("good-drawing",), ("good-log",)
    )
    assert "camera-made" in plugins.profile_names()
    assert plugins.supplier_of("good-check") == mine.supplier


def hooked(body: str, hook: str = "topo_checks") -> str:
    """A plugin with one hook."""
    return HEAD + f"import sys\n@hook\ndef {hook}():\n    {body}\n"


def one_check(**changed: str) -> str:
    """A plugin with one check, some of its fields changed."""
    fields = {"name": "'x'",
              "summary": "'s'", "explanation": "'e'", "severities": "('note',)", "find": "print", **changed}
    return hooked(f"return [Check({', '.join(f'{key}={value}' for key, value in fields.items())})]")


ODD_TEXT = """
class Odd(Exception):
    def __str__(self): raise ValueError
raise Odd
"""
BAD = {
    "raises-at-import": ("raise RuntimeError('no such thing')",
                         "raised RuntimeError: no such thing (while it was imported)"),
    "leaves-at-import": ("import sys\nsys.exit(7)", "tried to end the program (sys.exit) (while it was imported)"),
    "not-python": ("def broken(:", "raised SyntaxError"),
    "interrupts": ("raise KeyboardInterrupt", "raised KeyboardInterrupt"),
    "raises-in-turning-to-text": (ODD_TEXT, "raised Odd: its message cannot be shown"),
    "no-hooks": ("x = 1\ndef topo_checks(): return []", "implements no hook"),
    "misspelt": (hooked("return []", "topo_profile"),
                 "implements topo_profile, and there is no such hook; did you mean topo_profiles?"),
    "takes-arguments": (HEAD + "@hook\ndef topo_checks(rig): return []", "raised PluginValidationError"),
    "hook-raises": (hooked("return 1 / 0"), "topo_checks raised ZeroDivisionError: division by zero"),
    "hook-leaves": (hooked("sys.exit()"), "topo_checks tried to end the program"),
    "returns-nothing": (hooked("pass"), "topo_checks returned nothing, not a list"),
    "returns-text": (hooked("return 'abc'"), "topo_checks returned a value of type str, not a list"),
    "returns-numbers": (hooked("return [3]"), "topo_checks, value 1: a value of type int, not a Check"),
    "generator-raises": (hooked("yield 3\n    raise OSError('gone')"), "topo_checks raised OSError: gone"),
    "endless": (hooked("while True: yield 3"), "returned more than 10000 values"),
    "no-name": (one_check(name="None"), "its name is nothing, not text"),
    "shouts": (one_check(name="'LOUD Name'"), "lower-case words"),
    "odd-severity": (one_check(severities="('dire',)"), "its severities[0] is 'dire', not one of fault, risk, note"),
    "severities-not-hashable": (one_check(severities="([],)"), "its severities[0] is a value of type list, not one of"),
    "not-callable": (one_check(find="'find'"), "its find is a value of type str, which cannot be called"),
    "odd-cases": (one_check(cases="('case',)"), "its cases[0] is a value of type str, not a Case"),
    "odd-needs": (one_check(needs="'luck'"), "its needs is 'luck', not one of study, comparison"),
    "no-such-folder": (hooked("return [ProfileFolder(__name__, 'nowhere')]", "topo_profiles"),
                       "there is no folder 'nowhere'"),
    "no-such-package": (hooked("return [ProfileFolder('not_there_at_all')]", "topo_profiles"), "cannot be listed"),
    "climbs": (hooked("return [ProfileFolder(__name__, '../..')]", "topo_profiles"), "stays inside its package"),
    "odd-suffix": (hooked("return [Renderer('r', ('svg',), 's', print)]", "topo_renderers"),
                   "its suffixes are endings such as"),
    "prints": (HEAD + "print('hello')\n@hook\ndef topo_checks(): return []", "writes to standard output"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_plugin_is_named_and_the_rest_goes_on(name: str, make_plugin: MakePlugin) -> None:
    source, message = BAD[name]
    plain_name = name.replace("-", "")
    make_plugin(plain_name, source)
    make_plugin("zgood", GOOD)
    plugins = load()
    what = told(plugins, f"{plain_name}-rig-parts")
    assert any(message in each for each in what), what
    assert "good-check" in [check.name for check in plugins.checks]
    trouble = next(each for each in plugins.troubles if each.distribution.startswith(plain_name))
    assert str(trouble).startswith(f"plugin {plain_name} ({plain_name}-rig-parts 1.2): ")


def test_other_hooks_of_a_plugin_go_on(make_plugin: MakePlugin) -> None:
    make_plugin("half", GOOD.replace("return [Scanner", "raise ValueError('x')\n    return [Scanner"))
    plugins = load()
    assert told(plugins, "half-rig-parts") == ["topo_scanners raised ValueError: x"]
    assert "good-check" in [check.name for check in plugins.checks]


@pytest.mark.parametrize(("source", "during"), [
    ("import time\ntime.sleep(30)", "it was imported"),
    (HEAD + "import time\n@hook\ndef topo_renderers(): time.sleep(30)", "topo_renderers was called"),
])
def test_a_hanging_plugin_is_left_behind(source: str, during: str, make_plugin: MakePlugin) -> None:
    make_plugin("slow" + str(len(source)), source)
    make_plugin("zgood", GOOD)
    start = time.monotonic()
    plugins = load(time_out_s=0.3)
    assert time.monotonic() - start < 10
    assert told(plugins, f"slow{len(source)}-rig-parts") == [f"hangs while {during}: no answer after 0.3 s"]
    assert "good-check" in [check.name for check in plugins.checks]


def test_two_strangers_with_one_name_both_lose_it(make_plugin: MakePlugin) -> None:
    make_plugin("one", GOOD, **{"camera-made.yaml": "facts: {}\n"})
    make_plugin("two", GOOD, **{"camera-made.yaml": "facts: {}\n"})
    plugins = load()
    assert "good-check" not in [check.name for check in plugins.checks]
    for mine, other in (("one", "two"), ("two", "one")):
        what = f"check 'good-check' is also supplied by {other} ({other}-rig-parts 1.2); neither is used"
        assert what in told(plugins, f"{mine}-rig-parts")
    assert "camera-made" not in plugins.profile_names()


def test_what_ships_keeps_its_names(make_plugin: MakePlugin) -> None:
    shipped = load().checks[0]
    make_plugin("thief", GOOD.replace("good-check", shipped.name))
    plugins = load()
    assert plugins.checks[0].find is shipped.find
    assert any("which stays" in what for what in told(plugins, "thief-rig-parts"))
    assert plugins.supplier_of(shipped.name) == plugins.suppliers[0].supplier


def test_one_plugin_announced_twice_counts_once(make_plugin: MakePlugin) -> None:
    folder = make_plugin("twice", GOOD)
    points = folder.parent / "twice_rig_parts-1.2.dist-info" / "entry_points.txt"
    points.write_text("[topo]\nfirst = twice_rig_parts\nsecond = twice_rig_parts\n", "utf-8")
    plugins = load()
    assert told(plugins, "twice-rig-parts") == ["is the same plugin as first, announced twice"]
    assert "good-check" in [check.name for check in plugins.checks]


@pytest.mark.parametrize("points", ["[topo]\nodd = no way!\n", "[topo]\nodd\n", "[topo]\nodd = missing_rig_parts\n"])
def test_an_announcement_that_makes_no_sense(points: str, make_plugin: MakePlugin) -> None:
    folder = make_plugin("odd", GOOD)
    (folder.parent / "odd_rig_parts-1.2.dist-info" / "entry_points.txt").write_text(points, "utf-8")
    make_plugin("zgood", GOOD)
    plugins = load()
    assert any("odd" in str(trouble) for trouble in plugins.troubles)
    assert "good-check" in [check.name for check in plugins.checks]


def test_order_is_what_ships_then_by_distribution(make_plugin: MakePlugin) -> None:
    for name in ("zeta", "alpha", "mid"):
        make_plugin(name, GOOD.replace("good-", f"{name}-"))
    plugins = load()
    ships = [each.supplier.distribution == "topo-rig" for each in plugins.suppliers]
    assert ships == sorted(ships, reverse=True)
    assert [each.supplier.plugin for each in plugins.suppliers if each.supplier.distribution != "topo-rig"] == [
        "alpha", "mid", "zeta"
    ]
    assert [check.name for check in plugins.checks][-3:] == ["alpha-check", "mid-check", "zeta-check"]


def test_only_the_hooks_asked_for_are_called(make_plugin: MakePlugin) -> None:
    make_plugin("half", GOOD.replace("return [Scanner", "raise ValueError('x')\n    return [Scanner"))
    plugins = load(("topo_profiles",))
    assert not plugins.checks and not told(plugins, "half-rig-parts")


def test_hostile_text_of_a_plugin_is_made_safe(make_plugin: MakePlugin) -> None:
    make_plugin("hostile", r"raise RuntimeError('\x1b[2J\u202e')")
    assert r"\x1b[2J\u202e" in told(load(), "hostile-rig-parts")[0]


NOISY = """
import os, subprocess, sys, threading, time
print("by print")
sys.stdout.write("by write\\n")
sys.stdout.buffer.write(b"by buffer\\n"); sys.stdout.buffer.flush()
os.write(1, b"by descriptor\\n")
subprocess.run([sys.executable, "-c", "print('by child')"])
def later():
    time.sleep(0.4)
    print("later")
time.sleep(0.2)
print("while left behind")
"""


def test_standard_output_is_for_answers(make_plugin: MakePlugin, tmp_path: Path) -> None:
    folder = make_plugin("noisy", NOISY)
    code = ("import sys, time\nfrom topo.plugin.load import load\nload((), time_out_s=float(sys.argv[1]))\n"
            "time.sleep(0.6)\nprint('answer')")
    for seconds in ("10", "0.15"):
        result = subprocess.run(
            [sys.executable, "-c", code, seconds], capture_output=True, text=True, timeout=60,
            env={**os.environ, "PYTHONPATH": str(folder.parent)},
        )
        assert result.stdout == "answer\n", result
        assert result.returncode == 0
        assert "by print" in result.stderr


def test_hooks_of_the_specification_are_listed() -> None:
    assert tuple(name for name in vars(spec) if name.startswith("topo_")) == spec.HOOKS
