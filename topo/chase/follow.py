"""One step of a chase: from what was said and seen to what is believed, what to do now, and what would be left then.

Everything is computed anew from facts: what is seen, how often, what is at hand, what tests showed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from topo.chase import kinds, symptoms
from topo.chase.belief import Belief, believe
from topo.chase.choose import WORTH, Decision, choose, now
from topo.chase.dossier import Factor, dossier_of
from topo.chase.ending import Alike, Ending, ranked
from topo.chase.heard import heard
from topo.chase.known import looked
from topo.chase.rhythm import Rhythm
from topo.chase.said import UNSAID, answer_of, rhythm_of
from topo.chase.symptoms import Symptom
from topo.chase.things import THINGS, USUAL
from topo.chase.wires import Wires
from topo.errors import CommandError
from topo.frozen import frozen, replace
from topo.model.chase import GOES, Dossier, Reply, Shows
from topo.model.plain import plain


@frozen
class Said:
    """The facts of a chase as they were typed: symptoms, parts that show them, how often, what is at hand, answers.

    `cannot` are tests that cannot be done on this rig, whatever the file says of it; `told` is what scans and logs told
    (`heard.py`).
    """

    symptoms: tuple[str, ...] = ()
    at: tuple[str, ...] = ()
    every: str = ""
    have: tuple[str, ...] = ()
    saw: tuple[str, ...] = ()
    cannot: tuple[str, ...] = ()
    told: tuple[str, ...] = ()


@frozen
class Branch:
    """What one outcome of the test would leave: its chance, and the groups with their chances, likeliest first."""

    outcome: str
    chance: float
    left: tuple[tuple[Alike, float], ...]


@frozen
class ChaseStep:
    """Where a chase stands. `branches` follow the outcomes of the chosen test; `borrow` is what one would need next."""

    rig: Wires
    said: Said
    symptoms: tuple[Symptom, ...]
    victims: tuple[str, ...]
    case: Dossier
    rhythm: Rhythm
    answers: tuple[Reply, ...]
    belief: Belief
    choice: Decision
    branches: tuple[Branch, ...] = ()
    borrow: tuple[str, ...] = ()

    @property
    def ended(self) -> Ending | None:
        """How it ended, or None while there is something to do."""
        return self.choice.ending


def follow(rig: Wires, said: Said, known: Factor | None = None) -> ChaseStep:
    """The step after all that was said. Raises CommandError for words, parts or tests that do not exist."""
    found, victims = _symptoms(said.symptoms), _victims(rig, said)
    have = _things(said.have)
    case = dossier_of(rig, found, victims, have, known)
    rhythm = rhythm_of(said.every or UNSAID, _download_min(rig))
    answers = tuple(answer_of(text, case, rhythm) for text in said.saw)
    belief = believe(case, rhythm, answers)
    for test in said.cannot:
        if all(test != each.key for each in case.tests):
            raise CommandError(f"there is no test '{plain(test, 80)}' for this rig now")
    choice = choose(belief, answers, (*said.cannot, *_answered(case, said)))
    step = ChaseStep(rig, said, found, victims, case, rhythm, answers, belief, choice, branches_of(belief, choice))
    if choice.ending is not None and not choice.ending.named:
        return replace(step, borrow=_borrow(rig, step, have, known))
    return step


def advised(step: ChaseStep) -> str:
    """The key of the test that was advised last, or that would still tell most at the end. Raises CommandError."""
    option = step.choice.option or step.choice.further
    if option is None:
        raise CommandError("no test is advised any more: say which one, TEST=yes or TEST=no")
    return step.case.tests[option.number].key


def _answered(case: Dossier, said: Said) -> tuple[str, ...]:
    """Looks that a scan or log has answered."""
    families = looked(map(heard, said.told))
    return tuple(test.key for test in case.tests if test.is_look and test.family in families)


def branches_of(belief: Belief, choice: Decision) -> tuple[Branch, ...]:
    """What each outcome of the chosen test would leave."""
    if choice.option is None:
        return ()
    test = belief.case.tests[choice.option.number]
    found = []
    for outcome, share in zip(test.outcomes, choice.option.shares, strict=True):
        after = belief.after(Reply(test.key, outcome, choice.option.wait))
        found.append(Branch(outcome, share, tuple(ranked(after))))
    return tuple(found)


def _symptoms(names: Sequence[str]) -> tuple[Symptom, ...]:
    if not names:
        offered = "".join(f"\n  {symptom.name:<17} {symptom.words}" for symptom in symptoms.SYMPTOMS)
        raise CommandError(f"say what you see, with --symptom and one of these names:{offered}")
    return tuple(_named(name, symptoms.SYMPTOM_OF, "symptom") for name in dict.fromkeys(names))


def _named(name: str, known: dict[str, Symptom], what: str) -> Symptom:
    if name not in known:
        raise CommandError(f"no {what} is called '{plain(name, 60)}'; there are {', '.join(known)}")
    return known[name]


def _things(have: Sequence[str]) -> tuple[str, ...]:
    for name in have:
        if name not in THINGS:
            offered = "; ".join(f"{key} ({words})" for key, words in THINGS.items())
            raise CommandError(f"'{plain(name, 60)}' is nothing --have knows; there are {offered}")
    return tuple(dict.fromkeys((*USUAL, *have)))


def _victims(rig: Wires, said: Said) -> tuple[str, ...]:
    """Who shows the trouble: as said, else every part of the role that the symptoms hit."""
    found = _symptoms(said.symptoms)
    names = tuple(wire.part for wire in rig.wires)
    for part in said.at:
        if part not in names:
            raise CommandError(f"no part called '{plain(part, 60)}' reaches the computer; there are "
                               + ", ".join(map(plain, names)))
    hits = [role for symptom in found for role in symptom.hits]
    victims = tuple(dict.fromkeys(said.at)) or tuple(wire.part for wire in rig.devices if wire.role in hits)[:1]
    least = max(symptom.least for symptom in found)
    if len(victims) < least:
        which = "which part shows it" if least == 1 else f"at least {least} parts that show it"
        raise CommandError(f"say {which}, with --at PART: {', '.join(map(plain, names))}")
    return victims


def _download_min(rig: Wires) -> float:
    """Minutes between downloads: the longest exposure; 5 where nobody said one."""
    return max((wire.exposure_s for wire in rig.devices), default=0.0) / 60.0 or 5.0


def _borrow(rig: Wires, step: ChaseStep, have: Sequence[str], known: Factor | None) -> tuple[str, ...]:
    """The things not at hand whose test would tell most now, were they there."""
    case = dossier_of(rig, step.symptoms, step.victims, tuple(THINGS), known)
    belief = believe(case, step.rhythm, step.answers)
    best = max(
        (option for option in now(belief, step.answers) if set(case.tests[option.number].needs) - set(have)),
        key=lambda option: option.per_minute, default=None,
    )
    if best is None or best.bits < WORTH:
        return ()
    return tuple(need for need in case.tests[best.number].needs if need not in have)


def fixes_of(case: Dossier, group: Alike, words: Callable[[str], str] = plain) -> tuple[str, ...]:
    """What mends each of a group, in words, with names made safe by `words`."""
    told = [(kinds.KIND_OF[case.suspects[place].kind], words(case.suspects[place].piece)) for place in group]
    return tuple(kind.said(kind.fix, piece) for kind, piece in told)


def reliefs_of(case: Dossier, group: Alike) -> tuple[str, ...]:
    """What one may stop worrying about, where that holds of all of a group; each once."""
    told = [kinds.KIND_OF[case.suspects[place].kind].relief for place in group]
    return tuple(dict.fromkeys(told)) if all(told) else ()


MENDS = (
    "spare-cable", "other-socket", "lower-limit", "power-saving-off", "5-ghz", "lasting-name", "nothing-else",
    "other-lead", "other-supply", "other-controller", "other-hub",
)
"""Changes that mend what they clear, the smallest first: trouble that is seen under them was not that."""


def mended_by(step: ChaseStep) -> str | None:
    """The test under which the one named at the end is mended; None where no test is a mend, or no name was found."""
    if step.ended is None or not step.ended.named:
        return None
    places = step.ended.groups[0]
    for kind in MENDS:
        for test, row in zip(step.case.tests, step.case.table, strict=True):
            if test.kind == kind and all(isinstance(s := row[p], Shows) and s.outcome == GOES for p in places):
                return test.key
    return None
