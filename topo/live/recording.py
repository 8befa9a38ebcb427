"""A scanner that replays a file: a saved scan, or a listing that some system printed, told apart by content."""

from __future__ import annotations

import os
import re

from topo.live.listings.pasted import unpasted
from topo.live.listings.recognise import read_listing, recognised
from topo.live.store import loads, read_limited
from topo.model.plain import plain
from topo.model.scanner import Scanner
from topo.model.sighting import Scan

SAVED = re.compile(r'"format"\s*:\s*"topo\.')
"""What a saved scan has and no listing of a system does."""


def recording(path: str | os.PathLike[str]) -> Scanner:
    """A scanner whose every scan is what the file holds."""
    return Scanner("recording", f"replays {plain(str(path))}", (), lambda: replay(path))


def replay(path: str | os.PathLike[str]) -> Scan:
    """The scan in a file. Raises ScanError where it is neither a saved scan nor a listing that is known."""
    return read_scan(read_limited(path), str(path))


def read_scan(text: str, path: str = "the scan") -> Scan:
    """The scan in a text, as `replay`."""
    if text.lstrip().startswith("{") and SAVED.search(text):
        return loads(text, path)
    bare = unpasted(text)
    if bare.lstrip().startswith("{") and (SAVED.search(bare) or recognised(bare) is None):
        return loads(bare, path)
    return read_listing(bare, path)
