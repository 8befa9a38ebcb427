"""The nouns of a chase: suspects, tests, what each suspect does under each test, and what was seen. Nothing computes.

A suspect is one piece and one way of failing. A test is a look (reads something, changes nothing) or a change (of the
wiring or a setting, then watching). Times are minutes throughout: a chase is told in minutes, not in seconds.
"""

from __future__ import annotations

from typing import ClassVar, Literal

from topo.frozen import frozen

OutcomeWord = str
"""What a test may show: of a change `stays`, `moves` or `goes`; of a look one of its own words."""

Victims = tuple[str, ...]
"""Parts that show the trouble."""

STAYS, MOVES, GOES = "stays", "moves", "goes"
"""Trouble still there; now somewhere else, with what was moved; gone for as long as was watched."""

Effort = Literal["look", "setting", "plug", "power"]
"""What a test touches: nothing; a setting; data plugs; the 12 V side (cautions are printed)."""


@frozen
class Suspect:
    """One piece and one way of failing. `weight` is the chance before anything was tried, in any unit above 0."""

    key: str
    kind: str
    piece: str
    weight: float
    words: str = ""


@frozen
class Shows:
    """What is seen during a change if this suspect is the fault.

    `still` is the chance that the fault keeps silent for the whole test, because its contact was touched or because a
    thing that is not listed does as it likes. `pace` multiplies how often it comes (a stress test).
    """

    outcome: OutcomeWord
    still: float = 0.0
    pace: float = 1.0


@frozen
class LookChances:
    """The chance of each outcome of a look if this suspect is the fault, in the order of the test's outcomes."""

    chances: tuple[float, ...]


Prediction = Shows | LookChances


@frozen
class Test:
    """One test. `hands_min` is hands-on time; `family` is shared by looks that would tell the same thing twice.

    `pace` is above 1 for a stress test: its waits are so much shorter. `needs` are things that must be at hand, `watch`
    the parts to watch, `lost` the share of imaging time lost while one watches. `both` are the keys of the two changes
    that it makes at once, where it is two.
    """

    __test__: ClassVar[bool] = False  # it is no case of pytest

    key: str
    kind: str
    words: str
    hands_min: float
    outcomes: tuple[OutcomeWord, ...]
    family: str = ""
    effort: Effort = "look"
    pace: float = 1.0
    needs: tuple[str, ...] = ()
    watch: tuple[str, ...] = ()
    lost: float = 0.0
    caution: str = ""
    both: tuple[str, ...] = ()

    @property
    def is_look(self) -> bool:
        """True where nothing is changed and nothing has to be waited for."""
        return self.effort == "look"


@frozen
class Reply:
    """A test that was done: what it showed, and how many minutes were watched (0 for a look)."""

    test: str
    outcome: OutcomeWord
    minutes: float = 0.0


@frozen
class Dossier:
    """Suspects, the tests that can be done, and `table[test][suspect]`: what each would show. Same order throughout."""

    suspects: tuple[Suspect, ...]
    tests: tuple[Test, ...]
    table: tuple[tuple[Prediction, ...], ...]

    def number(self, key: str) -> int:
        """The place of a test. Raises KeyError."""
        for place, test in enumerate(self.tests):
            if test.key == key:
                return place
        raise KeyError(key)
