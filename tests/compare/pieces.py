"""Small rigs and scans for the tests of comparing, from the same pieces the cases of checks use."""

from __future__ import annotations

import random
from typing import Any

from topo.analysis.study import Study
from topo.checks import scans
from topo.compare.compare import compare
from topo.live.recording import read_scan
from topo.model.comparison import Comparison
from topo.model.sighting import Scan
from topo.pipeline import rig_of
from topo.rigfile.read import read_text

COMPUTER = """\
rig: A trial
computer:
  controllers: {one: {}}
  ports:
    usb3-1: {controller: one, speed: super}
    usb3-2: {controller: one, speed: super}
    usb3-3: {controller: one, speed: super}
    usb3-4: {controller: one, speed: super}
"""


def study_of(text: str) -> Study:
    return Study(rig_of(read_text(text, "rig.yaml")))


def compared(rig: str, scan: str | Scan) -> Comparison:
    """The comparison of a rig file's text with a scan or the text of one."""
    return compare(study_of(rig), read_scan(scan) if isinstance(scan, str) else scan)


def found(comparison: Comparison) -> dict[str, str]:
    """Part → the id of what it is, with `moved` said."""
    return {
        match.part: (match.own.id if match.own else match.thing.key) + (" moved" if match.moved else "")
        for match in comparison.matches
    }


KINDS = {"serial": scans.adapter, "hid": scans.wheel, "storage": scans.disk, "camera": scans.seen}
FACTS = {
    "serial": "interface: serial, speed: full",
    "hid": "interface: hid, speed: full",
    "storage": "role: storage, speed: super",
    "camera": "role: imaging, width_px: 100, height_px: 100, speed: high",
}


class RandomRig:
    """A random small rig file and a random scan that is like it: some things gone, added, or in other sockets."""

    def __init__(self, seed: int, most: int = 3) -> None:
        self.random = random.Random(seed)
        self.most = most
        self.hubs: list[str] = []
        self.devices: list[str] = []
        self.seen: list[dict[str, Any]] = []
        for number in range(1, self.random.randint(1, 3) + 1):
            self._branch("computer", f"usb3-{number}", f"1-{number}", 0)
        for number in range(5, 5 + self.random.randint(0, 2)):
            self._thing(f"1-{number}", self.random.choice(list(KINDS)), None)

    def _branch(self, above: str, socket: str, place: str, depth: int) -> None:
        if depth == 2 or self.random.random() < 0.4:
            self._device(above, socket, place)
            return
        name = f"hub-{len(self.hubs)}"
        self.hubs.append(f"  {name}: {{speed: high, ports: 4, plug: {above}/{socket}}}\n")
        there = self.random.random() < 0.9
        if there:
            self.seen.append(scans.hub(place, product_id=self._ids()))
        numbers = self.random.sample(range(1, 5), self.random.randint(0, self.most))
        live = numbers if self.random.random() < 0.6 else self.random.sample(range(1, 5), len(numbers))
        for number, port in zip(numbers, live, strict=True):
            below = f"{place}.{port}" if there else f"1-{self.random.randint(9, 30)}"
            self._branch(name, str(number), below, depth + 1)

    def _ids(self) -> str:
        return self.random.choice(["0001", "0002", "0003"])

    def _device(self, above: str, socket: str, place: str) -> None:
        kind = self.random.choice(list(KINDS))
        ids = self._ids()
        identity = f", identity: {{vendor_id: f1a0, product_id: '{ids}'}}" if self.random.random() < 0.4 else ""
        name = f"part-{len(self.devices)}"
        self.devices.append(f"  {name}: {{{FACTS[kind]}, plug: {above}/{socket}{identity}}}\n")
        chance = self.random.random()
        if chance < 0.75:
            self._thing(place, kind, ids)
        elif chance < 0.9:
            self._thing(place, self.random.choice(list(KINDS)), None)

    def _thing(self, place: str, kind: str, ids: str | None) -> None:
        if all(each["id"] != place for each in self.seen):
            self.seen.append(KINDS[kind](place, product_id=ids or self._ids()))

    @property
    def rig(self) -> str:
        hubs = "hubs:\n" + "".join(self.hubs) if self.hubs else ""
        return COMPUTER + hubs + "devices:\n" + "".join(self.devices)

    @property
    def scan(self) -> str:
        return scans.scan(*self.seen)
