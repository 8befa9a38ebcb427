"""Power saving was switched off in a file, and the system does not follow it.

The delay before idle USB devices sleep can be written as an option of the kernel's USB module. Where that module is
built into the kernel, as on most systems, options in that file are never read: the setting looks done and is not. Read
here is the value in force. It counts for devices plugged in from then on.

A risk where a part of the rig may be put to sleep, else a note.

Wrong if the value in force is the one written, after the next start.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.live.may_be_put_to_sleep import may_sleep
from topo.checks.scans import scan, wheel
from topo.model.check import Case, Check
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.comparison import Comparison


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding where what is written is not what is in force."""
    setting = comparison.scan.sleep_setting
    if setting is None or setting.written_s is None or setting.in_force_s is None:
        return
    if setting.written_s == setting.in_force_s or (setting.written_s < 0 and setting.in_force_s < 0):
        return
    devices = ((match.part, match.own) for match in comparison.matches)
    exposed = tuple(name for name, own in devices if own is not None and not own.is_hub and may_sleep(own.sleep))
    computer = comparison.declared.rig.computer
    why = ("the kernel has the USB core built in, and reads no such file" if setting.built_in
           else "the system was not started anew since, or another file goes before it")
    along = f" {listed(exposed)} may be put to sleep." if exposed else ""
    yield Finding(
        name="power-setting-not-in-force",
        severity="risk" if exposed else "note",
        certainty="certain" if setting.built_in is not None else "possible",
        part=computer.id,
        place=computer.place,
        others=exposed,
        message=f"The delay before idle USB devices sleep is written as {_words(setting.written_s)} and "
        f"{_words(setting.in_force_s)} is in force: {why}.{along}",
        figures=(Figure("written", float(setting.written_s), "s", "measured"),
                 Figure("in force", float(setting.in_force_s), "s", "measured")),
        refuted_by="the value in force is the one written, after the next start",
        fix=Fix(f"Free: write `usbcore.autosuspend={setting.written_s}` into the kernel's command line and start "
                "again; then look at /sys/module/usbcore/parameters/autosuspend. For one device a udev rule does it: "
                "see may-be-put-to-sleep."),
    )


def _words(seconds: int) -> str:
    return "never" if seconds < 0 else f"{seconds} s"


ONE = rig("wheel: {role: filter-wheel, interface: hid, plug: computer/usb2-1}")
AUTO = wheel("3-1", sleep={"control": "auto", "delay_ms": 2000})

CHECK = Check(
    name="power-setting-not-in-force",
    summary="power saving was switched off in a file, and the system does not follow it",
    explanation=__doc__,
    symptoms=("fails after idle", "power saving switched off and still fails"),
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("nothing written", ONE, 0, scan(AUTO, sleep_setting={"in_force_s": 2, "built_in": True})),
        Case("written and in force", ONE, 0,
             scan(AUTO, sleep_setting={"in_force_s": -1, "written_s": -1, "built_in": False})),
        Case("written, and built in", ONE, 1,
             scan(AUTO, sleep_setting={"in_force_s": 2, "written_s": -1, "built_in": True})),
    ),
)
