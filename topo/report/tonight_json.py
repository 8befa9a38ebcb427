"""The night as JSON after `night.schema.json`. What never comes is null; shares are 0 to 1, times seconds."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from topo.report.power_json import night_volts_json

if TYPE_CHECKING:
    from topo.model.night import Cost, Lateness, Spread
    from topo.night.tonight import Tonight
    from topo.report.tonight import TonightReport

DECIMALS = 6


def tonight_json(report: TonightReport) -> dict[str, Any]:
    """The whole report, ready for `json.dumps`."""
    return {
        "format": "topo.night.1",
        "rig": report.rig,
        "nights": report.now.nights,
        "seed": report.now.seed,
        "hours": report.now.plan.seconds / 3600.0,
        "now": _night(report.now),
        "advice": report.advice or None,
        "then": None if report.then is None else _night(report.then),
        "power": None if report.power is None else night_volts_json(report.power),
        "assumed": list(report.now.plan.assumed),
        "plugins_failed": list(report.troubles),
    }


def _night(now: Tonight) -> dict[str, Any]:
    return {
        "pictures": [
            {"camera": pair.camera, "guide": pair.guide, "costs": {each.corner: _cost(each) for each in pair.costs}}
            for pair in now.pairs
        ],
        "guiding": [
            {"camera": each.camera, "cycle_s": _number(each.cycle_s),
             **{{"fair": "fair", "last": "served_last"}[one.discipline]: _lateness(one, late)
                for one, late in zip(each.lateness, each.late_s, strict=True)}}
            for each in now.guides
        ],
        "cameras": [
            {"camera": each.camera, "pictures": _number(each.count), "dark_s": _spread(each.dark_s),
             "damaged_per_h": _spread(each.lost_per_h)}
            for each in now.cameras
        ],
        "streams": [
            {"flow": each.flow, "asked_mb_per_s": _number(each.asked / 1e6),
             "least_mb_per_s": _number(each.least / 1e6), "short_share": _spread(each.short_share),
             "lost_per_h": _spread(each.lost_per_h)}
            for each in now.streams
        ],
    }


def _cost(cost: Cost) -> dict[str, Any]:
    return {
        "widening": _three((cost.widening, cost.widening_most, cost.widening_worst)),
        "rms_arcsec": _number(cost.with_arcsec), "rms_without_sharing_arcsec": _number(cost.without_arcsec),
        "eccentricity": _number(cost.eccentricity_with),
        "eccentricity_without_sharing": _number(cost.eccentricity_without),
        "excursion_arcsec": _number(cost.excursion_arcsec), "spoiled": _number(cost.spoiled),
    }


def _lateness(late: Lateness, late_s: Spread) -> dict[str, Any]:
    return {
        "frames": late.frames, "late_s": _spread(late_s), "later_than_a_tenth": _number(late.share_tenth),
        "later_than_half": _number(late.share_half), "later_than_a_cycle": _number(late.share_cycle),
        "downloads_that_meet": _number(late.met), "always_s": _number(late.always_s),
        "lost_per_h": _spread(late.lost_per_h), "first_lost_s": _number(late.first_lost_s), "never": late.never,
    }


def _spread(spread: Spread) -> dict[str, Any]:
    return _three((spread.typical, spread.most, spread.worst))


def _three(values: Iterable[float]) -> dict[str, Any]:
    return dict(zip(("typical", "most", "worst"), map(_number, values), strict=True))


def _number(value: float | None) -> float | None:
    return None if value is None or math.isinf(value) or math.isnan(value) else round(value, DECIMALS)
