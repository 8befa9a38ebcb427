"""Does what went wrong line up with what the rig did, more than chance allows? Exact, without random numbers.

Chances are numbered: one for each guide frame (or each step of a grid). Two nulls: all glitches shifted together round
the session, which keeps every rhythm of theirs; and those of each download cycle shifted within it, which keeps bursts.
Both distributions are worked out in full. Free shuffling is never used: it calls a rhythm that divides the cadence a
link.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import accumulate, pairwise

from topo.frozen import frozen

LEAST_CLUMPS = 5
"""One glitch in a window of 1 % gives p = 0.01 and means nothing: somebody chose to look at it (common practice)."""
LEVEL = 0.05
SHARE_LOOKED_FOR = 0.5
POWER = 0.8
REPEATS = 0.8
EVEN = 0.25
"""A schedule is even where more than a quarter of its steps bring four fifths of the downloads onto downloads again."""
MOST_NEEDED = 440
MOST_STARTS = 400


@frozen
class Trial:
    """What is tested: `count` chances, those marked that lie in windows, glitches among them, and where cycles begin.

    `marked` are runs of chances (first, last) in order and apart from each other; `starts` the chance each window
    begins with; `glitches` are chances, one for each clump.
    """

    count: int
    marked: tuple[tuple[int, int], ...]
    starts: tuple[int, ...]
    glitches: tuple[int, ...]

    @property
    def share(self) -> float:
        """The share of chances that lie in windows."""
        return sum(last - first + 1 for first, last in self.marked) / self.count if self.count else 0.0

    @property
    def hits(self) -> int:
        """How many glitches lie in windows."""
        return sum(self.holds(glitch) for glitch in self.glitches)

    def holds(self, chance: int) -> bool:
        """True where a chance lies in a window."""
        index = bisect_right(self.marked, (chance, self.count)) - 1
        return index >= 0 and chance <= self.marked[index][1]


def trial(
    chances: Sequence[float], windows: Sequence[tuple[float, float]], glitches: Sequence[float], clump_s: float
) -> Trial:
    """A trial from times in s: when each chance was due, windows from start to end, and when glitches were due.

    Glitches closer than `clump_s` are one.
    """
    runs: list[tuple[int, int]] = []
    starts = []
    for begin, end in sorted(windows):
        first, last = bisect_left(chances, begin), bisect_right(chances, end) - 1
        if last < first:
            continue
        starts.append(first)
        if runs and first <= runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], max(last, runs[-1][1]))
        else:
            runs.append((first, last))
    clumps: list[float] = []
    last_seen = -math.inf
    for glitch in sorted(glitches):
        if glitch - last_seen > clump_s:
            clumps.append(glitch)
        last_seen = glitch
    places = tuple(min(bisect_left(chances, glitch - 1e-9), len(chances) - 1) for glitch in clumps) if chances else ()
    return Trial(len(chances), tuple(runs), tuple(starts), places)


def shifted(one: Trial, points: Sequence[int]) -> list[int]:
    """How many of the points lie in windows, for each shift of all of them together round the session."""
    count = one.count
    change = [0] * (count + 1)
    for point in points:
        for first, last in one.marked:
            begin = (first - point) % count
            length = last - first + 1
            change[begin] += 1
            if begin + length <= count:
                change[begin + length] -= 1
            else:
                change[count] -= 1
                change[0] += 1
                change[begin + length - count] -= 1
    return list(accumulate(change[:count]))


def shift_p(one: Trial) -> float:
    """The chance of as many hits or more by one shift of all glitches, over all shifts there are."""
    if not one.count or not one.glitches:
        return 1.0
    hits = one.hits
    return sum(each >= hits for each in shifted(one, one.glitches)) / one.count


def cycle_p(one: Trial) -> float:
    """The chance of as many hits or more where each cycle's glitches are shifted together within it, worked out."""
    if not one.count or not one.glitches:
        return 1.0
    edges = sorted({0, *one.starts, one.count})
    inside_window = bytearray(one.count)
    for first, last in one.marked:
        inside_window[first:last + 1] = b"\x01" * (last + 1 - first)
    spread = [1.0]
    for begin, end in pairwise(edges):
        inside = one.glitches[bisect_left(one.glitches, begin):bisect_left(one.glitches, end)]
        if inside:
            spread = _both(spread, _within(inside_window[begin:end], [glitch - begin for glitch in inside]))
    return min(1.0, math.fsum(spread[one.hits:]))


def _within(marked: bytearray, inside: Sequence[int]) -> list[float]:
    """The chance of each number of hits where the glitches of one cycle are shifted together within it."""
    length = len(marked)
    twice = marked + marked
    chances = [0] * (len(inside) + 1)
    for shift in range(length):
        chances[sum(twice[glitch + shift] for glitch in inside)] += 1
    return [each / length for each in chances]


def _both(a: Sequence[float], b: Sequence[float]) -> list[float]:
    found = [0.0] * (len(a) + len(b) - 1)
    for i, x in enumerate(a):
        for j, y in enumerate(b):
            found[i + j] += x * y
    return found


def evenness(one: Trial) -> float:
    """The share of steps, by whole downloads, that bring most downloads onto downloads again: 1 for a strict comb."""
    starts = one.starts
    if len(starts) < 3:
        return 1.0
    used = starts[:: math.ceil(len(starts) / MOST_STARTS)]
    again = [each >= REPEATS * len(used) for each in shifted(one, used)]
    runs = sum(now and not before for before, now in pairwise(again)) + (again[0] and not again[-1])
    return min(1.0, (runs - 1) / (len(starts) - 1))


def binomial_tail(hits: int, count: int, share: float) -> float:
    """The chance of at least so many hits among lone, independent glitches."""
    return min(1.0, math.fsum(_binomial(count, share)[hits:]))


def _binomial(count: int, share: float) -> list[float]:
    if share >= 1:
        return [0.0] * count + [1.0]
    if share <= 0:
        return [1.0] + [0.0] * count
    log, rest, gamma = math.log(share), math.log1p(-share), math.lgamma
    return [math.exp(gamma(count + 1) - gamma(k + 1) - gamma(count - k + 1) + k * log + (count - k) * rest)
            for k in range(count + 1)]


def power(count: int, share: float, caused: float, level: float) -> float:
    """The chance that so many glitches, that share of them caused, give p at or below the level (one-sided)."""
    chances, seen, least = _binomial(count, share), 0.0, count + 1
    for hits in range(count, -1, -1):
        seen += chances[hits]
        if seen > level * (1 + 1e-9):
            least = hits + 1
            break
    if least > count:
        return 0.0
    return math.fsum(_binomial(count, caused + (1 - caused) * share)[least:])


def needed(share: float, caused: float, level: float, wanted: float, most: int = MOST_NEEDED) -> int:
    """The fewest glitches from which power stays at or above the wanted; `most` + 1 where that is not enough.

    Power rises in a saw-tooth, so the search goes on well past the last count that was too small.
    """
    below, count = 0, 0
    while count < min(most, 40 + 1.3 * below):
        count += 1
        if power(count, share, caused, level) < wanted:
            below = count
    return below + 1


def holm(chances: Sequence[float]) -> list[float]:
    """Corrected for the number of questions (Holm 1979): the smallest times m, the next times m - 1, never falling."""
    found = [0.0] * len(chances)
    running = 0.0
    for rank, (value, place) in enumerate(sorted((value, place) for place, value in enumerate(chances))):
        running = max(running, min(1.0, (len(chances) - rank) * value))
        found[place] = running
    return found


def interval(hits: int, count: int) -> tuple[float, float]:
    """The 95 % interval of a share (Clopper and Pearson 1934), by halving."""
    if not count:
        return 0.0, 1.0
    low = 0.0 if hits == 0 else _solve(lambda p: binomial_tail(hits, count, p) - 0.025)
    high = 1.0 if hits == count else _solve(lambda p: 0.025 - (1 - binomial_tail(hits + 1, count, p)))
    return low, high


def _solve(rising: object) -> float:
    assert callable(rising)
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < 0 else (low, middle)
    return (low + high) / 2


def none_bound(count: int) -> float:
    """The share that can be caused at most, at 95 %, where none of so many is a hit."""
    return 1 - 0.05 ** (1 / count) if count else 1.0
