"""Two or more things of one kind report no serial number, or the same: only their sockets tell them apart.

Which is which is a guess from the sockets, whatever is named here: if the plugs of two twins were swapped, it would
look the same. One test decides, and is free: unplug the lead of one part and compare again. What is then missing is
that part.

Programs and systems that go by ids take one for the other when they are plugged in the other way round, and names
such as a port number change with the socket. The positions named here are those of now; keep them, or label them.

A risk if the file has them as different parts, a note if only one of them is in the file.

Wrong if each keeps its name after both are plugged in again the other way round.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.checks.scans import adapter, hub, scan
from topo.compare.ports import deciding_test
from topo.compare.words import name_of, where
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.plugged import Thing


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each kind with twins of which at least one is in the file."""
    if comparison.scan.limits.serials != "all":
        return
    groups: dict[tuple[str, str, str], list[Thing]] = {}
    for thing in comparison.live.things:
        own = thing.own
        if thing.kind == "device" and not thing.built_in and own.vendor_id is not None and own.product_id is not None:
            groups.setdefault((own.vendor_id, own.product_id, own.serial or ""), []).append(thing)
    for (_, _, serial), twins in groups.items():
        parts = tuple(p for thing in twins if (p := comparison.part_of(thing.key)) is not None)
        if len(twins) > 1 and parts:
            yield _finding(comparison, twins, parts, bool(serial))


def _finding(comparison: Comparison, twins: list[Thing], parts: tuple[str, ...], same_serial: bool) -> Finding:
    part = comparison.study.rig.part(parts[0])
    each = "; ".join(f"{name_of(comparison, thing)} in {where(comparison, thing)}" for thing in twins[:8])
    more = f" and {len(twins) - 8} more" if len(twins) > 8 else ""
    why = "all tell the same serial number" if same_serial else "report no serial number"
    return Finding(
        name="told-apart-by-socket",
        severity="risk" if len(set(parts)) > 1 else "note",
        certainty="certain",
        part=part.id,
        place=part.place,
        others=tuple(name for name in dict.fromkeys(parts) if name != part.id),
        message=f"{len(twins)} things of one kind {why}; only their sockets tell them apart. By those they are: "
        f"{each}{more}. That is a guess: their plugs exchanged would look the same.",
        refuted_by="each keeps its name after both are plugged in again the other way round",
        fix=Fix(f"First, free: {deciding_test(comparison, part.id)}. Then label these sockets and bind programs by "
                "socket (by-path names on Linux, a fixed port number on Windows); or replace one by a kind with serial "
                "numbers."),
    )


PAIR = rig("focuser: {role: focuser, interface: serial, plug: hub/1}",
           "mount: {role: mount, interface: serial, plug: hub/2}",
           hubs="  hub: {speed: high, ports: 4, plug: computer/usb2-1}\n")

CHECK = Check(
    name="told-apart-by-socket",
    summary="things of one kind report no serial number: only their sockets tell them apart",
    explanation=__doc__,
    symptoms=("wrong device answers", "mount and focuser swapped", "two adapters swapped"),
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("each with a serial number", PAIR, 0,
             scan(hub("3-1"), adapter("3-1.1", serial="A1"), adapter("3-1.2", serial="A2"))),
        Case("none tells one", PAIR, 1, scan(hub("3-1"), adapter("3-1.1"), adapter("3-1.2"))),
        Case("both tell the same", PAIR, 1,
             scan(hub("3-1"), adapter("3-1.1", serial="0001"), adapter("3-1.2", serial="0001"))),
    ),
)
