"""Which names may stay."""

from __future__ import annotations

import pytest

from topo.pack.names import Names, is_plain


@pytest.mark.parametrize("name", ["main-camera", "guide-camera", "pier-hub", "hub2", "hub-2", "focuser", "usb3-1",
                                  "dew-heater-2", "all-sky".replace("all-sky", "allsky-camera"), "camera-a"])
def test_plain_names_stay(name: str) -> None:
    assert is_plain(name)


@pytest.mark.parametrize("name", ["", "hillside-hub", "annas-camera", "Camera", "hub 2", "camera-2024", "mount_1",
                                  "hub-192", "camera--2", "-hub", "hub-", "cámara", "hub\n", "x" * 50, "192.168.0.1"])
def test_other_names_go(name: str) -> None:
    assert not is_plain(name)


def test_new_names_are_one_to_one_and_never_taken() -> None:
    names = Names()
    names.reserve(["hub-1", "hub-3", "annas-hub"])
    made = [names(name, "hub") for name in ("annas-hub", "hub-1", "bens-hub", "hub-3", "cleos-hub")]
    assert made == ["hub-2", "hub-1", "hub-4", "hub-3", "hub-5"]
    assert names.changed == 3
