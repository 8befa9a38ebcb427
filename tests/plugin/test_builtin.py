"""What ships comes in by the hooks, whole and without a word of trouble, and costs no room that is not used."""

from __future__ import annotations

import subprocess
import sys

from topo.checks import MODULES
from topo.plugin.load import load


def test_everything_that_ships_is_there() -> None:
    plugins = load()
    assert plugins.troubles == ()
    assert len(plugins.checks) == len(MODULES)
    assert [scanner.name for scanner in plugins.scanners] == ["sysfs", "libusb"]
    assert [renderer.name for renderer in plugins.renderers][:3] == ["svg", "png", "pdf"]
    assert all(each.supplier.distribution == "topo-rig" and each.supplier.version for each in plugins.suppliers)


def test_loading_imports_no_room_that_is_not_used() -> None:
    code = ("import sys\nfrom topo.plugin.load import load\nload()\n"
            "print(*(name for name in sys.modules\n"
            "    if name.split('.')[0] in ('yaml', 'networkx', 'rich', 'usb', 'serial')\n"
            "    or name.startswith(('topo.live.sysfs', 'topo.live.libusb', 'topo.report.', 'topo.place.'))))")
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert result.returncode == 0 and result.stdout.strip() == "", result
