"""The facts of parts: one frozen record for each kind of part. This is the one place where a fact is declared.

A line is a fact: its name (which ends in its unit), its type, its words and its bounds. The schema of rig files and its
JSON Schema, profiles, measured facts, questions and listings follow from it. What is not known is None.
"""
# No `from __future__ import annotations` here: the types of the fields are read (see topo/model/declare.py).

from typing import Literal

from topo.frozen import frozen
from topo.model.declare import Bounds, Record, fact
from topo.model.facts import Fact
from topo.model.speed import SpeedWord

HubSpeed = Literal["full", "high", "super", "super-plus"]
Translators = Literal["one", "per-port"]
Transport = Literal["bulk", "iso", "serial", "hid", "storage", "network", "audio", "none"]
Medium = Literal["usb", "network", "fibre"]
DataPlug = Literal["usb-a", "usb-b", "usb-b3", "usb-c", "mini-b", "micro-b", "micro-b3"]
Draws = Literal["watts", "ohms", "amps"]
LineMedium = Literal["usb", "network", "bluetooth"]
Bridge = Literal["timer", "none", "cdc"]
Framing = Literal["8N1", "8E1", "8O1", "8N2", "8E2", "8O2", "7N1", "7E1", "7O1", "7N2", "7E2", "7O2"]
SerialLevel = Literal["rs232", "ttl5", "ttl3"]
PulseBy = Literal["mount", "computer", "guide-port"]
Gear = Literal["worm", "strain-wave", "direct"]
System = Literal["linux", "windows", "macos"]


@frozen(kw_only=True)
class DeviceFacts(Record):
    """Hardware facts of a device. Leave out what is not known."""

    speed: Fact[SpeedWord] | None = fact("the fastest USB speed the device can run at")
    width_px: Fact[int] | None = fact("width of the full frame in pixels", 1, 200_000)
    height_px: Fact[int] | None = fact("height of the full frame in pixels", 1, 200_000)
    sample_bits: Fact[int] | None = fact(
        "bits of each sample as sent (8 is one byte, more is two unless packed)", 1, 32
    )
    packed: Fact[bool] | None = fact("samples are packed on the wire, not padded to whole bytes")
    readout_mb_per_s: Fact[float] | None = fact("how fast the camera can hand out a frame, MB/s", 0.001, 100_000)
    max_fps: Fact[float] | None = fact("most full frames per second", 0.001, 100_000)
    frame_memory_mb: Fact[float] | None = fact("memory for whole frames in the camera, MB; 0 is none", 0, 1_000_000)
    fifo_kb: Fact[float] | None = fact("buffer between readout and USB, kB (1000 bytes)", 0, 10_000_000)
    lanes: Fact[int] | None = fact("lanes of its SuperSpeed link each way; 2 at super-plus are 20 Gb/s", 1, 2)
    whole_sky: Fact[bool] | None = fact("its job is the whole sky (an all-sky camera): no smaller region is of use")
    hub_ports: Fact[int] | None = fact("USB sockets on the device's back (it has a hub inside)", 1, 31)
    hub_speed: Fact[HubSpeed] | None = fact("speed of that hub")
    hub_translators: Fact[Translators] | None = fact("transaction translators of that hub")
    serial_sockets: Fact[int] | None = fact("serial sockets of an adapter", 1, 32)
    bridge: Fact[Bridge] | None = fact(
        "how its serial side hands answers on: timer holds short ones back, none and cdc do not"
    )
    interface: Fact[Transport] | None = fact("how the device moves its data")
    interrupt_bytes: Fact[int] | None = fact("bytes of its interrupt endpoint in each interval", 1, 3072)
    interrupt_interval_ms: Fact[float] | None = fact("interval of its interrupt endpoint, ms", 0.125, 4096)
    iso_bytes_per_ms: Fact[float] | None = fact(
        "isochronous bytes reserved each millisecond while streaming", 1, 400_000
    )
    endpoints: Fact[int] | None = fact("endpoints in use, without the control endpoint", 1, 31)
    mb_per_s: Fact[float] | None = fact("what a storage or network device can move, MB/s", 0.001, 100_000)
    has_serial_number: Fact[bool] | None = fact("the device reports a serial number over USB")
    radio_2g4: Fact[bool] | None = fact("it has a 2.4 GHz radio (Wi-Fi, Bluetooth, a wireless receiver)")
    must_not_sleep: Fact[bool] | None = fact("idles for long and answers late or not at all after suspend")
    read_by_service: Fact[bool] | None = fact("a service of the system is meant to read it, as one does of a GPS")
    ready_after_s: Fact[float] | None = fact("seconds from power-on until it answers", 0, 3600)
    lowest_celsius: Fact[float] | None = fact("lowest temperature it is rated for", -80, 60)
    drift_arcsec_per_s: Fact[float] | None = fact("how fast a mount drifts between corrections, arcsec/s", 0.001, 15.1)
    gear: Fact[Gear] | None = fact("what turns a mount's axis")
    periodic_error_arcsec: Fact[float] | None = fact(
        "how far a mount swings from one side to the other without guiding, peak to peak, arcsec", 0.01, 1000
    )
    periodic_error_least_arcsec: Fact[float] | None = fact(
        "the same of the best mounts of its class, where a class is described", 0.01, 1000
    )
    periodic_error_period_s: Fact[float] | None = fact("seconds from one such swing to the next", 10, 86_400)
    longest_pulse_ms: Fact[float] | None = fact("longest guide pulse sent to the mount, ms", 1, 60_000)
    bus_ma: Fact[float] | None = fact("most current taken from the USB port, mA", 0, 5000)
    amps_idle: Fact[float] | None = fact("12 V current at rest, A", 0, 100)
    amps_typical: Fact[float] | None = fact("12 V current in normal work, A", 0, 100)
    amps_peak: Fact[float] | None = fact("12 V current at its peak, A", 0, 100)
    amps_at_volts: Fact[float] | None = fact(
        "volts at which those currents are stated; unless said 12, or what it is fed if that is not 10 to 16", 1, 60)
    draws: Fact[Draws] | None = fact("what stays as volts fall: watts (electronics), ohms (a heater) or amps")
    volts_min: Fact[float] | None = fact("lowest supply volts it works at", 1, 60)
    volts_max: Fact[float] | None = fact("highest supply volts it stands", 1, 60)


@frozen(kw_only=True)
class HubFacts(Record):
    """Hardware facts of a hub."""

    speed: Fact[HubSpeed] | None = fact("the hub's fastest side")
    lanes: Fact[int] | None = fact("lanes of its SuperSpeed link each way; 2 at super-plus are 20 Gb/s", 1, 2)
    ports: Fact[int] | None = fact("sockets for other parts", 1, 31)
    powered: Fact[bool] | None = fact("it has a supply of its own")
    translators: Fact[Translators] | None = fact("transaction translators for slow devices")
    port_ma: Fact[float] | None = fact("current each socket may give, mA", 0, 5000)
    all_ports_ma: Fact[float] | None = fact("current all sockets together may give, mA", 0, 100_000)
    bus_ma: Fact[float] | None = fact("current the hub itself takes from the port above, mA", 0, 5000)
    amps_idle: Fact[float] | None = fact("12 V current at rest, A", 0, 100)
    amps_typical: Fact[float] | None = fact("12 V current in normal work, A", 0, 100)
    amps_peak: Fact[float] | None = fact("12 V current at its peak, A", 0, 100)
    amps_at_volts: Fact[float] | None = fact(
        "volts at which those currents are stated; unless said 12, or what it is fed if that is not 10 to 16", 1, 60)
    volts_min: Fact[float] | None = fact("lowest supply volts it works at", 1, 60)
    volts_max: Fact[float] | None = fact("highest supply volts it stands", 1, 60)
    lowest_celsius: Fact[float] | None = fact("lowest temperature it is rated for", -80, 60)
    isolates: Fact[bool] | None = fact("its data side has no ground in common with the side above (an isolator)")
    over: Fact[Medium] | None = fact("what its leg is: a USB cable, or an extender's network cable or fibre")


@frozen(kw_only=True)
class ComputerFacts(Record):
    """Hardware facts of a computer."""

    os: Fact[System] | None = fact("its operating system")
    usbfs_memory_mb: Fact[float] | None = fact(
        "Linux: the kernel's pool for USB buffers, MB (0 = no limit)", 0, 1_000_000
    )
    port_ma: Fact[float] | None = fact("current each USB socket may give, mA", 0, 5000)
    all_ports_ma: Fact[float] | None = fact("current all USB sockets together may give, mA", 0, 100_000)
    endpoint_slots: Fact[int] | None = fact("endpoints a controller can serve", 8, 4096)
    card_slots: Fact[int] | None = fact("slots that are free for a card (PCI Express)", 0, 16)
    radio_2g4: Fact[bool] | None = fact("its network tonight is 2.4 GHz Wi-Fi")
    amps_idle: Fact[float] | None = fact("12 V current at rest, A", 0, 100)
    amps_typical: Fact[float] | None = fact("12 V current in normal work, A", 0, 100)
    amps_peak: Fact[float] | None = fact("12 V current at its peak, A", 0, 100)
    amps_at_volts: Fact[float] | None = fact(
        "volts at which those currents are stated; unless said 12, or what it is fed if that is not 10 to 16", 1, 60)
    volts_min: Fact[float] | None = fact("lowest supply volts it works at", 1, 60)
    volts_max: Fact[float] | None = fact("highest supply volts it stands", 1, 60)


@frozen(kw_only=True)
class UseFacts(Record):
    """What a device does tonight."""

    exposure_s: Fact[float] | None = fact("exposure of one frame, s", 0.00001, 86_400)
    bin: Fact[int] | None = fact("binning, the same both ways", 1, 16)
    roi: Fact[str] | None = fact(
        "part of the frame that is read, WIDTHxHEIGHT in unbinned pixels",
        bounds=Bounds(pattern=r"^[0-9]{1,6}x[0-9]{1,6}$"),
    )
    gap_s: Fact[float] | None = fact("pause between the end of a frame and the next exposure, s", 0, 86_400)
    mode: Fact[Literal["still", "video"]] | None = fact("single exposures, or a stream of frames")
    sample_bits: Fact[int] | None = fact("bits of each sample tonight, where the camera can choose", 1, 32)
    fps: Fact[float] | None = fact("frames per second wanted from a video stream", 0.001, 100_000)
    limit_mb_per_s: Fact[float] | None = fact("the camera's own transfer limit as set, MB/s", 0.01, 100_000)
    timeout_s: Fact[float] | None = fact("how long past its exposure the program waits for a frame, s", 0.1, 86_400)
    queued_frames: Fact[int] | None = fact("frames that its program asks for at once", 1, 1024)
    mb_per_s: Fact[float] | None = fact("what a network or storage device moves tonight, MB/s", 0, 100_000)
    direction: Fact[Literal["in", "out"]] | None = fact("in: to the computer; out: from it")
    duty_percent: Fact[float] | None = fact("share of the time a heater is on tonight, percent", 0, 100)


@frozen(kw_only=True)
class SeenFacts(Record):
    """What was seen of a device at work."""

    interval_s: Fact[float] | None = fact(
        "seconds from one frame to the next, as its program or a capture tells", 0.001, 86_400
    )
    alone_mb_per_s: Fact[float] | None = fact("rate a capture showed with no other on the wire, MB/s", 0.001, 100_000)
    together_mb_per_s: Fact[float] | None = fact("rate a capture showed with others on the wire, MB/s", 0.001, 100_000)


@frozen(kw_only=True)
class NightFacts(Record):
    """What is planned for a night. Whatever is left out is assumed as most people do it, and marked."""

    hours: Fact[float] | None = fact("hours from the first picture to the last", 0.1, 24)
    frames_per_filter: Fact[int] | None = fact("pictures through a filter before it is changed; 0 is never", 0, 10_000)
    filter_change_s: Fact[float] | None = fact("what a change of filter takes, s", 0, 600)
    dither_every: Fact[int] | None = fact("pictures between two dithers; 0 is never", 0, 10_000)
    settle_s: Fact[float] | None = fact("how long guiding has to hold after a dither, s", 0, 600)
    focus_every_min: Fact[float] | None = fact("minutes between two focus runs; 0 is never", 0, 1440)
    focus_frames: Fact[int] | None = fact("short frames of a focus run", 1, 1000)
    focus_exposure_s: Fact[float] | None = fact("exposure of each of them, s", 0.001, 600)
    overlapped: Fact[bool] | None = fact("the next exposure starts while the last picture is still downloading")
    coldest_celsius: Fact[float] | None = fact("the coldest it gets, degrees Celsius", -80, 60)
    seeing_arcsec: Fact[float] | None = fact("width of the stars (FWHM) in long exposures, arcsec", 0.3, 20)
    guide_gain: Fact[float] | None = fact("share of an error that guiding takes out at once (aggressiveness)", 0.05, 1)
    guide_overhead_s: Fact[float] | None = fact("what a guide cycle takes besides exposure and transfer, s", 0, 60)
    guide_timeout_s: Fact[float] | None = fact(
        "how long past its exposure the guiding waits for a frame before it gives up, s", 0.1, 3600
    )
    guide_wait_s: Fact[float] | None = fact("pause of the guiding after a frame that was lost, s", 0, 3600)
    star_noise_arcsec: Fact[float] | None = fact("how far the guide star jumps between frames, rms, arcsec", 0.01, 10)


@frozen(kw_only=True)
class SerialFacts(Record):
    """A serial line: one exchange at a time, first come, first served."""

    baud: Fact[int] | None = fact("signalling rate, baud", 50, 12_000_000)
    framing: Fact[Framing] | None = fact("data bits, parity, stop bits; 8N1 where nothing is said")
    polls_per_s: Fact[float] | None = fact("questions asked each second, by each program", 0, 10_000)
    bytes_out: Fact[float] | None = fact("bytes of one question", 0, 65_536)
    bytes_in: Fact[float] | None = fact("bytes of one answer", 0, 65_536)
    reply_ms: Fact[float] | None = fact("time the device takes to begin its answer, ms", 0, 60_000)
    latency_timer_ms: Fact[float] | None = fact("receive timer of the adapter, ms", 0, 255)
    clients: Fact[int] | None = fact("programs that ask on this line, each as often as polls_per_s", 1, 32)
    pulse: Fact[PulseBy] | None = fact("who times a guide pulse: the mount, the computer, or a guide port beside it")
    pulse_bytes: Fact[float] | None = fact("bytes of one guide command", 1, 1024)
    over: Fact[LineMedium] | None = fact("what carries the line to the computer, where it is no plain lead")
    level: Fact[SerialLevel] | None = fact("voltage of its signals")


@frozen(kw_only=True)
class CableFacts(Record):
    """The cable from a part to the socket above it."""

    length_m: Fact[float] | None = fact("metres", 0, 200)
    grade: Fact[Literal["usb2", "usb3"]] | None = fact("usb2 carries no SuperSpeed")
    gauge_awg: Fact[int] | None = fact("copper of the power pair, AWG", 4, 36)
    active: Fact[bool] | None = fact("it has a repeater inside, which counts as a hub")
    data_gauge_awg: Fact[int] | None = fact("copper of the data pairs, AWG", 16, 40)
    connector: Fact[DataPlug] | None = fact("the plug at the part's end")
    joints: Fact[int] | None = fact("places where it is put together of pieces: extensions, adapters, couplers", 0, 20)
    flat: Fact[bool] | None = fact("it is a flat ribbon cable")
    contact_milliohm: Fact[float] | None = fact("resistance of each contact of its plugs, milliohm", 0, 10_000)


PartFacts = DeviceFacts | HubFacts | ComputerFacts
"""The hardware facts of a part of any kind."""
