"""The trials a rig allows: each way to change something, applied to the pieces near the victims. No words here.

A trial is a wiring, what was touched on the way, and whom to watch. Whether it tells anything is not asked here.
"""

from __future__ import annotations

from collections.abc import Iterable

from topo.chase import reach
from topo.chase.wires import ELSEWHERE, SPARE, Hookup, Wires, Wiring
from topo.frozen import frozen
from topo.model.chase import Victims
from topo.model.rig import COMPUTER

_HURRY = 15.0
"""How many times as often darks of 10 s bring on what comes with data, at most: half of how many times as many
downloads they give (judgement, cautious)."""


@frozen
class Rewired:
    """A wiring to try. `touched` are contacts handled: cable:C, socket:P/S, lead:L. `watch` empty: the victims.

    `hurried` are suspects, kind/piece, that come `pace` times as often meanwhile. `piece`, `other`, `to` are for words.
    """

    piece: str
    wiring: Wiring
    other: str = ""
    to: str = ""
    touched: tuple[str, ...] = ()
    watch: Victims = ()
    pace: float = 1.0
    hurried: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """The piece, with what it is exchanged with: what tells trials of one way apart."""
        return f"{self.piece}/{self.other}" if self.to in ("swap", "idle") else self.piece


# -- settings ---------------------------------------------------------------------------------------------------------


def lower_limit(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """A lower transfer limit for each victim that has one."""
    return tuple(Rewired(part, rig.now.having(("limited", part))) for part in reach.limited(rig, victims))


def leave_idle(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each other sender that shares a bus with a victim left idle."""
    seen: dict[str, str] = {}
    for pair in reach.pairs(rig, victims):
        victim, other = pair.split(reach.BETWEEN)
        seen.setdefault(other, victim)
    return tuple(Rewired(victim, rig.now.having(("idle", other)), other, "idle") for other, victim in seen.items())


def loads_off(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Heaters and coolers off, where there are any."""
    return (Rewired(COMPUTER, rig.now.having(("off", "loads")), ", ".join(rig.loads)),) if rig.loads else ()


def darks(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Downloads brought on: for an imaging camera with long exposures that is a victim or shares a victim's bus.

    What comes with data comes sooner: sharing, limits, the camera, the computer that saves, and all on the path.
    """
    near = [*victims, *(pair.split(reach.BETWEEN)[1] for pair in reach.pairs(rig, victims))]
    found = []
    for part in dict.fromkeys(near):
        wire = rig.wire(part)
        pace = min(_HURRY, wire.exposure_s / 20.0)
        if wire.role == "imaging" and pace >= 3.0:
            hurried = [f"sharing/{pair}" for pair in reach.pairs(rig, victims) if part in pair.split(reach.BETWEEN)]
            hurried += [f"limit/{part}", f"device/{part}", f"host/{COMPUTER}"]
            root = rig.now.root(part)
            hurried += [] if root is None else [f"controller/{root.controller}"]
            for above in rig.now.path(part):  # more data for all on its path; no other volts and no other sky
                hurried += [f"cable/{above}", f"superspeed/{above}", f"socket/{_plug(rig.wire(above))}", f"hub/{above}"]
            found.append(Rewired(part, rig.now, pace=pace, hurried=tuple(hurried)))
    return tuple(found)


def cap_on(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each guide camera among the victims with its cap on: whatever the sky does, it cannot be seen then."""
    return tuple(Rewired(part, rig.now.having(("capped", part))) for part in victims
                 if rig.wire(part).role == "guiding")


def five_ghz(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Off the 2.4 GHz band, where a victim is a radio."""
    return tuple(Rewired(part, rig.now.having(("5 GHz", COMPUTER))) for part in reach.wireless(rig, victims))


def power_saving_off(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Nothing put to sleep."""
    return (Rewired(COMPUTER, rig.now.having(("awake", COMPUTER))),) if victims else ()


def lasting_name(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """The program of a victim told to open the name that lasts."""
    return tuple(Rewired(part, rig.now.having(("named", part))) for part in reach.talkers(rig, victims))


def nothing_else(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """No other program and no service that opens ports."""
    return (Rewired(COMPUTER, rig.now.having(("alone", COMPUTER))),) if reach.talkers(rig, victims) else ()


# -- plugs ------------------------------------------------------------------------------------------------------------


def other_socket(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each plug on the path moved to a free socket of the same part."""
    found = []
    for wire in _on_path(rig, victims):
        free = next((socket for part, socket in rig.free if part == wire.above and _fits(rig, wire, socket)), None)
        if free is not None:
            wiring = rig.now.with_wire(wire.part, socket=free)
            found.append(Rewired(wire.part, wiring, _plug(wire), f"{wire.above}/{free}", _contacts(wire)))
    return tuple(found)


def spare_cable(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each cable on the path replaced."""
    return tuple(
        Rewired(wire.part, rig.now.with_wire(wire.part, cable=SPARE), touched=_contacts(wire))
        for wire in _on_path(rig, victims)
    )


def swap_sockets(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each plug on the path exchanged with that of a neighbour on the same part."""
    found = []
    for wire in _on_path(rig, victims):
        for other in _neighbours(rig, wire, victims)[:1]:
            wiring = rig.now.with_wire(wire.part, socket=other.socket).with_wire(other.part, socket=wire.socket)
            touched = (*_contacts(wire), *_contacts(other))
            found.append(Rewired(wire.part, wiring, other.part, "swap", touched))
    return tuple(found)


def swap_cables(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each cable on the path exchanged with one of the same grade, a neighbour's first."""
    found = []
    for wire in _on_path(rig, victims):
        near = _neighbours(rig, wire, victims)
        far = [other for other in rig.devices if other not in near and not _related(rig, wire, other, victims)]
        for other in [o for o in (*near, *far) if o.grade == wire.grade and o.fast == wire.fast][:1]:
            wiring = rig.now.with_wire(wire.part, cable=other.cable).with_wire(other.part, cable=wire.cable)
            touched = (*_contacts(wire), *_contacts(other))
            found.append(Rewired(wire.part, wiring, other.part, "swap", touched))
    return tuple(found)


def other_controller(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """What hangs on the computer there moved to a free socket of another controller."""
    found = []
    for wire in _on_path(rig, victims):
        root = rig.now.root(wire.part)
        if wire.above != COMPUTER or root is None:
            continue
        free = [r for r in rig.roots if (COMPUTER, r.socket) in rig.free and r.controller != root.controller]
        for there in [r for r in free if _fits(rig, wire, r.socket)][:1]:
            wiring = rig.now.with_wire(wire.part, socket=there.socket)
            found.append(Rewired(wire.part, wiring, _plug(wire), there.socket, _contacts(wire)))
    return tuple(found)


def unplug_others(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each hub on the path with nothing on it but what leads to the victims."""
    keep = set(reach.legs(rig, victims))
    found = []
    for hub in reach.hubs(rig, victims):
        others = tuple(w.part for w in rig.wires if w.above == hub and w.part not in keep)
        if others:
            touched = tuple(contact for other in others for contact in _contacts(rig.wire(other)))
            wiring = rig.now.without(others).having(("light", hub))
            found.append(Rewired(hub, wiring, ", ".join(others), touched=touched))
    return tuple(found)


def straight_in(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each victim that hangs on something plugged into the computer itself; only that one is watched."""
    found = []
    for victim in victims:
        wire = rig.wire(victim)
        free = next((s for part, s in rig.free if part == COMPUTER and _fits(rig, wire, s)), None)
        if wire.above != COMPUTER and free is not None and not wire.on_serial:
            wiring = rig.now.with_wire(victim, above=COMPUTER, socket=free)
            found.append(Rewired(victim, wiring, _plug(wire), free, _contacts(wire), (victim,)))
    return tuple(found)


def elsewhere(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each victim alone on a second computer with a spare cable; only that one is watched."""
    return tuple(
        Rewired(
            victim, rig.now.with_wire(victim, above=ELSEWHERE, socket="1", cable=SPARE),
            touched=_contacts(rig.wire(victim)), watch=(victim,),
        )
        for victim in victims
        if rig.wire(victim).kind == "device"
    )


def all_elsewhere(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Everything on a second computer."""
    roots = [wire for wire in rig.wires if wire.above == COMPUTER]
    touched = tuple(contact for wire in roots for contact in _contacts(wire))
    return (Rewired(COMPUTER, rig.now.having(("moved", COMPUTER)), touched=touched),)


# -- 12 V -------------------------------------------------------------------------------------------------------------


def other_supply(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each hub on the path, and each part on it that has a lead, fed from another supply."""
    fed = {feed.to: feed.lead for feed in rig.feeds}
    parts = [part for part in reach.legs(rig, victims) if part in fed or part in reach.fed_hubs(rig, victims)]
    return tuple(
        Rewired(part, rig.now.having(("fed", part)), touched=(f"lead:{fed[part]}",) if part in fed else ())
        for part in parts
    )


def other_lead(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each lead on the path replaced; the supply stays."""
    on = reach.legs(rig, victims)
    return tuple(
        Rewired(feed.to, rig.now.having(("lead", feed.lead)), feed.lead, touched=(f"lead:{feed.lead}",))
        for feed in rig.feeds
        if feed.to in on
    )


def other_hub(rig: Wires, victims: Victims) -> tuple[Rewired, ...]:
    """Each hub on the path replaced, with its supply; its plugs are all handled."""
    found = []
    for hub in reach.hubs(rig, victims):
        on = [wire for wire in rig.wires if wire.above == hub]
        sockets = {wire.part: f"new-{wire.socket}" for wire in on}
        wiring = rig.now.having(("replaced", hub))
        for part, socket in sockets.items():
            wiring = wiring.with_wire(part, socket=socket)
        touched = tuple(contact for wire in (rig.wire(hub), *on) for contact in _contacts(wire))
        found.append(Rewired(hub, wiring, touched=touched))
    return tuple(found)


# -- what several need ------------------------------------------------------------------------------------------------


def _on_path(rig: Wires, victims: Victims) -> tuple[Hookup, ...]:
    return tuple(rig.wire(part) for part in reach.legs(rig, victims))


def _plug(wire: Hookup) -> str:
    return f"{wire.above}/{wire.socket}"


def _contacts(wire: Hookup) -> tuple[str, ...]:
    return (f"cable:{wire.cable}", f"socket:{_plug(wire)}")


def _related(rig: Wires, wire: Hookup, other: Hookup, victims: Iterable[str]) -> bool:
    """True where one hangs on the other, or the other is a victim: an exchange would tell nothing."""
    return (
        other.part in victims
        or other.part == wire.part
        or other.part in rig.now.path(wire.part)
        or wire.part in rig.now.path(other.part)
    )


def _neighbours(rig: Wires, wire: Hookup, victims: Victims) -> list[Hookup]:
    """Others on the same part, those first whose trouble would soon be seen."""
    beside = [o for o in rig.wires if o.above == wire.above and not _related(rig, wire, o, victims)]
    kept = [o for o in beside if o.on_serial == wire.on_serial and (o.above != COMPUTER or _alike(rig, o, wire))]
    return sorted(kept, key=lambda other: other.idles)


def _alike(rig: Wires, one: Hookup, other: Hookup) -> bool:
    """True for sockets of the computer of one kind: a SuperSpeed part does not go into a USB 2 socket for a test."""
    return (one.socket in rig.fast_sockets) == (other.socket in rig.fast_sockets)


def _fits(rig: Wires, wire: Hookup, socket: str) -> bool:
    """True where the part loses no speed there."""
    return not wire.fast or wire.above != COMPUTER or socket in rig.fast_sockets
