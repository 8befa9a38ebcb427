"""Looks, one entry each: tests that read something and change nothing. Chances are common practice, no source.

Looks of one family tell the same thing twice (a drop in the log is the drop that gave the new device number): one of
them counts. A kind of suspect that a look does not name gets `rest`; what a kind says of itself in `tells` comes first.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from topo.chase.kinds import SuspectKind
from topo.frozen import frozen
from topo.model.chase import LookChances

Chances = tuple[float, ...]
_ELECTRICAL_LOOKS = (
    "guide-missing", "camera-timeout", "drops", "several-drop", "not-found", "mount-stalls", "port-gone",
)
_NAME_LOOKS = ("port-gone", "port-in-use", "wrong-answers")
"""Symptoms that a look at names and holders decides: indoors, by day, and free."""
YES_NO = ("yes", "no")


@frozen
class Look:
    """One look. `for_symptoms` empty: for all. `chances(kind, reached)` overrides `yes`; `reached` devices are hit."""

    name: str
    family: str
    minutes: float
    words: str
    outcomes: tuple[str, ...] = YES_NO
    yes: Mapping[str, float] | None = None
    rest: float = 0.03
    chances: Callable[[SuspectKind, int], Chances] | None = None
    for_symptoms: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    caution: str = ""

    def told(self, kind: SuspectKind, reached: int) -> LookChances:
        """The chance of each outcome if a suspect of this kind, reaching so many devices, is the fault."""
        if self.name in kind.tells:
            return LookChances(kind.tells[self.name])
        if self.chances is not None:
            return LookChances(self.chances(kind, reached))
        yes = (self.yes or {}).get(kind.name, self.rest)
        return LookChances((yes, 1.0 - yes))


def _renumbered(kind: SuspectKind, reached: int) -> Chances:
    """A device number rises each time a device comes back, so it counts drops since the start of the computer."""
    if kind.name == "controller":
        return (0.05, 0.10, 0.80, 0.05)
    if not kind.electrical:
        return (0.10, 0.04, 0.03, 0.83)
    return (0.80, 0.08, 0.04, 0.08) if reached < 2 else (0.12, 0.72, 0.08, 0.08)


def _logged(kind: SuspectKind, reached: int) -> Chances:
    yes = 0.9 if kind.electrical else 0.5 if kind.name in ("suspend", "other") else 0.07
    return (yes, 1.0 - yes)


def _named(kind: SuspectKind, reached: int) -> Chances:
    """Whether the name a program opens is its part's: yes, another's or nobody's, or the part has no port at all."""
    if kind.name == "port-name":
        return (0.06, 0.90, 0.04)
    if kind.electrical:
        return (0.30, 0.10, 0.60)
    return (0.60, 0.08, 0.32) if kind.name == "holder" else (0.80, 0.10, 0.10)


ALL_LOOKS: tuple[Look, ...] = (
    Look(
        "new-number", "came-back", 2,
        "Look with `topo live`: whose device numbers stand far above their neighbours' on the same bus: this part's "
        "alone, its whole branch's, all of its controller's, or none?",
        outcomes=("alone", "branch", "controller", "none"), chances=_renumbered, for_symptoms=_ELECTRICAL_LOOKS,
        caution="Plugging by hand raises the numbers too: look before anything is moved.",
    ),
    Look(
        "log-line", "came-back", 3,
        "Look into the system's log at the minute of the trouble: is there a line about a USB disconnect or reset?",
        chances=_logged, for_symptoms=_ELECTRICAL_LOOKS, needs=("log",),
        caution="Both clocks must be the same: the log's and the program's.",
    ),
    Look(
        "speed-fallen", "speed", 2,
        "Look with `topo compare`: does any part on the path run slower than it could be?",
        yes={"superspeed": 0.85, "cable": 0.08},
    ),
    Look(
        "over-current", "over-current", 2,
        "Look with `topo live`: is there an over-current count above 0, or an under-voltage flag of the computer?",
        yes={"hub-sag": 0.5, "hub-dead": 0.5, "lead": 0.5, "supply": 0.5},
        caution="The flag stays set from the start of the computer on.",
    ),
    Look(
        "times-line-up", "times", 5,
        "Put the times of the trouble beside those of the downloads: do they fall together more often than chance?",
        yes={"sharing": 0.9, "limit": 0.7, "superspeed": 0.6, "hub-sag": 0.3, "hub-dead": 0.3, "supply": 0.3},
        rest=0.12, needs=("log",), caution="Both lists must be on one clock.",
    ),
    Look(
        "power-saving", "power-saving", 2,
        "Look at the setting that is in force, not the one in a file: may this part be put to sleep?",
        yes={"suspend": 0.95, "asleep": 0.95}, rest=0.4,
    ),
    Look(
        "whose-name", "names", 1,
        "Look with `topo names`: is what its program opens the port of this part now (yes), of another part or of "
        "nothing (no), or has this part no port at all (none)?",
        outcomes=("yes", "no", "none"), chances=_named, for_symptoms=_NAME_LOOKS,
        caution="Write what the program opens into the file first (`opens`), as it stands in the program.",
    ),
    Look(
        "who-holds", "holders", 1,
        "Look with `topo names` as administrator: does a program or service have its port that should not?",
        yes={"holder": 0.9}, rest=0.06, for_symptoms=(*_NAME_LOOKS, "fails-after-idle"),
    ),
    Look(
        "unplug-and-look", "twins", 2,
        "Unplug the USB lead of this part and run `topo compare`: is it this part that is then missing?",
        yes={"port-name": 0.25}, rest=0.93, for_symptoms=("wrong-answers",),
        caution="Park the mount before its plug is pulled, and put the plug back into the same socket.",
    ),
    Look(
        "time-asleep", "power-saving", 1,
        "Look with `topo compare`: does the system count time that this part, or a hub above it, has slept?",
        yes={"suspend": 0.9, "asleep": 0.9}, rest=0.15, for_symptoms=("fails-after-idle",),
    ),
    Look(
        "star-jumps", "star", 5,
        "Look into the guide log: does the star jump while frames go on arriving, with none late and none missing?",
        yes={"sky": 0.95}, rest=0.06, for_symptoms=("guiding-jumps", "guide-late", "guide-missing"),
        needs=("log",),
    ),
)
"""Every look, in the order of listing."""
