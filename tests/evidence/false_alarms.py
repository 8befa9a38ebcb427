"""How often a night is called what it is not, over many made-up nights.

By hand: python -m tests.evidence.false_alarms NUMBER [FIRST]; with FIRST, only the nights of `topo night`, from there.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator

from tests.evidence.nights import night, simulated
from topo.evidence.answer import KnownNames, answer
from topo.model.answers import Answers

UNEVEN = (110.0, 120.0, 135.0)
EVEN = (120.0,)


def said(answers: Answers) -> str:
    """The strongest thing said of late guide frames and downloads, or of anything where only chance is at work."""
    verdicts = [link.verdict for link in answers.links]
    return next(
        (word for word in ("shown", "possible", "cannot-decide", "not-seen", "not-enough") if word in verdicts), ""
    )


def downloads(answers: Answers) -> str:
    """What is said of late guide frames and downloads."""
    return next(link.verdict for link in answers.links if (link.glitch, link.cause) == ("late", "download"))


def innocent(count: int) -> Iterator[str]:
    """Nights in which nothing depends on anything: even and uneven, with dithers, with bursts."""
    for seed in range(count):
        made = night(
            seed,
            exposures=(UNEVEN, EVEN)[seed % 5 == 0],
            stray=5 + seed % 60,
            dither_every=(0, 3)[seed % 2],
            bursts=seed % 3 == 0,
            hours=4.0,
        )
        yield said(answer(made.sources(), {}, None, KnownNames()))


def simulated_innocent(count: int, first: int = 0) -> Iterator[str]:
    """Nights as `topo night` simulates them, on controllers of their own; late guide frames depend on nothing."""
    for seed in range(first, first + count):
        made = simulated(seed, 5 + seed % 60, (120.0, 90.0, 150.0, 180.0)[seed % 4], 4.0, (0, 3)[seed % 2])
        yield said(answer(made.sources(), {}, None, KnownNames()))


def guilty(count: int, exposures: tuple[float, ...]) -> Iterator[str]:
    """Nights of 6 h with a late frame at half of the downloads."""
    for seed in range(count):
        yield downloads(answer(night(seed, exposures=exposures, caused=0.5).sources(), {}, None, KnownNames()))


def main() -> None:
    """Prints how often each thing was said."""
    numbers = [int(text) for text in sys.argv[1:3]]
    count, first = (*numbers, *(1000, 0)[len(numbers):])
    print("simulated by topo night, nothing depends:", Counter(simulated_innocent(count, first)), flush=True)
    if first:
        return
    print("nothing depends on anything:", Counter(innocent(count)))
    print("late at half of the downloads, uneven:", Counter(guilty(count // 10, UNEVEN)))
    print("late at half of the downloads, even:", Counter(guilty(count // 10, EVEN)))


if __name__ == "__main__":
    main()
