"""What the listings of Windows share: instance ids, location paths, and what a property tells.

Grammar: Microsoft's driver documentation (standard USB identifiers, DEVPKEY_Device_LocationPaths) and public reports.
None of it depends on the language of Windows.
"""

from __future__ import annotations

import re

from topo.frozen import frozen
from topo.live.listings.values import told, whole
from topo.model.sighting import Side

INSTANCE = re.compile(r"[A-Za-z0-9_]{2,40}\\[^\\\s][^\\]{0,200}\\[^\\]{1,200}")
"""Three parts: enumerator, device, instance. Hardware ids have two."""

USB_DEVICE = re.compile(r"USB\\VID_([0-9A-F]{4})&PID_([0-9A-F]{4})(?:&MI_([0-9A-F]{2}))?\\(.+)", re.IGNORECASE)
ROOT_HUB = re.compile(r"USB\\ROOT_HUB([0-9]{0,2})(?:&[^\\]*)?\\.+", re.IGNORECASE)
PATH = re.compile(r"(.+?)#USBROOT\([0-9A-Fa-f]{1,8}\)((?:#USB\([0-9]{1,3}\))*)(?:#USBMI\(([0-9]{1,3})\))?")
FIRMWARE = re.compile(r"#ACPI\((HS|SS)P?([0-9]{1,2})\)", re.IGNORECASE)
CLASS = re.compile(r"USB\\Class_([0-9A-F]{2})&SubClass_([0-9A-F]{2})&Prot_([0-9A-F]{2})", re.IGNORECASE)
DEVICE_CLASS = re.compile(r"USB\\DevClass_([0-9A-F]{2})&SubClass_([0-9A-F]{2})&Prot_([0-9A-F]{2})", re.IGNORECASE)
SOCKET = re.compile(r"Port_#([0-9]{1,4})", re.IGNORECASE)
INSIDE = "{00000000-0000-0000-ffff-ffffffffffff}"
"""The container of everything built into the computer."""

Codes = tuple[int, int, int]


@frozen
class WinNode:
    """One entry of the device tree as a listing gives it; what it does not give is None or empty."""

    instance: str
    name: str | None = None
    kind: str | None = None
    status: str | None = None
    parent: str | None = None
    paths: tuple[str, ...] = ()
    location: str | None = None
    address: int | None = None
    reported: str | None = None
    container: str | None = None
    compatible: tuple[str, ...] = ()
    service: str | None = None
    port_name: str | None = None

    @property
    def key(self) -> str:
        """The instance id as others name it: letters may be large in one place and small in another."""
        return self.instance.casefold()

    @property
    def ids(self) -> tuple[str, str] | None:
        """Vendor and product, or None where it is no USB device."""
        match = USB_DEVICE.fullmatch(self.instance)
        return (match[1].lower(), match[2].lower()) if match else None

    @property
    def interface(self) -> int | None:
        """Number of the interface where it is one of a composite device."""
        match = USB_DEVICE.fullmatch(self.instance)
        return int(match[3], 16) if match and match[3] else None

    @property
    def serial(self) -> str | None:
        """The serial number; an instance with & as its second character is made up by Windows and names a socket."""
        match = USB_DEVICE.fullmatch(self.instance)
        return None if match is None or match[3] or match[4][1:2] == "&" else told(match[4])

    @property
    def socket(self) -> int | None:
        """The socket it is in at its hub: by address, location, or the end of a made-up instance."""
        if self.address is not None and 1 <= self.address <= 255:
            return self.address
        if (match := SOCKET.match(self.location or "")) and int(match[1]):
            return int(match[1])
        match = USB_DEVICE.fullmatch(self.instance)
        last = match[4].rpartition("&")[2] if match and not match[3] and match[4][1:2] == "&" else ""
        return whole(last, 255) or None

    @property
    def path(self) -> tuple[str, tuple[int, ...]] | None:
        """Controller and chain by the location path; the number of a socket is decimal."""
        for text in self.paths:
            if match := PATH.fullmatch(text.strip()):
                return match[1][:200], tuple(int(n) for n in re.findall(r"#USB\(([0-9]+)\)", match[2]))
        return None

    @property
    def root(self) -> str | None:
        """ "30", "20" or "" of a root hub's id; None where it is none."""
        match = ROOT_HUB.fullmatch(self.instance)
        return match[1] if match else None

    def codes(self) -> Codes | None:
        """Class, subclass and protocol of its function, by compatible ids."""
        return _codes(CLASS, self.compatible)

    def device_codes(self) -> Codes | None:
        """The same of the whole device."""
        return _codes(DEVICE_CLASS, self.compatible)

    @property
    def is_hub(self) -> bool:
        """True for hubs, by class or by their driver."""
        codes = self.codes() or self.device_codes()
        driver = (self.service or "").lower()
        return (codes is not None and codes[0] == 9) or driver.startswith("usbhub") or self.root is not None

    @property
    def hub_side(self) -> Side | None:
        """The side of USB a hub's id says it is: protocol 3 is SuperSpeed (USB 3.2 10.15.1)."""
        codes = self.codes()
        if codes is None or codes[0] != 9 or codes[2] > 3:
            return None
        return "superspeed" if codes[2] == 3 else "usb2"

    @property
    def firmware_socket(self) -> tuple[Side, int] | None:
        """Side and number of the computer's socket, where the firmware names its ports HS01, SS01, …"""
        for text in self.paths:
            if match := FIRMWARE.search(text):
                return ("superspeed" if match[1].upper() == "SS" else "usb2"), int(match[2])
        return None


def _codes(pattern: re.Pattern[str], compatible: tuple[str, ...]) -> Codes | None:
    for text in compatible:
        if match := pattern.fullmatch(text.strip()):
            return int(match[1], 16), int(match[2], 16), int(match[3], 16)
    return None
