"""Random small rigs with faults worth clearing, and rigs put together from text. No tests here."""

from __future__ import annotations

import random
from functools import partial

from topo.analysis.study import Study
from topo.checks import all_checks
from topo.model.check import Check
from topo.model.finding import Finding
from topo.model.rig import Rig
from topo.pipeline import rig_of
from topo.place.examiner import Examiner, LocalCheck
from topo.rigfile.read import read_text

CHECKS = all_checks()


def _found(checks: tuple[Check, ...], study: Study) -> tuple[Finding, ...]:
    return tuple(finding for check in checks if check.needs == "study" for finding in check.find(study))


every = partial(_found, CHECKS)
"""Every check that ships, straight."""

EXAMINER = Examiner(
    every,
    tuple(LocalCheck(c.name, c.severities, partial(_found, (c,))) for c in CHECKS if c.scope == "controller"),
    partial(_found, tuple(check for check in CHECKS if check.scope == "no-plug")),
    {check.name: partial(_found, (check,)) for check in CHECKS if check.needs == "study"},
    frozenset(check.name for check in CHECKS if check.scope == "no-plug"),
    frozenset(check.name for check in CHECKS if check.scope == "controller"),
    {check.name: check.still for check in CHECKS if check.needs == "study" and check.still is not None},
    {check.name: check.glimpse for check in CHECKS if check.needs == "study" and check.glimpse is not None},
)
"""Every check that ships, without the fence around strangers."""


def rig_from(text: str) -> Rig:
    """A rig from the text of a file."""
    return rig_of(read_text(text, "rig.yaml"))


def random_text(seed: int, most_devices: int = 8) -> str:
    """A rig of up to `most_devices` devices. The same seed gives the same text."""
    pick = random.Random(seed)
    lines = ["rig: Random", "computer:", *_computer(pick)]
    free = _sockets_of_computer(lines)
    hubs, devices = [], []
    for number in range(pick.choice((0, 1, 1, 2))):
        name, ports, speed = f"hub{number}", pick.randint(2, 3), pick.choice(("high", "super"))
        facts = [f"speed: {speed}, ports: {ports}, powered: {pick.choice(('true', 'true', 'false'))}"]
        facts.append(f"translators: {pick.choice(('one', 'per-port'))}")
        hubs.append(_line(pick, name, facts, free))
        free += [f"{name}/{n}" for n in range(1, ports + 1)]
    count = pick.choice([n for n in (2, 3, 3, 4, 4, 5, 6, 7, 8) if n <= most_devices])
    for number in range(count):
        if not free:
            break
        name, facts, more = _device(pick, number)
        devices.append(_line(pick, name, facts, free))
        free += [f"{name}/{socket}" for socket in more]
    lines += (["hubs:", *hubs] if hubs else []) + ["devices:", *devices]
    return "\n".join(lines) + "\n"


def _computer(pick: random.Random) -> list[str]:
    controllers = pick.choice((("a",), ("a", "b"), ("a", "b")))
    rows = ["  controllers: {" + ", ".join(f"{name}: {{}}" for name in controllers) + "}"]
    rows += [f"  all_ports_ma: {pick.choice((900, 1200))}"] if pick.random() < 0.3 else []
    rows += ["  radio_2g4: true"] if pick.random() < 0.1 else []
    rows.append("  ports:")
    for number in range(pick.randint(2, 5)):
        speed = pick.choice(("high", "super"))
        kind, controller = "usb3" if speed == "super" else "usb2", pick.choice(controllers)
        bus = f", usb2_bus: {controller}{pick.choice('xy')}" if pick.random() < 0.5 else ""
        rows.append(f"    {kind}-{number}: {{speed: {speed}, controller: {controller}{bus}}}")
    return rows


def _sockets_of_computer(lines: list[str]) -> list[str]:
    return [f"computer/{line.split(':')[0].strip()}" for line in lines if line.startswith("    usb")]


def _line(pick: random.Random, name: str, facts: list[str], free: list[str]) -> str:
    plug = pick.choice(free)
    if pick.random() > 0.03:  # else two parts are said to be in one socket
        free.remove(plug)
    cable = []
    if pick.random() < 0.4:
        cable.append(f"length_m: {pick.choice((0.3, 0.5, 1, 2, 3, 6))}")
    if pick.random() < 0.3:
        cable.append(f"grade: {pick.choice(('usb2', 'usb3'))}")
    if cable:
        facts.append("cable: {" + ", ".join(cable) + "}")
    return f"  {name}: {{{', '.join(facts)}, plug: {plug}}}"


def _device(pick: random.Random, number: int) -> tuple[str, list[str], list[str]]:
    kind = pick.choice(("imaging", "imaging", "guiding", "guiding", "guiding", "stream", "mount", "slow", "disk"))
    more: list[str] = []
    name = f"{kind}{number}"
    if kind == "imaging":
        facts = ["role: imaging, width_px: 6000, height_px: 4000, readout_mb_per_s: 300, frame_memory_mb: 256"]
        facts += [f"speed: {pick.choice(('super', 'high'))}, use: {{exposure_s: {60 + number}}}"]
        if pick.random() < 0.5:
            facts.append("hub_ports: 2")
            more = ["usb2-1", "usb2-2"]
    elif kind == "guiding":
        memory = pick.choice(("frame_memory_mb: 0, fifo_kb: 16", "frame_memory_mb: 0, fifo_kb: 16",
                              "frame_memory_mb: 32"))  # fmt: skip
        facts = [f"role: guiding, width_px: {1280 + number}, height_px: 960, speed: high, readout_mb_per_s: 37"]
        facts += [memory, "use: {exposure_s: 2}"]
    elif kind == "stream":
        facts = [f"role: other, width_px: {1900 + number}, height_px: 1000, sample_bits: 8, speed: high"]
        facts += [f"readout_mb_per_s: 100, frame_memory_mb: 64, use: {{mode: video, fps: {pick.choice((5, 12, 30))}}}"]
    elif kind == "mount":
        facts = ["role: mount, speed: full, interface: serial, drift_arcsec_per_s: 0.3"]
        facts += [f"serial: {{baud: 9600, polls_per_s: {pick.choice((1, 30))}, bytes_out: 10, bytes_in: 30}}"]
    elif kind == "slow":
        facts = ["role: other, speed: full, interrupt_bytes: 64, interrupt_interval_ms: 1"]
    else:
        facts = [f"role: storage, speed: super, use: {{mb_per_s: {pick.choice((10, 30))}}}"]
    if pick.random() < 0.35:
        facts.append(f"bus_ma: {pick.choice((80, 200, 450, 600))}")
    return name, facts, more


def whole_text(seed: int, most_devices: int = 8) -> str:
    """The same rig with what most rigs have besides: a serial adapter, a night section and a 12 V side, each in two of
    three. The same seed gives the same text."""
    pick = random.Random(f"whole {seed}")
    text = random_text(seed, most_devices)
    parts = [line.strip().split(":")[0] for line in text.partition("devices:\n")[2].splitlines()]
    free = _free_sockets(text)
    if free and pick.random() < 2 / 3:
        text += f"  adapter: {{speed: full, serial_sockets: 2, plug: {pick.choice(free)}}}\n"
        text += (f"  rotator: {{role: rotator, serial: {{baud: 9600, polls_per_s: {pick.choice((1, 4))}, bytes_out: 8, "
                 f"bytes_in: 12}}, plug: adapter/serial-{pick.choice((1, 2))}}}\n")
    if pick.random() < 2 / 3:
        said = [f"hours: {pick.choice((2, 6, 9))}", f"dither_every: {pick.choice((0, 2, 5))}",
                f"overlapped: {pick.choice(('true', 'false'))}", f"seeing_arcsec: {pick.choice((1.5, 2.5))}",
                f"guide_timeout_s: {pick.choice((1, 8))}"]  # fmt: skip
        text += "night: {" + ", ".join(pick.sample(said, pick.randint(1, len(said)))) + "}\n"
    if parts and pick.random() < 2 / 3:
        text += _power_side(pick, pick.sample(parts, min(len(parts), pick.randint(1, 3))))
    return text


def _free_sockets(text: str) -> list[str]:
    topology = Study(rig_from(text)).topology
    return [f"{above}/{socket.name}" for above, socket in topology.free_sockets() if socket.kind == "usb"]


def _power_side(pick: random.Random, fed: list[str]) -> str:
    volts, amps = pick.choice((12, 13.2)), pick.choice((3, 10))
    lines = ["power:", f"  supplies: {{box: {{kind: mains, volts: {volts}, amps: {amps}}}}}", "  leads:"]
    lines += [
        f"    lead{number}: {{from: box, to: {name}, length_m: {pick.choice((1, 4))}, "
        f"gauge_awg: {pick.choice((16, 22))}, fuse_amps: {pick.choice((3, 20))}}}"
        for number, name in enumerate(fed)
    ]
    return "\n".join(lines) + "\n"
