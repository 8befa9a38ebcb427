"""What the tests of the live side stand on: recordings, outside tools, and sysfs trees built from recordings."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
RECORDINGS = HERE / "recordings"
PROJECT = HERE.parent.parent
SHARED = PROJECT.parent / "shared" / "recordings"
"""Recordings from real machines, beside the checkout where somebody put them."""


def need(tool: str) -> str:
    """The path of an outside tool. Where it is missing the test fails in CI and is skipped elsewhere."""
    found = shutil.which(tool)
    if found is None:
        reason = f"{tool} is not installed"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return found


def shared(name: str) -> Path:
    """A recording from a real machine; skips with the reason where the folder is not beside the checkout."""
    path = SHARED / name
    if not path.exists():
        pytest.skip(
            f"no recording from a real machine here: {name} is not in a folder shared/recordings beside the checkout"
        )
    return path


def recording(name: str) -> Path:
    """One of the project's own recordings."""
    return RECORDINGS / f"{name}.umockdev"


def under_umockdev(device: Path, *command: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Runs a command in umockdev's world, which holds the devices of that file and nothing else."""
    whole = [need("umockdev-run"), "-d", str(device), "--", *command]
    return subprocess.run(whole, capture_output=True, text=True, timeout=120, cwd=cwd or PROJECT, check=False)


def topo_under(device: Path, *arguments: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Runs the tool itself there."""
    return under_umockdev(device, sys.executable, "-m", "topo", *arguments, cwd=cwd)


def build(device: Path, root: Path) -> Path:
    """A folder laid out as sysfs from a recording, for tests that change it. Returns its top."""
    top = root / "sys"
    for kind in ("bus/usb/devices", "class/tty"):
        (top / kind).mkdir(parents=True, exist_ok=True)
    folder = top
    for line in device.read_text(encoding="ascii").splitlines():
        kind, _, rest = line.partition(": ")
        if kind == "P":
            folder = top / rest.lstrip("/")
            folder.mkdir(parents=True, exist_ok=True)
        elif kind == "E" and rest in ("SUBSYSTEM=usb", "SUBSYSTEM=tty"):
            listed = top / ("bus/usb/devices" if rest.endswith("usb") else "class/tty") / folder.name
            listed.symlink_to(os.path.relpath(folder, listed.parent))
        elif kind in ("A", "H", "L"):
            _put(folder, kind, *rest.split("=", 1))
    return top


def _put(folder: Path, kind: str, name: str, value: str) -> None:
    target = folder / name
    target.parent.mkdir(parents=True, exist_ok=True)
    if kind == "L":
        target.symlink_to(value)
    else:
        target.write_bytes(bytes.fromhex(value) if kind == "H" else value.replace("\\n", "\n").encode())


def unplug(top: Path, names: Sequence[str]) -> dict[str, Path]:
    """Takes devices and all below them out of a built tree. Returns where they were, for `plug_in`."""
    taken = {}
    listed = top / "bus/usb/devices"
    for link in sorted(listed.iterdir()):
        device = link.name.split(":")[0]
        if any(device == name or device.startswith(f"{name}.") for name in names):
            taken[link.name] = link.readlink()
            link.unlink()
    return taken


def plug_in(top: Path, taken: dict[str, Path]) -> None:
    """Puts back what `unplug` took."""
    for name, target in taken.items():
        (top / "bus/usb/devices" / name).symlink_to(target)
