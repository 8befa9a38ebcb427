"""What wires, contacts and fuses are as figures: ohms, and the amps they stand. Every table has its source beside it.

Resistances come as low, likely and high: what a cold solid conductor has, what the usual one has, and what a thin or
worn one has.
"""

from __future__ import annotations

import math

from topo.model.facts import Range3, value_of
from topo.model.feeds import Connector, FuseClass, LeadFacts
from topo.usb.limits import COPPER_OHM_M, conductor_ohm_per_m

STRANDED = 1.02
"""Resistance of stranded over solid copper of the same area (ASTM B496, as quoted)."""

THIN = 6529 / 5833
"""Wire sold by gauge may be the thinner SAE size: 5833 against 6529 circular mils at 12 (a marine wiring page)."""

PER_KELVIN = 0.00393
"""Copper from 20 C (IEC 60028)."""

COLDEST_C, WARMEST_C = -10.0, 30.0
"""Wire at night where nobody says how cold it is (our own, no source)."""

ALUMINIUM = 1.54
"""Copper-clad aluminium over copper at 65 % IACS (commentary on IEC 60028)."""

CLASS_5_OHM_PER_KM = {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30, 10.0: 1.91}
"""Most resistance at 20 C of flexible conductors, plain copper (IEC 60228 class 5, four reprints agree)."""

CLASS_5_WORST = 1.17
"""The most by which class 5 lies above ideal copper of its area; taken for areas that are not in the table."""

DEVICE_LIMIT_A = {18: 7.0, 16: 10.0, 14: 15.0, 12: 20.0, 10: 30.0}
"""Largest fuse for a copper conductor by its AWG (US code 240.4(D), read in reprints). Other tables differ by up to
nine times; none is 'the' answer, and local codes come first."""

THICK_LIMIT_A = {8: 40.0, 6: 55.0, 4: 70.0}
"""The same above the code's small conductors: its 60 C column (from memory, verify)."""

PER_GAUGE = (DEVICE_LIMIT_A[10] / DEVICE_LIMIT_A[18]) ** (1 / 8)
"""By how much the limit grows with each gauge from 18 to 10; carried on below 18 (our own, no source). At 20 AWG that
gives 4.8 A, between 1.5 A (700 circular mils per ampere) and 11 A (one wire in free air), both of one handbook."""


def wire_ohm_per_m(lead: LeadFacts, celsius: float | None = None) -> Range3 | None:
    """Resistance of one of the wires of a lead, ohm per metre; None where its gauge is not known.

    `celsius` is the temperature of the wire, where it is known.
    """
    gauge, area = value_of(lead.gauge_awg), value_of(lead.area_mm2)
    if gauge is not None:
        solid = conductor_ohm_per_m(gauge)
        low, likely, high = solid, solid * STRANDED, solid * STRANDED * THIN
    elif area is not None:
        ideal = COPPER_OHM_M / (area * 1e-6)
        worst = CLASS_5_OHM_PER_KM[area] / 1000 if area in CLASS_5_OHM_PER_KM else ideal * CLASS_5_WORST
        low, likely, high = ideal, worst, worst
    else:
        return None
    colder, warmer = (COLDEST_C, WARMEST_C) if celsius is None else (celsius, celsius + 10)
    usual = 20.0 if celsius is None else celsius
    metal = ALUMINIUM if value_of(lead.aluminium) else 1.0
    return Range3.of(low * metal * _at(colder), likely * metal * _at(usual), high * metal * _at(warmer))


def _at(celsius: float) -> float:
    return 1 + PER_KELVIN * (celsius - 20)


def gauge_like(area_mm2: float) -> int:
    """The thickest AWG that has no more copper than an area: what a metric size is judged by."""
    gauge = 4
    while gauge < 40 and copper_mm2(gauge) > area_mm2:
        gauge += 1
    return gauge


def copper_mm2(gauge_awg: int) -> float:
    """ASTM B258: diameter 0.127 mm x 92^((36 - n)/39)."""
    return math.pi / 4 * (0.127 * math.pow(92.0, (36 - gauge_awg) / 39)) ** 2


def wire_limit_a(lead: LeadFacts) -> float | None:
    """The largest fuse, and the largest current, for a lead's wire, A; None where its gauge is not known.

    Gauges between those of a table count as the next thinner one; below 18 AWG the table is carried on. Copper-clad
    aluminium counts as two gauges thinner (common practice, no source).
    """
    gauge, area = value_of(lead.gauge_awg), value_of(lead.area_mm2)
    if gauge is None and area is None:
        return None
    gauge = gauge_like(area) if gauge is None and area is not None else gauge
    assert gauge is not None
    return limit_of_gauge(gauge + 2 if value_of(lead.aluminium) else gauge)


def limit_of_gauge(gauge_awg: int) -> float:
    """The same by AWG alone, to a tenth of an ampere."""
    for tabled in (*THICK_LIMIT_A, *DEVICE_LIMIT_A)[::-1] if gauge_awg <= 18 else ():
        if gauge_awg <= tabled and gauge_awg > tabled - 2:
            return {**THICK_LIMIT_A, **DEVICE_LIMIT_A}[tabled]
    return math.floor(10 * DEVICE_LIMIT_A[18] * PER_GAUGE ** (18 - gauge_awg)) / 10 if gauge_awg > 18 else 70.0


GAUGES = (18, 16, 14, 12, 10, 8)
"""What is easy to buy, from the thinnest that is advised."""

AREAS_MM2 = (0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0)

FUSES_A = (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 40)
"""Ratings of blade fuses."""

CONTACTS_OF: dict[Connector, tuple[float, float, float]] = {
    "barrel-2.1": (30, 60, 3), "barrel-2.5": (30, 60, 3), "yellow-tip": (30, 60, 2), "genderless-15": (0.875, 2, 15),
    "genderless-30": (0.6, 1.5, 30), "genderless-45": (0.525, 1.5, 45), "bullet-30": (0.5, 1.5, 30),
    "car-socket": (50, 150, 8), "screw": (5, 20, 10), "ring": (0.5, 2, 30), "usb-a": (30, 40, 1.8),
    "usb-c": (40, 50, 3), "soldered": (0, 0, 1000),
}  # fmt: skip
"""Each family: milliohms of one contact, likely and worn, and amps it may carry all night. Barrels: order 30 milliohm
(common practice), 3 A by sellers; yellow tip 2 A (JEITA RC-5320A); genderless 15/30/45 A and bullets 30 A by their
makers, milliohms from memory; car plug 8 A, a spring tip (common practice); screw 10 A, 20 milliohm at most (three
sheets); USB 3.1 5.6.2.1 and 5.6.2.4, and a receptacle's sheet; ring terminals from memory. Worn: twice as much, and
10 milliohm more for USB (the same clause); the rest common practice, no source."""

UNKNOWN_CONTACT = Range3(0.0, 5.0, 30.0)
"""Milliohms of a contact of an end nobody describes (our own, no source)."""

def contact_ohm(plug: Connector | None, stated_milliohm: float | None) -> Range3:
    """Ohms of the two contacts of one end of a lead: there and back."""
    if stated_milliohm is not None:
        return Range3.of(2e-3 * stated_milliohm)
    each = UNKNOWN_CONTACT
    if plug is not None:
        new, worn, _ = CONTACTS_OF[plug]
        each = Range3(new / 2, new, worn)
    return each.scaled(2e-3)


def plug_limit_a(plug: Connector) -> float:
    """Amps a connector may carry all night."""
    return CONTACTS_OF[plug][2]


def fuse_ohm(rated_a: float) -> Range3:
    """A fuse with its holder: 50 to 150 mV at its rating, 100 mV likely (common practice, no source)."""
    return Range3(0.05, 0.1, 0.15).scaled(1 / rated_a)


FUSE_SHARE = 0.75
"""How much of its rating a small fuse is run at, at 25 C (fuse makers' guidance)."""

TRIP_IN_HEAT: tuple[FuseClass, ...] = ("resettable", "breaker")
"""Fuses that may trip below their rating in the heat of a closed box (common practice, no source)."""


def fuse_for(amps: float, limit_a: float) -> float | None:
    """The smallest fuse that carries an all-night current with a quarter to spare and still protects the wire
    (US code 210.20(A), read in reprints); None where no rating does both."""
    need = 1.25 * amps
    return next((float(rating) for rating in FUSES_A if rating >= need - 1e-9 and rating <= limit_a), None)
