"""The computer of a first rig file: its controllers and sockets as a scan shows them."""

from __future__ import annotations

from collections.abc import Iterator

from topo.model.plain import plain
from topo.model.plugged import PluggedIn
from topo.model.sighting import HostController


def computer_lines(live: PluggedIn) -> Iterator[str]:
    """The `computer:` section."""
    scan = live.scan
    yield "computer:    # `profile: …` instead of the lines below, where one fits; `topo profiles computer` lists them"
    if scan.system in ("linux", "windows", "macos"):
        yield f"  os: {scan.system}"
    if scan.usbfs_memory_mb is not None and 0 <= scan.usbfs_memory_mb <= 1_000_000:
        yield f"  usbfs_memory_mb: {scan.usbfs_memory_mb}"
    if scan.controllers:
        yield "  controllers:"
        for n, controller in enumerate(scan.controllers, 1):
            yield f"    controller-{n}: {{}}    # {_words(controller)}; say `uplink` if you know it (pcie2x1, …)"
    if live.sockets:
        yield "  ports:    # `usb2_bus: WORD` where you know which of them share one 480 Mb/s bus"
    for each in live.sockets:
        socket = each.socket
        served_by = f"controller: {socket.controller}, " if socket.controller else ""
        where = " and ".join(f"{hub} port {number}" for hub, number in each.ports)
        inside = "" if each.outside else "; soldered in, no socket"
        at = f", at: {socket.at[0]}/{socket.at[1]}" if socket.at is not None else ""
        yield f"    {socket.name}: {{{served_by}speed: {socket.speed.word}{at}}}    # {plain(where)}{inside}"
    if not scan.controllers and not live.sockets:
        yield "  note: the scan saw no USB controller"


def _words(controller: HostController) -> str:
    driver = f" ({plain(controller.driver, 40)})" if controller.driver else ""
    return f"{plain(controller.id, 60)}{driver}"
