"""What ships comes in by the hooks, whole and without a word of trouble, and costs no room that is not used."""

from __future__ import annotations

import subprocess
import sys

from topo.checks import MODULES
from topo.live import libusb, sysfs
from topo.plugin.load import load


def test_everything_that_ships_is_there() -> None:
    plugins = load()
    assert plugins.troubles == ()
    assert len(plugins.checks) == len(MODULES)
    assert [renderer.name for renderer in plugins.renderers][:3] == ["svg", "png", "pdf"]
    assert all(each.supplier.distribution == "topo-rig" and each.supplier.version for each in plugins.suppliers)


def test_scanners_are_those_of_the_live_room() -> None:
    for mine, theirs in zip(load().scanners, (sysfs.scanner(), libusb.scanner()), strict=True):
        assert (mine.name, mine.summary, mine.systems) == (theirs.name, theirs.summary, theirs.systems)
        assert (mine.pulse is None) == (theirs.pulse is None)


def test_loading_imports_no_room_that_is_not_used() -> None:
    code = ("import sys\nfrom topo.plugin.load import load\nload()\n"
            "print(*(name for name in sys.modules\n"
            "    if name.split('.')[0] in ('yaml', 'networkx', 'rich', 'usb', 'serial')\n"
            "    or name.startswith(('topo.live.', 'topo.report.', 'topo.place.'))))")
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert result.returncode == 0 and result.stdout.strip() == "", result
