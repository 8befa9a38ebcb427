"""What a scan saw: frozen values that save, replay and compare. Nothing here reads a system or decides anything.

None means "not told": the system does not say it, or it could not be read. Texts come from devices and are untrusted.
"""

from __future__ import annotations

from typing import Literal

from topo.frozen import frozen
from topo.model.limits import EVERYTHING, Limits

SCAN_FORMAT = "topo.scan.1"

TransferKind = Literal["control", "iso", "bulk", "interrupt"]
Side = Literal["usb2", "superspeed"]


@frozen
class Endpoint:
    """One endpoint of an interface setting.

    `address` has bit 7 set for device-to-host. `max_packet` is the largest packet in bytes; `interval_bytes` the most
    it may move in one service interval (packets of a microframe or burst counted); `interval_us` that interval in
    microseconds, None for bulk and control.
    """

    address: int
    kind: TransferKind
    max_packet: int
    interval_bytes: int
    interval_us: float | None = None


@frozen
class Interface:
    """One alternate setting of an interface in the configuration in use.

    `active` tells whether this setting is in use now (None: not told). Class, subclass and protocol are 0 to 255.
    """

    number: int
    setting: int
    active: bool | None
    usb_class: int
    subclass: int
    protocol: int
    driver: str | None = None
    endpoints: tuple[Endpoint, ...] = ()


@frozen
class Sleep:
    """Runtime power of a device. `control` "on" never sleeps, "auto" may; times in ms since boot or connection."""

    control: str | None = None
    status: str | None = None
    delay_ms: int | None = None
    connected_ms: int | None = None
    active_ms: int | None = None


@frozen
class Sighting:
    """One device, hub or root hub as the system knows it now.

    `ports` is the chain of port numbers from the root port down, empty for a root hub. `id` is "1-5.2" for bus 1, root
    port 5, port 2 of the hub there, and "usb1" for a root hub; a device whose place is not known is "1-?7" by its
    device number. `speed_mbit` is the negotiated rate, `could_mbit` the rates its BOS descriptor says it can run at
    (empty: it has none, or it was not read). `usb_version` is bcdUSB as a number: 2.1 for 0x0210. `max_power_ma` is
    what its configuration claims. `protocol` of a hub: 1 one translator, 2 able to have one for each port, 3 the
    SuperSpeed side (USB 2.0 11.23.1). `side` tells at least which side of USB it hangs on, where a system tells that
    but no speed: 480 Mb/s or less, or 5 Gb/s or more.
    """

    id: str
    bus: int
    ports: tuple[int, ...]
    parent: str | None = None
    controller: str | None = None
    devnum: int | None = None
    speed_mbit: float | None = None
    rx_lanes: int | None = None
    tx_lanes: int | None = None
    vendor_id: str | None = None
    product_id: str | None = None
    usb_version: float | None = None
    usb_class: int | None = None
    subclass: int | None = None
    protocol: int | None = None
    manufacturer: str | None = None
    product: str | None = None
    serial: str | None = None
    max_power_ma: int | None = None
    self_powered: bool | None = None
    could_mbit: tuple[float, ...] = ()
    container_id: str | None = None
    max_child: int | None = None
    removable: str | None = None
    urbs: int | None = None
    sleep: Sleep = Sleep()
    interfaces: tuple[Interface, ...] = ()
    side: Side | None = None

    @property
    def order(self) -> tuple[int, tuple[int, ...], int, str]:
        """Sorts sightings by bus and port chain; those whose place is not known come before, by device number."""
        return self.bus, self.ports, self.devnum or 0, self.id

    @property
    def is_root(self) -> bool:
        """True for the root hub of a bus."""
        return not self.ports and self.parent is None and self.id == f"usb{self.bus}"

    @property
    def is_hub(self) -> bool:
        """True for hubs and root hubs: class 9 (USB 2.0 11.23.1)."""
        return self.usb_class == 9 or self.is_root

    @property
    def is_super(self) -> bool | None:
        """True at 5 Gb/s or more, False below, None where neither speed nor side is told."""
        if self.speed_mbit is not None:
            return self.speed_mbit >= 5000
        return None if self.side is None else self.side == "superspeed"

    @property
    def least_mbit(self) -> float | None:
        """The rate it runs at, or at least runs at, Mb/s; None where that is not told."""
        return self.speed_mbit if self.speed_mbit is not None else 5000.0 if self.side == "superspeed" else None

    @property
    def most_mbit(self) -> float | None:
        """The rate it runs at, or at most runs at, Mb/s; None where that is not told."""
        return self.speed_mbit if self.speed_mbit is not None else 480.0 if self.side == "usb2" else None


SocketPower = Literal["default", "1.5A", "3.0A", "usb_power_delivery"]
"""Words of Linux (sysfs-class-typec, power_operation_mode); "default" is what USB itself allows."""


@frozen
class HubPort:
    """One port of a hub or root hub: `hub` is the sighting's id, `number` from 1.

    `peer` is the port of the other side of the same socket, as (hub id, number); the kernel guesses it where the
    firmware does not tell. `device` is the id of what is in it. `gives` is what a Type-C socket says that it may give.
    """

    hub: str
    number: int
    connect_type: str | None = None
    over_current_count: int | None = None
    state: str | None = None
    peer: tuple[str, int] | None = None
    device: str | None = None
    gives: SocketPower | None = None


@frozen
class HostController:
    """A host controller: its PCI address (or platform name), ids and driver, and the buses it runs, in order."""

    id: str
    buses: tuple[int, ...]
    vendor_id: str | None = None
    product_id: str | None = None
    driver: str | None = None


@frozen
class SerialPort:
    """A serial port by the name programs use, joined to the sighting it belongs to where it is on USB.

    `latency_timer_ms` is the adapter's receive timer where its driver tells it, `number` which of the adapter's ports
    it is, from 0. `links` are the system's further names for it, as paths: those that last (by id, by path) and the
    person's own; `composed` is True where the system told none and they were made from ids and place. `shared` are
    those that another port claims as well: the system gives such a name to one of the two. `group` and `mode`
    (permission bits) are those of its node, and `allowed` whether the person who scanned may open it. `spared`: the
    services that probe serial ports are told to leave it alone.
    """

    name: str
    device: str | None = None
    interface: int | None = None
    driver: str | None = None
    latency_timer_ms: int | None = None
    number: int | None = None
    links: tuple[str, ...] = ()
    composed: bool = False
    shared: tuple[str, ...] = ()
    group: str | None = None
    mode: int | None = None
    allowed: bool | None = None
    spared: bool | None = None


@frozen
class Holder:
    """A program that has something of the rig open, or claims to. `name` is what it holds, as it was called then.

    `how`: an open file, a lock on it, or a lock file by its name. `program` is its short name, None where that was not
    told. `gone`: what it holds is no longer there under that name (an open file), or the program is not (a lock file).
    """

    name: str
    how: Literal["open", "lock", "lock-file"]
    program: str | None = None
    process: int | None = None
    gone: bool = False


@frozen
class Holding:
    """Who holds what. `everyone`: all programs were looked at; else only those of the person who scanned, and of
    others what locks tell. `whole` is False where the time allowed ran out. `services` are those running that are known
    to open serial ports by themselves.
    """

    everyone: bool
    holders: tuple[Holder, ...] = ()
    services: tuple[str, ...] = ()
    whole: bool = True


@frozen
class SleepSetting:
    """The system-wide delay before sleep, in seconds (below 0: never): in force for new devices, and as written into a
    module's options, which count for nothing where the USB core is built into the kernel (`built_in`)."""

    in_force_s: int | None = None
    written_s: int | None = None
    built_in: bool | None = None


@frozen
class Scan:
    """Everything one scan saw. Sightings stand in the order of bus and port chain.

    `when` is ISO 8601 local time with its UTC offset, or "" where a recording does not tell. `holding` is None where
    nobody looked who holds what. `problems` says in plain words what could not be read. `limits` says what the way it
    was made cannot tell at all. `low_volts` is a small board's own flag that its supply sagged since it was started.
    """

    when: str
    system: str
    kernel: str | None
    scanner: str
    controllers: tuple[HostController, ...] = ()
    sightings: tuple[Sighting, ...] = ()
    ports: tuple[HubPort, ...] = ()
    serial_ports: tuple[SerialPort, ...] = ()
    usbfs_memory_mb: int | None = None
    low_volts: bool | None = None
    holding: Holding | None = None
    sleep_setting: SleepSetting | None = None
    problems: tuple[str, ...] = ()
    limits: Limits = EVERYTHING
    format: str = SCAN_FORMAT

    @property
    def when_words(self) -> str:
        """When it was made, to the second: `2026-11-30 18:01:46 UTC`. It comes from a file: not made safe here."""
        zone = self.when[23:]
        return f"{self.when[:19].replace('T', ' ')} UTC{'' if zone == '+00:00' else zone}" if self.when else ""

    def sighting(self, sighting_id: str) -> Sighting | None:
        """The sighting of that id, or None."""
        return next((seen for seen in self.sightings if seen.id == sighting_id), None)


@frozen
class Beat:
    """The few figures of one device that change when it drops or comes back, and how many transfers it has had."""

    devnum: int | None
    speed_mbit: float | None
    connected_ms: int | None = None
    urbs: int | None = None


@frozen
class Pulse:
    """A cheap look: a beat for each sighting id and the over-current count for each (hub id, port), both in order.

    `low_volts`: a small board's flag that its supply sagged since its start; None where there is none.
    """

    beats: tuple[tuple[str, Beat], ...]
    over_current: tuple[tuple[tuple[str, int], int], ...] = ()
    low_volts: bool | None = None


def device_id(bus: int, ports: tuple[int, ...]) -> str:
    """The id of the sighting at a place: "1-5.2", or "usb1" for the root hub."""
    return f"{bus}-{'.'.join(map(str, ports))}" if ports else f"usb{bus}"


def parent_id(bus: int, ports: tuple[int, ...]) -> str | None:
    """The id of the hub above a place; None for a root hub."""
    return device_id(bus, ports[:-1]) if ports else None
