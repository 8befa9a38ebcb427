"""What ships comes in by the hooks, whole and without a word of trouble, and costs no room that is not used."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

from topo.checks import MODULES
from topo.plugin.load import load


def test_everything_that_ships_is_there() -> None:
    plugins = load()
    assert plugins.troubles == ()
    assert len(plugins.checks) == len(MODULES)
    assert [scanner.name for scanner in plugins.scanners] == ["sysfs", "ioreg", "cfgmgr", "libusb"]
    assert [renderer.name for renderer in plugins.renderers][:3] == ["svg", "png", "pdf"]
    assert all(each.supplier.distribution == "topo-rig" and each.supplier.version for each in plugins.suppliers)


def test_loading_imports_no_room_that_is_not_used() -> None:
    code = ("import sys\nfrom topo.plugin.load import load\nload()\n"
            "print(*(name for name in sys.modules\n"
            "    if name.split('.')[0] in ('yaml', 'networkx', 'rich', 'usb', 'serial')\n"
            "    or name.startswith(('topo.live.sysfs', 'topo.live.libusb', 'topo.report.', 'topo.place.'))))")
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert result.returncode == 0 and result.stdout.strip() == "", result


def test_a_second_checkout_takes_its_own_profiles(tmp_path: Path) -> None:
    """Run in a copy of the tree, with this one installed: the copy has one profile more, and it is found."""
    root = Path(__file__).resolve().parent.parent.parent
    for name in ("topo", "plugins"):
        shutil.copytree(root / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "pyproject.toml").write_bytes((root / "pyproject.toml").read_bytes())
    text = "kind: hub\nsource: made up\nfacts: {speed: high}\n"
    (tmp_path / "plugins" / "hubs" / "hub-of-the-copy.yaml").write_text(text)
    for where, found in ((tmp_path, 0), (root, 2)):
        run = subprocess.run([sys.executable, "-m", "topo", "profiles", "hub-of-the-copy"], cwd=where,
                             capture_output=True, text=True, timeout=60)
        assert run.returncode == found, run
