"""Nothing certain is ever wrong: random rigs of adapters with random troubles, several at once, against what is true.

The truth is drawn first: which adapter is whose, where it is plugged in, when it came up, whether a driver took it. The
tool sees the scan alone. Whatever it calls certain has to be so; whoever it names without calling it a guess is guilty.
"""

from __future__ import annotations

import os
import random
from dataclasses import dataclass
from typing import Any

import pytest

from tests.compare.pieces import compared, study_of
from topo.checks.scans import adapter, hub, interface, scan, tty
from topo.live.recording import read_scan
from topo.model.finding import Finding
from topo.pipeline import compare_study
from topo.report.compared import ComparisonReport

NAMES = ("mount", "focuser", "rotator", "weather")
KINDS = ("0001", "0002")
COMPUTER = """\
rig: A trial
computer:
  controllers: {one: {}}
  ports:
    usb3-1: {controller: one, speed: super, at: 1/1}
    usb3-2: {controller: one, speed: super, at: 1/2}
hubs:
  near: {speed: high, ports: 4, plug: computer/usb3-1, identity: {vendor_id: f1a0, product_id: '1111'}}
  far: {speed: high, ports: 4, plug: computer/usb3-2, identity: {vendor_id: f1a0, product_id: '2222'}}
devices:
"""


@dataclass
class Truth:
    """One part: its adapter's kind and serial number, what the file says of them, its socket in the file and now."""

    name: str
    product: str
    serial: str | None
    told_ids: bool
    told_serial: bool
    socket: tuple[str, int]
    now: tuple[str, int] | None
    replaced: bool = False
    driver: bool = True
    port: str | None = None

    @property
    def opens(self) -> str:
        return f"/dev/ttyUSB{NAMES.index(self.name)}"


def drawn(chance: random.Random) -> list[Truth]:
    """Parts in sockets, and up to three troubles."""
    sockets = [(h, n) for h in ("near", "far") for n in (1, 2, 3)]
    chance.shuffle(sockets)
    parts = []
    for name, socket in zip(NAMES[: chance.randint(2, 4)], sockets, strict=False):
        serial = f"S-{name}" if chance.random() < 0.5 else None
        told = chance.random() < 0.7
        parts.append(Truth(name, chance.choice(KINDS), serial, told, told and chance.random() < 0.8, socket, socket))
    free = sockets[len(parts):]
    for _ in range(chance.randint(0, 3)):
        one, other = chance.sample(parts, 2)
        trouble = chance.choice(("exchange", "move", "twin", "gone", "no driver"))
        if trouble == "exchange":
            one.now, other.now = other.now, one.now
        elif trouble == "move" and free and one.now is not None:
            one.now = free.pop()
        elif trouble == "twin":
            one.replaced = True
        elif trouble == "gone":
            one.now = None
        elif trouble == "no driver":
            one.driver = False
    return parts


def rig_of(parts: list[Truth]) -> str:
    lines = []
    for part in parts:
        serial = f", serial: {part.serial}" if part.told_serial and part.serial else ""
        ids = f", identity: {{vendor_id: f1a0, product_id: '{part.product}'{serial}}}" if part.told_ids else ""
        lines.append(f"  {part.name}: {{role: {part.name}, interface: serial, plug: {part.socket[0]}/{part.socket[1]}, "
                     f"opens: {part.opens}{ids}}}\n")
    return COMPUTER + "".join(lines)


def seen_of(parts: list[Truth], chance: random.Random) -> str:
    """The scan: adapters come up in a random order and get the lowest numbers; ids and numbers as each tells them."""
    there = [part for part in parts if part.now is not None]
    chance.shuffle(there)
    sightings: list[dict[str, Any]] = [hub("1-1", product_id="1111"), hub("1-2", product_id="2222")]
    ports: list[dict[str, Any]] = []
    for number, part in enumerate(there, 3):
        assert part.now is not None
        place = f"1-{1 if part.now[0] == 'near' else 2}.{part.now[1]}"
        serial = (f"T-{part.name}" if part.serial else None) if part.replaced else part.serial
        more: dict[str, Any] = {"serial": serial} if serial else {}
        if not part.driver:
            more["interfaces"] = [interface(0xFF, "bulk")]
        sightings.append(adapter(place, devnum=number, product_id=part.product, **more))
        if part.driver:
            part.port = f"/dev/ttyUSB{len(ports)}"
            ports.append(tty(len(ports), place, serial=serial))
    return scan(*sorted(sightings, key=lambda s: s["ports"]), serial_ports=ports)


def report_of(parts: list[Truth], text: str) -> ComparisonReport:
    return compare_study(study_of(rig_of(parts)), read_scan(text))


def hold(parts: list[Truth], finding: Finding) -> None:
    """One finding against the truth."""
    truth = {part.name: part for part in parts}
    part = truth.get(finding.part)
    if part is None:
        return
    if finding.name == "port-name-changed" and finding.certainty == "certain":
        assert part.port != part.opens, "its program opens the right name"
        if finding.others and "(a guess" not in finding.message:
            assert truth[finding.others[0]].port == part.opens, "somebody else has that name"
    if finding.name == "part-missing" and finding.certainty == "certain":
        assert part.now is None or part.replaced, "it is there"
    if finding.name == "part-moved" and finding.certainty == "certain":
        assert part.now is not None and part.now[0] != part.socket[0], "it is on its hub"
    if finding.name == "no-serial-port" and finding.certainty == "certain":
        assert part.now is not None and not part.driver, "it has a port"


@pytest.mark.parametrize("block", range(8))
def test_what_is_certain_is_true(block: int) -> None:
    for seed in range(int(os.environ.get("TOPO_TRUTHS", "40"))):
        chance = random.Random(block * 100_000 + seed)
        parts = drawn(chance)
        text = seen_of(parts, chance)
        report = report_of(parts, text)
        assert not report.report.troubles
        for finding in report.report.findings:
            try:
                hold(parts, finding)
            except AssertionError as error:
                raise AssertionError(f"seed {block}/{seed}: {finding.message}\n{parts}\n{error}") from error
        for match in report.comparison.matches:
            part = next((p for p in parts if p.name == match.part), None)
            if part is not None and not match.guessed and match.own is not None:
                place = f"1-{1 if part.now and part.now[0] == 'near' else 2}.{part.now[1] if part.now else 0}"
                assert match.own.id == place, f"seed {block}/{seed}: {match.part} is sure and wrong\n{parts}"


@pytest.mark.slow
def test_the_troubles_do_come_up() -> None:
    """The draw is not empty: each finding is certain and possible somewhere, and some matches are sure."""
    told: set[tuple[str, str]] = set()
    sure = 0
    for seed in range(300):
        chance = random.Random(seed)
        parts = drawn(chance)
        report = report_of(parts, seen_of(parts, chance))
        told |= {(f.name, f.certainty) for f in report.report.findings}
        sure += sum(not match.guessed for match in report.comparison.matches)
    for name in ("port-name-changed", "part-missing", "part-moved", "no-serial-port"):
        assert {(name, "certain"), (name, "possible")} <= told, name
    assert ("replaced-by-a-twin", "possible") in told and sure > 300


def test_a_comparison_of_the_same_is_the_same() -> None:
    chance = random.Random(1)
    parts = drawn(chance)
    text = seen_of(parts, chance)
    assert compared(rig_of(parts), text).matches == compared(rig_of(parts), text).matches
