"""What ships comes in by the hooks, whole and without a word of trouble, and costs no room that is not used."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

from topo.checks import MODULES
from topo.draw.renderers import renderers
from topo.evidence.readers import readers
from topo.live.scanners import scanners
from topo.plugin.load import load


def test_everything_that_ships_is_there() -> None:
    plugins = load()
    assert plugins.troubles == ()
    assert len(plugins.checks) == len(MODULES)
    handed = [scanner.name for scanner in plugins.scanners]
    assert handed == [scanner.name for scanner in scanners()] and {"sysfs", "ioreg", "cfgmgr", "libusb"} <= set(handed)
    drawn = [renderer.name for renderer in plugins.renderers]
    assert drawn == [renderer.name for renderer in renderers()] and drawn[:3] == ["svg", "png", "pdf"]
    assert [reader.name for reader in plugins.evidence_readers] == [reader.name for reader in readers()] != []
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
