"""Two changes at once: on any rig they can be made together, tell what neither tells alone, and touch no 12 V."""

from __future__ import annotations

import random
from collections import Counter

import pytest

from tests.chase.problems import problems
from tests.chase.rigs import random_rig
from topo.chase.at_once import AND, QUICK, doable, two_at_once
from topo.chase.belief import believe
from topo.chase.choose import WORTH_TWO, choose, now
from topo.chase.rhythm import every
from topo.chase.tweaks import TWEAKS
from topo.chase.wires import SPARE, Hookup
from topo.model.chase import Reply

MOVED = ("above", "socket", "cable")


@pytest.mark.parametrize("seed", range(40))
def test_both_can_be_made_together(seed: int) -> None:
    rng = random.Random(seed)
    rig = random_rig(rng)
    victims = (rng.choice(rig.devices).part,)
    made = [doable(way, trial) for way in TWEAKS for trial in way.make(rig, victims)]
    of = {each.key: each for each in made}
    for both in two_at_once(rig, made):
        one, two = (of[key] for key in both.both)
        wires = both.trial.wiring.wires
        plugs = Counter((wire.above, wire.socket) for wire in wires)
        assert max(plugs.values()) == 1, both.key
        assert sum(wire.cable == SPARE for wire in wires) <= 1
        assert {wire.part for wire in wires} == {wire.part for wire in rig.wires}
        for wire, first, second, last in zip(
            rig.wires, one.trial.wiring.wires, two.trial.wiring.wires, wires, strict=True
        ):
            for what in MOVED:
                assert _value(last, what) == _made(wire, first, second, what), both.key
        assert both.trial.wiring.changed == one.trial.wiring.changed | two.trial.wiring.changed
        assert set(both.trial.touched) == {*one.trial.touched, *two.trial.touched}
        assert both.way.minutes == one.way.minutes + two.way.minutes
        assert both.way.effort in ("setting", "plug")
        for here, there in ((one, two), (two, one)):  # nothing works with what is left idle
            idle = {part for what, part in here.trial.wiring.changed if what == "idle"}
            assert idle.isdisjoint((there.trial.piece, there.trial.other))


def _value(wire: Hookup, what: str) -> str:
    return str(getattr(wire, what))


def _made(wire: Hookup, first: Hookup, second: Hookup, what: str) -> str:
    """What either of the two changes makes of it, written otherwise than the code does."""
    changed = {_value(each, what) for each in (first, second)} - {_value(wire, what)}
    assert len(changed) <= 1
    return changed.pop() if changed else _value(wire, what)


def test_the_quick_ones_are_ways_and_touch_no_power() -> None:
    ways = {way.name: way for way in TWEAKS}
    assert set(ways) >= QUICK
    assert all(ways[name].effort != "power" for name in QUICK)


def test_each_tells_what_neither_tells_alone() -> None:
    for case in problems(3)[:25]:
        rows = dict(zip((test.key for test in case.tests), case.table, strict=True))
        for test in case.tests:
            if test.both:
                assert test.key == AND.join(test.both)
                assert rows[test.key] not in [rows[t.key] for t in case.tests if not t.both and not t.is_look]


def test_one_change_is_advised_unless_two_tell_more() -> None:
    for case in problems(3)[:25]:
        belief = believe(case, every(20.0), [Reply(t.key, t.outcomes[-1]) for t in case.tests if t.is_look][:1])
        option = choose(belief, ()).option
        if option is None or not case.tests[option.number].both:
            continue
        alone = max(o.per_minute for o in now(belief, ()) if not case.tests[o.number].both)
        assert max(o.per_minute for o in now(belief, ()) if o.number == option.number) >= WORTH_TWO * alone
