"""A finding: one thing told to the person, with its figures, what would refute it, and what to do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field
from typing import TYPE_CHECKING, Any, Literal, overload

from topo.frozen import frozen
from topo.model.cautions import POWER_UNITS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from topo.model.change import Proposal
    from topo.model.facts import Figure
    from topo.model.rig import Place

Severity = Literal["fault", "risk", "note"]
Certainty = Literal["certain", "possible"]
Verdict = Literal["fault", "risk", "note", "clear"]

SEVERITIES: tuple[Severity, ...] = ("fault", "risk", "note")
"""From the worst down."""


class Later(Sequence["Figure"]):
    """Figures that are computed when somebody looks at them: most findings of changed rigs are only counted."""

    __slots__ = ("_figures", "_make")

    def __init__(self, make: Callable[[], tuple[Figure, ...]]) -> None:
        self._make: Callable[[], tuple[Figure, ...]] | None = make
        self._figures: tuple[Figure, ...] = ()

    @property
    def told(self) -> tuple[Figure, ...]:
        """The figures, computed once."""
        if self._make is not None:
            self._figures, self._make = self._make(), None
        return self._figures

    @overload
    def __getitem__(self, place: int) -> Figure: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[Figure, ...]: ...
    def __getitem__(self, place: int | slice) -> Figure | tuple[Figure, ...]:
        return self.told[place]

    def __len__(self) -> int:
        return len(self.told)

    def __iter__(self) -> Iterator[Figure]:
        return iter(self.told)

    def __eq__(self, other: object) -> bool:
        return self.told == tuple(other) if isinstance(other, Sequence) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.told)

    def __repr__(self) -> str:
        return repr(self.told)


@frozen
class Fix:
    """What to do, in words.

    A check gives the words for where nothing computed helps, and may give `offers`: what it alone knows could help
    (plugs, swaps, cables and hubs are tried anyway), and `figures_of`, the finding's figures of any study. It computes
    nothing. Planning fills in the rest: `plan` is what was computed with all of it done (it clears the finding, or
    makes it milder), `after` the figures then, `untried` whether the rig is so large that some ways
    were left to `topo rewire`.
    """

    text: str
    offers: tuple[Proposal, ...] = field(default=(), compare=False)
    figures_of: Callable[[Any], tuple[Figure, ...]] | None = field(default=None, compare=False)
    plan: Plan | None = None
    after: tuple[Figure, ...] = ()
    untried: bool = field(default=False, compare=False)


@frozen
class Plan:
    """A proposal once it is done, as computed: findings it clears, faults and risks it leaves, findings it brings.

    `price` says in words what the pictures lose by it. `brings` holds notes too: nothing comes unnamed. Of those in
    `eased` a note is left, all else of `clears` is gone.
    """

    proposal: Proposal
    clears: tuple[Finding, ...]
    leaves: tuple[Finding, ...]
    brings: tuple[Finding, ...]
    price: tuple[str, ...] = ()
    eased: tuple[Finding, ...] = ()

    @property
    def gone(self) -> tuple[Finding, ...]:
        """What it clears for good."""
        return tuple(finding for finding in self.clears if finding not in self.eased)

    def left_as(self, finding: Finding) -> Severity | None:
        """What a fault or risk becomes by it that is milder and not gone: a note, or a risk; None else."""
        key = finding.name, finding.part
        if any((each.name, each.part) == key for each in self.eased):
            return "note"
        left = {each.severity for each in self.leaves if (each.name, each.part) == key}
        return "risk" if finding.severity == "fault" and left == {"risk"} else None


@frozen
class Finding:
    """One finding. `part` is the part to look at first, `others` the further parts it concerns. What tells whether one
    that is only possible is true (`tested_by`) is filled in from its check, and `supplied_by` for plugins."""

    name: str
    severity: Severity
    certainty: Certainty
    part: str
    place: Place
    message: str
    figures: Sequence[Figure] = ()
    refuted_by: str = ""
    fix: Fix | None = None
    others: tuple[str, ...] = ()
    supplied_by: str = field(default="", compare=False)
    tested_by: str = field(default="", compare=False)

    @property
    def has_power_figure(self) -> bool:
        """Whether a figure of it is one of power, so that the cautions go with it."""
        return any(figure.unit in POWER_UNITS for figure in self.figures)


@frozen
class Glimpse:
    """A finding as far as it is counted and held beside others: no words, no figures."""

    name: str
    severity: Severity
    part: str
    others: tuple[str, ...] = ()


AnyFinding = Finding | Glimpse

TROUBLE: tuple[Severity, ...] = ("fault", "risk")
"""The severities of what is wrong, or may be."""

DESTROYS = ("volts-too-high",)
"""Findings of what breaks a part at once: nothing is told before them but a worse severity."""


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings worst first: by severity, then what destroys, certainty, and their place in the file."""
    return tuple(sorted(findings, key=_rank))


def _rank(finding: Finding) -> tuple[int, bool, bool, str, int, int, str, str]:
    place = finding.place
    return (SEVERITIES.index(finding.severity), finding.name not in DESTROYS, finding.certainty != "certain",
            place.file, place.line, place.column, finding.name, finding.part)


def verdict(findings: tuple[Finding, ...]) -> Verdict:
    """The worst severity among findings, or `clear`."""
    return min((finding.severity for finding in findings), key=SEVERITIES.index, default="clear")
