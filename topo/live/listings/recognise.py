"""Which format a text is, by its content alone: the first test that holds wins, and only its reader is imported."""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, cast

from topo.errors import ScanError
from topo.live.listings.ask import ask_for, ask_lines
from topo.model.plain import plain
from topo.model.sighting import Scan

if TYPE_CHECKING:
    from topo.model.records import System

@dataclass(frozen=True, slots=True)
class ListingFormat:
    """A format that is read: what it is called in words, and the module and names of its test and its reader."""

    name: str
    system: System
    module: str
    test: str = "looks_like"
    reader: str = "read"

    def fits(self, text: str) -> bool:
        """True where the text is of this format."""
        return bool(self._function(self.test)(text))

    def read(self, text: str) -> Scan:
        """The scan of the text. Raises ScanError."""
        return cast(Scan, self._function(self.reader)(text))

    def _function(self, name: str) -> Callable[[str], object]:
        module = importlib.import_module(f"topo.live.listings.{self.module}")
        return cast(Callable[[str], object], getattr(module, name))


FORMATS = (
    ListingFormat("JSON of macOS's system profiler", "macos", "mac_profiler_json"),
    ListingFormat("XML of macOS's system profiler", "macos", "mac_profiler_json", "looks_like_xml", "read_xml"),
    ListingFormat("the property list of ioreg", "macos", "mac_registry_plist"),
    ListingFormat("JSON of topo's lines for PowerShell", "windows", "win_powershell"),
    ListingFormat("XML of pnputil", "windows", "win_pnputil", "looks_like_xml", "read_xml"),
    ListingFormat("CSV of pnputil", "windows", "win_pnputil", "looks_like_csv", "read_csv"),
    ListingFormat("the text of ioreg", "macos", "mac_registry_text"),
    ListingFormat("the text of macOS's system profiler", "macos", "mac_profiler_text"),
    ListingFormat("the text of DxDiag", "windows", "dxdiag"),
    ListingFormat("the text of pnputil", "windows", "win_pnputil"),
    ListingFormat("usb/devices text of the kernel or the usb-devices script", "linux", "usb_devices"),
    ListingFormat("the database of udev", "linux", "udev"),
    ListingFormat("attributes of sysfs", "linux", "sysfs_text"),
    ListingFormat("the kernel's log", "linux", "kernel_log"),
)


@dataclass(frozen=True, slots=True)
class KnownKind:
    """A format that is recognised and not read, why, and of which system."""

    name: str
    system: System
    pattern: re.Pattern[str]
    why: str


REFUSED = (
    KnownKind(
        "the system information of Windows", "windows", re.compile(r"^\[System Summary\]|<MsInfo>", re.MULTILINE),
        "it lists controllers only, without what is plugged in where",
    ),
    KnownKind(
        "an export of Windows' registry", "windows", re.compile(r"Windows Registry Editor Version 5"),
        "it holds everything that was ever plugged in, with nothing to tell what is there now",
    ),
    KnownKind(
        "the help of pnputil", "windows", re.compile(r"pnputil(?:\.exe)? \[?/add-driver", re.IGNORECASE),
        "this Windows does not know what was asked; the three lines for PowerShell work on Windows 10 too",
    ),
    KnownKind("pnputil without a USB device", "windows", re.compile(r"Microsoft PnP"), "no USB device is in it"),
    KnownKind(
        "a list of devices by number", "linux", re.compile(r"^Bus [0-9]{3} Device [0-9]{3}: ID ", re.MULTILINE),
        "numbers come and go; it does not tell which socket a device is in, nor its speed",
    ),
    KnownKind(
        "a tree of bus and device numbers", "linux",
        re.compile(r"^/: {2}Bus [0-9.]{2,}\s?Port|\|__ Port [0-9]+: Dev ", re.MULTILINE),
        "it has neither ids nor names, and tools that print it may ask devices",
    ),
    KnownKind(
        "the system profiler of macOS", "macos",
        re.compile(r"^\s*(?:Hardware Overview|USB|USB Bus):\s*$", re.MULTILINE),
        "no USB device is in it; macOS 26 and later show USB elsewhere",
    ),
)  # fmt: skip

MOST_LOOKED_AT = 1 << 20


def recognised(text: str) -> ListingFormat | None:
    """The format of a text, or None. Looks at its first mebibyte."""
    head = text[:MOST_LOOKED_AT]
    return next((form for form in FORMATS if form.fits(head)), None)


def read_listing(text: str, name: str = "the listing") -> Scan:
    """The scan of a listing. Raises ScanError, which says what the text was taken for and what to ask for instead."""
    form = recognised(text)
    if form is None:
        raise ScanError(_unknown(text, plain(name)))
    try:
        scan = form.read(text)
    except ScanError as error:
        raise ScanError(f"{plain(name)} looks like {form.name}: {error}; ask for {ask_for(form.system)}") from error
    more = [other.name for other in FORMATS if other is not form and other.fits(text[:MOST_LOOKED_AT])]
    if more:
        said = f"the text holds {form.name}, which was read, and also {' and '.join(more)}, which was not"
        scan = replace(scan, problems=(*scan.problems, said))
    return scan


def _unknown(text: str, name: str) -> str:
    known = next((one for one in REFUSED if one.pattern.search(text[:MOST_LOOKED_AT])), None)
    if known is not None:
        return f"{name} looks like {known.name}: {known.why}. Ask for one of these:\n" + "\n".join(ask_lines())
    kinds = ", ".join(form.name for form in FORMATS)
    return (
        f"{name}: neither a saved scan (`topo live --save`) nor a listing that is known here ({kinds}). "
        "Ask for one of these:\n" + "\n".join(ask_lines())
    )
