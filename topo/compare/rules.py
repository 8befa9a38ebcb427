"""Rules for udev that give each part's port a name of its own, and labels for sockets. Text only; nothing is installed.

The properties they match are made by rules that come with udev (60-serial.rules: ID_PATH, ID_SERIAL_SHORT, …), so the
file has to sort after that one. Values go into the rules only if they hold nothing that udev reads as a pattern.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from topo.compare.ports import LivePort, lasting_name, ports_of_part
from topo.wiring.lasting import BY_PATH, udev_serial

if TYPE_CHECKING:
    from topo.model.comparison import Comparison

SAFE = re.compile(r"[0-9A-Za-z_.:+=@-]{1,200}")
FOUR_HEX = re.compile(r"[0-9a-f]{4}")
PREFIX = "rig-"

HEAD = """\
# Names for the serial ports of this rig: /dev/{prefix}PART. Made by `topo names`; topo does not install it.
# To use it: read it, then
#   sudo cp THIS-FILE /etc/udev/rules.d/70-rig.rules
#   sudo udevadm control --reload
# and plug the parts in again. To undo it: delete that file. The 70 has to stay: it must come after 60-serial.rules.
"""


def rules_text(comparison: Comparison) -> str:
    """The whole file."""
    lines = [HEAD.format(prefix=PREFIX)]
    labels = list(label_lines(comparison))
    if labels:
        lines.append("# Labels to stick beside sockets: these names last only while the plugs stay there.")
        lines += [f"#   {label}" for label in labels]
        lines.append("")
    named = new_names(comparison)
    for part, each in _ports(comparison):
        lines += _rule(comparison, part, each, named[part])
    if not named:
        lines.append("# No part of the file has a serial port in this scan.")
    return "\n".join(lines) + "\n"


def label_lines(comparison: Comparison) -> Iterator[str]:
    """A label for each socket that a name hangs on."""
    for part, each in _ports(comparison):
        if lasting_name(comparison, each).lasts == "in its socket":
            plug = comparison.study.rig.part(each.match.part).plug if each.match is not None else None
            yield f"{comment(str(plug)) if plug is not None else 'a socket that is not told'}: {comment(part)}"


def new_names(comparison: Comparison) -> Mapping[str, str]:
    """The name that the rules give each part's port, without the folder; none twice."""
    found: dict[str, str] = {}
    for part, _ in _ports(comparison):
        base = PREFIX + (re.sub(r"[^0-9a-z]+", "-", part.lower()).strip("-")[:40] or "part")
        name, number = base, 2
        while name in found.values():
            name, number = f"{base}-{number}", number + 1
        found[part] = name
    return found


def _ports(comparison: Comparison) -> Iterator[tuple[str, LivePort]]:
    """Every part with a serial port, in the order of the file, and the first of its ports."""
    for part in comparison.declared.rig.devices:
        ports = ports_of_part(comparison, part.id)
        if ports and not ports[0].port.name.startswith("COM"):
            yield part.id, ports[0]


def _rule(comparison: Comparison, part: str, each: LivePort, name: str) -> list[str]:
    lasts = lasting_name(comparison, each).lasts
    matches = _by_serial(each) if lasts == "anywhere" else None
    why = "by its serial number, in any socket"
    if matches is None:
        matches, why = _by_place(each), "by its socket: label it"
    if matches is None:
        return [f"# {comment(part)}: this scan tells nothing that a rule could hold on to", ""]
    guess = " (which one this is was a guess: see `topo names`)" if each.guessed else ""
    told = ", ".join(['SUBSYSTEM=="tty"', *matches, *_which(comparison, each), f'SYMLINK+="{name}"'])
    return [f"# {comment(part)}: {why}{guess}", told, ""]


def _by_serial(each: LivePort) -> list[str] | None:
    own = each.thing.own
    serial = udev_serial(own.serial) if own.serial is not None else None
    ids = (own.vendor_id or "", own.product_id or "")
    if serial is None or not SAFE.fullmatch(serial) or not all(FOUR_HEX.fullmatch(word) for word in ids):
        return None
    return ['ENV{ID_BUS}=="usb"', f'ENV{{ID_VENDOR_ID}}=="{ids[0]}"', f'ENV{{ID_MODEL_ID}}=="{ids[1]}"',
            f'ENV{{ID_SERIAL_SHORT}}=="{serial}"']


def _by_place(each: LivePort) -> list[str] | None:
    link = next((link for link in each.port.links if link.startswith(BY_PATH)), "")
    path = re.sub(r"-port[0-9]{1,3}$", "", link.removeprefix(BY_PATH))
    return [f'ENV{{ID_PATH}}=="{path}"'] if SAFE.fullmatch(path) else None


def _which(comparison: Comparison, each: LivePort) -> list[str]:
    """Which port of an adapter with several it is: by interface, and by number where one interface has several."""
    same = [p for p in comparison.scan.serial_ports if p.device == each.port.device]
    found = []
    if len({p.interface for p in same}) > 1 and each.port.interface is not None:
        found.append(f'ENV{{ID_USB_INTERFACE_NUM}}=="{each.port.interface & 0xFF:02x}"')
    if len([p for p in same if p.interface == each.port.interface]) > 1 and each.port.number is not None:
        found.append(f'ENV{{.ID_PORT}}=="{each.port.number & 0xFF}"')
    return found


def comment(text: str) -> str:
    """Text that stays in a comment: printable ASCII, no backslash, which would join the next line to it."""
    return re.sub(r"[^ -\[\]-~]", "?", text)[:120]
