"""The scanner for systems without sysfs: pyusb's listing on the libusb that `libusb-package` carries.

No device is opened, so what only an open device tells stays unknown: strings, serial numbers, BOS. libusb's own work
while it lists differs by system and `TOLD` says how; on macOS it opens each device for a moment and asks for its
descriptor (libusb `darwin_usb.c`, darwin_cache_device_descriptor), so there it runs only when asked for by name.
Not tested on Windows or macOS hardware.
"""

from __future__ import annotations

import platform
from datetime import datetime
from typing import Any

from topo.errors import ScanError
from topo.live.descriptors import bcd, endpoint
from topo.live.serialports import pyserial_ports
from topo.model.limits import Limits
from topo.model.sighting import HostController, Interface, Scan, Sighting, device_id, parent_id

MBIT = {1: 1.5, 2: 12.0, 3: 480.0, 4: 5000.0, 5: 10000.0, 6: 20000.0}
"""libusb's speed numbers (`enum libusb_speed`)."""

TOLD = {
    "Windows": "libusb lists through the hub drivers, which may ask a device for its configuration again",
    "Darwin": "libusb asked each device for its descriptor while it listed them: not a scan to make during an exposure",
}
"""What a listing costs on a system where libusb itself does more than read what the system keeps."""


LIMITS = Limits(
    abilities="none", serials="none", halves="some", sockets="none", sleep="none", over_current="none", history="some",
)  # fmt: skip


def scan() -> Scan:
    """What libusb lists. Raises ScanError where there is no libusb or it cannot list."""
    system = platform.system()
    seen, problems = _devices()
    problems.append("strings, serial numbers and abilities beyond the speed in use are not known to this scanner")
    if system in TOLD:
        problems.append(TOLD[system])
    sightings = tuple(sorted(seen, key=lambda s: s.order))
    serial_ports, troubles = ((), ()) if system == "Linux" else pyserial_ports(sightings)
    return Scan(
        when=datetime.now().astimezone().isoformat(timespec="milliseconds"),
        system={"Darwin": "macos"}.get(system, system.lower()),
        kernel=platform.release() or None,
        scanner="libusb",
        controllers=tuple(HostController(f"bus {bus}", (bus,)) for bus in sorted({s.bus for s in sightings})),
        sightings=sightings,
        serial_ports=serial_ports,
        problems=(*problems, *troubles),
        limits=LIMITS,
    )


def _devices() -> tuple[list[Sighting], list[str]]:
    try:
        import libusb_package
        import usb.core

        backend = libusb_package.get_libusb1_backend()
        if backend is None:
            raise ScanError("no libusb could be loaded; reinstalling the libusb-package wheel should mend it")
        devices = list(usb.core.find(find_all=True, backend=backend))
    except ImportError as error:
        raise ScanError(f"pyusb or libusb is not installed: {error}") from error
    except (usb.core.USBError, usb.core.NoBackendError, NotImplementedError, OSError) as error:
        raise ScanError(f"libusb could not list devices: {error}") from error
    seen: dict[str, Sighting] = {}
    problems: list[str] = []
    for device in devices:
        sighting = _sighting(device, problems)
        if sighting.id in seen:
            problems.append(f"{sighting.id} is listed twice; the second was left out")
        else:
            seen[sighting.id] = sighting
    return list(seen.values()), problems


def _sighting(device: Any, problems: list[str]) -> Sighting:
    bus = int(device.bus or 0)
    ports = tuple(map(int, device.port_numbers or ()))
    root = not ports and device.bDeviceClass == 9
    speed = MBIT.get(device.speed)
    name = device_id(bus, ports) if ports or root else f"{bus}-?{device.address}"
    config = None
    try:
        config = next(iter(device), None)
    except Exception as error:  # pyusb raises what its backend does; the rest of the listing still counts
        problems.append(f"{name}: its configuration is not known ({type(error).__name__})")
    return Sighting(
        id=name,
        bus=bus,
        ports=ports,
        parent=parent_id(bus, ports),
        controller=f"bus {bus}",
        devnum=device.address,
        speed_mbit=speed,
        vendor_id=f"{device.idVendor:04x}",
        product_id=f"{device.idProduct:04x}",
        usb_version=bcd(device.bcdUSB),
        usb_class=device.bDeviceClass,
        subclass=device.bDeviceSubClass,
        protocol=device.bDeviceProtocol,
        max_power_ma=None if config is None else config.bMaxPower * (8 if (speed or 0) >= 5000 else 2),
        self_powered=None if config is None else bool(config.bmAttributes & 0x40),
        interfaces=() if config is None else tuple(_interface(i, speed) for i in config),
    )


def _interface(interface: Any, speed: float | None) -> Interface:
    return Interface(
        number=interface.bInterfaceNumber,
        setting=interface.bAlternateSetting,
        active=None,
        usb_class=interface.bInterfaceClass,
        subclass=interface.bInterfaceSubClass,
        protocol=interface.bInterfaceProtocol,
        endpoints=tuple(
            endpoint(e.bEndpointAddress, e.bmAttributes, e.wMaxPacketSize, e.bInterval, speed) for e in interface
        ),
    )
