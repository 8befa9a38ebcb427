"""The door to Windows' configuration manager (CfgMgr32): a table of the three calls that are used, and their decoding.

They answer from the device tree that the system keeps; no device and no driver is opened. Signatures: Microsoft's
cfgmgr32.h documentation. Property keys: devpkey.h. Only this file knows ctypes.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any, Final

from topo.errors import ScanError
from topo.frozen import frozen

PRESENT: Final = 0x00000100
"""CM_GETIDLIST_FILTER_PRESENT: what is there now, not what ever was."""

OF_ENUMERATOR: Final = 0x00000001
"""CM_GETIDLIST_FILTER_ENUMERATOR."""

OF_CLASS: Final = 0x00000200
"""CM_GETIDLIST_FILTER_CLASS."""

SUCCESS, BUFFER_SMALL, NO_SUCH_VALUE = 0, 26, 37
UINT32, GUID, STRING, STRING_LIST = 0x07, 0x0D, 0x12, 0x2012
"""DEVPROP_TYPE_… of devpropdef.h."""

MOST_IDS = 1 << 22
MOST_PROPERTY = 1 << 16


@frozen
class PropertyKey:
    """A DEVPROPKEY: the id of its format and its number."""

    format: str
    number: int


DEVICE_FORMAT = "a45c254e-df1c-4efd-8020-67d146a850e0"
PROPERTY_KEYS: Final = {
    "paths": PropertyKey(DEVICE_FORMAT, 37),
    "location": PropertyKey(DEVICE_FORMAT, 15),
    "address": PropertyKey(DEVICE_FORMAT, 30),
    "compatible": PropertyKey(DEVICE_FORMAT, 4),
    "service": PropertyKey(DEVICE_FORMAT, 6),
    "kind": PropertyKey(DEVICE_FORMAT, 9),
    "friendly": PropertyKey(DEVICE_FORMAT, 14),
    "description": PropertyKey(DEVICE_FORMAT, 2),
    "parent": PropertyKey("4340a6c5-93fa-4706-972c-7b648008a5a7", 8),
    "reported": PropertyKey("540b947e-8b40-45bc-a8a2-6a0b894cbda2", 4),
    "container": PropertyKey("8c7ed206-3f8a-4827-b3ab-ae9e1faefc6c", 2),
}


@frozen
class CfgMgr:
    """The calls, as plain functions: a table, so that recorded answers can stand in for them.

    ids: (filter, flags) → the list of instance ids as UTF-16 with a NUL after each.
    locate: instance id → handle of its entry, or None where it went meanwhile.
    property: (entry, key) → (type, bytes), or None where it has none.
    """

    ids: Callable[[str, int], bytes]
    locate: Callable[[str], int | None]
    property: Callable[[int, PropertyKey], tuple[int, bytes] | None]


def split_list(data: bytes) -> tuple[str, ...]:
    """The texts of a list: UTF-16, a NUL after each, an empty one at the end."""
    return tuple(text for text in data.decode("utf-16-le", "replace").split("\0") if text)


def values_of(told: tuple[int, bytes] | None) -> tuple[str, ...]:
    """A property as texts: a text, a list of them, a number or a GUID. None of another type."""
    if told is None:
        return ()
    kind, data = told
    if kind in (STRING, STRING_LIST):
        return split_list(data)
    if kind == UINT32 and len(data) == 4:
        return (str(int.from_bytes(data, "little")),)
    if kind == GUID and len(data) == 16:
        return (f"{{{uuid.UUID(bytes_le=data)}}}",)
    return ()


def system_table() -> CfgMgr:
    """The table of this system. Raises ScanError where it is no Windows."""
    import ctypes

    library = getattr(ctypes, "WinDLL", None)
    if library is None:
        raise ScanError("this system has no configuration manager of Windows")
    return _Table(ctypes, library("CfgMgr32.dll")).table()


class _Table:
    """The calls bound to the library."""

    def __init__(self, ctypes: Any, library: Any) -> None:
        self._c, self._library = ctypes, library

    def table(self) -> CfgMgr:
        return CfgMgr(self._ids, self._locate, self._property)

    def _ids(self, only: str, flags: int) -> bytes:
        c = self._c
        for _ in range(4):  # the list may grow between the two calls
            size = c.c_ulong()
            if self._library.CM_Get_Device_ID_List_SizeW(c.byref(size), c.c_wchar_p(only), c.c_ulong(flags)):
                raise ScanError("Windows did not say which devices there are")
            buffer = c.create_string_buffer(2 * min(size.value, MOST_IDS) + 2)
            done = self._library.CM_Get_Device_ID_ListW(c.c_wchar_p(only), buffer, size, c.c_ulong(flags))
            if done == SUCCESS:
                return bytes(buffer.raw)
            if done != BUFFER_SMALL:
                break
        raise ScanError("Windows did not list its devices")

    def _locate(self, instance: str) -> int | None:
        entry = self._c.c_ulong()
        done = self._library.CM_Locate_DevNodeW(self._c.byref(entry), self._c.c_wchar_p(instance), self._c.c_ulong(0))
        return entry.value if done == SUCCESS else None

    def _property(self, entry: int, key: PropertyKey) -> tuple[int, bytes] | None:
        c = self._c
        name = c.create_string_buffer(uuid.UUID(key.format).bytes_le + key.number.to_bytes(4, "little"), 20)
        kind, size = c.c_ulong(), c.c_ulong(0)
        call = self._library.CM_Get_DevNode_PropertyW
        done = call(c.c_ulong(entry), name, c.byref(kind), None, c.byref(size), c.c_ulong(0))
        if done != BUFFER_SMALL or not 0 < size.value <= MOST_PROPERTY:
            return None
        buffer = c.create_string_buffer(size.value)
        done = call(c.c_ulong(entry), name, c.byref(kind), buffer, c.byref(size), c.c_ulong(0))
        return (kind.value, bytes(buffer.raw[: size.value])) if done == SUCCESS else None
