"""What a chase has tried, with outcomes: what helpers ask first. Made of known words and mapped names alone.

Nothing of the file is copied: a test that is not known, an answer that is not understood or a name that is not of the
rig is counted as removed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from topo.chase.at_once import AND
from topo.chase.looks import ALL_LOOKS
from topo.chase.said import SAYABLE
from topo.chase.symptoms import SYMPTOM_OF
from topo.chase.tweaks import TWEAKS
from topo.model.rig import COMPUTER
from topo.pack.removed import Removed
from topo.rigfile.chasefile import read_chase

_TEST = re.compile(r"([a-z0-9-]+)((?:/[^/+=]{1,64}){0,2})")
_ANSWER = re.compile(r"([a-z]+)(?::(\d{1,7}(?:\.\d{1,6})?))?")
_OUTCOMES = {"stays": "still seen", "goes": "not seen", "moves": "moved elsewhere"}
MOST_TRIED = 30
"""Lines of tests at most, the last ones."""


def tried(path: str, names: Mapping[str, str], removed: Removed) -> list[str]:
    """Lines for the post from the file of a chase; `names` are the new names of parts by their old ones.

    Raises RigFileError where the file cannot be read.
    """
    document, _ = read_chase(path)
    seen = [SYMPTOM_OF[name].words for name in document.symptoms if name in SYMPTOM_OF]
    at = [names[part] for part in document.at if part in names]
    head = "; ".join(seen) + (f", at {', '.join(at)}" if at else "")
    told = [line for text in document.saw if (line := _line(text, names)) is not None]
    removed.count("lines of the log", len(document.saw) - len(told))
    if not told:
        return [f"Trouble: {head}"] if seen else []
    return [f"Already tried, for: {head}", *(f"- {line}" for line in told[-MOST_TRIED:])]


def _line(text: str, names: Mapping[str, str]) -> str | None:
    """One test with its outcome, or None where it is not understood."""
    key, _, said = text.rpartition("=")
    answer = _ANSWER.fullmatch(said)
    if answer is None:
        return None
    word, minutes = answer.groups()
    look = next((each for each in ALL_LOOKS if each.name == key.split("/")[0]), None)
    outcome = _OUTCOMES.get(SAYABLE.get(word, "")) if look is None else word if word in look.outcomes else None
    tests = key.split(AND)
    done = [told for each in tests if (told := _done(each, names)) is not None]
    if outcome is None or len(done) < len(tests) or (look is not None and len(tests) > 1):
        return None
    watched = f", watched {float(minutes):g} min" if minutes else ""
    return f"{' and '.join(done)}: {outcome}{watched}"


def _done(test: str, names: Mapping[str, str]) -> str | None:
    """What was done, with the new names of its parts; None where the kind or a name is not known."""
    match = _TEST.fullmatch(test)
    if match is None:
        return None
    kind, pieces = match.groups()
    parts = [piece for piece in pieces.split("/") if piece and piece != COMPUTER]
    known = {*(look.name for look in ALL_LOOKS), *(tweak.name for tweak in TWEAKS)}
    if kind not in known or any(part not in names for part in parts):
        return None
    return kind.replace("-", " ") + (f" ({', '.join(names[part] for part in parts)})" if parts else "")
