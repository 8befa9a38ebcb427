"""What findings, scans and logs say of suspects: factors on their weights, one entry for each, in one place.

Common practice, no source: a certain finding on a piece counts four times, a possible one twice, what a scan or log
shows on the spot ten times; what it was asked for and does not show, a fifth to a half; what is computed to be
impossible a twentieth. What is not listed changes nothing. What answers a look as well says so (`looks`): that family
is then not looked at again, since it would be the same evidence twice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from topo.chase.heard import AT_DOWNLOADS, AT_SLEWS, NO_OVER_CURRENT, NOT_AT_DOWNLOADS, SPEEDS_HOLD, Heard
from topo.chase.looks import ALL_LOOKS
from topo.chase.reach import BETWEEN
from topo.chase.wires import Wires
from topo.frozen import frozen
from topo.model.chase import Suspect
from topo.model.finding import Finding
from topo.model.rig import COMPUTER

if TYPE_CHECKING:
    from topo.analysis.study import Study

CERTAIN, POSSIBLE, SEEN, IMPOSSIBLE = 4.0, 2.0, 10.0, 0.05


@frozen
class Points:
    """A finding points to suspects of these kinds, at its parts. `seen`: a scan or log shows it; it counts ten times.

    `factor` stands for all of that where it is given; below 1 it speaks against them. `looks` are families of looks
    that are answered by it.
    """

    kinds: tuple[str, ...]
    seen: bool = False
    factor: float | None = None
    looks: tuple[str, ...] = ()

    def weight(self, certainty: str) -> float:
        """The factor for suspects it points to."""
        if self.factor is not None:
            return self.factor
        return SEEN if self.seen else CERTAIN if certainty == "certain" else POSSIBLE


SPEAKS_OF: dict[str, Points] = {
    "guiding-shares-link": Points(("sharing",)),
    "link-overloaded": Points(("sharing", "limit")),
    "frame-lost": Points(("sharing", "limit")),
    "stream-too-slow": Points(("sharing", "limit")),
    "sharing-not-declared": Points(("sharing",)),
    "cable-too-long": Points(("cable", "superspeed")),
    "cable-in-pieces": Points(("cable", "superspeed")),
    "serial-lead-too-long": Points(("cable",)),
    "limit-above-path": Points(("limit",)),
    "would-time-out": Points(("limit", "superspeed")),
    "colder-than-rated": Points(("hub",)),
    "board-ran-low": Points(("host", "hub-sag"), seen=True),
    "ran-low-in-the-night": Points(("host", "hub-sag"), seen=True),
    "radio-beside-superspeed": Points(("radio",)),
    "buffer-pool-too-small": Points(("host",)),
    "serial-line-busy": Points(("host",)),
    "reservations-refused": Points(("controller", "hub")),
    "translator-crowded": Points(("hub",)),
    "port-current-exceeded": Points(("hub-sag", "device")),
    "supply-overloaded": Points(("supply", "hub-sag")),
    "volts-out-of-window": Points(("lead", "supply", "hub-sag")),
    "may-be-put-to-sleep": Points(("suspend", "asleep")),
    "power-setting-not-in-force": Points(("suspend", "asleep"), seen=True),
    "port-name-changed": Points(("port-name",), seen=True),
    "replaced-by-a-twin": Points(("port-name",), seen=True),
    "names-collide": Points(("port-name",)),
    "told-apart-by-socket": Points(("port-name",)),
    "adapters-look-alike": Points(("port-name",)),
    "port-renamed-in-the-night": Points(("port-name",), seen=True),
    "taken-from-its-driver": Points(("holder",), seen=True),
    "no-serial-port": Points(("holder",), seen=True),
    "port-held": Points(("holder",)),
    "may-be-probed": Points(("holder",)),
    "fell-back": Points(("superspeed",), seen=True, looks=("speed",)),
    "over-current-counted": Points(("hub-sag", "hub-dead", "lead", "supply"), seen=True, looks=("over-current",)),
    "dropped-since-start": Points(("cable", "socket", "hub"), seen=True, looks=("came-back",)),
    "dropped-in-the-night": Points(("cable", "socket", "hub", "hub-sag"), seen=True, looks=("came-back",)),
    "drew-too-much": Points(("hub-sag", "hub-dead", "lead", "supply"), seen=True, looks=("over-current",)),
    "never-came-up": Points(("cable", "socket", "device")),
    "refused-in-the-night": Points(("controller", "hub"), seen=True),
    "seen-slower-than-planned": Points(("superspeed", "limit", "sharing")),
    "cables-cross-axes": Points(("cable", "socket", "superspeed"), factor=POSSIBLE),
    "usb-volts-low": Points(("cable", "hub-sag", "hub")),
    "contact-overloaded": Points(("lead",)),
    "load-cannot-be-fed": Points(("lead", "supply", "hub-sag")),
    "channel-overloaded": Points(("supply", "hub-sag", "lead")),
    "fuse-blows-in-use": Points(("lead",)),
    "battery-empty-before-dawn": Points(("supply",)),
    "guide-pulse-late": Points(("host",)),
    SPEEDS_HOLD: Points(("superspeed",), factor=0.1, looks=("speed",)),
    NO_OVER_CURRENT: Points(("hub-sag", "hub-dead", "lead", "supply"), factor=0.5, looks=("over-current",)),
    AT_DOWNLOADS: Points(("sharing", "limit", "superspeed"), factor=CERTAIN, looks=("times",)),
    NOT_AT_DOWNLOADS: Points(("sharing", "limit"), factor=0.2, looks=("times",)),
    AT_SLEWS: Points(("cable", "socket", "superspeed", "lead"), factor=CERTAIN),
    "not-plug": Points(("cable", "socket"), factor=0.2, looks=("came-back",)),
    "not-supply": Points(("hub-sag", "hub-dead", "supply"), factor=0.3),
    "not-controller": Points(("controller",), factor=0.2),
    "not-host": Points(("host",), factor=0.3),
    "not-data-path": Points(("sky",), seen=True, looks=("star",)),
}
"""What each finding, and each word of `heard.NO_FINDINGS`, points to."""


def factors(rig: Wires, study: Study, told: Iterable[Heard]) -> Callable[[str, str], float]:
    """The factor for a suspect of a kind at a piece: the strongest of all that point to it, and of all against it."""
    together = {frozenset((pair.guide, pair.other)) for pair in study.shared}
    points = [(each, SPEAKS_OF[each.name]) for each in told if each.name in SPEAKS_OF]

    def known(kind: str, piece: str) -> float:
        meant = [at.weight(each.certainty) for each, at in points
                 if kind in at.kinds and (not each.parts or _meant(rig, kind, piece, each.parts))]
        up, down = max((1.0, *meant)), min((1.0, *meant))
        if kind == "sharing" and up == 1.0:
            victim, other = piece.split(BETWEEN)
            if rig.wire(victim).role == "guiding" and frozenset((victim, other)) not in together:
                return IMPOSSIBLE  # the study looked at every pair with a guide camera
        return up * down

    return known


def looked(told: Iterable[Heard]) -> tuple[str, ...]:
    """Families of looks that are answered by what was told."""
    return tuple(dict.fromkeys(look for each in told if each.name in SPEAKS_OF for look in SPEAKS_OF[each.name].looks))


def fresh(told: Sequence[Heard], saw: Sequence[str]) -> tuple[Heard, ...]:
    """What was told, without what a look told already by hand: it would be the same evidence twice."""
    done = {text.rpartition("=")[0] for text in saw}
    families = {look.family for look in ALL_LOOKS if look.name in done}
    return tuple(each for each in told if families.isdisjoint(looked((each,))))


def renewed(before: Sequence[Heard], new: Sequence[Heard]) -> tuple[Heard, ...]:
    """What was told before with what is told now, which stands in place of what answered the same looks."""
    now = set(looked(new))
    return tuple(dict.fromkeys((*(each for each in before if now.isdisjoint(looked((each,)))), *new)))


def remedies(rig: Wires, suspects: Sequence[Suspect], findings: Sequence[Finding]) -> tuple[str, ...]:
    """What the fixes of findings that point to these suspects say, in the order of the findings; each once."""
    told = [
        finding.fix.text
        for finding in findings
        if finding.fix is not None and (points := SPEAKS_OF.get(finding.name)) is not None
        for suspect in suspects
        if suspect.kind in points.kinds
        and _meant(rig, suspect.kind, suspect.piece, (finding.part, *finding.others))
    ]
    return tuple(dict.fromkeys(told))


def _meant(rig: Wires, kind: str, piece: str, parts: Sequence[str]) -> bool:
    """True where what is told of these parts is about this piece."""
    if piece == COMPUTER:
        return True
    if kind == "sharing":
        return all(name in parts for name in piece.split(BETWEEN))
    if kind == "socket":
        return any(f"{wire.above}/{wire.socket}" == piece and wire.part in parts for wire in rig.wires)
    if kind == "lead":
        return any(feed.lead == piece and (feed.to in parts or feed.lead in parts) for feed in rig.feeds)
    return piece in parts or _controls(rig, kind, piece, parts)


def _controls(rig: Wires, kind: str, piece: str, parts: Iterable[str]) -> bool:
    if kind != "controller":
        return False
    roots = (rig.now.root(part) for part in parts if part in rig.now.of)
    return any(root is not None and root.controller == piece for root in roots)
