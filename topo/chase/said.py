"""What people say of how often, and what they saw: words to a rhythm and to an answer. Nothing else is understood."""

from __future__ import annotations

import re

from topo.chase.rhythm import Rhythm, always, downloads, every
from topo.errors import CommandError
from topo.model.chase import GOES, MOVES, STAYS, Dossier, Reply
from topo.model.plain import plain
from topo.words.nearest import near_names

NIGHT_MIN = 480.0
"""A night, minutes."""
UNSAID = "every 20 minutes, once"
"""What is assumed where nobody says how often: one event, so that waits are long."""
HOW_OFTEN = (
    '"4 minutes", "4 minutes, 10 seen", "twice a night", "3 times in 2 hours", "once", "at each download", '
    '"3 of 10 downloads" or "always"'
)
_NUMBERS = {"once": 1, "twice": 2, "one": 1, "two": 2, "three": 3, "a": 1, "an": 1}
_UNITS = {"s": 1 / 60, "second": 1 / 60, "min": 1.0, "minute": 1.0, "h": 60.0, "hour": 60.0, "night": NIGHT_MIN}
_SPAN = r"(?:(\d+(?:\.\d+)?|an?|one|two|three)\s*)?(s|seconds?|min|minutes?|h|hours?|nights?)"
_EVERY = re.compile(rf"(?:every )?{_SPAN}(?:, (\d+|once|twice)(?: seen)?)?")
_TIMES = re.compile(rf"(once|twice|\d+ times)(?: (in|an?|each|per) {_SPAN}|$)")
_OF = re.compile(r"(\d+) of (\d+) downloads|(?:at )?(?:each|every) download")


def rhythm_of(text: str, download_min: float) -> Rhythm:
    """The rhythm that was said. `download_min` is how long a download takes to come round. Raises CommandError."""
    said = " ".join(text.lower().split())[:80]
    if said in ("always", "all the time"):
        return always(said)
    if (match := _OF.fullmatch(said)) is not None:
        seen, of = (int(match[1]), int(match[2])) if match[1] else (3, 3)
        if 0 < of <= 1000 and 0 < seen <= of:
            return downloads(seen, of, download_min, said)
    elif (match := _TIMES.fullmatch(said)) is not None:
        count = _count(match[1])
        span = _minutes(match[3], match[4]) if match[4] else NIGHT_MIN
        if 0 < count <= 10_000 and 0 < span <= 1e6:
            counted = match[2] in ("in", None)  # "in 3 hours" counts what was seen; "a night" says what is usual
            return every(span / count, count if counted else 3, said)
    elif (match := _EVERY.fullmatch(said)) is not None:
        span, seen = _minutes(match[1], match[2]), _count(match[3]) if match[3] else 3
        if 0 < span <= 1e6 and 0 < seen <= 10_000:
            return every(span, seen, said)
    raise CommandError(f"how often is '{plain(text, 60)}'? Say {HOW_OFTEN}")


def _count(word: str) -> int:
    first = word.split(" ")[0]
    return _NUMBERS[first] if first in _NUMBERS else int(first[:6])


def _minutes(number: str | None, unit: str) -> float:
    amount = 1.0 if number is None else float(_NUMBERS[number]) if number in _NUMBERS else float(number[:12])
    return amount * _UNITS[unit if unit in _UNITS else unit.rstrip("s")]


SAYABLE = {"yes": STAYS, "stays": STAYS, "no": GOES, "gone": GOES, "moved": MOVES}
"""What may be said of a change: whether the trouble was still seen, or now somewhere else."""


def answer_of(text: str, case: Dossier, rhythm: Rhythm) -> Reply:
    """`TEST=yes|no|moved[:MINUTES]`, or `TEST=WORD` with a look's own words. Raises CommandError.

    Without minutes a change was watched for as long as was advised. A yes that came early says no less than a late
    one: it is weighed for the longest wait that is advised.
    """
    name, _, said = text.rpartition("=")
    word, _, minutes = said.partition(":")
    keys = [test.key for test in case.tests]
    if name not in keys:
        raise CommandError(f"there is no test '{plain(name or text, 80)}' for this rig now{_near(name or text, keys)}")
    test = case.tests[case.number(name)]
    outcome = word if test.is_look else SAYABLE.get(word, "")
    if outcome not in test.outcomes:
        words = test.outcomes if test.is_look else [w for w, o in SAYABLE.items() if o in test.outcomes]
        raise CommandError(f"'{plain(name)}' was answered '{plain(word, 30)}'; it can be {', '.join(words)}")
    longest = rhythm.waits[-1] / test.pace
    if test.is_look:
        return Reply(name, outcome)
    watched = longest if not minutes else _number(minutes, text)
    return Reply(name, outcome, max(watched, longest) if outcome != GOES else watched)


def _number(minutes: str, text: str) -> float:
    if re.fullmatch(r"\d{1,7}(\.\d{1,6})?", minutes) is None:
        raise CommandError(f"'{plain(text, 80)}': minutes are a number such as 18, after a colon")
    return float(minutes)


def _near(name: str, keys: list[str]) -> str:
    near = near_names(name, keys, most=3, cutoff=0.4)
    return f"; nearest: {', '.join(map(plain, near))}" if near else ""
