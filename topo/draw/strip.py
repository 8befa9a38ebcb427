"""The strip of one exposure's end: shutter, download, guide frames as planned and as they come, the mount's error.

Laid out once, as plain shapes: `report` and `pack` show it as SVG, `topo night` draws it with matplotlib.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from topo.draw.metrics import shortened
from topo.draw.shapes import Ink, Sheet, Slab, Stroke, Words, hatched
from topo.frozen import frozen
from topo.model.figures import arcsec, seconds
from topo.model.night import NEVER, NEVER_WORDS
from topo.model.plain import plain
from topo.words.lists import capital, of_100

if TYPE_CHECKING:
    from topo.night.moment import CloseUp, GuideFrame

STRIP_WIDTH = 850.0
MARGIN_LEFT = 150.0
STRIP_END = 834.0
STRIP_INNER = STRIP_END - MARGIN_LEFT
HEAD, ROW, BAR, ERROR, FOOT = 59.0, 26.0, 16.0, 78.0, 38.0
SMALL_PX = 11.0
SHOWN = "The worst there can be: all start at once, slow links, guide frames served last, the mount at its fastest."
PUNCTUAL = 0.01
"""A frame that is late by less than this part of a cycle is shown as on time."""

_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0)
_Shape = Slab | Stroke | Words


@frozen
class Scale:
    """What strips beside each other have in common: seconds shown, and arcseconds from the middle to the edge."""

    from_s: float
    until_s: float
    arcsec: float

    def x(self, at: float) -> float:
        """Pixels of a time, held inside."""
        share = (min(max(at, self.from_s), self.until_s) - self.from_s) / (self.until_s - self.from_s)
        return MARGIN_LEFT + share * (STRIP_INNER)


def scale_of(*moments: CloseUp) -> Scale:
    """One scale for strips that stand beside each other."""
    until = max(each.until_s for each in moments)
    far = max((abs(size) for each in moments for at, size in each.error if at <= until), default=0.0)
    return Scale(min(each.from_s for each in moments), until, max(far, 0.05) * 1.1)


def strip(shown: CloseUp, heading: str, scale: Scale) -> Sheet:
    """The sheet of one moment."""
    height = HEAD + 4 * ROW + ERROR + FOOT
    shapes: list[_Shape] = [Words(MARGIN_LEFT, 17.0, shortened(heading, STRIP_INNER, 15.5), 14.0, "ink", bold=True),
              Words(MARGIN_LEFT, 34.0, shortened(meeting_words(shown), STRIP_INNER, SMALL_PX), SMALL_PX, "quiet"),
              Words(MARGIN_LEFT, 49.0, SHOWN, SMALL_PX, "quiet")]
    shapes += _grid(scale, height)
    top = HEAD
    for name, row in ((f"{plain(shown.camera)}", _shutter), ("its download", _download),
                      ("guiding as planned", _planned), ("guiding as it comes", _came)):
        words = shortened(name, MARGIN_LEFT - 12.0, SMALL_PX + 1)
        shapes.append(Words(MARGIN_LEFT - 8.0, top + 12.5, words, SMALL_PX + 1, "ink", "end"))
        shapes += row(shown, scale, top)
        top += ROW
    shapes += _error(shown, scale, top)
    return Sheet(STRIP_WIDTH, height, tuple(shapes), heading, f"{meeting_words(shown)} {SHOWN} {late_words(shown)}")


def meeting_words(shown: CloseUp) -> str:
    """How often a download delays a guide frame, and what every frame waits for."""
    if shown.met is None:
        said = "No download delays a guide frame."
    else:
        camera, share = shown.met
        said = f"{capital(of_100(share))} downloads of {plain(camera)} delay a guide frame."
    return f"{said} Every frame comes {seconds(shown.always_s)} late." if 0.0 < shown.always_s < NEVER else said


def late_words(shown: CloseUp) -> str:
    """The one dimension of a strip."""
    if any(frame.comes_s == NEVER for frame in shown.came) or shown.late_s == NEVER:
        return NEVER_WORDS
    lost = {"no": "", "possible": "may be lost", "certain": "lost"}[shown.lost]
    if shown.late_s < _least(shown):
        return lost or "on time"
    late = f"{seconds(shown.late_s)} late = {arcsec(shown.arcsec)}"
    return f"{late}, {lost}" if lost else late


def _least(shown: CloseUp) -> float:
    """Seconds from which on lateness is shown."""
    starts = [frame.opens_s for frame in shown.planned[:2]]
    return PUNCTUAL * (starts[-1] - starts[0]) if len(starts) > 1 else 0.0


def _grid(scale: Scale, height: float) -> Iterator[_Shape]:
    """Seconds along the foot, and where the shutter closes."""
    bottom = height - FOOT
    step = next((step for step in _STEPS if (scale.until_s - scale.from_s) / step <= 16), 1000.0)
    for number in range(math.ceil(scale.from_s / step), math.floor(scale.until_s / step) + 1):
        x = scale.x(number * step)
        yield Stroke(((x, HEAD - 4), (x, bottom)), "edge" if number else "line", 0.4 if number else 1.2, bool(number))
        yield Words(x, bottom + 13.0, f"{number * step:g}", SMALL_PX, "ink" if not number else "quiet", "middle")
    yield Words(STRIP_END, bottom + 29.0, "seconds from the shutter's closing", SMALL_PX, "quiet", "end")
    yield from _legend(bottom + 29.0)


def _legend(y: float) -> Iterator[_Shape]:
    x = MARGIN_LEFT
    for word, shape in (("exposing", "open"), ("arriving", "full"), ("waiting", "hatched"), ("lost", "cross")):
        if shape == "open":
            yield Slab(x, y - 9, 18, 10, "bar", "guiding")
        elif shape == "full":
            yield Slab(x, y - 9, 18, 10, "guiding", "guiding")
        elif shape == "hatched":
            yield from hatched(x, y - 9, 18, 10, "trouble")
        else:
            yield from _cross(x + 9, y - 4, 5)
        yield Words(x + 23, y, word, SMALL_PX, "quiet")
        x += 90.0


def _cross(x: float, y: float, size: float) -> Iterator[Stroke]:
    yield Stroke(((x - size, y - size), (x + size, y + size)), "trouble", 2.2)
    yield Stroke(((x - size, y + size), (x + size, y - size)), "trouble", 2.2)


def _shutter(shown: CloseUp, scale: Scale, top: float) -> Iterator[_Shape]:
    spans = [(scale.from_s, 0.0, "shutter open")]
    if shown.opens_s < scale.until_s:
        spans.append((shown.opens_s, scale.until_s, "open again"))
    for low, high, word in spans:
        x, width = scale.x(low), scale.x(high) - scale.x(low)
        yield Slab(x, top, width, BAR, "bar", "imaging")
        if width > 80:
            yield Words(x + 6, top + 12, word, SMALL_PX, "imaging")


def _download(shown: CloseUp, scale: Scale, top: float) -> Iterator[_Shape]:
    free = scale.x(shown.download_s) + 60.0
    for name, low, high in shown.others:
        x, width = scale.x(low), scale.x(high) - scale.x(low)
        yield Slab(x, top + BAR / 2, max(1.0, width), BAR / 2, "bar", "imaging")
        words = f"of {shortened(plain(name), 120, SMALL_PX)}"
        at = max(free, scale.x(high) + 4)
        if x + 8 > at - 60.0 and at + 130.0 < STRIP_WIDTH:
            yield Words(at, top + BAR, words, SMALL_PX, "quiet")
            free = at + 7.0 * len(words)
    x = scale.x(0.0)
    yield Slab(x, top, max(1.0, scale.x(shown.download_s) - x), BAR, "imaging", "imaging")
    yield Words(scale.x(shown.download_s) + 5, top + 10, seconds(shown.download_s), SMALL_PX, "imaging")


def _exposing(frame: GuideFrame, scale: Scale, top: float) -> Iterator[_Shape]:
    x = scale.x(frame.opens_s)
    if frame.opens_s < scale.until_s and frame.closes_s > scale.from_s:
        yield Slab(x, top, max(0.0, scale.x(frame.closes_s) - x), BAR, "bar", "guiding")


def _planned(shown: CloseUp, scale: Scale, top: float) -> Iterator[_Shape]:
    for frame in shown.planned:
        yield from _exposing(frame, scale, top)
        yield from _arriving(frame.closes_s, frame.comes_s, scale, top, "guiding")


def _arriving(low: float, high: float, scale: Scale, top: float, ink: Ink) -> Iterator[_Shape]:
    if low < scale.until_s and scale.from_s < high < NEVER:
        yield Slab(scale.x(low), top, max(1.5, scale.x(high) - scale.x(low)), BAR, ink, ink)


def _came(shown: CloseUp, scale: Scale, top: float) -> Iterator[_Shape]:
    alone = min((frame.comes_s - frame.closes_s for frame in shown.planned), default=0.0)
    latest: GuideFrame | None = None
    for frame in shown.came:
        if frame.opens_s >= scale.until_s:
            break
        yield from _exposing(frame, scale, top)
        wait = frame.comes_s - frame.closes_s - alone
        if wait > _least(shown) and frame.comes_s > scale.from_s:
            low, high = scale.x(frame.closes_s), scale.x(frame.comes_s - (alone if frame.comes_s < NEVER else 0.0))
            yield from hatched(low, top, high - low, BAR, "trouble")
            if latest is None or _off(shown, frame, alone) < _off(shown, latest, alone):
                latest = frame
        yield from _arriving(max(frame.closes_s, frame.comes_s - alone), frame.comes_s, scale, top, "guiding")
        if frame.lost and scale.from_s < frame.comes_s < scale.until_s:
            yield from _cross(scale.x(frame.comes_s) + 8, top + BAR / 2, 5)
    if latest is not None:
        yield from _dimension(shown, latest, alone, scale, top)


def _off(shown: CloseUp, frame: GuideFrame, alone: float) -> float:
    """How far a frame's wait is from the one that is told."""
    wait = frame.comes_s - frame.closes_s - alone
    return 0.0 if wait == shown.late_s else abs(wait - shown.late_s)


def _dimension(shown: CloseUp, frame: GuideFrame, alone: float, scale: Scale, top: float) -> Iterator[_Shape]:
    """The one dimension line: from when the frame was due to when it came."""
    low, high, y = scale.x(frame.closes_s + alone), scale.x(frame.comes_s), top + BAR + 7.0
    yield Stroke(((low, y), (high, y)), "trouble", 1.4)
    for x in (low, high):
        yield Stroke(((x, y - 4), (x, y + 4)), "trouble", 1.4)
    words = late_words(shown)
    room = len(words) * 7.5
    if high + 8 + room < STRIP_END:
        yield Words(high + 8, y + 4, words, SMALL_PX + 1, "trouble", "start", True)
    elif low - 8 - room > MARGIN_LEFT:
        yield Words(low - 8, y + 4, words, SMALL_PX + 1, "trouble", "end", True)
    else:
        yield Words((low + high) / 2, y + 15, words, SMALL_PX + 1, "trouble", "middle", True)


def _error(shown: CloseUp, scale: Scale, top: float) -> Iterator[_Shape]:
    """The mount's error: flat pieces jump where a correction comes."""
    top, height = top + 14.0, ERROR - 18.0
    middle = top + height / 2
    yield Words(MARGIN_LEFT - 8, middle - 3, "the mount's error", SMALL_PX + 1, "ink", "end")
    yield Words(MARGIN_LEFT - 8, middle + 11, f"± {arcsec(scale.arcsec)}", SMALL_PX, "quiet", "end")
    yield Stroke(((MARGIN_LEFT, middle), (STRIP_END, middle)), "edge", 0.8)
    points = tuple((scale.x(at), middle - size / scale.arcsec * height / 2)
                   for at, size in _clipped(shown.error, scale.from_s, scale.until_s))
    if points:
        yield Stroke(points, "line", 1.8)


def _clipped(points: Sequence[tuple[float, float]], low: float, high: float) -> Iterator[tuple[float, float]]:
    """A line between two times, cut where it enters and where it leaves."""
    for (at, size), (then, after) in pairwise(points):
        if then < low or at > high:
            continue
        slope = (after - size) / (then - at) if then > at else 0.0
        if at < low:
            yield low, size + slope * (low - at)
        else:
            yield at, size
        if then > high:
            yield high, size + slope * (high - at)
            return
    if points and points[-1][0] <= high:
        yield points[-1]
