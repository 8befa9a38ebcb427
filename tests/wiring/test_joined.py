"""Which sightings are one thing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.live.recordings.make import MACHINES
from tests.live.tools import build, recording
from topo.live.sysfs import scan
from topo.model.sighting import Scan
from topo.wiring.joined import Sides, joined


@pytest.fixture
def pier(tmp_path: Path) -> Scan:
    return scan(str(build(recording("pier"), tmp_path)))


def hubs(found: Scan) -> list[tuple[tuple[str, ...], str | None]]:
    return [(sides.members, sides.joined_by) for sides in joined(found) if sides.kind == "hub"]


def without_container(found: Scan) -> Scan:
    return replace(found, sightings=tuple(replace(s, container_id=None) for s in found.sightings))


def test_by_container_id_first(pier: Scan) -> None:
    assert hubs(pier) == [(("1-3", "2-1"), "container id")]


def test_by_peer_ports_without_one(pier: Scan) -> None:
    assert hubs(without_container(pier)) == [(("1-3", "2-1"), "peer ports")]


def test_not_at_all_where_neither_tells(pier: Scan) -> None:
    bare = replace(without_container(pier), ports=())
    assert hubs(bare) == [(("1-3",), None), (("2-1",), None)]


def test_a_container_id_that_two_hubs_share_is_not_believed(pier: Scan) -> None:
    first = next(s for s in pier.sightings if s.id == "1-3")
    other = replace(first, id="1-4", ports=(4,), devnum=30)
    found = replace(pier, sightings=(*pier.sightings, other))
    assert hubs(found) == [(("1-3", "2-1"), "peer ports"), (("1-4",), None)]


def test_a_camera_with_a_hub_inside_is_one_device(tmp_path: Path) -> None:
    found = scan(str(build(recording("camera-with-hub"), tmp_path)))
    assert Sides("device", ("1-1", "2-5"), "peer ports") in joined(found)


@pytest.mark.parametrize("name", sorted(MACHINES))
def test_each_sighting_is_in_one_thing(name: str, tmp_path: Path) -> None:
    found = scan(str(build(recording(name), tmp_path)))
    members = [member for sides in joined(found) for member in sides.members]
    assert sorted(members) == sorted(s.id for s in found.sightings)
