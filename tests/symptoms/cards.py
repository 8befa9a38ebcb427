"""A rig for each symptom of `examples/symptoms.md`, on which its first cause is found, and a near miss. No tests here.

Most stand among the cases of the check that finds the cause; those that need more are written out.
"""

from __future__ import annotations

from dataclasses import dataclass

from topo.checks.cases import PLAIN_PC, guiding, rig
from topo.checks.evidence_cases import LOG_OF_A_BRANCH, NIGHT_RIG, logged
from topo.checks.scans import hub, scan, seen
from topo.model.check import Case


@dataclass(frozen=True, slots=True)
class Card:
    """The finding that names the first cause; the names of two cases of its check, or two cases of the card's own.

    `says` is what the finding's words must hold, where its name alone is not the cause; `part` what it is about.
    """

    finding: str
    caught: str | Case
    left: str | Case
    says: str = ""
    part: str | None = None


ONE_DROPS = logged("[ 9541.000140] usb 3-1.1: USB disconnect, device number 3",
                   "[ 9542.000000] usb 3-1.1: new high-speed USB device number 9 using xhci_hcd",
                   "[ 9542.100000] usb 3-1.1: New USB device found, idVendor=3333, idProduct=1201, bcdDevice= 1.00")
SLOW_BEHIND = rig(guiding("hub/1"), "mount: {role: mount, speed: full, interface: serial, plug: hub/2}",
                  hubs="  hub: {speed: super, ports: 4, plug: computer/usb3-1}\n")
ONE_SEEN = scan(hub("1-1"), seen("1-1.1"))
STREAM = ("main-camera: {role: imaging, width_px: 1280, height_px: 960, sample_bits: 8, speed: high, "
          "readout_mb_per_s: 37, plug: computer/usb2-1, use: {mode: video, fps: 29}}")


def disk(plug: str) -> str:
    return f"disk: {{role: storage, speed: high, interface: storage, plug: {plug}, use: {{mb_per_s: 25}}}}"


CARDS: dict[str, Card] = {
    "T01": Card("dropped-in-the-night", Case("a branch", NIGHT_RIG, 1, evidence=(LOG_OF_A_BRANCH,)),
                Case("one device", NIGHT_RIG, 0, evidence=(ONE_DROPS,)), part="hub"),
    "T02": Card("dropped-in-the-night", Case("one device", NIGHT_RIG, 1, evidence=(ONE_DROPS,)),
                "only the computer slept", part="guide-camera"),
    "T03": Card("limit-above-path", "300 MB/s on USB 2", "40 MB/s at SuperSpeed"),
    "T04": Card("guiding-shares-link", "beside a stream that takes all it can get",
                "both on USB 2 behind one camera: late by a second after each picture, which no picture shows"),
    "T05": Card("overhead-not-the-bus", "2 s exposures every 3.2 s", "2 s exposures every 2.1 s"),
    "T06": Card("slower-than-it-could-be", "a USB 2 cable", "SuperSpeed all the way"),
    "T07": Card("frame-lost", "a small guide camera behind an imaging camera on USB 2",
                "a guide camera with memory only waits"),
    "T08": Card("stream-too-slow", "the same stream on USB 2", "a stream that fits its SuperSpeed link"),
    "T09": Card("buffer-pool-too-small", "a 26 MP camera on Linux", "a 26 MP camera elsewhere"),
    "T10": Card("port-name-changed", "the next number", "a name by place still holds"),
    "T11": Card("adapters-look-alike", "two without", "two adapters with serial numbers"),
    "T12": Card("another-camera-taken", "the guide camera comes first in the list",
                "by serial numbers of their own"),
    "T13": Card("port-held", "one program", "nobody"),
    "T14": Card("may-be-put-to-sleep", "it sleeps", "power control is on"),
    "T15": Card("radio-beside-superspeed", "a radio beside a SuperSpeed camera", "a radio and a USB 2 camera"),
    "T16": Card("volts-out-of-window", "5 m of 24 AWG to the same camera", "5 m of 14 AWG to a camera"),
    "T17": Card("board-ran-low", "its flag is set", "its flag is clear"),
    "T18": Card("colder-than-rated", "a hub for the office in frost", "a hub for the office on a mild night"),
    "T19": Card("cables-cross-axes", "three cables up to the tube", "two cables up to the tube"),
    "T20": Card("cable-too-long", "6 m at 480 Mb/s", "a short cable"),
    "T21": Card("grounds-meet-in-data", "a supply each", "one supply for both"),
    "T22": Card("part-missing", Case("behind a USB 3 hub", SLOW_BEHIND, 1, ONE_SEEN),
                Case("behind a USB 2 hub", SLOW_BEHIND.replace("super, ports", "high, ports"), 0, ONE_SEEN),
                says="plain USB 2 hub", part="mount"),
    "T23": Card("too-many-endpoints", "twenty-five devices on a hub", "a guide camera alone"),
    "T24": Card("reservations-refused", "two on one bus", "two on two buses"),
    "T25": Card("not-ready-yet", "20 s of 60", "long enough"),
    "T26": Card("link-overloaded", Case("a disk on the camera's bus", PLAIN_PC + f"devices:\n  {STREAM}\n  "
                                        + disk("computer/usb2-2") + "\n", 1),
                Case("a disk on another", PLAIN_PC + f"devices:\n  {STREAM}\n  " + disk("computer/usb3-1") + "\n", 0)),
    "T27": Card("serial-rates-differ", "115200 on a line of 9600", "both at 9600"),
    "T28": Card("same-time-each-night", "at ten past two in four nights", "at any time"),
}
