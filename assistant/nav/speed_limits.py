"""
How fast each part of a procedure may be flown: holding by level, and the other phases by category.

Published tables, not sums. Indicated airspeeds. Holding: ICAO Doc 8168 Vol I Part I Section 6 Chapter 1, as
printed in US Air Force Manual 11-217 V1 Table 18.4; FAA AIM 5-3-8 j 2. By category: Doc 8168 Vol I Table
I-4-1-2 (from memory; which cells were confirmed by reading stands in tests/nav/check_values.yaml,
cat.table.icao).
"""

from typing import Literal, NamedTuple

from assistant.nav.airspeed import Category, ias_kt_from_mach, tas_kt_from_ias
from assistant.nav.errors import OutsideValidity
from assistant.nav.turns import CIRCLING_BANK_DEG, bank_in_use_deg, turn_radius_nm

HoldingRule = Literal["icao", "faa"]

# Upper end of the band (included), maximum speed. FAA AIM 5-3-8.
_FAA_HOLDING = ((6000.0, 200.0), (14000.0, 230.0), (float("inf"), 265.0))
_ICAO_HOLDING = ((14000.0, 230.0), (20000.0, 240.0), (34000.0, 265.0))
_ICAO_SLOW_CATEGORIES_KT = 170.0  # A and B, up to 14,000 ft
_ICAO_TURBULENCE_KT = 280.0
_ICAO_TURBULENCE_MACH = 0.8
_ICAO_HIGH_MACH = 0.83  # above 34,000 ft, turbulence or not


class CategorySpeeds(NamedTuple):
    """The speeds a category is designed for; pairs are lowest and highest."""

    initial_kt: tuple[float, float]
    final_kt: tuple[float, float]
    circling_kt: float
    missed_intermediate_kt: float
    missed_final_kt: float
    reversal_kt: float


# Where the table names no separate speed for a reversal, the initial one holds.
_CATEGORY_SPEEDS: dict[Category, CategorySpeeds] = {
    "A": CategorySpeeds((90.0, 150.0), (70.0, 100.0), 100.0, 100.0, 110.0, 110.0),
    "B": CategorySpeeds((120.0, 180.0), (85.0, 130.0), 135.0, 130.0, 150.0, 140.0),
    "C": CategorySpeeds((160.0, 240.0), (115.0, 160.0), 180.0, 160.0, 240.0, 240.0),
    "D": CategorySpeeds((185.0, 250.0), (130.0, 185.0), 205.0, 185.0, 265.0, 250.0),
    "E": CategorySpeeds((185.0, 250.0), (155.0, 230.0), 240.0, 230.0, 275.0, 250.0),
}
# Straight segment of the circling area; Doc 8168 Vol II Part I Section 4 Chapter 7 (from memory).
_CIRCLING_STRAIGHT_NM: dict[Category, float] = {"A": 0.3, "B": 0.4, "C": 0.5, "D": 0.6, "E": 0.7}


def maximum_holding_speed_kt(
    rule: HoldingRule, altitude_ft: float, category: Category = "C", *, turbulence: bool = False
) -> float:
    """
    The highest indicated airspeed in a hold.

    ICAO and the FAA differ below 6,000 and between 14,000 and 20,000 ft; which applies is the chart's affair.
    ICAO limits by Mach number are given as the indicated airspeed they come to at the altitude.
    """
    if not 0.0 <= altitude_ft <= 60000.0:
        raise OutsideValidity(f"A holding altitude of {altitude_ft} ft is outside 0 to 60,000.")
    if rule == "faa":
        return _of_band(_FAA_HOLDING, altitude_ft)
    if altitude_ft > _ICAO_HOLDING[-1][0]:
        return ias_kt_from_mach(_ICAO_HIGH_MACH, altitude_ft)
    if category in {"A", "B"} and altitude_ft <= _ICAO_HOLDING[0][0]:
        return _ICAO_SLOW_CATEGORIES_KT
    if not turbulence:
        return _of_band(_ICAO_HOLDING, altitude_ft)
    if altitude_ft <= _ICAO_HOLDING[0][0]:
        return _ICAO_TURBULENCE_KT
    return min(_ICAO_TURBULENCE_KT, ias_kt_from_mach(_ICAO_TURBULENCE_MACH, altitude_ft))


def category_speeds(category: Category) -> CategorySpeeds:
    """The speeds of a category by phase, PANS-OPS."""
    return _CATEGORY_SPEEDS[category]


def circling_category(category: Category, circling_speed_kt: float) -> Category:
    """
    The category whose circling minima hold at a circling speed: one's own, or the next that covers the speed.

    FAA Pilot/Controller Glossary, for flying faster than the category; its bands are those of threshold speed
    (100 kt is B).
    """
    for name, below_kt in (("A", 91.0), ("B", 121.0), ("C", 141.0), ("D", 166.0)):
        if name >= category and circling_speed_kt < below_kt:
            return name  # type: ignore[return-value]  # the literals of the table are categories
    return "E"


def circling_radius_nm(category: Category, altitude_ft: float, wind_kt: float = 25.0) -> float:
    """
    Radius of the circling area from the threshold: two turn radii and a straight segment, PANS-OPS.

    `altitude_ft` is that of the circling, 1,000 ft above the aerodrome; ISA + 15, 20 degrees or rate one; the
    wind is added to the airspeed as the designers do.
    """
    tas_kt = (
        tas_kt_from_ias(category_speeds(category).circling_kt, altitude_ft, isa_deviation_c=15.0) + wind_kt
    )
    bank_deg = bank_in_use_deg(tas_kt, CIRCLING_BANK_DEG)
    return 2.0 * turn_radius_nm(tas_kt, bank_deg) + _CIRCLING_STRAIGHT_NM[category]


def _of_band(bands: tuple[tuple[float, float], ...], altitude_ft: float) -> float:
    return next(speed_kt for top_ft, speed_kt in bands if altitude_ft <= top_ft)
