"""From a rig, symptoms and what is at hand to a case: suspects with their weights, tests, and what each would show.

The rule of a change, with the parts watched, the wiring before and under the test: the trouble *stays* if a watched
part is reached under the test; else it *moves* if a part is reached that was not reached before and showed no trouble;
else it *goes*.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from topo.chase import kinds
from topo.chase.at_once import Doable, doable, two_at_once
from topo.chase.belief import UNLISTED
from topo.chase.kinds import SuspectKind
from topo.chase.likely import HEALED
from topo.chase.looks import ALL_LOOKS, Look
from topo.chase.reach import BETWEEN
from topo.chase.symptoms import ATTITUDE, Symptom
from topo.chase.trials import Rewired
from topo.chase.tweaks import TWEAKS, Tweak
from topo.chase.wires import Wires
from topo.model.chase import GOES, MOVES, STAYS, Dossier, Prediction, Shows, Suspect, Test, Victims

STUBBORN, STUBBORN_ELSEWHERE = 0.15, 0.5
"""Chance that a thing that is not listed keeps silent in a test whatever is done; the second on another computer."""
MOST_UNSEEN = 4
"""Devices that nobody saw in trouble count so many times at most."""
FURTHER_SHARER = 0.3
"""Factor for sharing with anything but an imaging camera."""
OVER_AN_AXIS, STILL = 4.0, 0.25
"""Factors for a cable that runs over an axis of the mount (or has joints), and for one that lies still, where trouble
comes at one attitude (common practice, no source)."""

Factor = Callable[[str, str], float]
"""What is computed and read: a factor for a suspect of a kind at a piece."""


def dossier_of(
    rig: Wires, symptoms_: Sequence[Symptom], victims: Victims, have: Sequence[str], known: Factor | None = None,
) -> Dossier:
    """The case of a rig. `victims` are parts of it, `have` words of `things.THINGS`, `known` factors from findings."""
    found = suspects(rig, symptoms_, victims, known)
    tests: list[Test] = []
    table: list[tuple[Prediction, ...]] = []
    for look in ALL_LOOKS:
        if _wanted(look, symptoms_, have):
            tests.append(_look_test(look))
            table.append(tuple(look.told(kinds.KIND_OF[s.kind], _reached(rig, s)) for s in found))
    ways = (way for way in TWEAKS if _wanted(way, symptoms_, have))
    alone = [doable(way, trial) for way in ways for trial in way.make(rig, victims)]
    told = [(each, row) for each in alone if _tells(row := predictions(rig, found, victims, each.trial))]
    rows = {row for _, row in told}
    for each in two_at_once(rig, [each for each, _ in told]):
        row = predictions(rig, found, victims, each.trial)
        if _tells(row) and row not in rows:  # else one alone tells as much
            rows.add(row)
            told.append((each, row))
    tests += [_way_test(each, victims, row) for each, row in told]
    table += [row for _, row in told]
    return Dossier(found, tuple(tests), tuple(table))


def _tells(row: Sequence[Shows]) -> bool:
    return len({(shows.outcome, shows.pace) for shows in row}) > 1


def suspects(
    rig: Wires, symptoms_: Sequence[Symptom], victims: Victims, known: Factor | None = None
) -> tuple[Suspect, ...]:
    """Every suspect this rig has that can cause all the symptoms and reaches every victim, in the order of kinds."""
    found = []
    for kind in kinds.KINDS:
        for piece in kind.pieces(rig, victims):
            weight = _weight(rig, kind, piece, symptoms_, victims)
            weight *= known(kind.name, piece) if known is not None else 1.0
            if weight > 0.0:
                found.append(Suspect(f"{kind.name}/{piece}", kind.name, piece, weight, kind.said(kind.words, piece)))
    return tuple(found)


def _weight(rig: Wires, kind: SuspectKind, piece: str, symptoms_: Sequence[Symptom], victims: Victims) -> float:
    reached = kind.reach(rig.now, piece)
    if not reached.issuperset(victims) and kind.name != UNLISTED:
        return 0.0
    weight = kind.weight
    unseen = min(MOST_UNSEEN, len(reached) - len(victims))
    for symptom in symptoms_:
        weight *= symptom.caused_by.get(kind.name, kind.causes.get(symptom.name, 0.0))
    if kind.name != UNLISTED:
        softest = max(s.unseen if kind.electrical else s.unseen_others for s in symptoms_)
        weight *= softest**unseen
    if kind.name == "sharing" and rig.wire(piece.split(BETWEEN)[1]).role != "imaging":
        weight *= FURTHER_SHARER
    if kind.name in ("cable", "superspeed") and any(symptom.name == ATTITUDE for symptom in symptoms_):
        weight *= {True: OVER_AN_AXIS, False: STILL, None: 1.0}[rig.wire(piece).crosses]
    return weight


def predictions(rig: Wires, found: Sequence[Suspect], victims: Victims, trial: Rewired) -> tuple[Shows, ...]:
    """What each suspect shows in a trial."""
    return tuple(_shows(rig, suspect, victims, trial) for suspect in found)


def _shows(rig: Wires, suspect: Suspect, victims: Victims, trial: Rewired) -> Shows:
    kind = kinds.KIND_OF[suspect.kind]
    away = trial.wiring.any_elsewhere
    if kind.name == UNLISTED:
        return Shows(STAYS, STUBBORN_ELSEWHERE if away else STUBBORN)
    before, after = kind.reach(rig.now, suspect.piece), kind.reach(trial.wiring, suspect.piece)
    watched = trial.watch or victims
    if not after.isdisjoint(watched):
        pace = trial.pace if suspect.key in trial.hurried else 1.0
        return Shows(STAYS, _still(kind, suspect.piece, trial), pace)
    moved = after - before - frozenset(victims)
    return Shows(MOVES, _still(kind, suspect.piece, trial)) if moved else Shows(GOES)


def _still(kind: SuspectKind, piece: str, trial: Rewired) -> float:
    """The chance that the touch heals it: only contacts, and only those that were handled."""
    name = "cable" if kind.name == "superspeed" else kind.name
    return HEALED if kind.contact and f"{name}:{piece}" in trial.touched else 0.0


def _reached(rig: Wires, suspect: Suspect) -> int:
    return len(kinds.KIND_OF[suspect.kind].reach(rig.now, suspect.piece))


def _wanted(entry: Look | Tweak, symptoms_: Sequence[Symptom], have: Sequence[str]) -> bool:
    if any(need not in have for need in entry.needs):
        return False
    return not entry.for_symptoms or any(symptom.name in entry.for_symptoms for symptom in symptoms_)


def _look_test(look: Look) -> Test:
    return Test(
        look.name, look.name, look.words, look.minutes, look.outcomes, look.family, needs=look.needs,
        caution=look.caution,
    )


def _way_test(each: Doable, victims: Victims, row: Sequence[Shows]) -> Test:
    outcomes = (STAYS, MOVES, GOES) if any(shows.outcome == MOVES for shows in row) else (STAYS, GOES)
    way, trial = each.way, each.trial
    return Test(
        each.key, way.name, each.words, way.minutes, outcomes, effort=way.effort, pace=trial.pace, needs=way.needs,
        watch=trial.watch or victims, lost=way.lost, caution=way.caution, both=each.both,
    )
