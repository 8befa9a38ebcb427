"""Two changes at once: one wait for both, and trouble that stays clears both. Only quick ones, none of the 12 V side.

Waiting is what a chase of intermittent trouble is made of, so two changes of a few minutes under one wait tell more for
each minute than one after the other, as long as many are suspected. Where the trouble goes, either may be why, and the
next test parts the two.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from topo.chase.trials import Rewired
from topo.chase.tweaks import Tweak
from topo.chase.wires import SPARE, Hookup, Wires, Wiring
from topo.frozen import frozen, replace

QUICK = frozenset((
    "lower-limit", "leave-idle", "loads-off", "darks", "5-ghz", "other-socket", "spare-cable", "swap-sockets",
    "swap-cables", "other-controller", "power-saving-off",
))
"""Changes that may be made two at once: settings, and plugs that are moved in a few minutes."""
AND = "+"
"""Between the two in the key of such a test, and in its kind."""


@frozen
class Doable:
    """A change as it would be made on this rig: its key, the way, the wiring it makes, and its words with names in.

    `both` are the keys of the two that are made at once.
    """

    key: str
    way: Tweak
    trial: Rewired
    words: str
    both: tuple[str, ...] = ()


def doable(way: Tweak, trial: Rewired) -> Doable:
    """One change alone."""
    words = way.words.format(piece=trial.piece, other=trial.other, to=trial.to)
    return Doable(f"{way.name}/{trial.key}", way, trial, words)


def two_at_once(rig: Wires, made: Sequence[Doable]) -> tuple[Doable, ...]:
    """Every two of these changes that go together, a stress after what it is to stress."""
    quick = sorted((each for each in made if each.way.name in QUICK), key=lambda each: bool(each.trial.hurried))
    found = []
    for place, one in enumerate(quick):
        for two in quick[place + 1 :]:
            trial = _both(rig, one.trial, two.trial)
            if trial is not None:
                words = f"Two things at once. {one.words} {two.words}"
                key, way = f"{one.key}{AND}{two.key}", _way(one.way, two.way)
                found.append(Doable(key, way, trial, words, (one.key, two.key)))
    return tuple(found)


def _way(one: Tweak, two: Tweak) -> Tweak:
    return replace(
        one,
        name=f"{one.name}{AND}{two.name}",
        minutes=one.minutes + two.minutes,
        effort="plug" if "plug" in (one.effort, two.effort) else "setting",
        needs=tuple(dict.fromkeys((*one.needs, *two.needs))),
        lost=max(one.lost, two.lost),
        caution=" ".join(dict.fromkeys(re.findall(r"\S[^.]*\.", f"{one.caution} {two.caution}"))),
    )


def _both(rig: Wires, one: Rewired, two: Rewired) -> Rewired | None:
    """The two trials together; None where one is in the other's way or they do not watch the same parts."""
    if one.watch != two.watch or (one.hurried and two.hurried) or one.to == two.to == "swap":
        return None  # of two exchanges nobody could say which of them the trouble moved with
    if _idled(one, two) or _idled(two, one):
        return None
    wires = _wires(rig, one, two)
    if wires is None:
        return None
    return Rewired(
        one.piece, Wiring(rig, wires, one.wiring.changed | two.wiring.changed),
        touched=tuple(dict.fromkeys((*one.touched, *two.touched))), watch=one.watch, pace=max(one.pace, two.pace),
        hurried=one.hurried or two.hurried,
    )


def _idled(one: Rewired, two: Rewired) -> bool:
    """True where one leaves a part idle that the other works with: it could show nothing there."""
    return any(("idle", part) in one.wiring.changed for part in (two.piece, two.other))


def _wires(rig: Wires, one: Rewired, two: Rewired) -> tuple[Hookup, ...] | None:
    """The wires after both; None where both move the same thing, need one socket, or more than one spare cable."""
    found = []
    for wire, first, second in zip(rig.wires, one.wiring.wires, two.wiring.wires, strict=True):
        if first == wire or second == wire:
            found.append(second if first == wire else first)
            continue
        plug, cable = first.cable == wire.cable, second.cable == wire.cable
        if plug == cable:  # both move the plug, or both change the cable
            return None
        moved, recabled = (first, second) if plug else (second, first)
        if (recabled.above, recabled.socket) != (wire.above, wire.socket):
            return None
        found.append(replace(moved, cable=recabled.cable))
    plugs = {(wire.above, wire.socket) for wire in found}
    spares = sum(wire.cable == SPARE for wire in found)
    return tuple(found) if len(plugs) == len(found) and spares <= 1 else None
