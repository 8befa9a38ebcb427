"""Computers: sockets, what serves them and what they hang on, against the figures of the standards."""

from __future__ import annotations

import re

import pytest

from tests.profiles.shipped import COMPUTERS, PROFILES, by_name
from topo.model.facts import value_of
from topo.model.profile import Profile
from topo.usb.pcie import uplink_mb_per_s

ONE_USB_PORT_MB_PER_S = 474.93
"""Payload ceiling of 5 Gb/s (USB 3.2 6.3, 6.4.3, 7.2)."""


@pytest.mark.parametrize("profile", COMPUTERS, ids=by_name)
def test_sockets_are_named_for_their_speed_and_counted_from_one(profile: Profile) -> None:
    assert profile.sockets, "a computer lists its sockets under `ports:`, each with its controller"
    seen: dict[str, int] = {}
    for socket in profile.sockets:
        word, number = re.fullmatch(r"(usb3|usb2|card)-(\d+)", socket.name).groups()  # type: ignore[union-attr]
        seen[word] = seen.get(word, 0) + 1
        assert int(number) == seen[word]
        assert socket.speed.is_superspeed == (word != "usb2")
        assert socket.controller is not None and socket.basis == "profile"
    for count, word in re.findall(r"(\d)(usb[23])", profile.name):
        assert seen.get(word) == int(count), "the sockets are those that the name counts"


@pytest.mark.parametrize("profile", COMPUTERS, ids=by_name)
def test_a_shared_bus_is_stated_only_with_its_source(profile: Profile) -> None:
    stated = any(socket.usb2_bus is not None for socket in profile.sockets)
    assert stated == profile.name.startswith("small-board"), "published of small boards alone"
    assert not stated or all(socket.usb2_bus is not None for socket in profile.sockets)


def test_small_boards_share_as_published() -> None:
    """All USB 2 traffic of one board, from its USB 3 sockets too, is on one bus; the newer one has two controllers."""
    buses = {"small-board-2usb3-2usb2": 1, "small-board-shared-bus": 1, "small-board-two-controllers": 2}
    for name, count in buses.items():
        sockets = PROFILES[name].sockets
        assert len({(socket.controller, socket.usb2_bus) for socket in sockets}) == count
    for name, milliamps in (("small-board-old-shared-bus", 600), ("small-board-shared-bus", 1200)):
        assert value_of(PROFILES[name].facts.all_ports_ma) == milliamps


@pytest.mark.parametrize("profile", [p for p in COMPUTERS if p.controllers], ids=by_name)
def test_one_lane_is_less_than_one_socket_could_carry(profile: Profile) -> None:
    """PCIe 2.0, one lane: 500 MB/s raw, about 421 MB/s of payload at 128 bytes a packet; half of it for PCIe 1."""
    for controller in profile.controllers:
        assert controller.uplink is not None
        expected = {"pcie2x1": 421.1, "pcie1x1": 210.5}[controller.uplink.value]
        carries = uplink_mb_per_s(controller.uplink.value)
        assert carries == pytest.approx(expected, rel=0.1)
        assert carries < ONE_USB_PORT_MB_PER_S


def test_the_kernel_pool_is_its_default_where_the_system_is_told() -> None:
    for profile in COMPUTERS:
        if value_of(profile.facts.os) == "linux":
            assert value_of(profile.facts.usbfs_memory_mb) == 16, "a profile with `os: linux` states the pool it has"
