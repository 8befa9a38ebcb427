"""Blocks of usb/devices text put together to a tree, by their order and level alone.

The parent of a block is the last one above it on its bus whose level is one less. Several versions of the `usb-devices`
script print a wrong number for the parent (a shell variable that was not local), and all versions print blocks in
order; the kernel's own text agrees with both.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from topo.frozen import frozen, replace
from topo.live.listings.assemble import root_hub
from topo.model.sighting import HostController, Sighting, device_id


@frozen
class UsbDevicesBlock:
    """What a block says of its place: level from 0, socket from 1, and the number it gives for its parent."""

    bus: int
    level: int
    socket: int
    parent: int
    devnum: int
    sighting: Sighting


def planted(blocks: Iterable[UsbDevicesBlock], problems: list[str]) -> list[Sighting]:
    """Sightings with their port chains. What has no hub above it in the text is kept, its place unknown."""
    above: dict[tuple[int, int], tuple[int, Sighting]] = {}
    kept: dict[str, Sighting] = {}
    numbers: set[tuple[int, int]] = set()
    for block in blocks:
        if (block.bus, block.devnum) in numbers:
            problems.append(f"bus {block.bus} device {block.devnum} is there twice; the second was left out")
            continue
        numbers.add((block.bus, block.devnum))
        seen = _seen(block, above, problems)
        for level in [at for at in above if at[0] == block.bus and at[1] >= block.level]:
            del above[level]
        if seen.id in kept:
            problems.append(f"two devices claim the place {seen.id}; the second was left out")
            continue
        kept[seen.id] = seen
        if seen.ports or seen.is_root:
            above[block.bus, block.level] = (block.devnum, seen)
    for bus in sorted({seen.bus for seen in kept.values() if seen.ports}):
        kept.setdefault(device_id(bus, ()), root_hub(bus))
    return list(kept.values())


def _seen(block: UsbDevicesBlock, above: dict[tuple[int, int], tuple[int, Sighting]], problems: list[str]) -> Sighting:
    own = block.sighting
    if block.level == 0:
        return replace(own, id=device_id(block.bus, ()))
    number, hub = above.get((block.bus, block.level - 1), (None, None))
    if hub is None and block.level == 1:  # the text begins below the root hub: the socket is told all the same
        chain, root = (block.socket,), device_id(block.bus, ())
        return replace(own, id=device_id(block.bus, chain), ports=chain, parent=root)
    if hub is None:
        problems.append(f"bus {block.bus} device {block.devnum}: the hub above it is not in the text")
        return own
    if number != block.parent:
        problems.append(
            f"bus {block.bus} device {block.devnum}: the text names device {block.parent} as its parent; by level and "
            f"order it is device {number}, which is right where the two disagree"
        )
    ports = (*hub.ports, block.socket)
    return replace(own, id=device_id(block.bus, ports), ports=ports, parent=hub.id)


def controllers_of(sightings: Sequence[Sighting]) -> tuple[tuple[HostController, ...], list[Sighting]]:
    """Root hubs tell their controller's name as their serial number: buses with the same one share it."""
    buses: dict[str, list[int]] = {}
    for root in sorted((s for s in sightings if s.is_root), key=lambda s: s.bus):
        if root.serial:
            buses.setdefault(root.serial, []).append(root.bus)
    of_bus = {bus: name for name, numbers in buses.items() for bus in numbers}
    named = [replace(seen, controller=of_bus.get(seen.bus)) for seen in sightings]
    return tuple(HostController(name, tuple(numbers)) for name, numbers in buses.items()), named
