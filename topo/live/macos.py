"""The scanner of macOS: the kernel's registry, as `ioreg` prints it. No device is opened, no other command started.

The registry answers from the kernel's memory; the command needs no rights. Tested on recordings of its output only: it
has not run on a Mac yet.
"""

from __future__ import annotations

import platform
import subprocess
from collections.abc import Callable
from datetime import datetime

from topo.errors import ScanError, reason_of
from topo.frozen import replace
from topo.live.listings.mac_registry_plist import read_bytes
from topo.live.serialports import pyserial_ports
from topo.model.plain import plain
from topo.model.sighting import Scan

COMMAND = ("/usr/sbin/ioreg", "-a", "-p", "IOUSB", "-l")
"""All that is started."""

IOREG_TIME_S = 20.0

Runner = Callable[[tuple[str, ...]], bytes]


def scan(run: Runner | None = None) -> Scan:
    """What the registry tells. `run` starts a command and returns what it prints. Raises ScanError."""
    found = read_bytes((run or started)(COMMAND))
    problems = list(found.problems)
    if not any(seen.ports for seen in found.sightings):
        problems.append("the registry shows no device; a program in a sandbox sees less than there is")
    serial_ports, troubles = pyserial_ports(found.sightings)
    return replace(
        found,
        when=datetime.now().astimezone().isoformat(timespec="milliseconds"),
        kernel=platform.release() or None,
        scanner="ioreg",
        serial_ports=serial_ports,
        problems=(*problems, *troubles),
        limits=replace(found.limits, serial_ports="all"),
    )


def started(command: tuple[str, ...]) -> bytes:
    """What a command prints. Raises ScanError where it cannot be started, fails, or takes too long."""
    try:
        done = subprocess.run(command, capture_output=True, timeout=IOREG_TIME_S, check=False, stdin=subprocess.DEVNULL)
    except subprocess.TimeoutExpired:
        raise ScanError(f"{command[0]} did not end within {IOREG_TIME_S:g} s") from None
    except OSError as error:
        raise ScanError(f"{command[0]} cannot be started: {reason_of(error)}") from error
    if done.returncode:
        said = plain(done.stderr.decode("utf-8", "replace").strip(), 200)
        raise ScanError(f"{command[0]} failed with status {done.returncode}" + (f": {said}" if said else ""))
    return done.stdout
