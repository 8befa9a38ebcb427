"""What evidence files say: events with their time, clock, uncertainty and place. Nothing here decides.

A reader makes one `Reading` of one file. Places of devices are as in scans: "3-1.2" for bus 3, root port 1, port 2 of
the hub there, and "usb3" for the root hub. Texts of a file are never kept; what is kept is what was understood.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.sighting import Scan

ClockKind = Literal["utc", "local", "boot", "session"]
"""UTC; local wall time whose zone is not told; seconds since a boot, sleep left out; seconds since something else."""


@frozen
class Moment:
    """A time in seconds on the clock of that name, known to `give_s` either way; `line` is where it stands (0: none).

    Seconds of "utc" and "local" clocks count from 1970-01-01, those of "boot" from the boot.
    """

    seconds: float
    clock: str
    give_s: float = 0.0
    line: int = 0


@frozen
class ClockSpan:
    """A stretch of one clock between boots and steps. `zone_s` is local time minus UTC where the file tells it."""

    clock: str
    kind: ClockKind
    first_s: float
    last_s: float
    resolution_s: float = 0.0
    zone_s: float | None = None


@frozen
class Sync:
    """Both clocks on one line: seconds of `clock` plus `offset_s` are seconds of `to`, give or take `give_s`."""

    clock: str
    to: Literal["utc", "local"]
    offset_s: float
    give_s: float
    how: str


@frozen
class Drop:
    """The host dropped a device. Says nothing of why."""

    at: Moment
    path: str
    number: int | None = None


@frozen
class Arrival:
    """Something came up at a place. `answered` tells whether its descriptor was read: only then it is really there."""

    at: Moment
    path: str
    number: int | None = None
    speed_mbit: float | None = None
    answered: bool = False


@frozen
class Identified:
    """What a device says it is: hexadecimal vendor and product id, and its release where told."""

    at: Moment
    path: str
    vendor_id: str
    product_id: str
    release: str | None = None


@frozen
class Reset:
    """A device was reset and kept its number. `why`: waking up, its own start within 2 s of coming, or not told."""

    at: Moment
    path: str
    number: int | None = None
    why: Literal["waking", "starting", "unknown"] = "unknown"


PortKind = Literal[
    "descriptor-error", "address-error", "never-enabled", "power-cycled", "gave-up", "unstable", "shut-by-hub",
    "config-error", "hub-unreachable",
]


@frozen
class PortTrouble:
    """A place where a device did not come up, or a port that was shut. `error` is the kernel's number where told."""

    at: Moment
    path: str
    kind: PortKind
    error: int | None = None


@frozen
class OverCurrent:
    """A port, or the whole hub where `port` is False, still drew too much 100 ms after power was put back."""

    at: Moment
    path: str
    port: bool = True


@frozen
class Refusal:
    """The host refused a device: no bandwidth, no resources, or it could not be configured."""

    at: Moment
    path: str
    kind: Literal["bandwidth", "resources", "not-configured"]
    error: int | None = None


@frozen
class PortNamed:
    """A device at a place has a serial port of that name from now on ("ttyUSB1")."""

    at: Moment
    path: str
    name: str


@frozen
class Claimed:
    """A program set up a device that a driver had: it takes it from the driver. Both by their short names."""

    at: Moment
    path: str
    driver: str
    program: str


@frozen
class ControllerNote:
    """Something that happened to a whole controller or bus. `controller` is its PCI address or platform name."""

    at: Moment
    kind: Literal["dead", "bus-gone", "bus-new", "power-lost"]
    controller: str = ""
    bus: int | None = None


@frozen
class Noise:
    """What a driver said of a device: mostly a consequence of a departure within a second. `changed` firmware too."""

    at: Moment
    path: str
    kind: Literal["driver-error", "timed-out", "changed-identity", "below-top-speed"]
    error: int | None = None


@frozen
class SpeedChange:
    """A device that runs at another speed than before, in Mb/s."""

    at: Moment
    path: str
    before_mbit: float | None
    now_mbit: float | None


@frozen
class Asleep:
    """The computer slept; `until` is None where the log ends in it."""

    at: Moment
    until: Moment | None


@frozen
class Booted:
    """The computer started again: what comes up then comes up anew, and what was there before has not dropped."""

    at: Moment


@frozen
class Gap:
    """Nothing was seen for `seconds` from then on: what happened in it is not told."""

    at: Moment
    seconds: float
    why: str = ""


@frozen
class ClockStep:
    """The wall clock was set by so many seconds (or the computer slept, where that cannot be told apart)."""

    at: Moment
    seconds: float | None


@frozen
class FrameTime:
    """One picture: start of its exposure, length in s, and when its file was closed. `basis` says from what."""

    at: Moment
    exposure_s: float | None
    closed: Moment | None = None
    basis: str = ""
    camera: str = ""


@frozen
class GuideSample:
    """One guide frame: errors on two axes in `unit`, None where the star was lost; `settling` while dithered."""

    at: Moment
    first: float | None
    second: float | None
    lost: bool = False
    settling: bool = False
    exposure_s: float | None = None
    mass: float | None = None


ActionKind = Literal["dither", "slew", "focus", "filter", "download", "other"]


@frozen
class Action:
    """Something the rig did, from `at` until `until` (the same moment where no end is told)."""

    at: Moment
    kind: ActionKind
    until: Moment


@frozen
class FrameData:
    """One frame's data in a capture: first and last completion, bytes, reads, and what others moved meanwhile."""

    at: Moment
    until: Moment
    device: str
    endpoint: int
    size_bytes: int
    reads: int
    others_bytes: int
    by_short: bool


@frozen
class Transfers:
    """All that one endpoint did in a capture. Times in s; `endpoint` has bit 7 set for device-to-host, 0 is control.

    Latencies are from asking to the answer, that of the 5th, 50th and 95th of a hundred requests. `statuses` are
    (status, completions); `bins` bytes in steps of `bin_s` from the capture's start.
    """

    device: str
    endpoint: int
    kind: Literal["iso", "interrupt", "control", "bulk"]
    submissions: int
    completions: int
    size_bytes: int
    errors: int
    cancelled: int
    statuses: tuple[tuple[int, int], ...]
    first_s: float
    last_s: float
    latency_low_s: float | None
    latency_median_s: float | None
    latency_high_s: float | None
    bin_s: float
    bins: tuple[int, ...]
    vendor_id: str | None = None
    product_id: str | None = None


@frozen
class LowVolts:
    """A small board told that its own supply sagged below what it needs."""

    at: Moment


EvidenceEvent = (
    Drop | Arrival | Identified | Reset | PortTrouble | OverCurrent | Refusal | ControllerNote | Noise | SpeedChange
    | LowVolts | Asleep | Booted | Gap | ClockStep | FrameTime | GuideSample | Action | FrameData | PortNamed | Claimed
)


@frozen
class Reading:
    """What one file holds, in the order of the file.

    `kind` names what it is ("kernel log"); `covers` tells whether it would show every drop between its first and last
    time; `skipped` what was left out and why, in words. `scan` is that of a saved scan, to be held against others.
    """

    kind: str
    spans: tuple[ClockSpan, ...] = ()
    syncs: tuple[Sync, ...] = ()
    events: tuple[EvidenceEvent, ...] = ()
    transfers: tuple[Transfers, ...] = ()
    names: tuple[tuple[str, str], ...] = ()
    covers: bool = False
    unit: str = ""
    skipped: tuple[str, ...] = ()
    scan: Scan | None = None


COLUMN_NAMES = ("time", "first", "second", "lost", "mass", "settling", "exposure", "end", "event", "until")
"""Names of columns that tables know; the person may say which heading means which."""


@frozen
class Handed:
    """What a reader is told of a file besides its bytes.

    `modified_s` is when the file was last written, in seconds UTC, None where a copy or an archive lost it; `columns`
    maps names that tables know ("time") to headings of the file, as the person gave them.
    """

    name: str
    modified_s: float | None = None
    columns: tuple[tuple[str, str], ...] = ()
