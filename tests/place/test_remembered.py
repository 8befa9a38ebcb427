"""Studying what changed alone gives what studying from nothing gives: every outcome and every finding, after any
change."""

from __future__ import annotations

import random

import pytest

from tests.place.random_rigs import EXAMINER, rig_from, whole_text
from tests.samples import share
from topo.analysis.study import Study
from topo.errors import CommandError
from topo.model.change import AddPart, Change, MovePlug, SetCable, SetUse, SwapPlugs
from topo.model.facts import Fact
from topo.model.finding import Finding
from topo.model.records import CableFacts
from topo.model.rig import Plug, Rig
from topo.place.consequence import consequence
from topo.place.remembered import Remembered
from topo.wiring.apply import apply
from topo.wiring.bought import bought_hub, free_name

CHUNK, CHANGES = 10, 6


def changes(pick: random.Random, rig: Rig) -> Change:
    """Anything that advice may do to a rig."""
    parts = [part for part in rig.parts[1:] if part.plug is not None]
    part = pick.choice(parts)
    kind = pick.choice(("move", "move", "move", "swap", "cable", "use", "hub"))
    usb = isinstance(part.plug, Plug) and not part.plug.socket.startswith("serial")
    sockets = [(o.id, s.name) for o in rig.parts for s in o.sockets if (s.kind == "usb") == (usb or kind == "hub")]
    if kind == "move":
        return MovePlug(part.id, *pick.choice(sockets))
    if kind == "swap":
        return SwapPlugs(part.id, pick.choice([p for p in parts if str(p.plug).count("serial") != usb]).id)
    if kind == "cable":
        return SetCable(part.id, CableFacts(grade=Fact(pick.choice(("usb2", "usb3")), "assumed")))
    if kind == "use" and part.kind == "device":
        return SetUse(part.id, *pick.choice((("limit_mb_per_s", 12.5), ("bin", 2), ("gap_s", 4.0), ("fps", 3))))
    return AddPart(bought_hub(free_name(rig), Plug(*pick.choice(sockets))))


def told(findings: tuple[Finding, ...]) -> list[tuple[object, ...]]:
    return sorted((f.name, f.part, f.severity, f.certainty, f.message, f.others, f.figures) for f in findings)


@pytest.mark.parametrize("start", share(range(0, 200, CHUNK), 2))
def test_the_short_way_is_the_long_way(start: int) -> None:
    changed = 0
    for seed in range(start, start + CHUNK):
        pick = random.Random(f"kept {seed}")
        rig = rig_from(whole_text(seed))
        kept, after = Remembered(Study(rig), EXAMINER), rig
        for _ in range(CHANGES):
            try:
                then = apply(rig if pick.random() < 0.5 else after, changes(pick, rig))
                short = kept.of(then)
            except CommandError:
                continue
            after = then
            long = Study(after)
            findings = EXAMINER(long)
            assert told(short.findings) == told(findings), seed
            assert [f.name for f in short.findings] == [f.name for f in findings], seed
            assert short.devices == long.devices, seed
            assert short.consequence == consequence(long, findings), seed
            changed += 1
    assert changed > 2 * CHUNK
