"""A reader of evidence: a way to read one kind of file. Apart from what it reads, so that a check knows no events."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, BinaryIO

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.evidence import Handed


@frozen
class EvidenceReader:
    """A reader of one kind of evidence file.

    `recognises` takes the first 65,536 bytes of a file (unpacked) and says whether it is of this kind; `read` takes the
    file, opened for reading in binary, and what is told of it, and returns a `Reading`. Neither may trust a byte of it;
    a file that cannot be read raises ValueError with the reason.
    """

    name: str
    summary: str
    suffixes: tuple[str, ...]
    recognises: Callable[[bytes], bool]
    read: Callable[[BinaryIO, Handed], Any]
