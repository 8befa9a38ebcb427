"""The door to Windows' registry: the map of serial ports, and the port name of an entry of the device tree. Read only.

HARDWARE\\DEVICEMAP\\SERIALCOMM lists the ports that drivers have made now; Device Parameters\\PortName below an
entry of Enum is the number that is kept for it (published: hardware documentation of makers and of the system;
secondary).
Only this file knows winreg.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Mapping
from typing import Any

from topo.frozen import frozen

SERIAL_MAP = r"HARDWARE\DEVICEMAP\SERIALCOMM"
ENUM = r"SYSTEM\CurrentControlSet\Enum"
COM_NAME = re.compile(r"COM[1-9][0-9]{0,3}")
MOST_KEY_VALUES = 1000


@frozen
class WinRegistry:
    """`values` gives the texts of a key below HKEY_LOCAL_MACHINE by their names; none where it is not there."""

    values: Callable[[str], Mapping[str, str]]


def ports_made(registry: WinRegistry) -> tuple[str, ...]:
    """The ports that there are now, in the order of their numbers."""
    names = {value for value in registry.values(SERIAL_MAP).values() if COM_NAME.fullmatch(value)}
    return tuple(sorted(names, key=lambda name: int(name[3:])))


def port_name(registry: WinRegistry, instance: str) -> str | None:
    """The port name kept for an entry of the device tree, or None."""
    name = registry.values(rf"{ENUM}\{instance}\Device Parameters").get("PortName")
    return name if name is not None and COM_NAME.fullmatch(name) else None


def system_registry() -> WinRegistry:
    """The registry of this system; one that is empty where there is none."""
    try:
        import winreg
    except ImportError:
        return WinRegistry(lambda path: {})
    return WinRegistry(lambda path: _values(winreg, path))


def _values(winreg: Any, path: str) -> Mapping[str, str]:
    found: dict[str, str] = {}
    with contextlib.suppress(OSError), winreg.OpenKey(winreg.HKEY_LOCAL_MACHINE, path, 0, winreg.KEY_READ) as key:
        for number in range(MOST_KEY_VALUES):
            name, value, kind = winreg.EnumValue(key, number)  # past the last one it raises OSError
            if kind == winreg.REG_SZ and isinstance(value, str):
                found[name] = value.rstrip("\0")
    return found
