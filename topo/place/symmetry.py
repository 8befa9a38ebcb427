"""Controllers of a computer that are alike: what hangs on one could hang on the other and be judged the same.

Alike are controllers with the same uplink whose sockets, in the order of the file, differ in nothing but their names
and those of their buses. A bus that two controllers are said to have is not looked into: these are alike to none.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from topo.frozen import replace
from topo.model.rig import COMPUTER, Plug
from topo.place.candidates import SocketClass

if TYPE_CHECKING:
    from topo.model.rig import Socket
    from topo.place.moves import Ground

Entry = tuple[str, SocketClass, str]
"""A part, the class of its socket, and the socket's name where two parts claim it."""

State = frozenset[Entry]
"""Everything that hangs on one controller."""


class AlikeControllers:
    """The controllers of one rig, each by the first that is like it."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self._known: dict[tuple[str, State], State] = {}
        self._controller: dict[str, str] = {}
        self._class: dict[SocketClass, SocketClass] = {}
        computer = ground.rig.computer
        on: dict[str, list[Socket]] = {}
        for socket in computer.sockets:
            on.setdefault(str(socket.controller), []).append(socket)
        firsts: dict[object, str] = {}
        for name, sockets in on.items():
            first = firsts.setdefault(self._kind(name, sockets, on), name)
            self._controller[name] = first
            for mine, other in zip(sockets, on[first], strict=True):
                self._class[SocketClass.of(computer, mine)] = SocketClass.of(computer, other)

    def _kind(self, name: str, sockets: list[Socket], on: Mapping[str, list[Socket]]) -> object:
        """What controllers that are alike have the same; the name of one whose buses another has too."""
        buses = {socket.usb2_bus for socket in sockets} - {None}
        if any(socket.usb2_bus in buses for other, those in on.items() if other != name for socket in those):
            return name
        numbers: dict[str | None, int] = {None: 0}
        return self.ground.rig.computer.uplink(sockets[0].controller), tuple(
            (replace(each, name="", controller=None, usb2_bus=None, at=None),
             numbers.setdefault(each.usb2_bus, len(numbers)))
            for each in sockets
        )

    def first(
        self, controller: str, state: State, assigned: Mapping[str, Plug]
    ) -> tuple[str, State, Mapping[str, Plug]]:
        """A state and the sockets of its parts on the first controller that is like its own."""
        first = self._controller.get(controller, controller)
        if first == controller or any(entry[2] for entry in state):
            return controller, state, assigned
        key = controller, state
        if key not in self._known:
            self._known[key] = frozenset((name, self._class.get(at, at), "") for name, at, _ in state)
        there = self._known[key]
        return first, there, {**assigned, **self._sockets(there)}

    def _sockets(self, state: State) -> dict[str, Plug]:
        """Sockets of the computer for the parts of a state, one after the other in each class."""
        left = {each: iter(names) for each, names in self.ground.classes.items() if each.above == COMPUTER}
        roots = sorted((entry for entry in state if entry[1].above == COMPUTER), key=lambda e: self.ground.order[e[0]])
        return {name: Plug(COMPUTER, next(left[at])) for name, at, _ in roots}
