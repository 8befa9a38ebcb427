"""A part is plugged in somewhere else than the rig file has it.

It was found by its ids, by what is plugged into it, or because nothing else it could be is plugged in. What it shares
its way with is then not what the file says; all figures here are computed with it where it is. Serial adapters
without a serial number get another name in another socket, so that programs no longer find them.

A risk; a note where it only sits in another socket of the same hub.

Wrong if the file is out of date, and this is where it belongs.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from topo.checks.cases import guiding, imaging, rig
from topo.checks.scans import HUB3, MAIN, adapter, hub, scan, seen
from topo.compare.ports import deciding_test
from topo.compare.words import where
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import socket_number
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.comparison import Comparison, Match

HOW = {"identity": "its ids", "place": "its socket", "kind": "what it is", "twin": "its twin's ids"}


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each part that is not where the file has it."""
    for match in comparison.matches:
        if match.moved:
            yield _moved(comparison, match)
        elif _other_socket(comparison, match):
            yield _beside(comparison, match)


def _moved(comparison: Comparison, match: Match) -> Finding:
    part = comparison.declared.rig.part(match.part)
    return Finding(
        name="part-moved",
        severity="risk",
        certainty="certain" if match.by == "identity" else "possible",
        part=part.id,
        place=part.place,
        message=f"{plain(part.id)} is not in {plain(str(part.plug))}: known by {HOW[match.by]}, it is in "
        f"{where(comparison, match.thing)}.{_guess(comparison, match)}",
        refuted_by="the file is out of date, and this is where it belongs",
        fix=Fix(f"{_decide(comparison, match)}Plug it into {plain(str(part.plug))}, or change `plug` in the file."),
    )


def _guess(comparison: Comparison, match: Match) -> str:
    """Who else it could be, where that is so."""
    if match.by == "identity" or not match.or_parts:
        return ""
    return f" That is a guess: it could be {listed(match.or_parts)} as well."


def _decide(comparison: Comparison, match: Match) -> str:
    return f"First, free: {deciding_test(comparison, match.part)}. " if _guess(comparison, match) else ""


def _other_socket(comparison: Comparison, match: Match) -> bool:
    """True where its hub numbers its sockets as the file does, to judge by the others on it, and this one differs.

    Of what is alone on its hub nobody else tells: then its ids decide, or that there are none to be had.
    """
    topology = comparison.declared.topology
    leg = topology.leg(match.part)
    if leg is None or match.moved or match.by == "place" or topology.part(leg.above).kind != "hub":
        return False
    if match.thing.port is None or socket_number(leg.socket.name) in (None, match.thing.port):
        return False
    beside = [m for child in topology.children(leg.above) if (m := comparison.match(child)) and m is not match]
    same = sum(_as_in_file(comparison, m) for m in beside)
    alone = not beside and len(comparison.live.below(match.thing.above)) == 1
    if (same > 0 and same * 2 >= len(beside)) or (alone and (match.by == "identity" or not _tells_ids(match))):
        return True
    return match.by == "identity" and _exchanged_with(comparison, match) is not None


def _tells_ids(match: Match) -> bool:
    return match.own is not None and match.own.vendor_id is not None


def _exchanged_with(comparison: Comparison, match: Match) -> Match | None:
    """The part in this one's socket of the same hub, if this one is in that one's, and both are known by their ids."""
    topology = comparison.declared.topology
    leg = topology.leg(match.part)
    for child in topology.children(leg.above) if leg is not None else ():
        other, theirs = comparison.match(child), topology.leg(child)
        if other is None or other is match or theirs is None or leg is None or other.by != "identity" or other.moved:
            continue
        numbers = socket_number(leg.socket.name), socket_number(theirs.socket.name)
        if numbers == (other.thing.port, match.thing.port):
            return other
    return None


def _as_in_file(comparison: Comparison, match: Match) -> bool:
    leg = comparison.declared.topology.leg(match.part)
    return leg is not None and not match.moved and socket_number(leg.socket.name) == match.thing.port


def _beside(comparison: Comparison, match: Match) -> Finding:
    part, other = comparison.declared.rig.part(match.part), _exchanged_with(comparison, match)
    also = f" It is exchanged with {plain(other.part)}." if other is not None else ""
    return Finding(
        name="part-moved",
        severity="note",
        certainty="possible",
        part=part.id,
        place=part.place,
        others=() if other is None else (other.part,),
        message=f"{plain(part.id)} is in {where(comparison, match.thing)}, and the file has it in "
        f"{plain(str(part.plug))}.{also} The load is the same; names by place are others.",
        refuted_by="the sockets of this hub are not numbered as its ports are",
        fix=Fix("Change `plug` in the file, or the socket, so that both say the same."),
    )


TWO_HUBS = (
    "  near: {speed: super, ports: 4, plug: computer/usb3-1}\n  far: {speed: high, ports: 4, plug: computer/usb2-1}\n"
)
GUIDE_IDS = "identity: {vendor_id: f1a0, product_id: '0120', serial: G1}"
GUIDE: dict[str, Any] = {"product_id": "0120", "serial": "G1"}

CHECK = Check(
    name="part-moved",
    summary="a part is plugged in somewhere else than the rig file has it",
    tested_by="`topo live` with that one unplugged shows which is gone",
    explanation=__doc__,
    symptoms=("port has another number", "moved to another socket"),
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("where it belongs", rig(imaging("near/1"), guiding("far/2", GUIDE_IDS), hubs=TWO_HUBS), 0,
             scan(*HUB3, seen("2-1.1", 5000, **MAIN), hub("3-1"), seen("3-1.2", **GUIDE))),
        Case("the guide camera on the other hub", rig(imaging("near/1"), guiding("far/2", GUIDE_IDS), hubs=TWO_HUBS), 1,
             scan(*HUB3, seen("2-1.1", 5000, **MAIN), seen("1-1.3", **GUIDE), hub("3-1"))),
        Case("the same hub, another socket",
             rig(guiding("far/2", GUIDE_IDS), "a: {interface: serial, plug: far/1}", hubs=TWO_HUBS), 1,
             scan(hub("3-1"), adapter("3-1.1"), seen("3-1.4", **GUIDE))),
    ),
)
