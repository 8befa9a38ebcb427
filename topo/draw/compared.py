"""A comparison as differences for a picture: what is missing, moved, slower, or not in the file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.compare.slow import could_mbit
from topo.draw.overlay import Seen
from topo.model.rig import COMPUTER

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.plugged import Thing


def differences(comparison: Comparison) -> tuple[Seen, ...]:
    """Every difference, parts in the order of the file and then strangers from the computer down."""
    found = [Seen("missing", part, "not plugged in") for part in comparison.missing]
    for match in comparison.matches:
        if match.moved:
            found.append(Seen("moved", match.part, f"seen at {_place(comparison, match.thing)}"))
        best, _ = could_mbit(comparison, match.thing, match)
        if best is not None and match.most_mbit is not None and match.most_mbit < best:
            found.append(Seen("slower", match.part, f"{_rate(match.most_mbit)} seen, could be {_rate(best)}"))
    added = dict(comparison.added)
    found += [Seen("unexpected", name, "") for name in added.values()]
    for thing in comparison.unexpected:
        if thing.key in added:
            continue
        above = COMPUTER if thing.above == COMPUTER else comparison.part_of(thing.above or "") or ""
        found.append(Seen("unexpected", thing.word, "" if above else f"at {_place(comparison, thing)}", above,
                          "" if thing.port is None else str(thing.port)))
    return tuple(found)


def _place(comparison: Comparison, thing: Thing) -> str:
    port = "" if thing.port is None else f" port {thing.port}"
    if thing.above == COMPUTER:
        return f"the computer{port}"
    above = comparison.part_of(thing.above or "") or dict(comparison.added).get(thing.above or "")
    return (above or "a hub that is not in the file") + port


def _rate(mbit: float) -> str:
    return f"{mbit / 1000:g} Gb/s" if mbit >= 1000 else f"{mbit:g} Mb/s"
