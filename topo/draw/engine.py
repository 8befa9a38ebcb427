"""From DOT to SVG, PNG and PDF: `dot` where it is installed, else the engine inside the pygraphviz wheel."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Literal

from topo.errors import CommandError

Format = Literal["svg", "png", "pdf"]

_PDF_DATE = re.compile(rb"(/(?:CreationDate|ModDate) \(D:)([^)]*)(\))")


def drawn(dot: str, kind: Format) -> bytes:
    """The bytes of a picture. Raises CommandError where no engine is there or it fails."""
    picture = _by_program(dot, kind) if shutil.which("dot") else _by_wheel(dot, kind)
    return _PDF_DATE.sub(_undated, picture) if kind == "pdf" else picture


def _undated(match: re.Match[bytes]) -> bytes:
    """A PDF says when it was made; the same rig has to give the same bytes. Its length stays, for the offsets in it."""
    return match[1] + b"20000101000000Z".ljust(len(match[2]), b" ")[: len(match[2])] + match[3]


def _by_program(dot: str, kind: Format) -> bytes:
    import graphviz

    try:
        picture: bytes = graphviz.Source(dot).pipe(format=kind, quiet=True)
    except (graphviz.CalledProcessError, graphviz.ExecutableNotFound, OSError) as error:
        raise CommandError(f"the program dot could not draw this: {type(error).__name__}") from error
    return picture


@contextlib.contextmanager
def _silent() -> Iterator[None]:
    """Nothing reaches standard error meanwhile: the engine of the wheel writes there past Python, about fonts that it
    measures otherwise than we do. What fails is raised all the same."""
    try:
        kept = os.dup(2)
    except OSError:  # there is no standard error
        yield
        return
    with contextlib.suppress(OSError, ValueError, AttributeError):
        sys.stderr.flush()
    try:
        with Path(os.devnull).open("wb") as nowhere:
            os.dup2(nowhere.fileno(), 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(kept)


def _by_wheel(dot: str, kind: Format) -> bytes:
    try:
        import pygraphviz
    except ImportError as error:
        raise CommandError(
            "nothing here can draw pictures: install Graphviz (the program `dot`), or the package pygraphviz; the tree "
            "in the terminal, .svg, .mmd and .dot need neither"
        ) from error
    try:
        with _silent():
            picture: bytes = pygraphviz.AGraph(string=dot).draw(format=kind, prog="nop2")
    except (ValueError, OSError, pygraphviz.DotError) as error:
        raise CommandError(f"the drawing engine failed: {error}") from error
    return picture
