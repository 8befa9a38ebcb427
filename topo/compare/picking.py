"""Which camera a program takes that picks by a place in a list, a name, a serial number or a socket. Pure, no scan.

Programs list cameras in one of two orders: as they came up (bus, device number) or by place (bus, chain of ports):
common practice, no source. After a restart controllers count their buses in any order, each its USB 2 bus before its
SuperSpeed bus, and on one bus devices come up in any order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from topo.frozen import frozen, replace


@frozen
class Listed:
    """A camera in the list of a driver. `bus` and `chain` are its place, `devnum` when it came up (None: not told).

    `fast` tells whether it is on the SuperSpeed side of its socket.
    """

    name: str
    controller: str
    bus: int
    chain: tuple[int, ...] = ()
    devnum: int | None = None
    fast: bool | None = None


def taken_now(cameras: Iterable[Listed], number: int) -> frozenset[str]:
    """The cameras that a program may take now as number `number`, from 1; none where the list is shorter."""
    kept = tuple(cameras)
    orders = [sorted(kept, key=lambda c: (c.bus, c.chain, c.name))]
    if all(c.devnum is not None for c in kept):
        orders.append(sorted(kept, key=lambda c: (c.bus, c.devnum or 0, c.name)))
    return frozenset(order[number - 1].name for order in orders if 0 < number <= len(order))


def taken_after_restart(cameras: Iterable[Listed], number: int) -> frozenset[str]:
    """The cameras that a program may take after a restart as number `number`, from 1.

    A camera can stand at a position where the cameras before it are those on earlier buses of its controller, any
    number of those on its own bus, and all of any set of other controllers.
    """
    kept = tuple(cameras)
    found = set()
    for camera in kept:
        beside = sum(c.bus == camera.bus and c.controller == camera.controller for c in kept)
        before = sum(c.controller == camera.controller and c.bus < camera.bus for c in kept)
        others = _sums([sum(c.controller == name for c in kept) for name in sorted({c.controller for c in kept})
                        if name != camera.controller])
        if any(1 <= number - before - total <= beside for total in others):
            found.add(camera.name)
    return frozenset(found)


def _sums(sizes: Sequence[int]) -> frozenset[int]:
    """Every total that some of the sizes can give."""
    totals = {0}
    for size in sizes:
        totals |= {total + size for total in totals}
    return frozenset(totals)


def exchanged(cameras: Iterable[Listed], one: str, other: str) -> tuple[Listed, ...] | None:
    """The cameras with two of them in each other's sockets; when they come up then is not known. None where they are on
    different sides of USB: each would then be on its own side of the other's socket, whose number is not known."""
    kept = {c.name: c for c in cameras}
    first, second = kept[one], kept[other]
    if first.fast is None or first.fast != second.fast:
        return None
    kept[one] = replace(second, name=one)
    kept[other] = replace(first, name=other)
    return tuple(replace(c, devnum=None) for c in kept.values())


def steady_number(cameras: Iterable[Listed], name: str) -> int | None:
    """The place in the list that is this camera's now and after any restart, from 1; None where there is none."""
    kept = tuple(cameras)
    for number in range(1, len(kept) + 1):
        if taken_now(kept, number) == taken_after_restart(kept, number) == {name}:
            return number
    return None
