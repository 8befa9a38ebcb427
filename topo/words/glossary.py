"""One word for one thing: labels and heads that terminal, page, picture and post share, and take from here.

A word that stands here is used for that thing alone; what it replaced is on the list of retired words in
`tests/words/test_retired.py`.
"""

from __future__ import annotations

from collections.abc import Mapping

DO_FIRST = "do first"
"""What to do before anything else. DO FIRST in the terminal."""

DO = "do"
"""What to do about a finding. It stands right after what is wrong."""

CLEARS = "Computed again, that clears it."
EASES = "Computed again, that makes a {} of it."
"""After advice that was computed as done, and took the finding away, or left a note or a risk of it."""

WRONG_IF = "wrong if"
"""What would show that a finding is wrong."""

CERTAINTY: Mapping[str, str] = {"certain": "Certain", "possible": "Possible, not certain"}
"""Whether a finding holds at every end of what is uncertain, or only at some."""

LOST: Mapping[str, str] = {"no": "no", "possible": "possible", "certain": "yes"}
"""Whether frames are lost."""

LINK, SERVES, CARRIES, ASKED, FULL, AVERAGE = "link", "serves", "carries", "asked for", "full", "average"
"""Heads of a table of links: its name; the devices on it; MB/s that computers are seen to get through it; MB/s that
all on it ask at once; how full that makes it, in percent; how full it is over the night."""

ALONE, TOGETHER = "alone", "with the others"
"""A download while nothing else runs, and while all the others download too."""

GUESSES = "depend on a guess"
"""Said of a figure that rests on something nobody measured, declared or published."""

NOW, ONCE_DONE = "now", "once done"
"""Figures as they are, and as computed with the advice done."""

BASIS: Mapping[str, str] = {
    "measured": "measured",
    "declared": "your rig file",
    "profile": "profiles and published rates",
    "assumed": "a guess",
}
"""Where a figure comes from, as told to a person. JSON keeps the names of the basis."""
