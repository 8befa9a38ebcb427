"""The order of findings, and assumptions told once."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Any, cast

from tests.facts import facts
from tests.report.hand_made import FILE, finding, note, report, rig, study
from topo.model.declare import over
from topo.model.records import CableFacts, DeviceFacts
from topo.model.rig import Place, Socket
from topo.model.speed import Speed
from topo.report.assumed import assumed_devices, assumptions
from topo.wiring.topology import Topology


def test_findings_come_by_severity_then_certainty_then_place() -> None:
    ordered = (
        finding(name="a", severity="fault", certainty="certain", place=Place(FILE, 90, 1)),
        finding(name="b", severity="fault", place=Place(FILE, 3, 1)),
        finding(name="c", certainty="certain", place=Place(FILE, 3, 1)),
        finding(name="d", place=Place(FILE, 3, 1)),
        finding(name="e", place=Place(FILE, 3, 5)),
        finding(name="f", place=Place(FILE, 20, 1)),
        note(1),
    )
    for shuffled in itertools.islice(itertools.permutations(ordered), 0, 5040, 97):
        assert report(*shuffled).findings == ordered
    assert report(*ordered).verdict == "fault"
    assert report().verdict == "clear"


def test_troubles_are_told_once() -> None:
    assert report(troubles=("x failed", "y failed", "x failed")).troubles == ("x failed", "y failed")


def _assumptions(of: Any) -> tuple[str, ...]:
    return assumptions(cast(Any, of))


def test_each_assumption_is_told_once_with_all_it_touches() -> None:
    made = study()
    twice = replace(made, links=(made.links[0], replace(made.links[0], id="other", label="USB 2 bus two")))
    told = _assumptions(twice)
    assert len(told) == len(set(told))
    assert "all sockets of the controller are assumed to share one bus (USB 2 bus one, USB 2 bus two)." in told
    assert "speed is taken as 480 Mb/s, since none is given (guide-camera)." in told
    assert "samples are taken to have 16 bits (main-camera, guide-camera)." in told


def test_what_is_declared_is_no_assumption() -> None:
    known = facts(DeviceFacts, sample_bits=16, readout_mb_per_s=37.0, speed="high")
    made = study()
    parts = tuple(replace(part, facts=over(part.facts, known)) for part in made.rig.devices)
    declared = replace(made.rig, devices=parts)
    plain_links = tuple(replace(link, assumption="", basis="profile") for link in made.links)
    told = replace(made, rig=declared, topology=Topology(declared), links=plain_links)
    assert _assumptions(told) == ()
    assert assumed_devices(cast(Any, told)) == frozenset()


def test_assumed_sockets_and_cables_are_told() -> None:
    of = rig()
    sockets = (Socket("usb3-1", Speed.SUPER, controller="usb", basis="assumed"), of.computer.sockets[1])
    camera = replace(of.devices[0], cable=facts(CableFacts, length_m=1.0))
    of = replace(of, computer=replace(of.computer, sockets=sockets), devices=(camera, *of.devices[1:]))
    made = study(of)
    fast = replace(made, devices=(replace(made.devices[0], speed=Speed.SUPER), *made.devices[1:]))
    told = _assumptions(fast)
    assert "the socket is taken to be a 5000 Mb/s one, as its name suggests (computer/usb3-1)." in told
    assert "the cable is taken to carry SuperSpeed, since its grade is not given (main-camera)." in told
    assert "main-camera" in assumed_devices(cast(Any, fast))


def test_many_names_are_counted() -> None:
    made = study()
    links = tuple(replace(made.links[0], id=str(n), label=f"bus {n}") for n in range(10))
    assert any(text.endswith("bus 5 and 4 more).") for text in _assumptions(replace(made, links=links)))
