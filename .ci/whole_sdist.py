"""Builds as setuptools does, with a source distribution that holds everything: tests, examples, plugins, documents.

setuptools learns what else belongs to it from a file at the top; it is there only while the distribution is made.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from setuptools import build_meta
from setuptools.build_meta import *  # noqa: F403 - every other hook is that of setuptools

EVERYTHING = """\
include DEVELOPERS.md .gitignore
graft .ci
graft examples
graft plugins
graft tests
graft topo
prune .ci/__pycache__
global-exclude *.py[cod] *.egg-info .DS_Store
global-exclude .topo-*.tmp
"""


def build_sdist(sdist_directory: str, config_settings: dict[str, Any] | None = None) -> str:
    """The hook of PEP 517."""
    manifest = Path("MANIFEST.in")
    ours = not manifest.exists()
    if ours:
        manifest.write_text(EVERYTHING, encoding="utf-8")
    try:
        return build_meta.build_sdist(sdist_directory, config_settings)
    finally:
        if ours:
            manifest.unlink()
