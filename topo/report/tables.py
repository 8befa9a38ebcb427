"""The tables of a report: how late guide frames come, what cameras, links and devices get. One function a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.analysis.devices import mount_of
from topo.model.facts import value_of
from topo.model.figures import amount, arcsec, mb_per_s, mbit, megabytes, percent, seconds
from topo.model.plain import plain
from topo.report.assumed import assumed_devices
from topo.report.page import MARK, Column, Page
from topo.words.lists import some_of

if TYPE_CHECKING:
    from topo.model.facts import Range3
    from topo.model.outcome import DeviceOutcome, LinkOutcome
    from topo.report.compose import Report

NAME_CELLS = 24
"""Cells of a name in a table; longer ones are cut in the middle."""

MOST_LINKS = 14
"""Tables with more links than this show the shared and the full ones, and count the others."""

MOST_LINK_NAMES = 12
"""Devices listed with one link; the rest are counted."""

AVERAGES = (
    "Averages mislead: a link that is almost idle over the night is full at the moment a frame goes down it. "
    "No finding rests on an average."
)


LOST = {"no": "no", "possible": "maybe", "certain": "yes"}

# -- guiding ----------------------------------------------------------------------------------------------------------

def tell_guiding(page: Page, report: Report) -> None:
    """How much later guide frames come when downloads meet them, under three assumptions, and the drift meanwhile."""
    guides = [device for device in report.study.devices if device.role == "guiding" and device.flow is not None]
    for index, device in enumerate(guides):
        if index == 0:
            page.blank()
        late = _is_late(device)
        page.say(_when_late(report, device) if late else _in_time(device), "GUIDING" if index == 0 else "", "strong")
        if late:
            _three_ways(page, report, device)


def _is_late(device: DeviceOutcome) -> bool:
    """True for a guide camera of single frames that wait for others, or may get lost."""
    fair, last = device.delay_fair_s, device.delay_serialised_s
    return fair is not None and last is not None and (fair.high > 0 or last.high > 0 or device.lost != "no")


def _in_time(device: DeviceOutcome) -> str:
    if device.flow == "video":
        return _streaming(device)
    words = f"{plain(device.id)} shares no link that gets too full for it"
    if device.alone_s is not None and device.cadence_s is not None and device.alone_s.high > device.cadence_s / 2:
        own, cycle = seconds(device.alone_s), seconds(device.cadence_s)
        return f"{words}, but its own download takes {own} of a cycle of {cycle}."
    return f"{words}: its frames come on time."


def _streaming(device: DeviceOutcome) -> str:
    words = f"{plain(device.id)} streams: it asks for {mb_per_s(device.asked_mb_per_s)}, gets " \
            f"{mb_per_s(device.gets_mb_per_s)} beside the others."
    return words if device.lost == "no" else f"{words} That loses frames ({device.lost})."


def _when_late(report: Report, device: DeviceOutcome) -> str:
    words = [plain(device.id)]
    if device.cadence_s is not None:
        words.append(f"takes a frame every {seconds(device.cadence_s)}")
    if device.overlap_chance is not None:
        sure = device.overlap_chance >= 0.995
        words.append("and every download meets one" if sure else
                     f"and {percent(device.overlap_chance)} of the downloads meet one")
    first = " ".join(words) if len(words) > 1 else f"{words[0]} may be late"
    mount = mount_of(report.study.topology, report.study.rig.device(device.id))
    rate = None if mount is None else value_of(mount.facts.drift_arcsec_per_s)
    if mount is None:
        last = "No mount is named for it, so its drift is not known."
    elif rate is None:
        last = f"How fast {plain(mount.id)} drifts is not known (drift_arcsec_per_s)."
    else:
        last = f"{plain(mount.id)} drifts {arcsec(rate)} a second between corrections."
    return f"{first}. {last} How late that frame comes depends on who is served first, which no plan can tell:"


def _three_ways(page: Page, report: Report, device: DeviceOutcome) -> None:
    mount = mount_of(report.study.topology, report.study.rig.device(device.id))
    rate = None if mount is None else value_of(mount.facts.drift_arcsec_per_s)
    cycle = device.cadence_s
    lost_drift = None if rate is None or cycle is None or device.lost == "no" else rate * cycle
    lost_delay = "not here" if device.lost == "no" else "-" if cycle is None else f"a cycle, {seconds(cycle)}"
    page.table(
        (Column("if"), Column("late by", right=True), Column("drift in arcsec", right=True)),
        (
            ["all get equal shares", seconds(device.delay_fair_s), _drift(device.drift_fair_arcsec)],
            ["the others come first", seconds(device.delay_serialised_s), _drift(device.drift_serialised_arcsec)],
            ["its frame is lost", lost_delay, _drift(lost_drift)],
        ),
    )
    if device.lost == "no":
        page.hang("No frame is lost: its memory or buffer holds what has to wait.", 2)
    elif device.lost_after_s is not None:
        page.hang(f"A lost frame is {device.lost}: its buffer overflows after {seconds(device.lost_after_s)}.", 2)
    else:
        page.hang(f"A lost frame is {device.lost}.", 2)


def _drift(value: float | Range3 | None) -> str:
    return "-" if value is None else amount(value, "")


# -- cameras ----------------------------------------------------------------------------------------------------------

def tell_cameras(page: Page, report: Report) -> None:
    """One frame of every camera: its size, its download alone and while all others download, and losses."""
    assumed = assumed_devices(report.study)
    rows = [
        [_marked(device.id, device.id in assumed), megabytes(device.frame_bytes), seconds(device.alone_s),
         seconds(device.together_s), LOST[device.lost]]
        for device in report.study.devices if device.frame_bytes is not None
    ]
    if rows:
        page.blank()
        page.say("One frame of each camera: its download alone, and when all the others download too.", "CAMERAS",
                 "strong")
        page.table((Column("camera", most=NAME_CELLS), Column("frame", right=True), Column("alone", right=True),
                    Column("with the others", right=True), Column("lost")), rows)


# -- links ------------------------------------------------------------------------------------------------------------

def tell_links(page: Page, report: Report) -> None:
    """Every link: what hosts are seen to get through, what is asked of it, its worst moment and its average."""
    links = report.study.links
    if not links:
        return
    shown = links
    for fewer in (lambda link: link.kind != "serial-line" or _matters(link), _matters):
        shown = shown if len(shown) <= MOST_LINKS else tuple(link for link in links if fewer(link))
    page.blank()
    page.say("'Carries' is what computers are seen to get through, less than the label says. 'Asked' is by all at "
             "once, and 'full' how full that makes it." + (
                 " 'In' is towards the computer." if any(link.label.endswith(", in") for link in shown) else ""),
             "LINKS", "strong")
    page.table(
        (Column("link"), Column("carries", right=True), Column("asked", right=True),
         Column("full", right=True), Column("average", right=True)),
        [_link_row(link) for link in shown],
    )
    if len(shown) < len(links):
        page.hang(f"{len(links) - len(shown)} more links serve one part each and are not full (all: --json).", 2)
    shared = [link for link in shown if len(link.carries) > 1]
    for link in shared:
        page.hang(f"{plain(link.label)} serves {some_of(link.carries, MOST_LINK_NAMES)}.", 4, "- ")
    page.hang(AVERAGES, 2)


def _matters(link: LinkOutcome) -> bool:
    busy = 0.5 if link.kind == "serial-line" else 0.995
    return len(link.carries) > 1 or link.load_peak > busy


def _link_row(link: LinkOutcome) -> list[str]:
    return [
        _marked(link.label, link.basis == "assumed" or bool(link.assumption)), mb_per_s(link.expected_mb_per_s),
        mb_per_s(link.asked_mb_per_s) if link.carries else "-", percent(link.load_peak), percent(link.load_average),
    ]


# -- devices ----------------------------------------------------------------------------------------------------------

def tell_devices(page: Page, report: Report) -> None:
    """Every device: what it does, the speed it gets, what it moves and where it is plugged in."""
    devices = report.study.devices
    if not devices:
        return
    assumed = assumed_devices(report.study)
    page.blank()
    page.say("What each does tonight, how fast it is connected, and its plugs up to the computer.", "DEVICES", "strong")
    page.table(
        (Column("device", most=NAME_CELLS), Column("role"), Column("speed", right=True), Column("asks", right=True),
         Column("plugged into")),
        [
            [_marked(device.id, device.id in assumed), device.role,
             "-" if device.speed is None else mbit(device.speed.mbit), _asks(device),
             ", ".join(map(plain, device.path)) or "-"]
            for device in devices
        ],
    )
    for device in devices:
        if device.limited_by is not None and device.could_be is not None:
            page.hang(f"{plain(device.id)} could run at {mbit(device.could_be.mbit)}, but {device.limited_by.text}.",
                      4, "- ")


def _asks(device: DeviceOutcome) -> str:
    return "-" if device.asked_mb_per_s is None else mb_per_s(device.asked_mb_per_s)


def _marked(name: str, assumed: bool) -> str:
    return f"{plain(name)} {MARK}" if assumed else plain(name)
