"""Before and after: two small trees with only the parts a finding is about, in the same places, and one bar each.

On the left the cable that is to be moved is dashed at its new socket; on the right it is plugged in. A setting, a cable
or a lead that changes has its words on both sides. Below, the figure that matters stands twice on one axis.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from topo.draw.answer import FIGURES, figure_of, short_of
from topo.draw.changed import Changed, changed
from topo.draw.guilt import touched
from topo.draw.look import NAME_SIZE, TEXT_SIZE
from topo.draw.metrics import shortened, text_width, wrapped
from topo.draw.shapes import Cluster, Shape, Sheet, Slab, Stroke, Words, hatched
from topo.draw.small_tree import Hang, SmallTree, small_tree
from topo.draw.strokes import strokes
from topo.frozen import frozen
from topo.model.facts import Figure, Range3
from topo.model.figures import amount
from topo.model.plain import plain
from topo.model.rig import COMPUTER
from topo.wiring.instructions import instructions

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import Finding, Plan

EDGE, BETWEEN = 14.0, 28.0
ROW_HIGH, BOX_HIGH = 46.0, 28.0
STACKED_BELOW = 640
"""Pixels of width from which on down the two stand beneath each other."""
BAR_HIGH = 15.0


@frozen
class Bars:
    """A figure now and once all is done, on one axis: what it is, its unit, both values, and both in words."""

    name: str
    now: float
    done: float
    said: tuple[str, str]


def before_after(now: Study, done: Study, findings: Sequence[Finding], plan: Plan, width: int = 900) -> Sheet | None:
    """The sheet of a plan; None where none of its parts hangs on anything."""
    finding = shown_finding(findings, plan, done)
    if finding is None:
        return None
    leads = {lead.id: lead for lead in now.rig.leads}
    on_leads = any(lead.place.line and lead.place == finding.place for lead in leads.values()) or not (
        now.topology.path(finding.part) or finding.part in {part.id for part in now.rig.parts})
    moved = [name for name in sorted(touched(plan)) if name not in leads and name != COMPUTER]
    ends = [end for name in sorted(touched(plan)) if name in leads for end in leads[name].ends]
    tree = small_tree(now, done, (finding.part, *finding.others, *moved, *ends), on_leads)
    words = changed(now.rig, done.rig, plan.proposal)
    return None if tree is None else _Sheet(tree, words, finding, plan, done, float(width)).sheet()


def shown_finding(findings: Sequence[Finding], plan: Plan, done: Study) -> Finding | None:
    """The finding a plan is shown by: the first it clears that has a figure to compare, else the first it clears."""
    cleared = {(each.name, each.part) for each in plan.clears}
    found = [each for each in findings if (each.name, each.part) in cleared]
    return next((each for each in found if bars_of(each, plan, done) is not None), found[0] if found else None)


def bars_of(finding: Finding, plan: Plan, done: Study) -> Bars | None:
    """The figure of a finding that changes, at the end that its words speak of; None where none can be compared.

    `done` is the rig with the plan done.
    """
    fix = finding.fix
    if fix is None:
        return None
    own = fix.plan is not None and fix.plan.proposal == plan.proposal
    figures = fix.after if own else fix.figures_of(done) if fix.figures_of is not None else ()
    after = {figure.name: figure for figure in figures}
    known = {figure.name: figure for figure in finding.figures}
    for name, end in FIGURES.get(finding.name, ("", ()))[1]:
        if name in known and name in after:
            one, two = _value(known[name], end), _value(after[name], end)
            if one is not None and two is not None and one != two:
                unit = known[name].unit
                return Bars(name, one, two, (amount(one, unit), amount(two, unit)))
    return None


def _value(figure: Figure, end: str) -> float | None:
    value = getattr(figure.value, end) if isinstance(figure.value, Range3) else figure.value
    return value if isinstance(value, int | float) and value == value and abs(value) < 1e12 else None


class _Sheet:
    def __init__(self, tree: SmallTree, words: Changed, finding: Finding, plan: Plan, done: Study,
                 width: float) -> None:
        self.tree, self.changed, self.finding, self.plan, self.width = tree, words, finding, plan, width
        self.bars = bars_of(finding, plan, done)
        self.stacked = width < STACKED_BELOW
        self.panel = width - 2 * EDGE if self.stacked else (width - 2 * EDGE - BETWEEN) / 2
        said = [short_of(plain(step, 400).replace("`", "")) for step in instructions(plan.proposal)]
        self.heads = (("Now: " + figure_of(finding),), ("With this done: " + ". ".join(said),))
        self.lines = [wrapped(" ".join(head), self.panel, NAME_SIZE, bold=True, most=5) for head in self.heads]
        longest = max(text_width(plain(name), NAME_SIZE, bold=True) for name, spot in tree.spots.items()
                      if spot.column == tree.columns - 1)
        self.last = min(longest + 12, self.panel * 0.42)
        self.step = (self.panel - self.last) / max(1, tree.columns - 1)
        sockets = (text_width(plain(hang.by), TEXT_SIZE) for hang in (*tree.now.values(), *tree.done.values()))
        self.row = ROW_HIGH + (14.0 if words.wires else 0.0)
        self.between = min(64.0, max(sockets, default=0.0) + 16.0)

    def sheet(self) -> Sheet:
        """Both trees, and the bars below."""
        high = self.tree.rows * self.row + 8
        heads = [len(lines) * 17.0 + 10 for lines in self.lines]
        heads = heads if self.stacked else [max(heads)] * 2
        shapes: list[Shape] = []
        y, bottoms = EDGE, []
        for side in (0, 1):
            x = EDGE if self.stacked or not side else EDGE + self.panel + BETWEEN
            shapes += [Words(x, y + 13 + 17 * number, line, NAME_SIZE, "ink", bold=True)
                       for number, line in enumerate(self.lines[side])]
            shapes.append(Cluster(tuple(self._tree(x, y + heads[side], side == 1)), classes=("now", "done")[side]))
            bottoms.append(y + heads[side] + high)
            y = bottoms[-1] + 10 if self.stacked else y
        y = max(bottoms)
        bars = self.bars
        if bars is not None:
            shapes.append(Cluster(tuple(self._bars(bars, y)), classes="bars"))
            y += 92.0
        told = " ".join(" ".join(head) + "." for head in self.heads) + (
            f" {bars.name}: now {bars.said[0]}, then {bars.said[1]}." if bars else "")
        return Sheet(self.width, y + EDGE, tuple(shapes), "Before and after", told)

    # -- trees --------------------------------------------------------------------------------------------------------

    def _at(self, name: str, x: float, y: float) -> tuple[float, float, float]:
        """The left edge, the middle and the width of a part's box."""
        spot = self.tree.spots[name]
        least = text_width(plain(name), TEXT_SIZE, bold=True) + 16
        width = self.last if spot.column == self.tree.columns - 1 else min(self.step - self.between, least)
        return x + spot.column * self.step, y + spot.row * self.row + ROW_HIGH / 2, max(24.0, width)

    def _tree(self, x: float, y: float, done: bool) -> Iterator[Slab | Stroke | Words]:
        now, then = self.tree.now, self.tree.done
        for name, hang in (then if done else now).items():
            moved = now.get(name) != then.get(name)
            yield from self._wire(name, hang, x, y, "line", 4.0 if moved and done else 2.0)
            if done or not moved:
                yield from self._of_wire(name, hang, x, y, done)
        for name, hang in () if done else then.items():
            if now.get(name) != hang:
                yield from self._wire(name, hang, x, y, "ink", 2.5, planned=True)
        for name in self.tree.spots:
            yield from self._box(name, x, y, done)

    def _box(self, name: str, x: float, y: float, done: bool) -> Iterator[Slab | Words]:
        left, middle, width = self._at(name, x, y)
        inner = self.tree.spots[name].column < self.tree.columns - 1
        if inner:
            yield Slab(left, middle - BOX_HIGH / 2, width, BOX_HIGH, "bar", "edge")
        wrong = not done and name in (self.finding.part, *self.finding.others)
        words = shortened(plain(name), width - 8, TEXT_SIZE if inner else NAME_SIZE)
        yield Slab(left, middle - BOX_HIGH / 2, 4.0, BOX_HIGH, "trouble" if wrong else "edge")
        yield Words(left + 8, middle + 4.5, words, TEXT_SIZE if inner else NAME_SIZE, "ink", bold=wrong or not inner)
        if said := self.changed.parts.get(name, ("", ""))[done]:
            room = (self.step - 8.0 if inner else width - 8.0)
            yield Words(left + 8, middle + BOX_HIGH / 2 + 10, shortened(said, room, TEXT_SIZE), TEXT_SIZE,
                        "ink" if done else "trouble", bold=True)

    def _wire(self, name: str, hang: Hang, x: float, y: float, ink: str, width: float,
              planned: bool = False) -> Iterator[Stroke | Words | Slab]:
        """From the part above to this one: out at its right, down or up, and in at this one's left."""
        left, middle, _ = self._at(name, x, y)
        above, start, wide = self._at(hang.above, x, y)
        out = above + wide
        spot, top = self.tree.spots[name], self.tree.spots[hang.above]
        bend = out + 10.0 if spot.column - top.column < 2 or spot.row != top.row else left - 14.0
        end = middle + (6.0 if planned else 0.0)
        points = ((out, start), (bend, start), (bend, end), (left, end)) if abs(end - start) > 0.5 else (
            (out, start), (left, end))
        if planned:
            yield Stroke(points, "paper", 6.0)
            yield from strokes("planned", points, "ink")
        else:
            wrong = ink == "line" and width < 4.0 and hang == self.tree.now.get(name) != self.tree.done.get(name)
            yield Stroke(points, "line", 4.0 if wrong else width)
        label = shortened(plain(hang.by), max(46.0, self.step - wide - 22.0), TEXT_SIZE)
        yield Words(left - 4, end + (14.0 if planned else -5.0), label, TEXT_SIZE, "ink" if planned else "quiet", "end")

    def _of_wire(self, name: str, hang: Hang, x: float, y: float, done: bool) -> Iterator[Words]:
        """What a cable or lead that changes is made of, below its end."""
        said = self.changed.wires.get(hang.by, self.changed.wires.get(name, ("", "")))[done]
        left, middle, _ = self._at(name, x, y)
        above, _, wide = self._at(hang.above, x, y)
        beside = text_width(said, TEXT_SIZE, bold=True) <= left - above - wide - 12.0  # else it goes below the boxes
        top = middle + (14.0 if beside else BOX_HIGH / 2 + 11.0)
        for number, line in enumerate(wrapped(said, self.step - 12.0, TEXT_SIZE, bold=True, most=2)):
            yield Words(left - 6, top + 13 * number, line, TEXT_SIZE, "ink" if done else "trouble", "end", True)

    # -- bars ---------------------------------------------------------------------------------------------------------

    def _bars(self, bars: Bars, y: float) -> Iterator[Slab | Stroke | Words]:
        yield Words(EDGE, y + 14, bars.name, NAME_SIZE, "ink", bold=True)
        label, most = 46.0, max(bars.now, bars.done, 0.0) or 1.0
        room = self.width - 2 * EDGE - label - max(text_width(words, NAME_SIZE, bold=True) for words in bars.said) - 14
        left = EDGE + label
        for number, (word, value) in enumerate((("now", bars.now), ("done", bars.done))):
            top = y + 26 + number * (BAR_HIGH + 8)
            long = max(0.0, value) / most * room
            yield Words(left - 8, top + 12, word, TEXT_SIZE, "ink", "end")
            if number:
                yield Slab(left, top, max(1.0, long), BAR_HIGH, "line", "line")
            else:
                yield from hatched(left, top, max(1.0, long), BAR_HIGH, "trouble")
            yield Words(left + long + 8, top + 12, bars.said[number], NAME_SIZE, "ink", bold=True)
        yield Stroke(((left, y + 22), (left, y + 74)), "line", 1.2)
        yield Stroke(((left, y + 74), (left + room, y + 74)), "edge", 1.0)
        yield Words(left, y + 88, "0", TEXT_SIZE, "quiet", "middle")
        yield Words(left + room, y + 88, bars.said[bars.now < bars.done], TEXT_SIZE, "quiet", "end")
