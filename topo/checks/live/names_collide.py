"""Two ports claim one lasting name; the system gives it to one of them.

A name by id is made of what an adapter says of itself. Twins that report no serial number, or the same, say the same:
the name points to whichever came up last, and after the next start perhaps to the other. Names by place stay apart.

A fault where a program of the rig opens such a name, else a note.

Wrong if one of the two is never plugged in at the same time.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import FOUR_SOCKETS, rig
from topo.checks.scans import adapter, hub, scan, tty
from topo.compare.ports import LivePort, lasting_name, live_ports
from topo.compare.words import name_of
from topo.model.check import Case, Check
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Device
from topo.wiring.lasting import canonical
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.comparison import Comparison


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each name that two ports claim, one of them of a part of the file."""
    claimed: dict[str, list[LivePort]] = {}
    for each in live_ports(comparison):
        for link in each.port.shared:
            claimed.setdefault(link, []).append(each)
    for link, ports in claimed.items():
        if len(ports) > 1 and any(each.part is not None for each in ports):
            yield _finding(comparison, link, ports)


def _finding(comparison: Comparison, link: str, ports: list[LivePort]) -> Finding:
    named = [each for each in ports if each.part is not None]
    bound = [each for each in named if _opens(comparison, each) == link]
    first = (bound or named)[0]
    part = comparison.declared.rig.part(first.part or "")
    who = [each.part if each.part is not None else name_of(comparison, each.thing) for each in ports]
    made = any(each.port.composed for each in ports)
    said = f" The program of {plain(part.id)} opens that name." if bound else ""
    lasting = "; ".join(
        f"{plain(each.part or '')}: {plain(lasting_name(comparison, each).name, 200)}" for each in named[:4])
    return Finding(
        name="names-collide",
        severity="fault" if bound else "note",
        certainty="possible" if made else "certain",
        part=part.id,
        place=part.opens_place if bound and isinstance(part, Device) else part.place,
        others=tuple(dict.fromkeys(each.part for each in named if each.part is not None and each.part != part.id)),
        message=f"{listed(who)} claim one name by id ({plain(link, 120)}); the system gives it to one of them, and "
        f"after the next start perhaps to the other.{said}",
        refuted_by="they are never plugged in at the same time",
        fix=Fix(f"Free: bind by place instead, and label the sockets. {lasting}"),
    )


def _opens(comparison: Comparison, each: LivePort) -> str | None:
    part = comparison.declared.rig.part(each.part or "")
    return canonical(part.opens) if isinstance(part, Device) and part.opens is not None else None


SAME = "/dev/serial/by-id/usb-Made_up_Adapter-if00-port0"
PAIR = rig("mount: {role: mount, interface: serial, plug: hub/1}", "focuser: {interface: serial, plug: hub/2}",
           hubs=FOUR_SOCKETS)
TWO_TWINS = (hub("3-1"), adapter("3-1.1"), adapter("3-1.2"))

CHECK = Check(
    name="names-collide",
    summary="two ports claim one lasting name",
    explanation=__doc__,
    symptoms=("wrong device answers", "two adapters have one name", "two adapters with the same name"),
    severities=("fault", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("each has its own", PAIR, 0,
             scan(hub("3-1"), adapter("3-1.1", serial="A1"), adapter("3-1.2", serial="A2"),
                  serial_ports=[tty(0, "3-1.1", serial="A1"), tty(1, "3-1.2", serial="A2")])),
        Case("twins", PAIR, 1,
             scan(*TWO_TWINS, serial_ports=[tty(0, "3-1.1", shared=[SAME]), tty(1, "3-1.2", shared=[SAME])])),
        Case("and a program opens it", PAIR.replace("plug: hub/1", f"plug: hub/1, opens: {SAME}"), 1,
             scan(*TWO_TWINS, serial_ports=[tty(0, "3-1.1", shared=[SAME]), tty(1, "3-1.2", shared=[SAME])])),
    ),
)
