"""Rigs for tests of the chase: wires only, random but wired as a person would."""

from __future__ import annotations

import random

from topo.chase.wires import Feed, Hookup, Root, Wires
from topo.model.rig import COMPUTER, Role

ROOTS = (
    Root("usb3-1", "front", "bus-1"), Root("usb3-2", "front", "bus-1"), Root("usb3-3", "back", "bus-2"),
    Root("usb3-4", "back", "bus-2"), Root("usb2-1", "back", "bus-2"), Root("usb2-2", "back", "bus-2"),
)
FAST = ("usb3-1", "usb3-2", "usb3-3", "usb3-4")
SLOW_ROLES: tuple[Role, ...] = ("mount", "focuser", "filter-wheel", "rotator", "dew", "power", "weather", "flat-panel")


def random_rig(rng: random.Random) -> Wires:
    """A computer with two controllers, none to two hubs, two cameras and two to eight slow parts."""
    hubs = [f"hub-{i}" for i in range(rng.choice((0, 1, 1, 2, 2)))]
    free = {COMPUTER: [root.socket for root in ROOTS], **{hub: [str(i) for i in range(1, 8)] for hub in hubs}}
    wires: list[Hookup] = []
    fast_above = {COMPUTER: True}
    for hub in hubs:
        socket = free[COMPUTER].pop(0)
        fast_above[hub] = rng.random() < 0.7
        wires.append(Hookup(hub, "hub", "other", COMPUTER, socket, hub, "usb3" if fast_above[hub] else "usb2",
                          fast_above[hub]))
    roles: list[Role] = ["imaging", "guiding", *rng.sample(SLOW_ROLES, rng.randint(4, 8) if hubs else 2)]
    roles += ["storage"] * (rng.random() < 0.5) + ["imaging"] * (rng.random() < 0.4)
    for number, role in enumerate(roles):
        wires.append(_device(rng, f"{role}-{number}", role, hubs, free, fast_above))
    names = [wire.part for wire in wires]
    feeds = [Feed(f"{name}-lead", "battery", name) for name in names if rng.random() < 0.4]
    return Wires(
        "random", tuple(wires), ROOTS, tuple((part, socket) for part in free for socket in free[part]), tuple(feeds),
        ("battery",) if feeds else (), tuple(w.part for w in wires if w.role in ("imaging", "dew")), tuple(hubs), FAST,
    )


def _device(
    rng: random.Random, part: str, role: Role, hubs: list[str], free: dict[str, list[str]], fast_above: dict[str, bool]
) -> Hookup:
    above = rng.choice([*hubs, *hubs, COMPUTER]) if len(free[COMPUTER]) > 1 else (hubs or [COMPUTER])[-1]
    if not free[above]:
        above = next(name for name in free if free[name])
    sockets = free[above]
    picture = role in ("imaging", "guiding")
    quick = role in ("imaging", "storage") and fast_above[above] and rng.random() < 0.8
    socket = sockets.pop(0 if quick or above != COMPUTER else -1)
    fast = quick and (above != COMPUTER or socket in FAST)
    return Hookup(
        part, "device", role, above, socket, part, "usb3" if fast else "usb2", fast, picture, picture,
        role in ("filter-wheel", "focuser", "rotator", "flat-panel"), exposure_s=120.0 if role == "imaging" else 0.0,
    )
