"""The readers that ship, in the order they are asked: those that a magic number or a format names first."""

from __future__ import annotations

from topo.evidence import watchlog
from topo.evidence.capture import reader as capture
from topo.evidence.kernel import reader as kernel
from topo.evidence.tables import fits
from topo.evidence.tables import reader as tables
from topo.model.reader import EvidenceReader


def readers() -> tuple[EvidenceReader, ...]:
    """Every reader that ships."""
    return (capture.reader(), fits.reader(), *watchlog.readers(), kernel.reader(), tables.reader())
