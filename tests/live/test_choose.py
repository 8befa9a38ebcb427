"""Which scanner is used here, and what is said where there is none."""

from __future__ import annotations

import platform
from pathlib import Path

import pytest

from topo.errors import ScanError
from topo.live.scanners import choose, scanners


def test_linux_without_a_scanner_is_told_plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platform, "system", lambda: "Linux")
    others = [scanner for scanner in scanners() if "Linux" not in scanner.systems]
    for there, said in ((False, "this machine shows no USB devices"), (True, "`topo plugins` says which")):
        monkeypatch.setattr(Path, "is_dir", lambda path, there=there: there)
        with pytest.raises(ScanError, match=said) as caught:
            choose(others)
        assert "leaves devices" not in str(caught.value)


def test_a_system_whose_listing_asks_devices_is_not_scanned_unasked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platform, "system", lambda: "Plan 9")
    with pytest.raises(ScanError, match="leaves devices on Plan 9 alone"):
        choose(scanners())
    assert choose(scanners(), "libusb").name == "libusb"


@pytest.mark.parametrize(("system", "name"), [("Linux", "sysfs"), ("Darwin", "ioreg"), ("Windows", "cfgmgr")])
def test_each_system_has_a_scanner_that_opens_nothing(system: str, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platform, "system", lambda: system)
    assert choose(scanners()).name == name
