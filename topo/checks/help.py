"""What several checks need: figures of a device, whether a figure holds at all ends, and what to say of a remedy."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from topo.model.change import Proposal
from topo.model.facts import Basis, Figure, Range3, basis_of
from topo.model.finding import Fix
from topo.model.rig import Device

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.change import Change
    from topo.model.outcome import DeviceOutcome


def joined_groups(parts: Sequence[Device], alike: Callable[[Device, Device], bool]) -> list[list[Device]]:
    """Parts joined wherever two of them are alike, in their order; no group of one."""
    groups: list[list[Device]] = []
    for part in parts:
        joined = [group for group in groups if any(alike(each, part) for each in group)]
        rest = [group for group in groups if group not in joined]
        groups = [*rest, [*(each for group in joined for each in group), part]]
    order = {part.id: n for n, part in enumerate(parts)}
    in_order = (sorted(group, key=lambda part: order[part.id]) for group in groups if len(group) > 1)
    return sorted(in_order, key=lambda group: order[group[0].id])


def timing_basis(study: Study, part: Device) -> Basis:
    """Basis of a download time: that of the frame size, since the delivered rates are published ranges."""
    return basis_of(part.facts.width_px)


def guide_figures(study: Study, guide: str) -> tuple[Figure, ...]:
    """The figures of a guide camera that a shared link changes, in a fixed order."""
    device = study.device(guide)
    basis = timing_basis(study, study.rig.device(guide))
    return tuple(
        Figure(name, value, unit, basis)
        for name, value, unit in (
            ("download alone", device.alone_s, "s"),
            ("download with the others", device.together_s, "s"),
            ("late at worst, equal shares", device.delay_fair_s, "s"),
            ("late at worst, others first", device.delay_last_s, "s"),
            ("downloads that delay a frame", None if device.chance is None else round(100 * device.chance), "of 100"),
        )
        if value is not None
    )


def star_figures(study: Study, guide: str) -> tuple[Figure, ...]:
    """How much wider stars get at the harshest, in the picture that 95 of 100 stay below. Under 1 % there is nothing to
    be seen."""
    judged = study.verdict_on(guide)
    if judged is None:
        return ()
    worst = judged.worst
    if not math.isfinite(worst.most):
        return ()
    harshest = round(100.0 * worst.most, 1) if worst.costs else "under 1 %"
    return (Figure("stars wider, at worst", harshest, "%" if worst.costs else "", "assumed"),)


def speed_figures(device: DeviceOutcome, basis: Basis) -> tuple[Figure, ...]:
    """The speed a device gets and could get, and its download."""
    figures = []
    if device.speed is not None:
        figures.append(Figure("speed", device.speed.mbit, "Mb/s", basis))
    if device.could_be is not None:
        figures.append(Figure("could be", device.could_be.mbit, "Mb/s", basis))
    if device.alone_s is not None:
        figures.append(Figure("download alone", device.alone_s, "s", basis))
    return tuple(figures)


def fix_by(
    offers: Iterable[Change], figures: Callable[[Study], tuple[Figure, ...]], otherwise: str
) -> Fix:
    """What a check says of its remedy: changes that it alone knows could help, how its figures are found in any study,
    and words for where nothing computed helps. Nothing is computed here: `topo/place/` does all of it once."""
    return Fix(otherwise, tuple(Proposal((offer,)) for offer in offers), figures)


def worst(value: Range3 | None) -> float:
    """The highest end of a range, 0 where there is none."""
    return 0.0 if value is None else value.high
