"""The tables of a report: how late guide frames come, what cameras, links and devices get. One function a table."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from topo.model.figures import arcsec, mb_per_s, mbit, megabytes, number, percent, seconds
from topo.model.night import NEVER
from topo.model.plain import plain
from topo.night.screen import NOTHING
from topo.report.assumed import assumed_devices
from topo.report.page import MARK, Column, Page
from topo.words.glossary import ALONE, ASKED, AVERAGE, CARRIES, FULL, LINK, LOST, SERVES, TOGETHER
from topo.words.lists import listed, of_100, some_of, with_small_ones

if TYPE_CHECKING:
    from topo.model.night import Guided, GuideDelay
    from topo.model.outcome import DeviceOutcome, LinkOutcome
    from topo.report.compose import Report

NAME_CELLS = 24
"""Cells of a name in a table; longer ones are cut in the middle."""

MOST_LINKS = 14
"""Tables with more links than this show the shared and the full ones, and count the others."""

MOST_LINK_NAMES = 12
"""Devices listed with one link; the rest are counted."""

SMALL_SHARE = 0.01
"""Devices that ask for less than this share of what all on a link ask are counted, not named."""

AVERAGES = (
    "Averages mislead: a link that is almost idle over the night is full at the moment a frame goes down it. "
    "No finding is based on an average."
)


NOT_HERE = " If you look for a fault, it is not here."
ON_TIME = " shares no link that gets too full for it: by this plan its frames come on time."

MOST_CAMERAS = 8
"""Cameras told in a line each; of the rest those that nobody holds up are counted."""

# -- guiding ----------------------------------------------------------------------------------------------------------

def tell_guiding(page: Page, report: Report) -> None:
    """For each guide camera: what meets it, how late its frames come, and what that does to the pictures."""
    guides = [device for device in report.study.devices if device.role == "guiding" and device.flow is not None]
    for index, device in enumerate(guides):
        if index == 0:
            page.blank()
        judged = report.study.verdict_on(device.id)
        late = judged is not None and (judged.delay.late_last_s.high > 0 or judged.delay.lost != "no")
        page.say(_in_time(device) if judged is None or not late else f"{_when_late(report, judged.delay)}:",
                 "GUIDING" if index == 0 else "", "strong")
        if judged is not None and late:
            _how_late(page, report, judged.delay)
            page.hang(_what_comes_of_it(report, judged), 2)


def guiding_words(report: Report) -> tuple[str, ...]:
    """The same in sentences, without the table: what meets each guide camera, and what comes of it."""
    said: list[str] = []
    for device in report.study.devices:
        judged = report.study.verdict_on(device.id)
        if device.role != "guiding" or device.flow is None:
            continue
        if judged is None or (judged.delay.late_last_s.high <= 0 and judged.delay.lost == "no"):
            said.append(_in_time(device))
            continue
        fair, last = seconds(judged.delay.late_fair_s.high), seconds(judged.delay.late_last_s.high)
        said += [f"{_when_late(report, judged.delay)}. At worst {fair} with equal shares, {last} if the others come "
                 "first.", _what_comes_of_it(report, judged)]
    return tuple(said)


def tell_guiding_briefly(page: Page, report: Report) -> None:
    """For each guide camera a sentence or two: how late its frames come, and what that does to the pictures. Those
    that nothing delays are told together."""
    said: list[str] = []
    in_time: list[DeviceOutcome] = []
    for device in report.study.devices:
        if device.role != "guiding" or device.flow is None:
            continue
        judged = report.study.verdict_on(device.id)
        if judged is not None and (judged.delay.late_last_s.high > 0 or judged.delay.lost != "no"):
            said.append(_late_briefly(judged))
        else:
            in_time.append(device)
    same = [device.id for device in in_time if _in_time(device) == f"{plain(device.id)}{ON_TIME}"]
    said += [_in_time(device) for device in in_time if len(same) < 2 or device.id not in same]
    if len(same) > 1:
        said.append(f"{listed(same)} share no link that gets too full for them: by this plan their frames come on "
                    "time.")
    for index, words in enumerate(said):
        if index == 0:
            page.blank()
        page.say(words, "GUIDING" if index == 0 else "", "strong")


def _late_briefly(judged: Guided) -> str:
    """What comes late, how late at worst, and how much wider stars get by it."""
    delay = judged.delay
    if delay.never:
        return f"{plain(delay.camera)}: a frame may never come, and then nothing holds the stars."
    met = "Downloads delay" if delay.chance is None else f"{of_100(delay.chance).capitalize()} downloads delay"
    said = f"{plain(delay.camera)}: {met[:1].lower()}{met[1:]} a frame, by up to {seconds(delay.late_last_s.high)}."
    if delay.lost != "no":
        said += f" Frames {'are' if delay.lost == 'certain' else 'may be'} lost."
    worst = judged.worst
    whose = "a picture" if worst.camera is None else f"the pictures of {plain(worst.camera)}"
    if not math.isfinite(worst.most):
        return f"{said} Stars in {whose} may become trails."
    wider = f"up to {percent(worst.most)}" if worst.most >= NOTHING else "less than 1 %"
    if delay.lost != "no":
        return f"{said} Late ones make the stars in {whose} {wider} wider; `topo night` says what lost ones cost."
    return f"{said} Stars in {whose} get {wider} wider by it.{'' if judged.severity else NOT_HERE}"


def _in_time(device: DeviceOutcome) -> str:
    if device.flow == "video":
        return _streaming(device)
    if device.alone_s is not None and device.cadence_s is not None and device.alone_s.high > device.cadence_s / 2:
        own, cycle = seconds(device.alone_s), seconds(device.cadence_s)
        return (f"{plain(device.id)} shares no link that gets too full for it, but its own download takes {own} of a "
                f"cycle of {cycle}.")
    return f"{plain(device.id)}{ON_TIME}"


def _streaming(device: DeviceOutcome) -> str:
    words = f"{plain(device.id)} streams: it asks for {mb_per_s(device.asked_mb_per_s)}, gets " \
            f"{mb_per_s(device.night_mb_per_s)} over the night."
    return words if device.lost == "no" else f"{words} That loses frames ({device.lost})."


def _when_late(report: Report, delay: GuideDelay) -> str:
    others = tuple(dict.fromkeys(each.other for each in report.study.shared if each.guide == delay.camera))
    cycle = seconds(delay.cycle_s)
    first = f"{plain(delay.camera)} takes a frame about every {cycle} and shares a link with {listed(others)}."
    met = "" if delay.chance is None else f" {of_100(delay.chance).capitalize()} downloads delay a guide frame."
    return f"{first}{met} How late depends on who is served first, which no plan can tell"


def _how_late(page: Page, report: Report, delay: GuideDelay) -> None:
    names = {"fair": "all get equal shares", "last": "the others come first"}
    worst = {"fair": delay.late_fair_s, "last": delay.late_last_s}
    rows = []
    for each in report.study.lateness(delay.camera):
        late = (NEVER, NEVER) if each.never else (each.spread.typical, each.spread.most)
        rows.append([names[each.discipline], *map(seconds, late), seconds(worst[each.discipline].high),
                     percent(each.share_tenth)])
    page.table(
        (Column("frames that wait, if"), Column("half come by", right=True), Column("95 of 100", right=True),
         Column("at worst", right=True), Column("of all frames*", right=True)),
        rows,
    )
    page.hang("* late by more than a tenth of a cycle. Worst: everything else starts at the same moment.", 2)
    if delay.lost != "no":
        after = "" if math.isinf(delay.lost_after_s) else f" after {seconds(delay.lost_after_s)} at the soonest"
        are = "are" if delay.lost == "certain" else "may be"
        page.hang(f"Its buffer overflows{after}: frames {are} lost.", 2)


def _what_comes_of_it(report: Report, judged: Guided) -> str:
    """The verdict of the night in words, with the figures it rests on."""
    if judged.delay.never:
        return "A frame that never comes is no guiding: the mount is left to itself."
    worst = judged.worst
    whose = "a picture" if worst.camera is None else f"the pictures of {plain(worst.camera)}"
    said = f"Even at worst, stars in {whose} get less than 1 % wider by it."
    likely = None
    if worst.camera is not None and judged.severity is not None:
        likely = report.study.likely_cost(judged.delay.camera, worst.camera)
    if likely is not None:
        said = (f"In {whose} the guiding error goes from {number(likely.without_arcsec)} to "
                f"{arcsec(likely.with_arcsec)} rms, and stars get {percent(likely.widening)} wider, most likely; at "
                f"worst {percent(worst.most)}.")
    elif worst.most >= NOTHING:
        said = f"At worst, stars in {whose} get {percent(worst.most)} wider."
    if judged.delay.lost != "no":
        return f"{said} That is for late frames; `topo night` says what lost ones cost."
    return said + (NOT_HERE if judged.severity is None else "")


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
        page.table((Column("camera", most=NAME_CELLS), Column("frame", right=True), Column(ALONE, right=True),
                    Column(TOGETHER, right=True), Column("lost")), rows)


def tell_cameras_briefly(page: Page, report: Report) -> None:
    """One line for each camera: its download alone and while all others download. Past some, those held up by nobody
    are counted."""
    cameras = [device for device in report.study.devices if device.frame_bytes is not None]
    if not cameras:
        return
    shown = cameras if len(cameras) <= MOST_CAMERAS else [each for each in cameras if _is_held_up(each)]
    page.blank()
    page.say(f"One frame of each: its download {ALONE}, and {TOGETHER} downloading too.", "CAMERAS", "strong")
    for device in shown:
        page.hang(_frame_words(device), 2)
    if rest := len(cameras) - len(shown):
        page.hang(f"{rest} {'more ' if shown else ''}camera{'s' if rest > 1 else ''}, held up by nobody.", 2)


def _is_held_up(device: DeviceOutcome) -> bool:
    return device.lost != "no" or seconds(device.alone_s) != seconds(device.together_s)


def _frame_words(device: DeviceOutcome) -> str:
    alone, together = (seconds(each).split(" (likely")[0] for each in (device.alone_s, device.together_s))
    said = f"{plain(device.id)}: {megabytes(device.frame_bytes)} in {alone}"
    said += f", {TOGETHER} {together}" if together != alone else ""
    return said + {"no": ".", "possible": "; frames may be lost.", "certain": "; frames are lost."}[device.lost]


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
    page.say("'Carries' is what computers are seen to get through, less than the label says. 'Asked for' is by all "
             "at once, and 'full' is how full that makes the link." + (
                 " 'In' is towards the computer." if any(link.label.endswith(", in") for link in shown) else ""),
             "LINKS", "strong")
    page.table(
        (Column(LINK), Column(CARRIES, right=True), Column(ASKED, right=True),
         Column(FULL, right=True), Column(AVERAGE, right=True)),
        [_link_row(link) for link in shown],
    )
    if len(shown) < len(links):
        page.hang(f"{len(links) - len(shown)} more links serve one part each and are not full (all: --json).", 2)
    shared = [link for link in shown if len(link.carries) > 1]
    for link in shared:
        page.hang(f"{plain(link.label)} {SERVES} {_served(report, link)}.", 4, "- ")
    page.hang(AVERAGES, 2)


def _served(report: Report, link: LinkOutcome) -> str:
    """The devices on a link that ask for more than 1 % of what all ask, the largest first; the small ones counted."""
    asked = {name: report.study.device(name).asked_mb_per_s or 0.0 for name in link.carries}
    all_asked = math.fsum(asked.values())
    matter = sorted((name for name in asked if asked[name] > SMALL_SHARE * all_asked), key=lambda name: -asked[name])
    return with_small_ones(matter, len(asked) - len(matter), MOST_LINK_NAMES) if matter else \
        some_of(link.carries, MOST_LINK_NAMES)


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
        (Column("device", most=NAME_CELLS), Column("role"), Column("speed", right=True), Column(ASKED, right=True),
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
