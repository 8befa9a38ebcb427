"""Studying only what changed: findings and figures of a changed rig, put together from what hangs on each controller.

A change touches one controller or two. Each controller with what hangs on it is studied once (`analysis/cut.py`), and
each check with scope "controller" is asked of it once; the same parts in the same sockets are the same study in every
plan of a run. Checks that read the whole rig are asked of the whole; those that no plug changes are asked again only
where something else than plugs has changed. All work is counted here, once for everybody who asks.
"""

from __future__ import annotations

import math
from functools import cached_property
from typing import TYPE_CHECKING

from topo.analysis.cut import crossing, cut, groups
from topo.analysis.study import Study
from topo.model.finding import TROUBLE
from topo.model.rig import COMPUTER, Rig
from topo.place.consequence import Consequence, Sums, consequence, lost_and_late, rounded_off, weighed
from topo.place.first_sockets import FirstSockets
from topo.place.part_numbers import PartNumbers
from topo.place.routes import routes
from topo.wiring.topology import Topology

if TYPE_CHECKING:
    from collections.abc import Iterable

    from topo.model.facts import Range3
    from topo.model.finding import AnyFinding, Finding, Severity
    from topo.model.outcome import DeviceOutcome
    from topo.model.traffic import Flow
    from topo.place.examiner import Examiner
    from topo.wiring.topology import Leg

EVERY_CHECK = 0.05
"""What one check of a controller costs beside studying it, about."""


class Piece:
    """One controller with what hangs on it, and what was asked of it so far.

    `as_it_was`: it is one of the first rig, whose study has all of it already.
    """

    def __init__(self, kept: Remembered, rig: Rig, here: list[str], as_it_was: bool = False) -> None:
        self.kept, self.rig, self.here, self.as_it_was = kept, rig, frozenset(here), as_it_was
        self._found: dict[str, tuple[Finding, ...]] = {}
        self._glimpsed: dict[str, tuple[AnyFinding, ...]] = {}
        self._paid: set[str] = set()
        kept.work += len(here) ** 2

    @cached_property
    def topology(self) -> Topology:
        """It alone, wired."""
        return Topology(cut(self.rig, self.here), self.kept.base.topology)

    @cached_property
    def study(self) -> Study:
        """It alone."""
        return Study(self.topology.rig, self.topology)

    @property
    def outcomes(self) -> Study:
        """A study that knows what becomes of the devices here."""
        return self.kept.base.study if self.as_it_was else self.study

    def found(self, name: str) -> tuple[Finding, ...]:
        """What one check finds here, of the parts here and of the computer."""
        if name not in self._found:
            self.pay(name)
            every = self.kept.found_at_first(name) if self.as_it_was else None
            if every is None:
                every = self.kept.examiner.named[name](self.study)
            self._found[name] = tuple(f for f in every if f.part in self.here or f.part == COMPUTER)
        return self._found[name]

    def glimpsed(self, name: str) -> tuple[AnyFinding, ...]:
        """The faults and risks among these, without words where that is told sooner."""
        glimpse = self.kept.examiner.glimpses.get(name)
        if glimpse is None or name in self._found:
            return tuple(finding for finding in self.found(name) if finding.severity != "note")
        if name not in self._glimpsed:
            self.pay(name)
            self._glimpsed[name] = tuple(each for each in glimpse(self.outcomes) if each.part in self.here)
        return self._glimpsed[name]

    def pay(self, name: str) -> None:
        """Counts one check of it, once."""
        if name not in self._paid:
            self._paid.add(name)
            self.kept.work += EVERY_CHECK * len(self.here) ** 2

    @cached_property
    def sums(self) -> Sums:
        """What it adds to a consequence."""
        return Sums.of(self.outcomes, self.here if self.as_it_was else None)

    @cached_property
    def devices(self) -> dict[str, DeviceOutcome]:
        """The outcomes of the devices here."""
        return {part.id: self.outcomes.device(part.id) for part in self.rig.devices if part.id in self.here}


class After:
    """A changed rig: what is asked of it is computed when it is asked, and only where it has changed."""

    def __init__(self, kept: Remembered, rig: Rig, topology: Topology) -> None:
        self.kept, self.rig, self.topology = kept, rig, topology
        self._found: dict[str, tuple[Finding, ...]] = {}
        self._paid = False

    @cached_property
    def study(self) -> Study:
        """The whole of it."""
        self._pay()
        if self.is_fed_otherwise:
            return self.kept.base.study.fed_otherwise(self.rig)
        alone = self._the_only_piece()
        return Study(self.rig, self.topology) if alone is None else alone.study

    def _the_only_piece(self) -> Piece | None:
        """The controller that all of it hangs on, where it was studied with all else as it is here: that is a study of
        the whole."""
        known: tuple[Piece, ...] = self.__dict__.get("pieces", ())
        if len(known) != 1 or len(known[0].here) < len(self.rig.parts) - 1:
            return None
        there, here = known[0].rig, self.rig
        same = (there.computer, there.supplies, there.leads) == (here.computer, here.supplies, here.leads)
        return known[0] if same else None

    def _pay(self) -> None:
        if not self._paid and "study" not in self.__dict__:
            self._paid = True
            self.kept.work += len(self.rig.devices) ** 2

    def pay(self) -> None:
        """Counts all that its findings take: how much more is tried must not hang on which of them are asked for."""
        examiner = self.kept.examiner
        names = [name for name in examiner.named if name not in self._found and not self._is_as_at_first(name)]
        apart = () if self.is_fed_otherwise else tuple(name for name in names if name in examiner.one_controller)
        if len(apart) < len(names) or not examiner.named:
            self._pay()
        for piece in self.pieces if apart else ():
            for name in apart:
                piece.pay(name)

    @cached_property
    def is_fed_otherwise(self) -> bool:
        """Whether only its supplies and leads are others: its study is then the first one but for the 12 V side, and no
        controller need be studied by itself."""
        return self is not self.kept.base and self.kept.only_feeds_differ(self.rig)

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """Its controllers."""
        return self.kept.pieces(self.rig, self.topology)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What all checks find, check by check, each in the order of the file."""
        if not self.kept.examiner.named:
            return self.kept.examiner(self.study)
        return tuple(f for name in self.kept.examiner.named for f in self.found(name))

    def telling(self, severities: tuple[Severity, ...] = TROUBLE) -> tuple[AnyFinding, ...]:
        """The faults, risks or both; checks that have none of these are not asked."""
        examiner = self.kept.examiner
        names = [name for name in examiner.named if not examiner.never(name, severities)]
        found = (f for name in names for f in self.glimpsed(name)) if names else self.findings
        return tuple(finding for finding in found if finding.severity in severities)

    @cached_property
    def fixed(self) -> tuple[Finding, ...]:
        """What no plug changes."""
        examiner = self.kept.examiner
        if not examiner.named:
            return examiner.fixed(self.study)
        return tuple(f for name in examiner.named if name in examiner.no_plug for f in self.found(name))

    def found(self, name: str) -> tuple[Finding, ...]:
        """What one check finds."""
        if name not in self._found:
            self._found[name] = self._ask(name)
        return self._found[name]

    def glimpsed(self, name: str) -> tuple[AnyFinding, ...]:
        """The faults and risks among these, without words where that is told sooner."""
        if name in self._found or self.is_fed_otherwise or name not in self.kept.examiner.glimpses:
            return tuple(finding for finding in self.found(name) if finding.severity != "note")
        found = (each for piece in self.pieces for each in piece.glimpsed(name))
        return tuple(sorted(found, key=lambda each: self._order[each.part]))

    def near(self, name: str, part: str) -> After | Piece:
        """Whom to ask what one check finds of one part: no more is asked than that takes."""
        if self.is_fed_otherwise or name in self._found or name not in self.kept.examiner.one_controller:
            return self
        return self._pieces_of.get(part) or self

    def surely_has(self, finding: AnyFinding) -> bool:
        """Whether a finding is there still, where its check tells it soon of the controller it is on. False proves
        nothing."""
        still = self.kept.examiner.still.get(finding.name)
        if still is None or self.is_fed_otherwise:
            return False
        piece = self._pieces_of.get(finding.part)
        return piece is not None and still(piece.outcomes, finding)

    def _ask(self, name: str) -> tuple[Finding, ...]:
        examiner = self.kept.examiner
        if self._is_as_at_first(name):
            return self.kept.base.found(name)
        if name not in examiner.one_controller or self.is_fed_otherwise:
            return examiner.named[name](self.study)
        found = [f for piece in self.pieces for f in piece.found(name) if f.part != COMPUTER]
        found += dict.fromkeys(f for piece in self.pieces for f in piece.found(name) if f.part == COMPUTER)
        return tuple(sorted(found, key=lambda finding: self._order[finding.part]))

    def _is_as_at_first(self, name: str) -> bool:
        """Whether a check finds what it found in the first rig, as it looks at nothing that has changed."""
        no_plug = self.kept.examiner.no_plug
        return self is not self.kept.base and name in no_plug and self._only_plugs_differ

    @cached_property
    def _only_plugs_differ(self) -> bool:
        return self.kept.only_plugs_differ(self.rig)

    def still_has(self, finding: AnyFinding) -> bool:
        """Whether what a finding names, with nothing else plugged in, has it still: then the whole rig has it, since
        more parts never take away what hangs on one controller (`model.check.Check.scope`). A small rig, soon studied;
        False proves nothing."""
        if finding.name not in self.kept.examiner.one_controller or finding.part == COMPUTER:
            return False
        named = {leg.part for name in (finding.part, *finding.others) for leg in self._way(name)}
        if finding.part not in named:
            return False
        still = self.kept.examiner.still.get(finding.name)
        if still is None:
            found = self.kept.some(self.rig, named).found(finding.name)
            is_note = finding.severity == "note"
            return any(f.part == finding.part and (is_note or f.severity != "note") for f in found)
        return self.kept.answered(self, finding, named)

    def _way(self, name: str) -> tuple[Leg, ...]:
        return self.topology.path(name) if self.topology.leg(name) is not None else ()

    @cached_property
    def _order(self) -> dict[str, int]:
        return {part.id: number for number, part in enumerate(self.rig.parts)}

    @cached_property
    def consequence(self) -> Consequence:
        """What it comes to."""
        if not self.kept.examiner.named or self.is_fed_otherwise:
            return consequence(self.study, self.findings)
        return weighed(Sums.together(piece.sums for piece in self.pieces), self.findings)

    @cached_property
    def soon(self) -> tuple[float, float]:
        """What a consequence is compared by besides faults and risks, as far as no night is simulated for it."""
        if not self.kept.examiner.named or self.is_fed_otherwise:
            return self.consequence.lost, self.consequence.delay_s
        pieces = [lost_and_late(piece.outcomes, piece.here) for piece in self.pieces]
        return sum(lost for lost, _ in pieces), rounded_off(math.fsum(late for _, late in pieces))

    @cached_property
    def devices(self) -> tuple[DeviceOutcome, ...]:
        """The outcome of every device, in the order of the file."""
        if self.is_fed_otherwise:
            return self.study.devices
        known = {name: device for piece in self.pieces for name, device in piece.devices.items()}
        return tuple(known[device.id] for device in self.rig.devices)

    def flow(self, name: str) -> Flow | None:
        """What a device moves, or None."""
        if self.is_fed_otherwise:
            return self.study.flow(name)
        piece = self._pieces_of.get(name)
        return None if piece is None else piece.outcomes.flow(name)

    def alone_s(self, name: str) -> Range3 | None:
        """Seconds that a frame of a device takes alone; None where it moves no frames."""
        if self.is_fed_otherwise:
            return self.study.alone_s(name)
        piece = self._pieces_of.get(name)
        return None if piece is None else piece.outcomes.alone_s(name)

    @cached_property
    def _pieces_of(self) -> dict[str, Piece]:
        return {name: piece for piece in self.pieces for name in piece.here}


class Remembered:
    """All that was computed in one run, of a rig and of whatever it was changed to."""

    def __init__(self, study: Study, examiner: Examiner) -> None:
        self.examiner = examiner
        self.work = 0.0
        """What was done so far: parts squared of each piece that was studied, and checks in the same measure."""
        self._numbers = PartNumbers()
        self._first_sockets = FirstSockets(self._numbers)
        self._pieces: dict[object, Piece] = {}
        self._afters: dict[object, After] = {}
        self.base = After(self, study.rig, study.topology)
        self.base.study = study
        self._answers: dict[object, bool] = {}
        self._across: tuple[Rig, tuple[int, ...]] | None = None
        self._at_first: dict[str, tuple[Finding, ...] | None] = {}
        self._places = {part.id: number for number, part in enumerate(study.rig.parts)}
        self._plain = self._without_plugs(study.rig)

    def of(self, rig: Rig) -> After:
        """A changed rig. Raises CommandError for plugs that form a loop."""
        key = self.key(rig)
        if key not in self._afters:
            self._afters[key] = After(self, rig, Topology(rig, self.base.topology))
        return self._afters[key]

    def only_plugs_differ(self, rig: Rig) -> bool:
        """Whether a rig is the first one but for where its parts are plugged in."""
        return self._without_plugs(rig) == self._plain

    def only_feeds_differ(self, rig: Rig) -> bool:
        """Whether a rig is the first one but for what its supplies and leads are: its parts sit where they sat, and
        leads end at the same things."""
        mine = self.base.rig
        same = rig.computer is mine.computer and rig.night is mine.night and _ends(rig) == _ends(mine)
        return same and self._parts(rig) == self._parts(mine)

    def pieces(self, rig: Rig, topology: Topology) -> tuple[Piece, ...]:
        """The controllers of a rig, each studied when it is first asked."""
        if rig is not self.base.rig:
            self.base.pieces  # noqa: B018  (so that those which are as they were are known)
        return tuple(self.piece(rig, name, here, rig is self.base.rig) for name, here in groups(topology).items())

    def piece(self, rig: Rig, name: str, here: list[str], as_it_was: bool = False) -> Piece:
        """Some parts of a rig with nothing else plugged in, studied when they are first asked for."""
        inside = set(here)
        key = (name, _ends(rig), self.across(rig),
               tuple(self._numbers.of(part) for part in (*rig.hubs, *rig.devices) if part.id in inside))
        if key not in self._pieces:
            self._pieces[key] = Piece(self, rig, here, as_it_was)
        return self._pieces[key]

    def found_at_first(self, name: str) -> tuple[Finding, ...] | None:
        """What one check finds in the first rig; None where some is of the computer: nobody tells of which part."""
        if name not in self._at_first:
            found = self.examiner.named[name](self.base.study)
            self._at_first[name] = None if any(finding.part == COMPUTER for finding in found) else found
        return self._at_first[name]

    def across(self, rig: Rig) -> tuple[int, ...]:
        """What matters on every controller, by numbers."""
        if self._across is None or self._across[0] is not rig:  # a search asks of one rig again and again
            self._across = rig, tuple(map(self._numbers.elsewhere, crossing(rig)))
        return self._across[1]

    def some(self, rig: Rig, named: set[str]) -> Piece:
        """A few parts of a rig with nothing else plugged in, each in the first socket of its kind."""
        return self.piece(self._first_sockets.put(rig, named), "some", sorted(named))

    def answered(self, after: After, finding: AnyFinding, named: set[str]) -> bool:
        """Whether parts with nothing else plugged in have a finding still, where that hangs on nothing but the ways of
        their data (`routes.py`): asked once of all that are alike in this."""
        ways = self.ways(after.rig, after.topology, named)
        if ways is None:
            return self._still(after, finding, named)
        key = finding.name, finding.part, finding.severity == "note", ways
        if key not in self._answers:
            self._answers[key] = self._still(after, finding, named)
        return self._answers[key]

    def ways(self, rig: Rig, topology: Topology, named: Iterable[str]) -> tuple[object, ...] | None:
        """What is alike of some parts of rigs, with nothing else plugged in, where the ways of their data are alike;
        None where these are not all."""
        in_order = sorted(named, key=lambda name: self._places.get(name, 0))
        found = routes(topology, in_order, self._numbers.without_cable, self._numbers.without_plug)
        return None if found is None else (found, *self.across(rig))

    def _still(self, after: After, finding: AnyFinding, named: set[str]) -> bool:
        return self.examiner.still[finding.name](self.some(after.rig, named).study, finding)

    def key(self, rig: Rig) -> object:
        """What rigs that are the same have alike."""
        return self._numbers.feeds(rig), self._parts(rig)

    def _parts(self, rig: Rig) -> tuple[int, ...]:
        return tuple(self._numbers.of(part) for part in (*rig.hubs, *rig.devices))

    def _without_plugs(self, rig: Rig) -> object:
        return self._numbers.feeds(rig), tuple(map(self._numbers.bare, (*rig.hubs, *rig.devices)))


def _ends(rig: Rig) -> tuple[tuple[str, ...], ...]:
    """What leads end at: all that the 5 V of USB has to do with the 12 V side."""
    return tuple(lead.ends for lead in rig.leads)
