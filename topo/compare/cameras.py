"""Cameras of a rig and the camera that each one's program would take, now and after a restart."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.compare.picking import Listed, exchanged, steady_number, taken_after_restart, taken_now
from topo.frozen import frozen
from topo.model.facts import value_of

if TYPE_CHECKING:
    from topo.model.comparison import Comparison, Match
    from topo.model.rig import Device

NOT_FOUND = "not found"
"""The controller of a camera whose place is not told."""


@frozen
class Taken:
    """What the program of a camera would take: ids of parts now and after a restart, itself where it is right.

    `number` is the place in the list that is its own whatever a restart brings, `exchange` the part to exchange sockets
    with so that by place the right one is taken; each None where there is none.
    """

    camera: str
    now: tuple[str, ...]
    after_restart: tuple[str, ...]
    number: int | None = None
    exchange: str | None = None


def cameras_of(comparison: Comparison) -> tuple[Device, ...]:
    """The cameras of the file that were found, in its order."""
    return tuple(part for part in comparison.declared.rig.devices
                 if part.sends_frames and (match := comparison.match(part.id)) is not None and match.own is not None)


def takes(comparison: Comparison, camera: Device) -> Taken | None:
    """What the program of a camera would take; None where the file does not say how it picks."""
    if camera.picks is None:
        return None
    rivals = [other for other in cameras_of(comparison) if _one_driver(comparison, camera, other)]
    order = {part.id: n for n, part in enumerate(comparison.declared.rig.devices)}

    def told(names: frozenset[str]) -> tuple[str, ...]:
        return tuple(sorted(names, key=lambda name: order[name]))

    if camera.picks == "socket":
        sitting = tuple(o.id for o in rivals if _sits_at(comparison, o, camera))
        return Taken(camera.id, sitting or (camera.id,), sitting or (camera.id,))
    if camera.picks == "serial":
        same = told(frozenset(o.id for o in rivals if _serial(comparison, o) == _serial(comparison, camera)))
        return Taken(camera.id, same, same)
    if camera.picks == "name":
        rivals = [o for o in rivals if _name(comparison, o) == _name(comparison, camera)]
    cams = [_listed(comparison, other) for other in rivals]
    number = camera.picks_number or 1
    now, later = taken_now(cams, number), taken_after_restart(cams, number)
    steady = steady_number(cams, camera.id) if camera.picks == "order" else None
    return Taken(camera.id, told(now), told(later), steady, _exchange(cams, camera.id, number, now))


def _exchange(cams: list[Listed], camera: str, number: int, now: frozenset[str]) -> str | None:
    """The one camera whose socket, exchanged with this one's, makes the list by place right."""
    if now == {camera}:
        return None
    for other in sorted(c.name for c in cams if c.name != camera):
        then = exchanged(cams, camera, other)
        if then is not None and taken_now(then, number) == {camera}:
            return other
    return None


def _match(comparison: Comparison, camera: Device) -> Match | None:
    return comparison.match(camera.id)


def _one_driver(comparison: Comparison, one: Device, other: Device) -> bool:
    """True where one driver may list both: ids of one maker, or ids that are not told."""
    makers = [match.own.vendor_id for part in (one, other)
              if (match := _match(comparison, part)) is not None and match.own is not None]
    return one.id == other.id or None in makers or len(set(makers)) < 2


def _serial(comparison: Comparison, camera: Device) -> str | None:
    match = _match(comparison, camera)
    own = match.own.serial if match is not None and match.own is not None else None
    return own or camera.identity.serial


def _name(comparison: Comparison, camera: Device) -> str | None:
    match = _match(comparison, camera)
    return match.own.product if match is not None and match.own is not None else None


def _sits_at(comparison: Comparison, other: Device, camera: Device) -> bool:
    """True where another camera is in the socket that the file has this one in."""
    now = comparison.study.rig.part(other.id).plug
    return camera.plug is not None and now is not None and str(now) == str(camera.plug)


def _listed(comparison: Comparison, camera: Device) -> Listed:
    match = _match(comparison, camera)
    own = match.own if match is not None else None
    if own is None:
        return Listed(camera.id, NOT_FOUND, 0)
    return Listed(camera.id, own.controller or NOT_FOUND, own.bus, own.ports, own.devnum, own.is_super)


def frame_words(camera: Device) -> str | None:
    """The full frame of a camera in words, or None where it is not known."""
    width, height = value_of(camera.facts.width_px), value_of(camera.facts.height_px)
    return None if width is None or height is None else f"{width}x{height}"


def betrayed(wanted: Device, taken: Device) -> str:
    """What shows that a program took another camera."""
    right, wrong = frame_words(wanted), frame_words(taken)
    if right is None or wrong is None or right == wrong:
        return "both have frames of one size: cover one lens and see whose picture goes dark"
    return f"frames of {wrong} in place of {right} show it"
