"""The schema of rig files and profile files: every key, its unit and its bounds. The JSON Schema comes from here.

Values arrive as text (the reader keeps scalars as they were written) and become numbers only here.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from topo.model.rig import Role

SpeedWord = Literal["low", "full", "high", "super", "super-plus"]
Text = Annotated[str, Field(max_length=400)]
Name = Annotated[str, Field(min_length=1, max_length=64)]
Hex4 = Annotated[str, Field(pattern=r"^[0-9a-fA-F]{4}$")]
Length = Annotated[float, Field(ge=0, le=200, allow_inf_nan=False)]
Awg = Annotated[int, Field(ge=4, le=36)]


def _number(low: float, high: float, what: str) -> Any:
    return Field(default=None, ge=low, le=high, allow_inf_nan=False, description=what)


class Strict(BaseModel):
    """Base of every model: unknown keys are refused and values are frozen."""

    # Built at first use: one build of the whole document is quicker than one for each class as it is defined.
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class DeviceFacts(Strict):
    """Hardware facts of a device. Leave out what is not known."""

    speed: SpeedWord | None = Field(None, description="the fastest USB speed the device can run at")
    width_px: int | None = _number(1, 200_000, "width of the full frame in pixels")
    height_px: int | None = _number(1, 200_000, "height of the full frame in pixels")
    sample_bits: int | None = _number(1, 32, "bits of each sample as sent (8 is one byte, more is two unless packed)")
    packed: bool | None = Field(None, description="samples are packed on the wire, not padded to whole bytes")
    readout_mb_per_s: float | None = _number(0.001, 100_000, "how fast the camera can hand out a frame, MB/s")
    max_fps: float | None = _number(0.001, 100_000, "most full frames per second")
    frame_memory_mb: float | None = _number(0, 1_000_000, "memory for whole frames in the camera, MB; 0 is none")
    fifo_kb: float | None = _number(0, 10_000_000, "buffer between readout and USB, kB (1000 bytes)")
    hub_ports: int | None = _number(1, 31, "USB sockets on the device's back (it has a hub inside)")
    hub_speed: Literal["full", "high", "super", "super-plus"] | None = Field(None, description="speed of that hub")
    hub_translators: Literal["one", "per-port"] | None = Field(None, description="transaction translators of that hub")
    serial_sockets: int | None = _number(1, 32, "serial sockets of an adapter")
    interface: Literal["bulk", "iso", "serial", "hid", "storage", "network", "audio", "none"] | None = Field(
        None, description="how the device moves its data"
    )
    interrupt_bytes: int | None = _number(1, 3072, "bytes of its interrupt endpoint in each interval")
    interrupt_interval_ms: float | None = _number(0.125, 4096, "interval of its interrupt endpoint, ms")
    iso_bytes_per_ms: float | None = _number(1, 400_000, "isochronous bytes reserved each millisecond while streaming")
    endpoints: int | None = _number(1, 31, "endpoints in use, without the control endpoint")
    mb_per_s: float | None = _number(0.001, 100_000, "what a storage or network device can move, MB/s")
    has_serial_number: bool | None = Field(None, description="the device tells a serial number over USB")
    radio_2g4: bool | None = Field(None, description="it has a 2.4 GHz radio (Wi-Fi, Bluetooth, a wireless receiver)")
    must_not_sleep: bool | None = Field(None, description="idles for long and answers late or not at all after suspend")
    ready_after_s: float | None = _number(0, 3600, "seconds from power-on until it answers")
    drift_arcsec_per_s: float | None = _number(0.001, 15.1, "how fast a mount drifts between corrections, arcsec/s")
    longest_pulse_ms: float | None = _number(1, 60_000, "longest guide pulse sent to the mount, ms")
    bus_ma: float | None = _number(0, 5000, "most current taken from the USB port, mA")
    amps_idle: float | None = _number(0, 100, "12 V current at rest, A")
    amps_typical: float | None = _number(0, 100, "12 V current in normal work, A")
    amps_peak: float | None = _number(0, 100, "12 V current at its peak, A")
    volts_min: float | None = _number(1, 60, "lowest supply volts it works at")
    volts_max: float | None = _number(1, 60, "highest supply volts it stands")


class HubFacts(Strict):
    """Hardware facts of a hub."""

    speed: Literal["full", "high", "super", "super-plus"] | None = Field(None, description="the hub's fastest side")
    ports: int | None = _number(1, 31, "sockets for other parts")
    powered: bool | None = Field(None, description="it has a supply of its own")
    translators: Literal["one", "per-port"] | None = Field(None, description="transaction translators for slow devices")
    port_ma: float | None = _number(0, 5000, "current each socket may give, mA")
    all_ports_ma: float | None = _number(0, 100_000, "current all sockets together may give, mA")
    bus_ma: float | None = _number(0, 5000, "current the hub itself takes from the port above, mA")
    amps_typical: float | None = _number(0, 100, "12 V current in normal work, A")
    amps_peak: float | None = _number(0, 100, "12 V current at its peak, A")
    volts_min: float | None = _number(1, 60, "lowest supply volts it works at")
    volts_max: float | None = _number(1, 60, "highest supply volts it stands")
    lowest_celsius: float | None = _number(-80, 60, "lowest temperature it is rated for")


_RATE = r"[1-9][0-9]{0,5}(\.[0-9]{1,9})?|0\.[0-9]{0,2}[1-9][0-9]{0,6}"
"""From 0.001 to below 1,000,000, without a sign or leading zeros: a link that carries nothing is none."""

Uplink = Annotated[str, Field(pattern=rf"^(pcie[1-5]x(1|2|4|8|16)|{_RATE})$")]


class Controller(Strict):
    """One USB host controller of a computer."""

    uplink: Uplink | None = Field(
        None, description="what it hangs on: pcie1x1, pcie2x1, pcie3x4, … or a figure in MB/s"
    )


class Port(Strict):
    """One USB or serial socket of a computer."""

    controller: Name | None = Field(None, description="which controller serves it")
    speed: SpeedWord | None = Field(None, description="the fastest speed the socket carries")
    usb2_bus: Name | None = Field(None, description="ports with the same word share one 480 Mb/s bus")
    kind: Literal["usb", "serial"] | None = Field(None, description="usb, unless it is a serial socket")
    at: Annotated[str, Field(pattern=r"^[0-9]{1,5}/[0-9]{1,3}$")] | None = Field(
        None, description="where the system has it, BUS/PORT of its USB 2 side; `topo live --draft` writes it"
    )


class ComputerFacts(Strict):
    """Hardware facts of a computer."""

    os: Literal["linux", "windows", "macos"] | None = Field(None, description="its operating system")
    usbfs_memory_mb: float | None = _number(0, 1_000_000, "Linux: the kernel's pool for USB buffers, MB (0 = no limit)")
    port_ma: float | None = _number(0, 5000, "current each USB socket may give, mA")
    all_ports_ma: float | None = _number(0, 100_000, "current all USB sockets together may give, mA")
    endpoint_slots: int | None = _number(8, 4096, "endpoints a controller can serve")
    radio_2g4: bool | None = Field(None, description="its network tonight is 2.4 GHz Wi-Fi")
    amps_typical: float | None = _number(0, 100, "12 V current in normal work, A")
    amps_peak: float | None = _number(0, 100, "12 V current at its peak, A")
    volts_min: float | None = _number(1, 60, "lowest supply volts it works at")
    volts_max: float | None = _number(1, 60, "highest supply volts it stands")


class UseEntry(Strict):
    """What a device does tonight."""

    exposure_s: float | None = _number(0.00001, 86_400, "exposure of one frame, s")
    bin: int | None = _number(1, 16, "binning, the same both ways")
    roi: Annotated[str, Field(pattern=r"^[0-9]{1,6}x[0-9]{1,6}$")] | None = Field(
        None, description="part of the frame that is read, WIDTHxHEIGHT in unbinned pixels"
    )
    gap_s: float | None = _number(0, 86_400, "pause between the end of a frame and the next exposure, s")
    mode: Literal["still", "video"] | None = Field(None, description="single exposures, or a stream of frames")
    sample_bits: int | None = _number(1, 32, "bits of each sample tonight, where the camera can choose")
    fps: float | None = _number(0.001, 100_000, "frames per second wanted from a video stream")
    limit_mb_per_s: float | None = _number(0.01, 100_000, "the camera's own transfer limit as set, MB/s")
    mb_per_s: float | None = _number(0, 100_000, "what a network or storage device moves tonight, MB/s")
    direction: Literal["in", "out"] | None = Field(None, description="in: to the computer; out: from it")


class SerialEntry(Strict):
    """A serial line: 10 bits for each byte (8N1)."""

    baud: int | None = _number(50, 12_000_000, "signalling rate, baud")
    polls_per_s: float | None = _number(0, 10_000, "questions asked each second")
    bytes_out: float | None = _number(0, 65_536, "bytes of one question")
    bytes_in: float | None = _number(0, 65_536, "bytes of one answer")
    latency_timer_ms: float | None = _number(0, 255, "receive timer of the adapter, ms")


class CableEntry(Strict):
    """The cable from a part to the socket above it."""

    length_m: Length | None = Field(None, description="metres")
    grade: Literal["usb2", "usb3"] | None = Field(None, description="usb2 carries no SuperSpeed")
    gauge_awg: Awg | None = Field(None, description="copper of the power pair, AWG")
    active: bool | None = Field(None, description="it has a repeater inside, which counts as a hub")


class IdentityEntry(Strict):
    """What the device says it is. Ids are hexadecimal."""

    vendor_id: Hex4 | None = None
    product_id: Hex4 | None = None
    serial: Annotated[str, Field(max_length=126)] | None = None


class Plugged(Strict):
    """What every hub and device may say."""

    profile: Name | None = Field(None, description="facts to start from; anything below overrides them")
    plug: Annotated[str, Field(pattern=r"^[^/]{1,64}/[^/]{1,64}$")] | None = Field(
        None, description="what it is plugged into: PART/SOCKET"
    )
    cable: CableEntry | None = None
    identity: IdentityEntry | None = None
    note: Text | None = Field(None, description="anything you want to remember; not used")


class HubEntry(HubFacts, Plugged):
    """A hub of the rig."""


class DeviceEntry(DeviceFacts, Plugged):
    """A device of the rig."""

    role: Role | None = Field(None, description="what it does tonight")
    use: UseEntry | None = None
    serial: SerialEntry | None = None
    guides: Name | None = Field(None, description="a guide camera's mount")


class ComputerEntry(ComputerFacts):
    """The computer of the rig."""

    profile: Name | None = Field(None, description="facts to start from; anything below overrides them")
    controllers: dict[Name, Controller] | None = None
    ports: dict[Name, Port] | None = None
    note: Text | None = None


class SupplyEntry(Strict):
    """A 12 V source."""

    volts: Annotated[float, Field(ge=1, le=60, allow_inf_nan=False)]
    amps: float | None = _number(0.01, 1000, "amps it may give")
    note: Text | None = None


class LeadEntry(Strict):
    """A 12 V lead, from a supply or a part to a part."""

    source: Annotated[Name, Field(alias="from")]
    to: Name
    length_m: Length | None = Field(None, description="one way, metres")
    gauge_awg: Awg | None = None
    fuse_amps: float | None = _number(0.01, 1000, "rating of its fuse, A")
    note: Text | None = None


class PowerEntry(Strict):
    """The 12 V side."""

    supplies: dict[Name, SupplyEntry] = Field(default_factory=dict)
    leads: dict[Name, LeadEntry] = Field(default_factory=dict)


class SourcedFact(Strict):
    """A figure of a profile with where it comes from."""

    value: Text
    source: Text


class ProfileEntry(Strict):
    """A profile: facts of a kind of part. Each fact is a plain value, or a value with its source."""

    kind: Literal["computer", "hub", "device"] = "device"
    summary: Text = ""
    role: Role | None = None
    facts: dict[Name, Text | SourcedFact] = Field(default_factory=dict)
    serial: dict[Name, Text | SourcedFact] = Field(default_factory=dict)
    controllers: dict[Name, Controller] | None = None
    ports: dict[Name, Port] | None = None
    source: Text = Field("", description="where facts without a source of their own come from")


class RigDocument(Strict):
    """A whole rig file."""

    rig: Annotated[str, Field(min_length=1, max_length=120)]
    computer: ComputerEntry
    hubs: dict[Name, HubEntry] = Field(default_factory=dict)
    devices: dict[Name, DeviceEntry] = Field(default_factory=dict)
    power: PowerEntry | None = None
    profiles: dict[Name, ProfileEntry] = Field(default_factory=dict)
    profile_files: list[Text] = Field(default_factory=list, description="profile files beside this one")
