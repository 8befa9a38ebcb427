"""Which camera a program takes: closed form against every order there can be."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import permutations, product

import pytest

from topo.compare.picking import Listed, exchanged, steady_number, taken_after_restart, taken_now


def every_order(cameras: tuple[Listed, ...]) -> Iterator[tuple[str, ...]]:
    """Every list a restart can bring, written out: controllers in any order, each bus of one in its own, and on a bus
    any order."""
    controllers = sorted({c.controller for c in cameras})
    for order in permutations(controllers):
        blocks = []
        for controller in order:
            for bus in sorted({c.bus for c in cameras if c.controller == controller}):
                names = [c.name for c in cameras if c.controller == controller and c.bus == bus]
                blocks.append([list(p) for p in permutations(names)])
        for choice in product(*blocks):
            yield tuple(name for block in choice for name in block)


def some_cameras(seed: int) -> tuple[Listed, ...]:
    """Up to five cameras on up to three controllers of one or two buses."""
    chance = random.Random(seed)
    made = []
    for number in range(chance.randint(1, 5)):
        controller = chance.choice("abc")
        fast = chance.random() < 0.5
        bus = 2 * "abc".index(controller) + 1 + fast
        chain = tuple(chance.randint(1, 4) for _ in range(chance.randint(1, 3)))
        made.append(Listed(f"cam-{number}", controller, bus, chain, chance.randint(2, 60), fast))
    return tuple(made)


@pytest.mark.parametrize("seed", range(300))
def test_after_a_restart_against_every_order(seed: int) -> None:
    cameras = some_cameras(seed)
    lists = list(every_order(cameras))
    for number in range(1, len(cameras) + 2):
        wanted = {order[number - 1] for order in lists if number <= len(order)}
        assert taken_after_restart(cameras, number) == wanted


@pytest.mark.parametrize("seed", range(100))
def test_now_is_one_of_two_lists(seed: int) -> None:
    cameras = some_cameras(seed)
    numbers = range(1, len(cameras) + 1)
    by_place = [c.name for c in sorted(cameras, key=lambda c: (c.bus, c.chain, c.name))]
    by_coming = [c.name for c in sorted(cameras, key=lambda c: (c.bus, c.devnum, c.name))]
    wanted = [frozenset(both) for both in zip(by_place, by_coming, strict=True)]
    assert [taken_now(cameras, n) for n in numbers] == wanted
    assert taken_now(cameras, len(cameras) + 1) == frozenset()


@pytest.mark.parametrize("seed", range(200))
def test_a_steady_place_is_steady_in_every_order(seed: int) -> None:
    cameras = some_cameras(seed)
    for camera in cameras:
        number = steady_number(cameras, camera.name)
        always = [n for n in range(1, len(cameras) + 1)
                  if {order[n - 1] for order in every_order(cameras)} == {camera.name}]
        assert ([number] if number is not None else []) == always


def test_sockets_are_exchanged_on_one_side_of_usb_only() -> None:
    slow = (Listed("a", "x", 1, (1,), 5, False), Listed("b", "x", 1, (2,), 4, False))
    then = exchanged(slow, "a", "b")
    assert then is not None and taken_now(then, 1) == {"b"} and taken_now(slow, 1) == {"a", "b"}
    assert exchanged((*slow, Listed("c", "x", 2, (1,), 3, True)), "a", "c") is None
