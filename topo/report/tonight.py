"""What a night brings, in words: pictures, guide frames, dark time, streams, what to do first, what was assumed.

Every number says which it is: of the middle picture or night, of the one that 95 of 100 stay below, or of the worst.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from topo.frozen import frozen
from topo.model.figures import arcsec, mb_per_s, number, percent, seconds
from topo.model.night import NEVER_WORDS
from topo.model.plain import plain
from topo.night.judge import SEEN
from topo.night.screen import NOTHING
from topo.night.tonight import SLIGHT_S
from topo.report.lines import Line
from topo.report.page import Column, Page
from topo.report.power_night import tell_power_night
from topo.words.glossary import ASKED
from topo.words.lists import capital, counted

if TYPE_CHECKING:
    from topo.model.night import Guided, Lateness, Sentence, Shooting, Spread
    from topo.model.power import PowerNight
    from topo.night.moment import CloseUp
    from topo.night.outcome import Nights
    from topo.night.tonight import CameraTonight, GuideTonight, PairTonight, Tonight

SCREEN_WORDS = "the computer's screen"

@frozen
class TonightReport:
    """A night told: of which rig and file, what it brings, and what it would bring with the first advice done.

    `nights` is what it was simulated from; `labels` the words for each link; `end_now` and `end_then` the worst end of
    an exposure. `advice` is what to do in full, `steps` the same without what has to be looked at first.
    """

    rig: str
    file: str
    now: Tonight
    advice: str
    steps: str
    then: Tonight | None
    troubles: tuple[str, ...]
    nights: Nights
    labels: Mapping[str, str]
    power: PowerNight | None = None
    judged: tuple[Guided, ...] = ()
    end_now: CloseUp | None = None
    end_then: CloseUp | None = None


def tonight_lines(report: TonightReport, width: int = 80, encoding: str = "utf-8") -> list[Line]:
    """The report as styled lines of at most `width` terminal cells."""
    page = Page(width, encoding)
    now = report.now
    hours = number(now.plan.seconds / 3600.0)
    page.say(f"{hours} h as planned, simulated {2 * now.nights} times: {now.nights} with fair shares for guide frames, "
             f"{now.nights} with guide frames served last. Each time exposures start at other moments (seed "
             f"{now.seed}), and links are slow, likely and fast in turn.", "TONIGHT", "strong")
    page.say(f"{plain(report.rig)}, from {plain(report.file)}" if report.file else plain(report.rig), "rig")
    if not now.guides:
        page.blank()
        page.say("There is no guide camera in it that takes single frames, so no guide frame can come late.", "GUIDING",
                 "strong")
    for pair in now.pairs:
        _tell_pair(page, report, pair)
    for guide in now.guides:
        _tell_guide(page, guide)
    _tell_dark(page, now)
    _tell_streams(page, now)
    tell_power_night(page, report.power)
    _tell_first(page, report)
    _tell_assumed(page, now)
    if report.troubles:
        page.blank()
        page.say("These plugins or checks failed: " + "; ".join(map(plain, report.troubles)), "UNCHECKED", "strong")
    return page.lines


# -- pictures ---------------------------------------------------------------------------------------------------------


def _tell_pair(page: Page, report: TonightReport, pair: PairTonight) -> None:
    now = report.now
    shot = next(each for each in now.plan.shooting if each.camera == pair.camera)
    guide = next(each for each in now.guides if each.camera == pair.guide)
    page.blank()
    said = f"{plain(pair.camera)}, {seconds(shot.exposure_s)} each, guided by {plain(pair.guide)}."
    page.say(said, "PICTURES", "strong")
    page.say(shown_in_pictures(pair, guide), text_style="strong")
    heads = (Column("by sharing, shutter open"), Column("at worst", True), Column("likely", True),
             Column("at best", True))
    page.table(heads, [
        ("stars wider, middle picture", *(_wider(each.widening) for each in pair.costs)),
        ("stars wider, 95 of 100 below", *(_wider(each.widening_most) for each in pair.costs)),
        ("stars wider, worst picture", *(_wider(each.widening_worst) for each in pair.costs)),
        # Lateness shifts phases, which may come out a hair better: nobody is told that sharing helps.
        ("guiding error rms, middle picture", *(arcsec(max(each.with_arcsec, each.without_arcsec))
                                                for each in pair.costs)),
        ("guiding error rms without sharing", *(arcsec(each.without_arcsec) for each in pair.costs)),
        ("pictures spoiled by sharing", *(percent(each.spoiled) for each in pair.costs)),
    ])
    page.say(_corners(now, shot, pair))
    for judged in report.judged:
        for sentence in judged.sentences:
            if (judged.delay.camera, sentence.camera) == (pair.guide, pair.camera):
                page.say(_judged(sentence))


def _judged(sentence: Sentence) -> str:
    """What `topo check` says of the same pictures, and what it rests on."""
    if sentence.why == "never":
        return f"`topo check` calls it a {sentence.severity}: some frames may never come."
    by = "less than 1 %" if sentence.most < NOTHING else percent(sentence.most)
    verdict = "has no finding about it" if sentence.severity is None else f"calls it a {sentence.severity}"
    return (f"`topo check` {verdict}: frames that wait, even at the worst moments, come to {by}. Lost frames are "
            "judged apart from that.")


def shown_in_pictures(pair: PairTonight, guide: GuideTonight) -> str:
    """What the widths come to, in a sentence."""
    harsh, likely, mild = pair.costs
    if any(each.never for each in guide.lateness):
        sure = all(each.never for each in guide.lateness)
        return f"There {'are' if sure else 'may be'} guide frames that never come: then nothing holds the stars."
    if harsh.widening_most < NOTHING:
        return ("Sharing cannot be seen in them: even at worst, the stars of 95 in 100 pictures get less than 1 % "
                "wider. If you look for a fault, it is not here.")
    if harsh.widening_most < SEEN:
        return "Sharing can hardly be seen in them, even at worst."
    if mild.widening_most >= SEEN:
        return "Sharing shows in them, even at best: stars get wider along one side."
    if likely.widening_most >= SEEN:
        return "Sharing shows in them, unless the night is better than is likely."
    return "Sharing shows in them only at worst: if most guesses turn out badly."


def _wider(share: float) -> str:
    """A share by which stars grow; past double it is told as a factor."""
    if share >= 1.0:
        return f"{number(1.0 + share, 2)} times"
    return "0 %" if share < 5e-5 else percent(share)


def _corners(now: Tonight, shot: Shooting, pair: PairTonight) -> str:
    plan = next(each for each in now.plan.guiding if each.camera == pair.guide)
    mount, seeing, noise = plan.mount, now.plan.seeing_arcsec, plan.noise_arcsec
    swing = mount.peak_to_peak_arcsec
    return (f"At worst: a mount that swings by {arcsec(swing.high)}, stars {arcsec(seeing.low)} wide, slow links, "
            f"guide frames served last. At best: {arcsec(swing.low)}, {arcsec(seeing.high)}, fast links, fair shares. "
            f"Star noise {arcsec(noise.low)} to {arcsec(noise.high)} is in all figures.")


# -- guide frames -----------------------------------------------------------------------------------------------------


def _tell_guide(page: Page, guide: GuideTonight) -> None:
    page.blank()
    page.say(f"{plain(guide.camera)} takes a frame every {seconds(guide.cycle_s)} (a cycle).", "GUIDING", "strong")
    if not any(each.spread.worst > SLIGHT_S or each.lost_per_h.worst > 0.0 or each.never for each in guide.lateness):
        page.say("All its frames come on time, in every night that was simulated.")
        return
    rows = [(words, *(what(each, late) for each, late in zip(guide.lateness, guide.late_s, strict=True)))
            for words, what in _GUIDE_ROWS]
    rows = [row for row in rows if any(row[1:])]
    heads = (Column("its frames, all nights together"), Column("served fairly", True), Column("served last", True))
    page.table(heads, rows)


def _late(value: float) -> str:
    if math.isinf(value):
        return NEVER_WORDS
    return seconds(value) if value > SLIGHT_S else "0 s"


def _lost(value: float) -> str:
    return number(value, 2)


def _first_lost(late: Lateness) -> str:
    return "none is lost" if math.isinf(late.first_lost_s) else f"after {seconds(late.first_lost_s)}"


_GUIDE_ROWS: tuple[tuple[str, Callable[[Lateness, Spread], str]], ...] = (
    ("late by more than a tenth of a cycle", lambda each, _: percent(each.share_tenth)),
    ("late by more than half a cycle", lambda each, _: percent(each.share_half)),
    ("late by more than a cycle", lambda each, _: percent(each.share_cycle)),
    ("how late if late, typical (half below)", lambda _, late: _late(late.typical)),
    ("how late if late, 95 of 100 below", lambda _, late: _late(late.most)),
    ("how late if late, worst", lambda _, late: _late(late.worst)),
    ("every frame late by at least", lambda each, _: _late(each.always_s) if each.always_s > SLIGHT_S else ""),
    ("downloads that hold a frame back", lambda each, _: percent(each.met)),
    ("frames lost in an hour, typical night", lambda each, _: _lost(each.lost_per_h.typical)),
    ("frames lost in an hour, 95 of 100 below", lambda each, _: _lost(each.lost_per_h.most)),
    ("frames lost in an hour, worst night", lambda each, _: _lost(each.lost_per_h.worst)),
    ("first one lost, soonest", lambda each, _: _first_lost(each)),
    ("a frame that never comes", lambda each, _: "in some night" if each.never else "no"),
)
"""What is told of a guide camera's frames, for each way of sharing."""


# -- dark time, streams -----------------------------------------------------------------------------------------------


def _tell_dark(page: Page, now: Tonight) -> None:
    cameras = [each for each in now.cameras if each.pictures]
    if not cameras:
        return
    page.blank()
    loses = any(each.lost_per_h.worst > 0.0 for each in cameras)
    damage = " Damaged are pictures that lose bytes, in an hour of the worst night." if loses else ""
    page.say("Downloads keep the shutter closed; here is for how long in a typical night. A hundredth of the night "
             "lost costs as much as stars that are 1 % wider along one side, and often it is the larger loss."
             f"{damage}", "DARK", "strong")
    heads = [Column("camera", most=24), Column("pictures", True), Column("dark", True),
             Column("95 of 100 nights below", True), Column("dark share", True)]
    heads += [Column("damaged", True)] if loses else []
    page.table(heads, [_dark_row(each, now.plan.seconds, loses) for each in cameras])


def _dark_row(each: CameraTonight, night_s: float, loses: bool) -> tuple[str, ...]:
    row = (plain(each.camera), number(each.count), seconds(each.dark_s.typical), seconds(each.dark_s.most),
           percent(each.dark_s.typical / night_s))
    return (*row, _lost(each.lost_per_h.worst)) if loses else row


def _tell_streams(page: Page, now: Tonight) -> None:
    if not now.streams:
        return
    page.blank()
    page.say("These ask for more than they get, some of the night: for such a share of the middle night, with so many "
             "frames lost in an hour of it.", "STREAMS", "strong")
    heads = (Column("stream", most=24), Column(ASKED, True), Column("least it gets", True),
             Column("short", True), Column("lost an hour", True), Column("worst night", True))
    page.table(heads, [
        (SCREEN_WORDS if "/" in each.flow else plain(each.flow), mb_per_s(each.asked / 1e6), mb_per_s(each.least / 1e6),
         percent(each.short_share.typical), _lost(each.lost_per_h.typical), _lost(each.lost_per_h.worst))
        for each in now.streams
    ])


# -- what to do, what was assumed -------------------------------------------------------------------------------------


def _tell_first(page: Page, report: TonightReport) -> None:
    page.blank()
    if report.then is None:
        page.say("`topo check` has no advice that can be computed for this night.", "DO FIRST", "strong")
        return
    page.say(report.advice, "DO FIRST", "strong", "strong")
    now, then = _hardest(report.now.pairs), _hardest(report.then.pairs)
    if now is not None and then is not None:
        less = "not at all" if then[1] < 5e-5 else f"by less than {_wider(then[1])}"
        page.say(f"With that done, the stars in 95 of 100 pictures of {plain(now[0].camera)} widen {less} at "
                 f"worst (now by less than {_wider(now[1])}).")
    page.say(_lateness_then(_worst_late(report.now.guides), _worst_late(report.then.guides)))


def _hardest(pairs: Sequence[PairTonight]) -> tuple[PairTonight, float] | None:
    worst = max(pairs, key=lambda pair: pair.costs[0].widening_most, default=None)
    return None if worst is None else (worst, worst.costs[0].widening_most)


def _worst_late(guides: Sequence[GuideTonight]) -> float:
    return max((each.worst for guide in guides for each in guide.late_s), default=0.0)


def _lateness_then(before: float, after: float) -> str:
    """The latest frame of all nights, now and with the advice done."""
    now = f"The latest guide frame is {_late(before)} late now"
    if math.isinf(before):
        now = "Some guide frames never come now"
    if math.isinf(after):
        return f"{now}, and some would never come then."
    return f"{now}; then {'none is late' if after < SLIGHT_S else f'the latest is {_late(after)} late'}."


def _tell_assumed(page: Page, now: Tonight) -> None:
    if not now.plan.assumed:
        return
    page.blank()
    page.say(f"These figures depend on {counted(len(now.plan.assumed), 'guess')}. Fill them in under `night:` or "
             "at their parts to be sure.", "GUESSES", "strong")
    for words in now.plan.assumed:
        page.hang(capital(words), 4, "- ")
