"""What is certain rests on nothing that is assumed: it is there whatever the truth of it turns out to be.

A rig that leaves open which sockets share a 480 Mb/s bus, how many translators a hub has, or what a camera keeps and
sends is completed in every way that could be; what was certain before is found in each of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args

import pytest

from tests.place.random_rigs import EXAMINER, rig_from, whole_text
from topo.analysis.study import Study
from topo.frozen import replace
from topo.model.facts import Fact, Figure
from topo.model.finding import Finding
from topo.model.outcome import Lost
from topo.model.rig import Rig

CHUNK = 10


def completed(rig: Rig) -> Iterator[Rig]:
    """The rig with what it leaves open told, at either end of what it could be."""
    for apart in (True, False):
        sockets = tuple(
            socket if socket.usb2_bus is not None or socket.kind != "usb"
            else replace(socket, usb2_bus=f"own {socket.name}" if apart else "one")
            for socket in rig.computer.sockets
        )
        word: Any = "per-port" if apart else "one"
        hubs = tuple(
            hub if hub.facts.translators is not None
            else replace(hub, facts=replace(hub.facts, translators=Fact(word, "declared"))) for hub in rig.hubs
        )
        wired = replace(rig, computer=replace(rig.computer, sockets=sockets), hubs=hubs)
        yield wired
        yield replace(wired, devices=tuple(_told(part, apart) for part in rig.devices))


def _told(part: Any, easy: bool) -> Any:
    """A camera that sends slowly and keeps a whole frame, or sends as fast as it can and keeps little."""
    if not part.sends_frames:
        return part
    facts = part.facts
    told = {"readout_mb_per_s": 1.0 if easy else 400.0, "frame_memory_mb": 2000.0 if easy else 0.0,
            "fifo_kb": 512.0 if easy else 2.0}
    open_ = {name: Fact(value, "declared") for name, value in told.items() if getattr(facts, name) is None}
    return replace(part, facts=replace(facts, **open_))


def doubted(rig: Rig) -> Rig:
    """The rig with its buses left open, and no readout said of every second camera."""
    sockets = tuple(replace(socket, usb2_bus=None) for socket in rig.computer.sockets)
    devices = tuple(
        replace(part, facts=replace(part.facts, readout_mb_per_s=None)) if number % 2 and part.sends_frames else part
        for number, part in enumerate(rig.devices)
    )
    return replace(rig, computer=replace(rig.computer, sockets=sockets), devices=devices)


def certain(findings: tuple[Finding, ...]) -> set[tuple[str, str]]:
    return {(finding.name, finding.part) for finding in findings if finding.certainty == "certain"}


@pytest.mark.parametrize("start", range(0, 120, CHUNK))
def test_what_is_certain_is_so_in_every_rig_that_it_could_be(start: int) -> None:
    seen = 0
    for seed in range(start, start + CHUNK):
        rig = doubted(rig_from(whole_text(seed)))
        findings = EXAMINER(Study(rig))
        for finding in findings:
            if finding.certainty == "certain":
                guessed = [figure for figure in finding.figures if figure.basis == "assumed"]
                assert not any(_is_a_verdict(figure) for figure in guessed), (seed, finding)
        for told in completed(rig):
            found = {(finding.name, finding.part) for finding in EXAMINER(Study(told))}
            assert certain(findings) <= found, (seed, certain(findings) - found)
            seen += len(certain(findings))
    assert seen


def test_what_is_not_known_makes_no_loss_milder() -> None:
    seen = 0
    for seed in range(60):
        rig = rig_from(whole_text(seed))
        sockets = tuple(replace(socket, usb2_bus=None) for socket in rig.computer.sockets)
        open_ = replace(rig, computer=replace(rig.computer, sockets=sockets))
        was, now = ({f.part for f in EXAMINER.named["frame-lost"](Study(each)) if f.severity == "fault"}
                    for each in (rig, open_))
        assert was <= now, seed
        seen += len(was)
    assert seen > 10


def _is_a_verdict(figure: Figure) -> bool:
    return figure.value in get_args(Lost) and figure.value != "no"
