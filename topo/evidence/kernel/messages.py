"""What a message of the kernel is about and what happened: subject and event. Old and new forms; banners are no events.

Texts as in the Linux source (drivers/usb/core/hub.c, drivers/usb/host/xhci.c, drivers/usb/core/hcd.c, kernel/power/;
of serial ports drivers/usb/serial/usb-serial.c, drivers/usb/class/cdc-acm.c, drivers/usb/core/devio.c, from memory),
those of 2.6 and 3.0 included.
"""

from __future__ import annotations

import re

from topo.evidence.kernel.lines import BOOT_MARK
from topo.frozen import frozen

_PATH = r"\d{1,4}-\d{1,3}(?:\.\d{1,3}){0,9}"
_SUBJECT = re.compile(
    rf"(?P<driver>[\w.-]{{1,64}}) (?:(?P<port>(?:usb\d{{1,4}}|{_PATH})-port\d{{1,3}})"
    rf"|(?P<iface>\d{{1,4}}-(?:0|\d{{1,3}}(?:\.\d{{1,3}}){{0,9}}):\d{{1,3}}\.\d{{1,3}})"
    rf"|(?P<dev>{_PATH})|(?P<root>usb\d{{1,4}})|(?P<pci>[0-9a-f]{{4,8}}:[0-9a-f]{{2}}:[0-9a-f]{{2}}\.[0-7])"
    r"|(?P<platform>[\w.-]{1,40}\.(?:usb\d?|auto|dwc3)))(?=[: ])")

_SPEED = r"(?P<speed>low|full|high|super|SuperSpeed ?(?:Plus)?(?: Gen \d(?:x\d)?)?)"
_NUMBERED = (r"(?:[- ]speed)? USB device(?: number (?P<n>\d{1,4})(?: using (?P<hcd>\S{1,40}))?"
             r"| using (?P<hcd2>\S{1,40}) and address (?P<n2>\d{1,4}))?")
_PORT = r"(?: (?:on )?port (?P<p>\d{1,3}))?"

_EVENTS: tuple[tuple[str, re.Pattern[str]], ...] = tuple((kind, re.compile(pattern)) for kind, pattern in (
    ("port-named", r"now attached to (?P<tty>ttyUSB\d{1,4})$|^(?P<acm>ttyACM\d{1,4}): USB ACM device"),
    ("claimed", r"usbfs: interface \d{1,3} claimed by (?P<drv>[\w.-]{1,40})"
                r" while '(?P<comm>[\w.+ -]{1,15})' sets config"),
    ("arrived", rf"new {_SPEED}{_NUMBERED}"),
    ("reset", rf"reset {_SPEED}{_NUMBERED}"),
    ("left", r"USB disconnect, (?:device number|address) (?P<n>\d{1,4})"),
    ("identified", r"New USB device found, idVendor=(?P<vid>[0-9a-f]{4}), idProduct=(?P<pid>[0-9a-f]{4})"
                   r"(?:, bcdDevice=(?P<bcd>[ 0-9a-f]{2}\.[0-9a-f]{2}))?"),
    ("descriptor-error", r"device descriptor read/(?:64|8|all), error (?P<e>-?\d{1,5})"),
    ("address-error", r"device not accepting address \d{1,4}, error (?P<e>-?\d{1,5})"),
    ("never-enabled", rf"Cannot enable{_PORT}\. {{1,2}}Maybe the USB cable is bad\?"),
    ("power-cycled", r"attempt power cycle"),
    ("gave-up", rf"unable to enumerate USB device{_PORT}"),
    ("unstable", r"connect-debounce failed(?:, port (?P<p>\d{1,3}) disabled)?"),
    ("shut-by-hub", r"(?:port (?P<p>\d{1,3}) )?disabled by hub \(EMI\?\), re-enabling"),
    ("over-current", rf"over-current condition{_PORT}$"),
    ("hub-unreachable", r"cannot (?:warm )?(?:reset|disable)(?: port (?P<p>\d{1,3}))? \(err = (?P<e>-\d{1,5})\)"),
    ("hub-unreachable", r"hub_(?:ext_)?port_status failed \(err = (?P<e>-\d{1,5})\)"),
    ("config-error", r"^config error$"),
    ("power-lost", r"root hub lost power or was reset"),
    ("bandwidth", r"Not enough bandwidth for"),
    ("resources", r"Not enough host controller resources"),
    ("not-configured", r"can't set config #\d{1,3}, error (?P<e>-\d{1,5})"),
    ("changed-identity", r"device firmware changed"),
    ("dead", r"HC died; cleaning up|xHCI host controller not responding, assume dead"
             r"|xHCI host not responding to stop endpoint command"),
    ("bus-gone", r"USB bus (?P<n>\d{1,4}) deregistered"),
    ("bus-new", r"new USB bus registered, assigned bus number (?P<n>\d{1,4})"),
    ("below-top-speed", r"not running at top speed; connect to a high speed hub"),
    ("timed-out", r"\btimed?[- ]?out\b"),
    ("driver-error", r"(?:status|error|failed|err)\b[ :=(]{1,4}(?P<e>-(?:19|32|62|71|75|84|108|110))\b"),
))
_NEVER = re.compile(r"auto-suspend|wakeup-resume|hub_suspend|over-current (?:protection|change)|Direct firmware load"
                    r"|^config \d+ (?:interface|has)|registered new")
_TELLING = re.compile(
    r"USB d|USB bus|descriptor|accepting|Cannot|cannot|power cycle|enumerate|debounce|disabled by|over-current|_status|"
    r"config|lost power|Not enough|firmware|died|dead|responding|top speed|tim(?:ed?)?[- ]?out|status|err|fail|"
    r"attached to|USB ACM|PM: |Linux version|reset", re.IGNORECASE)
_SLEEP = re.compile(r"PM: (?:suspend|hibernation: hibernation|hibernation) (entry|exit)")
_LOW = re.compile(r"\bUnder-?voltage detected", re.IGNORECASE)
"""Two wordings of one kernel driver, older and newer (drivers/hwmon and its firmware driver; from memory, verify)."""
_SET = re.compile(r"Time has been changed|System clock time unset or jumped|time stepped by|System clock wrong by")


@frozen
class Happened:
    """One message understood: its kind, the place it is about ("" for none), and what it says of it.

    `name` is the serial port that a device got, or the driver it was taken from; `program` who took it.
    """

    kind: str
    path: str = ""
    number: int | None = None
    error: int | None = None
    speed_mbit: float | None = None
    controller: str = ""
    vendor_id: str = ""
    product_id: str = ""
    release: str | None = None
    port: bool = True
    name: str = ""
    program: str = ""


def happened(text: str) -> Happened | None:
    """What a message says happened; None for one that says nothing of USB, sleep, boots or clocks."""
    if _LOW.search(text) is not None:
        return Happened("low-volts")
    if text != BOOT_MARK and _TELLING.search(text) is None and _SET.search(text) is None:
        return None
    if text.startswith("Linux version ") or text == BOOT_MARK:
        return Happened("boot")
    if (slept := _SLEEP.match(text)) is not None:
        return Happened("asleep" if slept[1] == "entry" else "awake")
    subject = _SUBJECT.match(text)
    if subject is None:
        return Happened("clock-set") if _SET.search(text) else None
    body = text[subject.end():].lstrip(": ")
    if _NEVER.search(body) is not None:
        return None
    for kind, pattern in _EVENTS:
        if (found := pattern.search(body)) is not None:
            return _told(kind, subject, found)
    return None


def _told(kind: str, subject: re.Match[str], found: re.Match[str]) -> Happened | None:
    told = found.groupdict()
    controller = subject["pci"] or subject["platform"] or ""
    path, port = _place(subject, told.get("p"))
    if kind in ("dead", "bus-gone", "bus-new", "power-lost"):
        bus = int(told["n"]) if told.get("n") else int(path[3:]) if path.startswith("usb") else None
        return Happened(kind, path, bus, controller=controller)
    if not path or (kind in ("timed-out", "driver-error") and path.startswith("usb")):
        return None
    number = told.get("n") or told.get("n2")
    return Happened(
        kind, path, int(number) if number else None, int(told["e"]) if told.get("e") else None,
        speed_of(told.get("speed")), controller, told.get("vid") or "", told.get("pid") or "",
        (told.get("bcd") or "").strip() or None, port,
        told.get("tty") or told.get("acm") or told.get("drv") or "", told.get("comm") or "",
    )


def _place(subject: re.Match[str], port: str | None) -> tuple[str, bool]:
    """The place a message is about, and whether it is one port (or device) and not a whole hub."""
    if subject["port"]:
        hub, number = subject["port"].rsplit("-port", 1)
        return child(hub, int(number)), True
    if subject["iface"]:
        place = subject["iface"].split(":")[0]
        place = f"usb{place[:-2]}" if place.endswith("-0") else place
        is_hub = subject["driver"] == "hub"
        return (child(place, int(port)), True) if port else (place, not is_hub)
    return subject["dev"] or subject["root"] or "", True


def child(hub: str, port: int) -> str:
    """The place behind a port of a hub: port 3 of "usb2" is "2-3", port 2 of "1-1.1" is "1-1.1.2"."""
    return f"{hub[3:]}-{port}" if hub.startswith("usb") else f"{hub}.{port}"


_SPEEDS = {"low": 1.5, "full": 12.0, "high": 480.0, "super": 5000.0}


def speed_of(word: str | None) -> float | None:
    """The signalling rate in Mb/s of the kernel's word for it; None where the word tells none.

    SuperSpeed is 5 Gb/s a lane at Gen 1 and 10 at Gen 2; "x2" are two lanes (USB 3.2, 1.4).
    """
    if word is None:
        return None
    if word in _SPEEDS:
        return _SPEEDS[word]
    generation = re.search(r"Gen (\d)(?:x(\d))?", word)
    if generation is None:
        return 10_000.0 if "Plus" in word else 5000.0
    return (10_000.0 if generation[1] == "2" else 5000.0) * int(generation[2] or 1)
