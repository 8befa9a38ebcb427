"""Findings that tell the same of several parts, told once: the first in full, the others by their parts and numbers.

Notes are alike if they have one name and one certainty. Faults and risks have to speak of one part each, with the same
advice whatever the part is called: neither what has to be done nor a part that is touched is shortened away.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from topo.frozen import frozen
from topo.model.finding import Finding
from topo.words.lists import capital, some_of

MOST_ALIKE = 8
"""Parts of findings that are alike and named; the rest are counted."""


@frozen
class Family:
    """A finding with its number, counted from 1, and those that are like it."""

    number: int
    finding: Finding
    alike: tuple[tuple[int, Finding], ...] = ()


def each_alone(findings: Sequence[Finding]) -> tuple[Family, ...]:
    """Every finding by itself."""
    return tuple(Family(number, finding) for number, finding in enumerate(findings, 1))


def families(findings: Sequence[Finding]) -> tuple[Family, ...]:
    """Findings that are alike together, in the order of the first of each."""
    groups: dict[tuple[str, ...], list[tuple[int, Finding]]] = {}
    for number, finding in enumerate(findings, 1):
        groups.setdefault(_kind(number, finding), []).append((number, finding))
    return tuple(Family(*first, tuple(rest)) for first, *rest in groups.values())


def _kind(number: int, finding: Finding) -> tuple[str, ...]:
    kind = (finding.name, finding.severity, finding.certainty, finding.supplied_by)
    if finding.severity == "note":
        return kind
    if any(other in finding.message for other in finding.others):
        return (*kind, str(number))
    advice = "" if finding.fix is None else finding.fix.text
    return (*kind, advice.replace(finding.part, "") if finding.part else advice)


def alike_words(family: Family) -> str:
    """The parts of findings like this one, each once, and their numbers: `b, c and 7 more (findings 4, 6–9)`."""
    parts = tuple(dict.fromkeys(finding.part for _, finding in family.alike if finding.part))
    numbers = [number for number, _ in family.alike]
    said = f"finding{'s' if len(numbers) > 1 else ''} {_runs(numbers)}"
    return f"{some_of(parts, MOST_ALIKE)} ({said})." if parts else f"{capital(said)}."


def _runs(numbers: Iterable[int]) -> str:
    """Ascending numbers, those that follow each other as a run: `4, 6–9`."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}" if len(run) == 1 else f"{run[0]}, {run[1]}" if len(run) == 2 else
                     f"{run[0]}–{run[-1]}" for run in runs)
