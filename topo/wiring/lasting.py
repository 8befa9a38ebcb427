"""The names that last, as udev makes them: by place and by what the device says of itself; and what a typed name is.

Published: the rules file 60-serial.rules and the built-ins usb_id and path_id that come with udev (read in part, the
rest from memory; held against a recording of a real machine's database in the tests).
"""

from __future__ import annotations

import re
from typing import Literal

from topo.later import pattern

BY_ID = "/dev/serial/by-id/"
BY_PATH = "/dev/serial/by-path/"

_REFUSED = pattern(r"\\x[0-9A-Fa-f]{2}|(?![0-9A-Za-z#+\-.:=@_])[\x00-\x7f]")
_PCI_ROOT = pattern(r"pci[0-9a-f]{4,8}:[0-9a-f]{2}")
_PCI = pattern(r"[0-9a-f]{4,8}:[0-9a-f]{2}:[0-9a-f]{2}\.[0-7]")
MOST_PART = 255
"""Bytes that udev keeps of each of the device's own words."""


def by_id(vendor: str, product: str, serial: str | None, interface: int, port: int | None) -> str:
    """The name by id. `vendor` and `product` are the device's own words, or its ids where it has none; `port` is which
    port of an adapter with a serial driver, None for a modem-class one."""
    parts = [udev_word(vendor), udev_word(product)]
    if serial and (word := udev_serial(serial)):
        parts.append(word)
    tail = "" if port is None else f"-port{port}"
    return f"{BY_ID}usb-{'_'.join(parts)}-if{interface:02x}{tail}"


def by_path(controller: str, chain: str, config: int, interface: int, port: int | None) -> str:
    """The name by place. `controller` is what `controller_path` makes, `chain` "1.2"."""
    tail = "" if port is None else f"-port{port}"
    return f"{BY_PATH}{controller}-usb-0:{chain}:{config}.{interface}{tail}"


PortNameKind = Literal["number", "by-id", "by-path", "com", "callout", "network", "own"]
"""What a name of a port is: a number the system gives out, a lasting name, or one that a person made."""

NUMBERED = pattern(r"/dev/(tty(USB|ACM|S|AMA|THS|XRUSB)[0-9]{1,4})")
COM = pattern(r"(?:\\\\[.?]\\)?(COM[0-9]{1,4}):?", re.IGNORECASE)
_NETWORK = pattern(r"[a-z][a-z0-9+.-]{1,20}://.*|\[?[0-9A-Za-z.:-]{2,253}\]?:[0-9]{1,5}|[0-9]{1,3}(\.[0-9]{1,3}){3}")


def kind_of_name(name: str) -> PortNameKind:
    """The kind of a name as `canonical` writes it."""
    if NUMBERED.fullmatch(name):
        return "number"
    if COM.fullmatch(name):
        return "com"
    if name.startswith((BY_ID, BY_PATH)):
        return "by-id" if name.startswith(BY_ID) else "by-path"
    if name.startswith("/dev/cu."):
        return "callout"
    return "network" if not name.startswith("/dev/") and _NETWORK.fullmatch(name) else "own"


def canonical(typed: str) -> str:
    """A name as typed into a program, in the one way it is compared by: a whole path on Linux and macOS, COMn."""
    name = typed.strip()
    if (com := COM.fullmatch(name)) is not None:
        return com[1].upper()
    if not name.startswith("/") and _NETWORK.fullmatch(name):
        return name
    for folder in (BY_ID, BY_PATH):
        for head in (folder.removeprefix("/dev/"), folder.removeprefix("/dev/serial/")):
            if name.startswith(head):
                return folder + name.removeprefix(head)
    if name.startswith("usb-") and "-if" in name:
        return BY_ID + name
    if re.match(r"(pci|platform)-.*-usb", name):
        return BY_PATH + name
    if not name.startswith("/"):
        name = f"/dev/{name}"
    # macOS has each port twice; `tty.` waits for a carrier, `cu.` is the same port (secondary source).
    return re.sub(r"^/dev/tty\.", "/dev/cu.", name)


def udev_word(text: str) -> str:
    r"""A word of a device as udev writes it into a name: blanks to one `_` each, ASCII that is not plain to `_`; what
    looks like an escape (`\x20`) stays."""
    return _REFUSED.sub(lambda match: match[0] if len(match[0]) > 1 else "_", "_".join(text[:MOST_PART].split()))


def udev_serial(text: str) -> str | None:
    """A serial number as udev writes it; None where it leaves it out: a comma, or what is not printable ASCII."""
    if any(not 0x20 <= ord(c) <= 0x7F or c == "," for c in text):
        return None
    return udev_word(text) or None


def controller_path(folder: str) -> str | None:
    """The controller's part of a name by place, from its folder ("devices/pci0000:00/0000:00:14.0"); None where it is
    of no kind that is known here. On small boards a platform device stands before the PCI one."""
    parts = [part for part in folder.split("/") if part]
    if "devices" in parts:
        parts = parts[parts.index("devices") + 1 :]
    names = []
    if parts and _PCI.fullmatch(parts[-1]):
        names.append(f"pci-{parts[-1]}")
        while parts and (_PCI.fullmatch(parts[-1]) or _PCI_ROOT.fullmatch(parts[-1])):
            parts.pop()
    if parts and parts[0] == "platform" and len(parts) > 1:
        names.insert(0, f"platform-{parts[-1]}")
    return "-".join(names) or None
