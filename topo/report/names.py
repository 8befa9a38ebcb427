"""The names of a rig as lines of text: which port is whose now, what lasts and why, and what cameras are taken."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from topo.compare.cameras import betrayed
from topo.compare.rules import label_lines
from topo.compare.words import where
from topo.model.plain import plain
from topo.report.page import Column, Page
from topo.report.tables import NAME_CELLS
from topo.words.lists import counted, listed

if TYPE_CHECKING:
    from topo.compare.names import PartName, RigNames
    from topo.model.comparison import Comparison
    from topo.model.finding import Finding
    from topo.report.lines import Line

ABOUT_NAMES = (
    "port-name-changed", "replaced-by-a-twin", "no-serial-port", "port-held", "may-be-probed", "not-allowed",
    "names-collide", "told-apart-by-socket", "part-missing", "part-moved", "another-camera-taken",
)
"""Findings of the comparison that have to do with names."""

LASTS = {
    "anywhere": "in any socket", "in its socket": "in this socket", "until it is plugged in again": "not",
    "not known": "not known",
}


def names_lines(
    comparison: Comparison, names: RigNames, findings: Sequence[Finding], width: int, encoding: str
) -> list[Line]:
    """The names as styled lines of at most `width` terminal cells that `encoding` can say."""
    page = Page(width, encoding)
    scan, rig = comparison.scan, comparison.declared.rig
    page.say(f"{plain(rig.name)}, from {plain(rig.file)}" if rig.file else plain(rig.name), "rig")
    page.say(f"{plain(scan.scanner, 40)}{f' at {plain(scan.when_words, 40)}' if scan.when else ''}", "scan")
    page.blank()
    if names.parts:
        _tell_ports(page, comparison, names)
        _tell_lasting(page, comparison, names)
    else:
        told = scan.limits.serial_ports == "all"
        words = "No part of the file has a serial port here." if told else "This listing tells no serial ports."
        page.say(words, "PORTS", "strong")
    _tell_cameras(page, comparison, names)
    _tell_findings(page, findings)
    return page.lines


def _tell_ports(page: Page, comparison: Comparison, names: RigNames) -> None:
    page.say("Which port is whose now, and what each program is told to open.", "PORTS", "strong")
    rows = [[plain(each.part), _now(each), _opens(each), LASTS[each.lasting.lasts] if each.lasting else "-"]
            for each in names.parts]
    page.table((Column("part", most=NAME_CELLS), Column("port now"), Column("its program opens"),
                Column("its name lasts")), rows)
    guessed = list(dict.fromkeys(each.part for each in names.parts if each.port is not None and each.port.guessed))
    if guessed:
        page.say(f"Which port is that of {listed(guessed)} is a guess by socket or kind. To decide, free: unplug its "
                 "USB lead and run this again; the port that is gone was its.")
    holding = comparison.scan.holding
    held = [f"{plain(each.part)}: {listed(each.holders)}" for each in names.parts if each.holders]
    if held:
        page.say(f"Open in: {'; '.join(held)}.")
    elif holding is not None:
        page.say("No program has any of them open." if holding.everyone and holding.whole else
                 "None of your programs has one open; those of other users could not all be seen.")


def _now(each: PartName) -> str:
    return "none" if each.port is None else plain(each.port.port.name, 60)


def _opens(each: PartName) -> str:
    if each.opens is None:
        return "not in the file (`opens`)"
    words = {"its port": "right", "nothing": "NOTHING has that name", "something else": "NOT IN THE FILE",
             "not known": "not known", "another part": f"that is {plain(each.means_part or '')} NOW"}
    return f"{plain(each.opens, 80)}: {words[each.means]}"


def _tell_lasting(page: Page, comparison: Comparison, names: RigNames) -> None:
    rows = [each for each in names.parts if each.lasting is not None]
    if not rows:
        return
    page.blank()
    page.say("The name to choose in each program, and why it lasts or not.", "LASTING", "strong")
    for each in rows:
        assert each.lasting is not None and each.port is not None
        place = where(comparison, each.port.thing)
        serial = each.port.thing.own.serial
        shown = f" ({plain(serial, 60)})" if each.lasting.lasts == "anywhere" and serial else ""
        page.hang(f"{plain(each.part)}, in {place}: {each.lasting.why}{shown}", 4, "- ")
        page.hang(plain(each.lasting.name, 300), 4)
    labels = list(label_lines(comparison))
    if labels:
        page.blank()
        page.say("Stick these beside the sockets: those names depend on them.", "LABELS", "strong")
        for label in labels:
            page.hang(label, 4, "- ")


def _tell_cameras(page: Page, comparison: Comparison, names: RigNames) -> None:
    if not names.cameras:
        return
    page.blank()
    page.say("Which camera each program would take.", "CAMERAS", "strong")
    rows = []
    for told in names.cameras:
        wrong = [name for name in (*told.now, *told.after_restart) if name != told.camera]
        device = comparison.declared.rig.device
        shown = betrayed(device(told.camera), device(wrong[0])) if wrong else "-"
        rows.append([plain(told.camera), _taken(told.now), _taken(told.after_restart), shown])
    page.table((Column("program of", most=NAME_CELLS), Column("takes now"), Column("after a restart"),
                Column("what shows a wrong one")), rows)


def _taken(names: tuple[str, ...]) -> str:
    return " or ".join(plain(name) for name in names) or "none"


def _tell_findings(page: Page, findings: Sequence[Finding]) -> None:
    mine = [finding for finding in findings if finding.name in ABOUT_NAMES]
    if mine:
        page.blank()
        page.say(f"{counted(len(mine), 'finding')} about names: "
                 f"{listed(list(dict.fromkeys(finding.name for finding in mine)))}. `topo compare` shows them in full.",
                 "FINDINGS", "strong")
