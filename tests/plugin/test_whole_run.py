"""`topo check` in a process of its own with a plugin for each bad behaviour: the rig is checked, and each is named."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

MakePlugin = Callable[..., Path]
ROOT = Path(__file__).resolve().parents[2]
RIG = ROOT / "examples" / "two-cameras" / "rig.yaml"

HEAD = "from topo.plugin import hook\nfrom topo.model.check import Check\nimport os, sys, time\n"


def with_check(name: str, body: str) -> str:
    """A plugin with one check."""
    return HEAD + (f"def find(study):\n    {body}\n    yield from ()\n@hook\ndef topo_checks():\n"
                   f"    return [Check('{name}', 's', 'e', ('note',), find)]\n")


def check(folder: Path | None, *options: str) -> subprocess.CompletedProcess[str]:
    environment = dict(os.environ)
    if folder is not None:
        environment["PYTHONPATH"] = str(folder)
    return subprocess.run([sys.executable, "-m", "topo", "check", str(RIG), *options], capture_output=True, text=True,
                          timeout=120, env=environment)


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
