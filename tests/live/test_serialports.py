"""Serial ports: joined by sysfs links on Linux, by place or ids elsewhere."""

from __future__ import annotations

import sys
from types import SimpleNamespace

import pytest

from tests.live.tools import recording, under_umockdev
from topo.live.serialports import join, pyserial_ports
from topo.model.sighting import Sighting

ADAPTERS = (
    Sighting("1-1", 1, (1,), vendor_id="f1d0", product_id="6001"),
    Sighting("1-2.3", 1, (2, 3), vendor_id="f1d0", product_id="6001"),
    Sighting("2-2.3", 2, (2, 3), vendor_id="f1e0", product_id="0001"),
)


def listed(location: str | None, vid: int | None = 0xF1D0, pid: int | None = 0x6001) -> SimpleNamespace:
    return SimpleNamespace(device="COM7", vid=vid, pid=pid, location=location)


@pytest.mark.parametrize(
    ("port", "device"),
    [
        (listed("1-1"), "1-1"),
        (listed("1-2.3:x.0"), "1-2.3"),
        (listed("5-2.3"), "1-2.3"),  # another way of counting buses: the chain and ids still name one
        (listed("5-9"), None),  # two of that kind, neither there
        (listed(None, 0xF1E0, 1), "2-2.3"),  # the only one of its kind
        (listed("1-1", 0xF1E0, 2), None),
        (listed(None, None, None), None),
    ],
)
def test_joining(port: SimpleNamespace, device: str | None) -> None:
    assert join(port, ADAPTERS).device == device


def test_a_listing_that_fails_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def failing() -> None:
        raise TypeError("int() argument must be a string")

    monkeypatch.setattr("serial.tools.list_ports.comports", failing)
    assert pyserial_ports(()) == ((), ("serial ports could not be listed: TypeError",))


def test_pyserial_sees_the_same_places() -> None:
    """pyserial's own Linux listing as the oracle: same names at the same places."""
    code = (
        "from serial.tools.list_ports import comports\n"
        "from topo.live.sysfs import scan\n"
        "theirs = {p.device: p.location.split(':')[0] for p in comports() if p.location}\n"
        "ours = {p.name: p.device for p in scan().serial_ports if p.device}\n"
        "assert theirs == ours and len(ours) == 2, (theirs, ours)\n"
    )
    for name in ("pier", "twins"):
        done = under_umockdev(recording(name), sys.executable, "-c", code)
        assert done.returncode == 0, done.stderr
