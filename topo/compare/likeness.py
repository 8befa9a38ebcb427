"""How well one thing seen fits one part of the file, as a whole number; 0 where it cannot be that part.

Identity outweighs any number of places, a place any likeness of kind. What contradicts the file's identity is ruled
out; so is a kind that cannot be, unless the ids say it is the one.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.model.facts import basis_of, value_of
from topo.model.speed import Speed
from topo.wiring.kinds import best_mbit

if TYPE_CHECKING:
    from topo.model.plugged import Thing
    from topo.model.rig import Identity, Part
    from topo.model.sighting import Sighting

SERIAL = 10**12
"""The serial number of the file, with ids that do not contradict it."""

IDS = 10**9
"""Vendor and product id of the file."""

PLACE = 10**5
"""The socket of the file: the same number on the same hub."""

BACK_PLACE = 3
"""The same for sockets on a device's back, whose numbers nobody prints: a preference only."""

KIND = 100
"""The kind the file says, unmistakably."""

MAYBE = 30
"""A kind it could be."""

SPEED = 20
HUB_PORTS = 20
BASE = 10

TWIN, TWIN_PLACE = 1, 5
"""Another one of the kind that the file names by ids and serial number, and the same in the part's own socket: less
than any thing that the file does not contradict, since it is not the part, but may stand in for it."""

CAMERA_ROLES = ("imaging", "guiding")
UNKNOWN_WORDS = ("device",)
"""Words of kinds that do not tell what a thing is: vendor-specific ones."""


def fit(part: Part, thing: Thing, serials_told: bool = True) -> int:
    """How well the thing itself fits the part itself, whatever is behind them; 0 where it cannot be.

    `serials_told`: a thing that reports no serial number has none.
    """
    told = identity_value(part.identity, own_sides(thing))
    if (part.kind == "hub") == (thing.kind == "hub") and is_twin(part, thing, serials_told):
        return TWIN
    if told is None and part.kind == "hub" and _other_side(part.identity, thing):
        told = 0
    if told is None or (part.kind == "hub") != (thing.kind == "hub"):
        return 0
    if part.kind == "hub":
        return told + BASE + _hub_likeness(part, thing)
    kind = 0 if _too_fast(part, thing) else kind_value(part, thing.word)
    if not told and (kind == 0 or _too_slow(part, thing.own)):
        return 0
    return told + BASE + kind + _speed_likeness(part, thing.own)


def own_sides(thing: Thing) -> tuple[Sighting, ...]:
    """The sightings that tell what a thing itself is: all sides of a hub, or the device."""
    return thing.seen if thing.kind == "hub" else (thing.own,)


def is_twin(part: Part, thing: Thing, serials_told: bool = True) -> bool:
    """True where a thing has the vendor and product ids of the file and surely another serial number, or none."""
    identity = part.identity
    if identity.serial is None or identity.vendor_id is None or identity.product_id is None:
        return False
    ids = (identity.vendor_id.lower(), identity.product_id.lower())
    same = [s for s in own_sides(thing) if ((s.vendor_id or "").lower(), (s.product_id or "").lower()) == ids]
    return bool(same) and all(_other_serial(identity.serial, side, serials_told) for side in same)


def _other_serial(serial: str, seen: Sighting, serials_told: bool) -> bool:
    if seen.serial is not None:
        return seen.serial.casefold() != serial.casefold()
    return serials_told and (seen.product is not None or seen.manufacturer is not None)


def has_serial_of(part: Part, thing: Thing) -> bool:
    """True where the file gives a serial number and a side of the thing tells the same, with ids that agree."""
    serial = part.identity.serial
    return serial is not None and (identity_value(part.identity, own_sides(thing)) or 0) >= SERIAL and any(
        side.serial is not None and side.serial.casefold() == serial.casefold() for side in own_sides(thing)
    )


def _other_side(identity: Identity, thing: Thing) -> bool:
    """True where only the SuperSpeed side of a hub of that vendor is seen: its product number is another one's."""
    alone = thing.seen[0]
    same = identity.vendor_id is not None and (alone.vendor_id or "").lower() == identity.vendor_id.lower()
    return same and len(thing.seen) == 1 and bool(alone.is_super)


def identity_value(identity: Identity, seen: Sequence[Sighting]) -> int | None:
    """What the file's ids say: a value, 0 where they say nothing, None where they contradict every side seen."""
    values = [_one_identity(identity, side) for side in seen]
    return max((value for value in values if value is not None), default=None)


def _one_identity(identity: Identity, seen: Sighting) -> int | None:
    value = 0
    for told, there in ((identity.vendor_id, seen.vendor_id), (identity.product_id, seen.product_id)):
        if told is not None and there is not None:
            if told.lower() != there.lower():
                return None
            value += IDS // 2
    if identity.serial is not None and seen.serial is not None:
        if identity.serial.casefold() != seen.serial.casefold():  # Windows tells them in capitals
            return None
        value += SERIAL
    return value if value >= IDS else 0


def kind_of_part(part: Part) -> str | None:
    """The word of the kind that a device of the file must be, or None where that is not known."""
    interface = part.interface
    if interface in ("storage", "network", "audio", "hid", "serial"):
        return str(interface)
    if part.role in CAMERA_ROLES or part.sends_frames:
        return "camera"
    if part.role in ("storage", "network"):
        return part.role
    return "serial" if part.has_serial_line and interface is None else None


def kind_value(part: Part, word: str) -> int:
    """KIND, MAYBE or 0 (cannot be) for a thing with that word of kind."""
    wanted = kind_of_part(part)
    if wanted is None:
        return MAYBE if part.role == "other" or word in (*UNKNOWN_WORDS, "serial", "hid") else 0
    if word == wanted:
        return KIND
    if wanted == "camera" and word in UNKNOWN_WORDS:
        return KIND - 1
    return MAYBE if word in UNKNOWN_WORDS and wanted in ("serial", "hid") else 0


def _too_slow(part: Part, seen: Sighting) -> bool:
    """A camera is never a full-speed device, whatever cable it hangs on."""
    best = best_mbit((seen,))
    return kind_of_part(part) == "camera" and best is not None and best < Speed.HIGH.mbit


def _too_fast(part: Part, thing: Thing) -> bool:
    """A fast device of unknown kind is a camera or the like, no adapter, wheel or focuser: those are full speed."""
    best = best_mbit((thing.own,))
    slow = kind_of_part(part) in ("serial", "hid", None) and part.role != "other"
    return slow and thing.word in UNKNOWN_WORDS and best is not None and best >= Speed.HIGH.mbit


def speeds_agree(part: Part, thing: Thing) -> bool:
    """False where the file says another best speed than the thing shows or states, and that is no guess."""
    word, best = value_of(part.own_speed), best_mbit((thing.own,))
    if word is None or best is None or basis_of(part.own_speed) == "assumed":
        return True
    fast = Speed.from_word(word).is_superspeed
    return best < Speed.SUPER.mbit if not fast else best >= Speed.SUPER.mbit or not thing.own.could_mbit


def _speed_likeness(part: Part, seen: Sighting) -> int:
    word, best = value_of(part.own_speed), best_mbit((seen,))
    if word is None or best is None:
        return 0
    return SPEED if Speed.from_mbit(best) == min(Speed.from_word(word), Speed.SUPER_PLUS) else 0


def _hub_likeness(part: Part, thing: Thing) -> int:
    value, best = 0, best_mbit(thing.seen)
    word = value_of(part.own_speed)
    if word is not None and best is not None and (best >= 5000) == Speed.from_word(word).is_superspeed:
        value += SPEED
    ports = max((side.max_child or 0 for side in thing.seen), default=0)
    return value + (HUB_PORTS if ports and ports == len(part.sockets) else 0)
