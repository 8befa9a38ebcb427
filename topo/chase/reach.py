"""What each kind of suspect reaches in a wiring, and which pieces of it a rig has. Sets are asked, never walked."""

from __future__ import annotations

from topo.chase.wires import Hookup, Wires, Wiring
from topo.model.rig import COMPUTER

NOBODY: frozenset[str] = frozenset()
BETWEEN = "/"
"""Between the two names of a pair that shares a bus, the victim first: no name of a part holds it."""

# -- pieces a rig has of each kind, for these victims, in the order of the path and the file ---------------------------


def legs(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Cables on the paths of the victims, from each victim up."""
    return tuple(dict.fromkeys(part for victim in victims for part in rig.now.path(victim)))


def fast_legs(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Cables with SuperSpeed in use that reach a victim: its own path, or that of a camera that would share its bus."""
    own = [part for part in legs(rig, victims) if _fast_under(rig.now, part)]
    buses = {root.bus for victim in victims if (root := rig.now.root(victim)) and not rig.wire(victim).fast}
    for wire in rig.devices:
        root = rig.now.root(wire.part)
        if wire.fast and wire.pictures and root is not None and root.bus in buses:
            own += [part for part in rig.now.path(wire.part) if _fast_under(rig.now, part)]
    return tuple(dict.fromkeys(own))


def sockets(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Sockets on the paths, as PART/SOCKET."""
    wires = (rig.wire(part) for part in legs(rig, victims))
    return tuple(dict.fromkeys(f"{wire.above}/{wire.socket}" for wire in wires))


def hubs(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Hubs on the paths."""
    return tuple(part for part in legs(rig, victims) if rig.wire(part).kind == "hub")


def fed_hubs(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Hubs on the paths with a supply or a lead of their own."""
    fed = {feed.to for feed in rig.feeds}
    return tuple(part for part in hubs(rig, victims) if part in rig.powered or part in fed)


def controllers(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Controllers the paths end at."""
    roots = (rig.now.root(victim) for victim in victims)
    return tuple(dict.fromkeys(root.controller for root in roots if root is not None))


def devices(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """The victims, and devices that a victim hangs on the back of."""
    return tuple(part for part in legs(rig, victims) if rig.wire(part).kind == "device")


def leads(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """12 V leads of what is on the paths, up to the supplies: a block's own feed as well."""
    fed = set(legs(rig, victims))
    while new := {feed.source for feed in rig.feeds if feed.to in fed} - fed:
        fed |= new
    return tuple(dict.fromkeys(feed.lead for feed in rig.feeds if feed.to in fed))


def supplies(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Supplies that feed what is on the paths, through parts between."""
    on = legs(rig, victims)
    return tuple(name for name in rig.supplies if any(part in on for part in fed_by(rig, name)))


def pairs(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Each victim that sends pictures with every other sender on its bus."""
    return tuple(
        f"{victim}{BETWEEN}{other.part}"
        for victim in victims
        if rig.wire(victim).pictures
        for other in rig.devices
        if other.part not in victims and is_sender(other) and together(rig.now, victim, other.part)
    )


def limited(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Victims whose driver has a transfer limit."""
    return tuple(victim for victim in victims if rig.wire(victim).limit)


def sleepy(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """The computer, where a victim is silent for so long that it may be put to sleep."""
    return (COMPUTER,) if any(rig.wire(victim).idles for victim in victims) else ()


def awake_by_role(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Victims that are not silent for long by their role, and may be put to sleep all the same."""
    return tuple(victim for victim in victims if not rig.wire(victim).idles and not rig.wire(victim).pictures)


def talkers(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """Victims that a program talks to by a name: no cameras, and nothing of another kind that hangs above."""
    return tuple(v for v in victims if rig.wire(v).kind == "device" and not is_sender(rig.wire(v)))


def wireless(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """The computer, where a victim is a radio and something fast is near."""
    near = any(wire.fast for wire in rig.wires)
    return (COMPUTER,) if near and any(rig.wire(victim).radio for victim in victims) else ()


def guided(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """The sky, where a victim guides or is the mount."""
    return (COMPUTER,) if any(rig.wire(victim).role in ("guiding", "mount") for victim in victims) else ()


def whole(rig: Wires, victims: tuple[str, ...]) -> tuple[str, ...]:
    """One of its kind in every rig."""
    return (COMPUTER,)


# -- reach in a wiring ------------------------------------------------------------------------------------------------


def cable(wiring: Wiring, piece: str) -> frozenset[str]:
    """The part on the cable and all below."""
    return NOBODY.union(*(wiring.under[wire.part] for wire in wiring.wires if wire.cable == piece))


def superspeed(wiring: Wiring, piece: str) -> frozenset[str]:
    """What runs at SuperSpeed on the cable, and guide cameras that share USB 2 with it once it has fallen back."""
    fast = [name for wire in wiring.wires if wire.cable == piece for name in _fast_under(wiring, wire.part)]
    buses = {root.bus for name in fast if wiring.of[name].pictures and (root := wiring.root(name))}
    hit = (w.part for w in wiring.wires if w.role == "guiding" and not w.fast and _bus(wiring, w.part) in buses)
    return frozenset((*fast, *hit))


def socket(wiring: Wiring, piece: str) -> frozenset[str]:
    """What is plugged in there and all below."""
    return NOBODY.union(*(wiring.under[w.part] for w in wiring.wires if f"{w.above}/{w.socket}" == piece))


def hub(wiring: Wiring, piece: str) -> frozenset[str]:
    """The hub's devices, unless another hub is in its place."""
    return NOBODY if ("replaced", piece) in wiring.changed else wiring.under.get(piece, NOBODY)


def hub_sag(wiring: Wiring, piece: str) -> frozenset[str]:
    """The hub's devices, unless loads are off, the others unplugged, or another supply feeds it."""
    off = (("off", "loads"), ("light", piece))
    return NOBODY if any(change in wiring.changed for change in off) else hub_dead(wiring, piece)


def hub_dead(wiring: Wiring, piece: str) -> frozenset[str]:
    """The hub's devices, unless another supply feeds it or another hub is in its place."""
    return NOBODY if ("fed", piece) in wiring.changed else hub(wiring, piece)


def controller(wiring: Wiring, piece: str) -> frozenset[str]:
    """Everything on it."""
    if ("moved", COMPUTER) in wiring.changed:
        return NOBODY
    return frozenset(
        w.part for w in wiring.wires if w.kind == "device" and (r := wiring.root(w.part)) and r.controller == piece
    )


def device(wiring: Wiring, piece: str) -> frozenset[str]:
    """Itself, and what hangs on its back."""
    return wiring.under.get(piece, NOBODY)


def lead(wiring: Wiring, piece: str) -> frozenset[str]:
    """What it feeds and all below, unless another lead or another supply feeds that."""
    if ("lead", piece) in wiring.changed:
        return NOBODY
    ends = [feed.to for feed in wiring.rig.feeds if feed.lead == piece and ("fed", feed.to) not in wiring.changed]
    fed = dict.fromkeys(part for end in ends for part in (end, *fed_by(wiring.rig, end)))
    return NOBODY.union(*(wiring.under.get(part, NOBODY) for part in fed))


def supply(wiring: Wiring, piece: str) -> frozenset[str]:
    """All it feeds, unless the loads are off or another supply feeds it."""
    if ("off", "loads") in wiring.changed:
        return NOBODY
    fed = (part for part in fed_by(wiring.rig, piece) if ("fed", part) not in wiring.changed)
    return NOBODY.union(*(wiring.under.get(part, NOBODY) for part in fed))


def sharing(wiring: Wiring, piece: str) -> frozenset[str]:
    """The victim, unless the other idles, is unplugged or sits on another bus."""
    victim, other = piece.split(BETWEEN)
    if ("idle", other) in wiring.changed or other not in wiring.of or victim not in wiring.of:
        return NOBODY
    return frozenset((victim,)) if together(wiring, victim, other) else NOBODY


def limit(wiring: Wiring, piece: str) -> frozenset[str]:
    """That camera, unless the limit is lowered or another driver works."""
    if ("limited", piece) in wiring.changed or piece not in wiring.of or wiring.elsewhere(piece):
        return NOBODY
    return frozenset((piece,))


def suspend(wiring: Wiring, piece: str) -> frozenset[str]:
    """Parts that are silent for long, unless power saving is off or they are on another computer."""
    return NOBODY if ("awake", COMPUTER) in wiring.changed else _on_computer(wiring, "idles")


def asleep(wiring: Wiring, piece: str) -> frozenset[str]:
    """That part, unless power saving is off or it is on another computer."""
    return NOBODY if ("awake", COMPUTER) in wiring.changed else _itself(wiring, piece)


def port_name(wiring: Wiring, piece: str) -> frozenset[str]:
    """That part, unless its program opens the name that lasts, or another computer's."""
    return NOBODY if ("named", piece) in wiring.changed else _itself(wiring, piece)


def holder(wiring: Wiring, piece: str) -> frozenset[str]:
    """That part, unless all other programs and services are stopped, or it is on another computer."""
    return NOBODY if ("alone", COMPUTER) in wiring.changed else _itself(wiring, piece)


def radio(wiring: Wiring, piece: str) -> frozenset[str]:
    """Wireless parts, unless they are at 5 GHz."""
    return NOBODY if ("5 GHz", COMPUTER) in wiring.changed else _on_computer(wiring, "radio")


def sky(wiring: Wiring, piece: str) -> frozenset[str]:
    """Guide cameras and mounts, whatever is plugged where; no camera that has its cap on."""
    seen = (wire.part for wire in wiring.wires if wire.role in ("guiding", "mount"))
    return frozenset(part for part in seen if ("capped", part) not in wiring.changed)


def host(wiring: Wiring, piece: str) -> frozenset[str]:
    """Everything on this computer."""
    return frozenset(w.part for w in wiring.wires if w.kind == "device" and not wiring.elsewhere(w.part))


def everything(wiring: Wiring, piece: str) -> frozenset[str]:
    """Every device."""
    return frozenset(wire.part for wire in wiring.wires if wire.kind == "device")


# -- what several need ------------------------------------------------------------------------------------------------


def fed_by(rig: Wires, source: str) -> tuple[str, ...]:
    """All a supply or part feeds, through parts between, in the order of the leads."""
    found: list[str] = []
    pending = [source]
    while pending:
        here = pending.pop(0)
        new = [feed.to for feed in rig.feeds if feed.source == here and feed.to not in found]
        found += new
        pending += new
    return tuple(found)


def together(wiring: Wiring, victim: str, other: str) -> bool:
    """True where both are on one bus: the 480 Mb/s bus, or the controller's SuperSpeed where both run at that."""
    one, two = wiring.root(victim), wiring.root(other)
    if one is None or two is None or wiring.of[victim].fast != wiring.of[other].fast:
        return False
    return one.controller == two.controller if wiring.of[victim].fast else one.bus == two.bus


def _bus(wiring: Wiring, part: str) -> str:
    root = wiring.root(part)
    return "" if root is None else root.bus


def _fast_under(wiring: Wiring, part: str) -> tuple[str, ...]:
    under = wiring.under[part]
    return tuple(wire.part for wire in wiring.wires if wire.fast and wire.part in under)


def _itself(wiring: Wiring, piece: str) -> frozenset[str]:
    return NOBODY if piece not in wiring.of or wiring.elsewhere(piece) else frozenset((piece,))


def _on_computer(wiring: Wiring, which: str) -> frozenset[str]:
    return frozenset(
        wire.part
        for wire in wiring.wires
        if wire.kind == "device" and getattr(wire, which) and not wiring.elsewhere(wire.part)
    )


def is_sender(wire: Hookup) -> bool:
    """True for cameras, disks and networks: what fills a bus."""
    return wire.pictures or wire.role in ("storage", "network")
