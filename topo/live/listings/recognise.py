"""Which format a text is, by its content alone: the first test that holds wins, and only its reader is imported."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import TYPE_CHECKING, cast

from topo.errors import ScanError
from topo.frozen import frozen, replace
from topo.live.listings.ask import ask_for
from topo.live.listings.unknown import unknown
from topo.model.plain import plain
from topo.model.sighting import Scan

if TYPE_CHECKING:
    from topo.model.records import System

@frozen
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


MOST_LOOKED_AT = 1 << 20


def recognised(text: str) -> ListingFormat | None:
    """The format of a text, or None. Looks at its first mebibyte."""
    head = text[:MOST_LOOKED_AT]
    return next((form for form in FORMATS if form.fits(head)), None)


def read_listing(text: str, name: str = "the listing") -> Scan:
    """The scan of a listing. Raises ScanError, which says what the text was taken for and what to ask for instead."""
    form = recognised(text)
    if form is None:
        raise ScanError(unknown(text[:MOST_LOOKED_AT], plain(name)))
    try:
        scan = form.read(text)
    except ScanError as error:
        raise ScanError(f"{plain(name)} looks like {form.name}: {error}; ask for {ask_for(form.system)}") from error
    more = [other.name for other in FORMATS if other is not form and other.fits(text[:MOST_LOOKED_AT])]
    if more:
        said = f"the text holds {form.name}, which was read, and also {' and '.join(more)}, which was not"
        scan = replace(scan, problems=(*scan.problems, said))
    return scan
