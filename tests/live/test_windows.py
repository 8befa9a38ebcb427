"""The scanner of Windows on recorded answers of its three calls; and the calls' own decoding, by a stand-in library."""

from __future__ import annotations

import ctypes
import sys
import types
import uuid
from typing import Any

import pytest

from tests.live.listings.machines import MACHINES, PIER, Machine
from tests.live.listings.print_windows import Node, nodes, powershell
from topo.errors import ScanError
from topo.live import cfgmgr, windows
from topo.live.cfgmgr import PROPERTY_KEYS, CfgMgr, PropertyKey, system_table
from topo.live.recording import read_scan
from topo.live.winregistry import ENUM, SERIAL_MAP, WinRegistry, port_name, ports_made, system_registry


def answers(machine: Machine) -> dict[str, dict[PropertyKey, tuple[int, bytes]]]:
    """What CfgMgr32 would answer for each instance: types and bytes of devpropdef.h."""

    def text(value: str) -> tuple[int, bytes]:
        return 0x12, (value + "\0").encode("utf-16-le")

    def several(values: tuple[str, ...]) -> tuple[int, bytes]:
        return 0x2012, ("".join(f"{value}\0" for value in values) + "\0").encode("utf-16-le")

    def of(node: Node) -> dict[PropertyKey, tuple[int, bytes]]:
        told = {"paths": several(node.paths), "compatible": several(node.compatible), "parent": text(node.parent),
                "reported": text(node.reported), "service": text(node.service), "kind": text(node.kind),
                "friendly": text(node.name), "location": text(node.location),
                "address": (7, (node.address or 0).to_bytes(4, "little")),
                "container": (0x0D, uuid.UUID(int=0).bytes_le)}  # fmt: skip
        return {PROPERTY_KEYS[name]: value for name, value in told.items() if value[1].strip(b"\0")}

    return {node.instance: of(node) for node in nodes(machine)}


def table(machine: Machine, asked: list[tuple[str, int]] | None = None) -> CfgMgr:
    known = answers(machine)
    names = list(known)

    def ids(only: str, flags: int) -> bytes:
        if asked is not None:
            asked.append((only, flags))
        wanted = names if only == "USB" else []
        return ("".join(f"{name}\0" for name in wanted) + "\0").encode("utf-16-le")

    return CfgMgr(
        ids,
        lambda name: names.index(name) if name in known else None,
        lambda entry, key: known[names[entry]].get(key),
    )


@pytest.mark.parametrize("machine", sorted(MACHINES))
def test_it_sees_what_the_listing_of_the_same_properties_tells(machine: str) -> None:
    found, listed = windows.scan(table(MACHINES[machine])), read_scan(powershell(MACHINES[machine]))
    assert found.sightings == listed.sightings and found.ports == listed.ports
    assert found.serial_ports == listed.serial_ports and found.limits == listed.limits
    assert (found.scanner, found.system) == ("cfgmgr", "windows") and found.when


def test_it_asks_for_what_is_present_and_nothing_else() -> None:
    asked: list[tuple[str, int]] = []
    windows.scan(table(PIER, asked))
    assert asked == [("USB", 0x101), ("{4d36e978-e325-11ce-bfc1-08002be10318}", 0x300)]


def test_a_device_that_goes_meanwhile_is_left_out() -> None:
    whole = table(PIER)
    gone = next(name for name in answers(PIER) if "PID_0120" in name)
    found = windows.scan(CfgMgr(whole.ids, lambda name: None if name == gone else whole.locate(name), whole.property))
    assert "0120" not in {seen.product_id for seen in found.sightings}


def test_other_systems_have_no_such_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(ctypes, "WinDLL", raising=False)
    with pytest.raises(ScanError, match="no configuration manager"):
        system_table()


class Library:
    """A stand-in for CfgMgr32.dll: writes into the buffers it is given, as documented, and notes what is called."""

    def __init__(self) -> None:
        self.called: list[str] = []
        self._ids = "USB\\ROOT_HUB30\\4&0&0&0\0\0"

    def __getattr__(self, name: str) -> Any:
        self.called.append(name)
        return getattr(type(self), f"do_{name}").__get__(self)

    def do_CM_Get_Device_ID_List_SizeW(self, size: Any, only: Any, flags: Any) -> int:
        size._obj.value = len(self._ids)
        return 0

    def do_CM_Get_Device_ID_ListW(self, only: Any, buffer: Any, size: Any, flags: Any) -> int:
        data = self._ids.encode("utf-16-le")
        ctypes.memmove(buffer, data, len(data))
        return 0

    def do_CM_Locate_DevNodeW(self, entry: Any, name: Any, flags: Any) -> int:
        entry._obj.value = 5
        return 0 if name.value.startswith("USB") else 13

    def do_CM_Get_DevNode_PropertyW(self, entry: Any, key: Any, kind: Any, buffer: Any, size: Any, flags: Any) -> int:
        paths = uuid.UUID(PROPERTY_KEYS["paths"].format).bytes_le + (37).to_bytes(4, "little")
        if entry.value != 5 or key.raw != paths:
            return 37
        data = "PCIROOT(0)#PCI(1400)#USBROOT(0)\0\0".encode("utf-16-le")
        kind._obj.value, size._obj.value = 0x2012, len(data)
        if buffer is None:
            return 26
        ctypes.memmove(buffer, data, len(data))
        return 0


def test_the_calls_are_made_as_documented(monkeypatch: pytest.MonkeyPatch) -> None:
    library = Library()
    monkeypatch.setattr(ctypes, "WinDLL", lambda name: library if name == "CfgMgr32.dll" else None, raising=False)
    found = windows.scan()
    assert [(s.id, s.controller) for s in found.sightings] == [("usb1", "PCIROOT(0)#PCI(1400)")]
    assert set(library.called) == {"CM_Get_Device_ID_List_SizeW", "CM_Get_Device_ID_ListW", "CM_Locate_DevNodeW",
                                   "CM_Get_DevNode_PropertyW"}  # fmt: skip
    assert cfgmgr.values_of((0x99, b"xx")) == () and cfgmgr.values_of(None) == ()


def test_names_of_ports_come_from_the_registry() -> None:
    """The number kept for an entry wins over the one in its name; a port without an entry is told without a place."""
    ports = [node for node in nodes(PIER) if "(COM" in node.name]
    assert ports, "the machine has a serial port"
    kept = rf"{ENUM}\{ports[0].instance}\Device Parameters"
    registry = WinRegistry(lambda path: {
        SERIAL_MAP: {r"\Device\VCP0": "COM17", r"\Device\Serial0": "COM1", r"\Device\bad": "LPT1; x"},
        kept: {"PortName": "COM17"},
    }.get(path, {}))
    found = windows.scan(table(PIER), registry)
    before = windows.scan(table(PIER))
    assert len(found.serial_ports) == len(before.serial_ports) + 1
    assert [(p.name, p.device is not None) for p in found.serial_ports if p.name in ("COM1", "COM17")] == [
        ("COM1", False), ("COM17", True)]
    assert port_name(WinRegistry(lambda path: {"PortName": "COM0 & del"}), "x") is None


def test_the_calls_to_the_registry(monkeypatch: pytest.MonkeyPatch) -> None:
    """A stand-in for winreg: keys are opened for reading alone, and one that is not there tells nothing."""
    opened: list[tuple[object, ...]] = []

    class Key:
        def __enter__(self) -> Key:
            return self

        def __exit__(self, *_: object) -> None:
            pass

    def open_key(*arguments: object) -> Key:
        opened.append(arguments)
        if arguments[1] != SERIAL_MAP:
            raise FileNotFoundError(2, "no such key")
        return Key()

    def enum_value(key: Key, number: int) -> tuple[str, object, int]:
        values: list[tuple[str, object, int]] = [("a", "COM3\0", 1), ("b", 7, 4), ("c", "COM2", 1)]
        if number >= len(values):
            raise OSError(259, "no more data")
        return values[number]

    stand_in = types.SimpleNamespace(HKEY_LOCAL_MACHINE=1, KEY_READ=0x20019, REG_SZ=1, OpenKey=open_key,
                                     EnumValue=enum_value)
    monkeypatch.setitem(sys.modules, "winreg", stand_in)
    registry = system_registry()
    assert ports_made(registry) == ("COM2", "COM3") and port_name(registry, r"USB\x") is None
    assert {arguments[3] for arguments in opened} == {0x20019}
