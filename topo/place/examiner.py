"""How plans ask what is wrong with a rig: every check at once, or only those whose answer a search can keep.

Nothing of any check by name lives here; a check says itself what its findings hang on (`model.check.Check.scope`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import field

from topo.analysis.study import Study
from topo.frozen import frozen
from topo.model.finding import AnyFinding, Finding, Glimpse, Severity

Examine = Callable[[Study], tuple[Finding, ...]]
"""Runs checks on a study."""

Still = Callable[[Study, AnyFinding], bool]
"""Whether a study has a finding still (`model.check.Check.still`)."""

Glimpses = Callable[[Study], Iterable[Glimpse]]
"""The faults and risks of a study, told soon (`model.check.Check.glimpse`)."""


@frozen
class LocalCheck:
    """One check of what hangs on a controller, its name, and the severities its findings can have."""

    name: str
    severities: tuple[Severity, ...]
    run: Examine


def nothing(study: Study) -> tuple[Finding, ...]:
    """Runs no check."""
    return ()


@frozen
class Examiner:
    """`whole` runs every check. `local` are those whose findings hang on one controller's parts, `fixed` runs those
    whose findings no plug changes. With `whole` alone a search is as exact, and slower. `named` are the checks one by
    one in their order, `no_plug` the names of those whose findings no plug changes, `one_controller` of those whose
    findings hang on one controller. `still` are those that tell it with less than all they find, `glimpses` those that
    tell their faults and risks sooner than their words."""

    whole: Examine
    local: tuple[LocalCheck, ...] = ()
    fixed: Examine = nothing
    named: Mapping[str, Examine] = field(default_factory=dict)
    no_plug: frozenset[str] = frozenset()
    one_controller: frozenset[str] = frozenset()
    still: Mapping[str, Still] = field(default_factory=dict)
    glimpses: Mapping[str, Glimpses] = field(default_factory=dict)

    def __call__(self, study: Study) -> tuple[Finding, ...]:
        return self.whole(study)

    def one(self, name: str) -> Examine | None:
        """The check of that name alone; None for a check that needs more than a study."""
        return self.named.get(name)

    def never(self, name: str, severities: tuple[Severity, ...]) -> bool:
        """Whether a check is known never to find anything of these severities."""
        return any(each.name == name and not set(each.severities) & set(severities) for each in self.local)
