"""The system's own delay before an idle device sleeps: in force, and as written into a module's options.

Sources: the kernel's documentation of power management for USB (`usbcore.autosuspend`, in seconds, below 0 never) and
modprobe.d(5). A module built into the kernel has no `initstate` in sysfs and reads no options (from memory, verify).
"""

from __future__ import annotations

import re

from topo.live.attributes import Attributes
from topo.live.beside import MAY_OPEN, Beside
from topo.live.words import digits, text_of
from topo.model.sighting import SleepSetting

CORE = "module/usbcore"
OPTION = re.compile(
    r"^[ \t]*options[ \t]+usbcore[ \t](?:[^#\n]*[ \t])?autosuspend=(-?[0-9]{1,6})(?=[ \t]|$)", re.MULTILINE
)
MOST_OPTION_FILES = 200


def sleep_setting(attributes: Attributes, beside: Beside) -> SleepSetting | None:
    """The setting, or None where nothing of it is told."""
    in_force, state = f"{CORE}/parameters/autosuspend", f"{CORE}/initstate"
    told = attributes.read([in_force, state])
    found = SleepSetting(
        in_force_s=digits(told.get(in_force)),
        written_s=_written(beside),
        built_in=None if in_force not in told else text_of(told.get(state)) is None,
    )
    return None if found.in_force_s is None and found.written_s is None else found


def _written(beside: Beside) -> int | None:
    """What the last file says, in the order modprobe reads them."""
    found = None
    for name in (beside.names("etc/modprobe.d") or ())[:MOST_OPTION_FILES]:
        if not MAY_OPEN.fullmatch(f"etc/modprobe.d/{name}"):
            continue
        text = (beside.read(f"etc/modprobe.d/{name}") or b"").decode("utf-8", "replace")
        for match in OPTION.finditer(text):
            found = int(match[1])
    return found
