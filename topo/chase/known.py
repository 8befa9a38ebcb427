"""What findings say of suspects: factors on their weights, one entry for each finding, in one place.

Common practice, no source: a certain finding on a piece counts four times, a possible one twice, what a scan shows on
the spot ten times; what is computed to be impossible a twentieth. A finding that is not listed changes nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

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
    """A finding points to suspects of these kinds, at its parts. `seen`: a scan shows it, so it counts ten times."""

    kinds: tuple[str, ...]
    seen: bool = False


POINTS: dict[str, Points] = {
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
    "fell-back": Points(("superspeed",), seen=True),
    "over-current-counted": Points(("hub-sag", "hub-dead", "lead", "supply"), seen=True),
    "dropped-since-start": Points(("cable", "socket", "hub"), seen=True),
    "dropped-in-the-night": Points(("cable", "socket", "hub", "hub-sag"), seen=True),
    "drew-too-much": Points(("hub-sag", "hub-dead", "lead", "supply"), seen=True),
    "never-came-up": Points(("cable", "socket", "device")),
}
"""What each finding points to."""


def factors(rig: Wires, study: Study, findings: Sequence[Finding]) -> Callable[[str, str], float]:
    """The factor for a suspect of a kind at a piece: the strongest of all findings that point to it."""
    together = {frozenset((pair.guide, pair.other)) for pair in study.shared}

    def known(kind: str, piece: str) -> float:
        factor = 1.0
        for finding in findings:
            points = POINTS.get(finding.name)
            if points is not None and kind in points.kinds and _meant(rig, kind, piece, finding):
                weight = SEEN if points.seen else CERTAIN if finding.certainty == "certain" else POSSIBLE
                factor = max(factor, weight)
        if kind == "sharing" and factor == 1.0:
            victim, other = piece.split(BETWEEN)
            if rig.wire(victim).role == "guiding" and frozenset((victim, other)) not in together:
                return IMPOSSIBLE  # the study looked at every pair with a guide camera
        return factor

    return known


def remedies(rig: Wires, suspects: Sequence[Suspect], findings: Sequence[Finding]) -> tuple[str, ...]:
    """What the fixes of findings that point to these suspects say, in the order of the findings; each once."""
    told = [
        finding.fix.text
        for finding in findings
        if finding.fix is not None and (points := POINTS.get(finding.name)) is not None
        for suspect in suspects
        if suspect.kind in points.kinds and _meant(rig, suspect.kind, suspect.piece, finding)
    ]
    return tuple(dict.fromkeys(told))


def _meant(rig: Wires, kind: str, piece: str, finding: Finding) -> bool:
    """True where the finding is about this piece."""
    parts = (finding.part, *finding.others)
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
