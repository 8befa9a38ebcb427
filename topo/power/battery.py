"""Volts, resistance and what is left of supplies and batteries. Figures after published charts, each beside its source.

A battery's age is never known well enough: all of this is an estimate.
"""

from __future__ import annotations

import math

from topo.model.facts import Range3, value_of
from topo.model.feeds import Chemistry, Supply

METER_ERROR = 0.005
"""A hand meter's error on DC volts (from memory, verify)."""

LABEL = 0.05
"""A supply with fixed volts over its label (common practice, no source)."""

ADJUSTABLE = 0.10
"""A supply whose volts can be set, where nobody measured them: its knob's range (common practice, no source)."""

REST_FULL = {"lifepo4": 13.6, "agm": 12.9, "gel": 12.9, "flooded": 12.7}
"""Volts at rest, full: LiFePO4 of four cells by several charts; flooded by a vehicle manual's chart; AGM and gel are a
little higher (from memory)."""

REST_LOW = {"lifepo4": 12.8, "agm": 12.0, "gel": 12.0, "flooded": 12.0}
"""The same with a quarter left (the same charts; LiFePO4: its nominal volts)."""

LEAD_REST = ((0.0, 11.9), (0.25, 12.0), (0.5, 12.2), (0.75, 12.4), (1.0, 12.7))
"""Lead-acid at rest by charge left (a vehicle manual's chart; another differs by 0.1 to 0.3 V)."""

LFP_REST = ((0.0, 10.0), (0.05, 12.0), (0.1, 12.8), (0.2, 12.9), (0.4, 13.1), (0.7, 13.2), (0.9, 13.3), (1.0, 13.6))
"""LiFePO4 of four cells by charge left: 10.0 cut-off, 12.9 to 13.3 V for the most of it, 13.6 rested full (several
charts, which disagree by a third of the charge at 13.2 V)."""

ENDS_AT = {"lifepo4": 10.0, "agm": 10.5, "gel": 10.5, "flooded": 10.5}
"""Volts at which it is flat: 2.5 V a cell by charts; 1.75 V a cell by rating practice."""

PEUKERT = {"lifepo4": 1.0, "agm": 1.10, "gel": 1.15, "flooded": 1.25}
"""Exponent: the middle of the published ranges 1.05 to 1.15, 1.10 to 1.20, 1.20 to 1.30; lithium about 1."""

RATED_HOURS = {"lifepo4": 5.0, "agm": 20.0, "gel": 20.0, "flooded": 20.0}

USABLE = {"lifepo4": 0.9, "agm": 0.5, "gel": 0.5, "flooded": 0.5}
"""Share that is taken out without harm (common practice, no source)."""

LEAD_COLD = ((-10.0, 0.74), (0.0, 0.82), (10.0, 0.90), (25.0, 1.0), (30.0, 1.03))
"""Capacity by temperature in C: a published 40 Ah sheet."""

LFP_COLD = ((-20.0, 0.70), (0.0, 0.80), (25.0, 1.0))
"""The same for LiFePO4 (one seller's article: weak)."""

YEARLY = {"lifepo4": 0.97, "agm": 0.92, "gel": 0.92, "flooded": 0.90}
"""Capacity left after each year (common practice, no source)."""

LEAD_MILLIOHM_AH = 8.0 * 40.0
"""Internal resistance times capacity: 8 milliohm at 40 Ah (a published sheet)."""

LFP_MILLIOHM = Range3(10.0, 20.0, 50.0)
"""A pack with its management (from memory, verify)."""


PER_KELVIN_CELL = Range3(0.003, 0.004, 0.005)
"""Volts by which a lead-acid charger with a sensor lowers each cell for a kelvin above 25 C, and raises it below (two
published figures, which disagree; the middle is their mean)."""

CELLS, RATED_C = 6, 25.0
NIGHT_C = Range3(-10.0, 5.0, 20.0)
"""A battery at night where nobody says how cold it is (our own, no source)."""


def compensated(volts: float, celsius: float, per_kelvin_cell: float) -> float:
    """Volts at which a charger that follows temperature holds six lead-acid cells, from those it states for 25 C."""
    return volts - CELLS * per_kelvin_cell * (celsius - RATED_C)


def charged_volts(supply: Supply, coldest: float | None = None) -> Range3 | None:
    """Volts that a charger left on a battery holds it at; None without one. Chargers of LiFePO4 hold theirs; whether
    one for lead-acid follows the cold is a range where nobody says."""
    facts = supply.facts
    stated, follows = value_of(facts.charger_volts), value_of(facts.charger_compensates)
    if stated is None:
        return None
    if follows is False or value_of(facts.chemistry) == "lifepo4":
        return Range3.of(stated)
    celsius = value_of(facts.night_celsius)
    cold = NIGHT_C if coldest is None else Range3(coldest, coldest + 5, coldest + 10)
    cold = cold if celsius is None else Range3.of(celsius)
    ends = [compensated(stated, at, each) for at in cold for each in PER_KELVIN_CELL]
    likely = compensated(stated, cold.likely, PER_KELVIN_CELL.likely)
    if follows is None:
        ends, likely = [*ends, stated], stated
    return Range3(min(ends), likely, max(ends))


def source_volts(supply: Supply) -> Range3:
    """Volts of a supply before anything is drawn."""
    facts, volts = supply.facts, supply.volts
    chemistry = value_of(facts.chemistry)
    by = value_of(facts.volts_by)
    if supply.is_battery and chemistry is not None and by != "meter":
        return Range3.of(min(volts, REST_LOW[chemistry]), volts, max(volts, REST_FULL[chemistry]))
    share = METER_ERROR if by == "meter" else ADJUSTABLE if value_of(facts.adjustable) else LABEL
    return Range3(volts * (1 - share), volts, volts * (1 + share))


def inside_ohm(supply: Supply) -> Range3:
    """Resistance inside a supply; nothing for a mains supply, which holds its volts up to its limit."""
    stated, chemistry = value_of(supply.facts.internal_milliohm), value_of(supply.facts.chemistry)
    if stated is not None:
        return Range3.of(stated / 1000)
    if not supply.is_battery:
        return Range3.of(0.0)
    if chemistry == "lifepo4":
        return LFP_MILLIOHM.scaled(1e-3)
    ah = value_of(supply.facts.ah)
    new = (LEAD_MILLIOHM_AH / ah if ah is not None else 20.0) / 1000
    return Range3(new, new, 3 * new)


def at(table: tuple[tuple[float, float], ...], where: float) -> float:
    """A table read by straight lines; its ends go on level."""
    if where <= table[0][0]:
        return table[0][1]
    for number, (x2, y2) in enumerate(table):
        if where <= x2:
            x1, y1 = table[number - 1]
            return y1 + (y2 - y1) * (where - x1) / (x2 - x1)
    return table[-1][1]


def rest_volts(chemistry: Chemistry, left: float) -> float:
    """Volts at rest of a battery with that share of its charge left."""
    return at(LFP_REST if chemistry == "lifepo4" else LEAD_REST, left)


def capacity_ah(supply: Supply, coldest: float | None = None) -> Range3 | None:
    """Ah at the hours they are rated at, as old and as cold as it is; None where its Ah are not known.

    `coldest` is that of the night, C, where it is known: a battery is a little warmer.
    """
    ah, chemistry = value_of(supply.facts.ah), value_of(supply.facts.chemistry)
    if ah is None:
        return None
    cold = LFP_COLD if chemistry == "lifepo4" else LEAD_COLD
    celsius, age = value_of(supply.facts.night_celsius), value_of(supply.facts.age_years)
    temperatures = tuple(NIGHT_C) if coldest is None else (coldest, coldest + 5, coldest + 10)
    temperatures = temperatures if celsius is None else (celsius, celsius, celsius)
    yearly = YEARLY[chemistry or "flooded"]
    ages = (5.0, 2.0, 0.0) if age is None else (1.5 * age, age, 0.5 * age)
    return Range3.of(*(
        ah * at(cold, celsius_) * yearly**years for celsius_, years in zip(temperatures, ages, strict=True)
    ))


def peukert(supply: Supply) -> tuple[float, float]:
    """The hours that a battery's Ah are rated at, and the exponent of Peukert's law for its kind."""
    chemistry = value_of(supply.facts.chemistry) or "flooded"
    return value_of(supply.facts.ah_hours, RATED_HOURS[chemistry]), PEUKERT[chemistry]


def used_share(amps: float, hours: float, capacity: float, rated: float, exponent: float) -> float:
    """Share of a battery's charge that a current takes in a time, after Peukert with the rating's own hours:
    t = H (C / (I H))^k, so that at the rated current it lasts H by definition; at less it lasts in proportion."""
    if amps <= 0:
        return 0.0
    return hours / (rated * math.pow(capacity / (amps * rated), exponent if amps * rated > capacity else 1.0))
