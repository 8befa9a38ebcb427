"""What to have ready: the spare that each failure asks for, and the few things that stand in for all of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import field
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.facts import value_of
from topo.model.plain import plain
from topo.model.rig import Hub
from topo.power.copper import copper_mm2
from topo.wiring.reach import is_extension
from topo.words.lists import listed

if TYPE_CHECKING:
    from topo.model.rig import Part, Rig
    from topo.place.failures import CanFail


_LINES = {"network": "network cable", "fibre": "glass fibre"}
"""The leads of extenders, in words."""


@frozen
class Spare:
    """One thing to have ready. Those of one `kind` stand in for each other: the longest and thickest does for all.

    `length_m` is None where the file does not say it; `wire` is copper in mm² and the wire in words; `fuses_a` are
    ratings to have with it; `size` is how many of `unit` it has: sockets of a hub, A of a supply, Ah of a battery;
    `serves` are the things it stands in for.
    """

    kind: str
    serves: tuple[str, ...]
    length_m: float | None = None
    wire: tuple[float, str] = (0.0, "")
    fuses_a: tuple[float, ...] = ()
    size: float = 0.0
    unit: str = ""
    after: str = field(default="", compare=False)


def spare_of(rig: Rig, thing: CanFail) -> Spare | None:
    """What to have ready against a failure, with what is known of it; None where nothing carried along helps."""
    serves = (thing.name,)
    if thing.kind == "hub":
        return _hub(next(part for part in rig.hubs if part.id == thing.name))
    if thing.kind == "cable":
        return _cable(rig.part(thing.name))
    if thing.kind == "supply":
        supply = next(each for each in rig.supplies if each.id == thing.name)
        if supply.is_battery:
            return Spare("a second battery, charged", serves, size=value_of(supply.facts.ah, 0.0),
                         unit="Ah")
        return Spare(f"a second supply of {supply.volts:g} V", serves, size=supply.amps or 0.0, unit="A",
                     after=", with leads of its own; never two on one line")  # fmt: skip
    if thing.kind == "lead":
        return _lead(rig, thing.name)
    if thing.kind == "converter":
        volts = next(each.volts for each in rig.converters if each.id == thing.name)
        return Spare(f"a second converter to {volts:g} V", serves)
    if thing.kind in ("block", "box"):
        return Spare(f"leads that go round {plain(thing.name)}, each with a fuse of its own", serves)
    return Spare("a serial adapter", serves) if thing.kind == "adapter" else None


def _hub(hub: Hub) -> Spare:
    """A hub of as many sockets; what ends elsewhere needs its own kind again: no hub bridges that way."""
    speed = "USB 3" if (value_of(hub.facts.speed) or "").startswith("super") else "USB 2"
    over, sockets = value_of(hub.facts.over, "usb"), float(len(hub.sockets))
    if over != "usb":
        return Spare(f"a second {speed} extender over {_LINES[over]}", (hub.id,), size=sockets, unit="sockets")
    if is_extension(hub):
        return Spare(f"a second active {speed} extension cable", (hub.id,), value_of(hub.cable.length_m))
    return Spare(f"a powered {speed} hub", (hub.id,), size=sockets, unit="sockets")


def _cable(part: Part) -> Spare:
    """A cable of its grade; the leg of an active extension is the extension itself, an extender's is no USB cable."""
    length_m = value_of(part.cable.length_m)
    if isinstance(part, Hub) and (over := value_of(part.facts.over, "usb")) != "usb":
        return Spare(f"a known-good {_LINES[over]}", (part.id,), length_m)
    if isinstance(part, Hub) and is_extension(part):
        return _hub(part)
    grade = {"usb3": "USB 3 cable", "usb2": "USB 2 cable"}.get(value_of(part.cable.grade) or "", "USB cable")
    active = "active " if value_of(part.cable.active) else ""
    return Spare(f"a known-good {active}{grade}", (part.id,), length_m)


def _lead(rig: Rig, name: str) -> Spare:
    facts = next(each for each in rig.leads if each.id == name).facts
    area, gauge, fuse = value_of(facts.area_mm2), value_of(facts.gauge_awg), value_of(facts.fuse_amps)
    wire = (0.0, "")
    if gauge is not None:
        wire = (copper_mm2(gauge), f"{gauge} AWG")
    elif area is not None:
        wire = (area, f"{area:g} mm²")
    return Spare("a 12 V lead", (name,), value_of(facts.length_m), wire, () if fuse is None else (fuse,))


def packed(spares: Iterable[Spare]) -> tuple[Spare, ...]:
    """One spare of each kind that stands in for all of that kind, in the order they first come in.

    It is as long as the longest, as thick as the thickest and as large as the largest, and has every fuse.
    """
    kinds: dict[str, list[Spare]] = {}
    for spare in spares:
        kinds.setdefault(spare.kind, []).append(spare)
    return tuple(_one(kind, alike) for kind, alike in kinds.items())


def _one(kind: str, alike: list[Spare]) -> Spare:
    lengths = [spare.length_m for spare in alike if spare.length_m is not None]
    return Spare(
        kind,
        tuple(dict.fromkeys(name for spare in alike for name in spare.serves)),
        max(lengths, default=None),
        max(spare.wire for spare in alike),
        tuple(sorted({fuse for spare in alike for fuse in spare.fuses_a}, reverse=True)),
        max(spare.size for spare in alike),
        alike[0].unit,
        alike[0].after,
    )


def spare_words(spare: Spare) -> str:
    """A spare in words, without what it stands in for: `a 12 V lead of 2 m, 14 AWG or thicker, with fuses of 15 A`."""
    return "".join(_pieces(spare))


def _pieces(spare: Spare) -> Iterator[str]:
    yield spare.kind
    if spare.length_m is not None:
        yield f" of {spare.length_m:g} m"
    if spare.wire[1]:
        yield f", {spare.wire[1]} or thicker"
    if spare.fuses_a:
        yield f", with fuses of {listed([f'{fuse:g}' for fuse in spare.fuses_a])} A"
    if spare.size and spare.unit == "sockets":
        yield f" with {spare.size:g} socket{'' if spare.size == 1 else 's'} or more"
    elif spare.size:
        yield f", {spare.size:g} {spare.unit} or more"
    yield spare.after
