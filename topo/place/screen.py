"""What a changed rig surely has still, from a few parts at a time: a bound from below that costs little.

What was found anywhere in a run names a few parts. Where these, as they are now and with nothing else plugged in, have
it still, the whole rig has it, since more parts never take away what hangs on one controller
(`model.check.Check.scope`). Small rigs are soon studied, and most changes leave most of them as they were.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from topo.model.rig import COMPUTER
from topo.place.asked_once import AskedOnce
from topo.place.consequence import RANK, key_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from topo.model.finding import AnyFinding
    from topo.place.judge import Judge
    from topo.place.remembered import After


class Screen:
    """What was found so far, to be asked after in every rig that changes lead to."""

    def __init__(self, judge: Judge) -> None:
        self.one_controller = judge.examiner.one_controller
        self.suspects: dict[tuple[str, frozenset[str]], None] = {}
        self.asked = AskedOnce(judge.kept)
        no_plug = judge.examiner.no_plug
        stays = [f.severity for f in judge.findings if f.name in no_plug and not (f.fix and f.fix.offers)]
        self.stays = stays.count("fault"), stays.count("risk")
        """Faults and risks that nothing takes away which is tried here."""
        self.learn(judge.findings)

    def learn(self, findings: Iterable[AnyFinding]) -> None:
        """Keeps what was found in a rig."""
        for finding in findings:
            if finding.name in self.one_controller and finding.part != COMPUTER and finding.severity != "note":
                parts = frozenset(name for name in (finding.part, *finding.others) if name != COMPUTER)
                self.suspects[finding.name, parts] = None

    def left(self, after: After) -> tuple[AnyFinding, ...]:
        """Faults and risks that a rig has whatever else it has, the worst of each kind and part."""
        *_, worst = (), *self._worst(after)
        return worst

    def leaves_more(self, after: After, most: tuple[int, int]) -> bool:
        """Whether it has more than so many faults and risks: nothing more is asked as soon as that is sure."""
        return any(self.least(worst) > most for worst in self._worst(after))

    def _worst(self, after: After) -> Iterator[tuple[AnyFinding, ...]]:
        """What is found so far, suspect by suspect, the worst of each kind and part."""
        worst: dict[tuple[str, str], AnyFinding] = {}
        for check, parts in self.suspects:
            if any(after.topology.leg(name) is None for name in parts):
                continue
            named = {leg.part for name in parts for leg in after.topology.path(name)}
            few = partial(after.kept.some, after.rig, named)
            for finding in self.asked.found(check, after.rig, after.topology, named, few):
                old = worst.get(key_of(finding))
                if finding.part != COMPUTER and (old is None or RANK[finding.severity] > RANK[old.severity]):
                    worst[key_of(finding)] = finding
            yield tuple(worst.values())

    def least(self, left: tuple[AnyFinding, ...]) -> tuple[int, int]:
        """The fewest faults and risks of a rig of which `left` is known."""
        severities = [finding.severity for finding in left]
        return self.stays[0] + severities.count("fault"), self.stays[1] + severities.count("risk")
