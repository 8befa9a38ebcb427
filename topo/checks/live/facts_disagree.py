"""What the rig file or a profile says of a part is not what the scan shows.

Looked at are facts that a scan decides: the best speed of a part, how many translators and sockets a hub has, whether a
hub says it has a supply, whether a device reports a serial number, the kernel's pool for USB buffers. The figures of a
check with `--live` use what was measured; the file is still wrong for all plans made without it. Profiles are of kinds
of devices, so a difference is no fault: it says that this one is another make.

A risk where a hub has one translator for all though the file counts on one for each socket, and where it says it has no
supply though the file says so; else a note.

Wrong if the scan took another device for this part.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from topo.checks.cases import guiding, rig
from topo.checks.scans import hub, scan, seen
from topo.frozen import frozen
from topo.model.check import Case, Check
from topo.model.declare import known
from topo.model.facts import Basis, Figure
from topo.model.finding import Finding, Fix
from topo.model.plain import plain
from topo.model.rig import Hub

if TYPE_CHECKING:
    from topo.model.comparison import Comparison, Match
    from topo.model.rig import Part

FACTS = ("speed", "translators", "hub_translators", "has_serial_number", "usbfs_memory_mb", "os")
"""Facts of which a measured value stands in for the file's."""

GIVEN: tuple[Basis, ...] = ("declared", "profile")


@frozen
class Disagreement:
    """One fact: what the file says, by which basis, what the scan shows, and whether it matters tonight."""

    name: str
    said: str
    basis: Basis
    shown: str
    matters: bool = False


def find(comparison: Comparison) -> Iterator[Finding]:
    """One finding for each part with facts that disagree."""
    for part in comparison.declared.rig.parts:
        found = list(_measured(comparison, part))
        match = comparison.match(part.id)
        if match is not None and isinstance(part, Hub):
            found += _hub(comparison, part, match)
        if found:
            yield _finding(part, found)


def _measured(comparison: Comparison, part: Part) -> Iterator[Disagreement]:
    said, now = dict(known(part.facts)), dict(known(comparison.study.rig.part(part.id).facts))
    for name in FACTS:
        old, new = said.get(name), now.get(name)
        if old is None or new is None or new.basis != "measured" or old.basis not in GIVEN or old.value == new.value:
            continue
        worse = name.endswith("translators") and new.value == "one"
        yield Disagreement(name, _word(old.value), old.basis, _word(new.value), worse)


def _hub(comparison: Comparison, part: Hub, match: Match) -> Iterator[Disagreement]:
    told = [side.self_powered for side in match.hub_sides if side.self_powered is not None]
    powered = part.facts.powered
    if told and powered is not None and powered.basis in GIVEN and bool(powered.value) and not any(told):
        yield Disagreement("powered", "yes", powered.basis, "no", True)
    live = max((side.max_child or 0 for side in match.hub_sides), default=0)
    if live:  # a socket with a plug in it is there, whatever the hub says
        live = max(live, *(thing.port or 0 for thing in comparison.live.below(match.thing.key)), 0)
    ports = part.facts.ports
    if ports is not None and ports.basis in GIVEN and live and not match.extra and ports.value > live:
        yield Disagreement("ports", str(ports.value), ports.basis, str(live))


def _word(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _finding(part: Part, found: list[Disagreement]) -> Finding:
    told = "; ".join(f"{d.name} is {d.said} and seen as {d.shown}" for d in found)
    return Finding(
        name="facts-disagree",
        severity="risk" if any(d.matters for d in found) else "note",
        certainty="certain",
        part=part.id,
        place=part.place,
        message=f"The file or profile of {plain(part.id)} and the scan disagree: {told}.",
        figures=tuple(figure for d in found for figure in (
            Figure(f"{d.name}, by the file", d.said, "", d.basis), Figure(f"{d.name}, seen", d.shown, "", "measured"))),
        refuted_by="the scan took another device for this part",
        fix=Fix(_advice(found)),
    )


def _advice(found: list[Disagreement]) -> str:
    words = "Write what was seen into the rig file, or choose the profile that fits."
    if any(d.name == "powered" for d in found):
        words = f"Look whether the hub's supply is plugged in. {words}"
    return words


RIG = rig(guiding("hub/1"),
          hubs="  hub: {speed: high, ports: 4, translators: per-port, powered: true, plug: computer/usb2-1}\n")

CHECK = Check(
    name="facts-disagree",
    summary="what the rig file or a profile says of a part is not what the scan shows",
    explanation=__doc__,
    severities=("risk", "note"),
    find=find,
    needs="comparison",
    cases=(
        Case("one for each socket, in use", RIG, 0, scan(
            hub("3-1", protocol=2, interfaces=[
                {"number": 0, "setting": 1, "active": True, "usb_class": 9, "subclass": 0, "protocol": 2}]),
            seen("3-1.1"))),
        Case("one for all", RIG, 1, scan(hub("3-1", protocol=1), seen("3-1.1"))),
        Case("no supply", RIG, 1, scan(hub("3-1", protocol=0, self_powered=False), seen("3-1.1"))),
        Case("the pool is another size",
             rig(guiding("computer/usb2-1")).replace("computer:\n", "computer:\n  usbfs_memory_mb: 256\n"), 1,
             scan(seen("3-1"), usbfs_memory_mb=16)),
    ),
)
