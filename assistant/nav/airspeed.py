"""
True airspeed, Mach number, temperature and approach category.

Indicated is taken for calibrated airspeed: position error belongs to an aircraft and is not known here.
Sources: ICAO Standard Atmosphere (Doc 7488, ISO 2533) for temperature; compressible pitot relation (subsonic)
for airspeed; PANS-OPS Vol II Part I Section 1 Chapter 2 Appendix, for the designers' factor; 14 CFR 97.3 and
PANS-OPS for categories. True from -2,000 to 65,000 ft and below Mach 1.
"""

from math import sqrt
from typing import Literal

from assistant.nav.atmosphere import (
    SEA_LEVEL_HPA,
    SEA_LEVEL_K,
    ZERO_C_K,
    isa_temperature_c,
    pressure_at_altitude_hpa,
)
from assistant.nav.errors import OutsideValidity

Category = Literal["A", "B", "C", "D", "E"]

SOUND_SEA_LEVEL_KT = 661.4786  # sqrt(1.4 * 287.05287 * 288.15) m/s
PROCEDURE_ISA_DEVIATION_C = 15.0  # PANS-OPS designs for ISA + 15
# Lower bounds of B, C, D and E by speed at threshold (VREF, or 1.3 VSO): 14 CFR 97.3 and PANS-OPS agree.
_CATEGORY_FROM_KT: tuple[tuple[float, Category], ...] = (
    (166.0, "E"),
    (141.0, "D"),
    (121.0, "C"),
    (91.0, "B"),
)


def tas_kt_from_ias(
    ias_kt: float,
    altitude_ft: float,
    temperature_c: float | None = None,
    isa_deviation_c: float = 0.0,
) -> float:
    """
    True airspeed from indicated, compressibility included.

    `altitude_ft` is pressure altitude (altitude on QNH serves within 1.5 % for settings of 980 to 1045 hPa).
    The outside air temperature at that level, or else the standard one and a deviation.
    """
    mach = mach_from_ias(ias_kt, altitude_ft)
    outside_c = isa_temperature_c(altitude_ft) + isa_deviation_c if temperature_c is None else temperature_c
    return mach * _sound_kt(outside_c)


def ias_kt_from_tas(
    tas_kt: float,
    altitude_ft: float,
    temperature_c: float | None = None,
    isa_deviation_c: float = 0.0,
) -> float:
    """Indicated airspeed from true: the inverse of `tas_kt_from_ias`."""
    outside_c = isa_temperature_c(altitude_ft) + isa_deviation_c if temperature_c is None else temperature_c
    return ias_kt_from_mach(tas_kt / _sound_kt(outside_c), altitude_ft)


def mach_from_ias(ias_kt: float, altitude_ft: float) -> float:
    """Mach number from indicated airspeed and pressure altitude, whatever the temperature."""
    if not 0.0 < ias_kt <= SOUND_SEA_LEVEL_KT:
        raise OutsideValidity(f"An airspeed of {ias_kt} kt is outside 0 to 661.")
    impact = (1.0 + 0.2 * (ias_kt / SOUND_SEA_LEVEL_KT) ** 2) ** 3.5 - 1.0
    ratio = impact * SEA_LEVEL_HPA / pressure_at_altitude_hpa(altitude_ft)
    mach = sqrt(5.0 * ((ratio + 1.0) ** (1.0 / 3.5) - 1.0))
    if mach >= 1.0:
        raise OutsideValidity(f"{ias_kt} kt at {altitude_ft:.0f} ft is not below the speed of sound.")
    return mach


def ias_kt_from_mach(mach: float, altitude_ft: float) -> float:
    """Indicated airspeed from Mach number and pressure altitude."""
    if not 0.0 <= mach < 1.0:
        raise OutsideValidity(f"Mach {mach} is outside 0 to 1.")
    impact = ((1.0 + 0.2 * mach**2) ** 3.5 - 1.0) * pressure_at_altitude_hpa(altitude_ft) / SEA_LEVEL_HPA
    return SOUND_SEA_LEVEL_KT * sqrt(5.0 * ((impact + 1.0) ** (1.0 / 3.5) - 1.0))


def tas_kt_pansops(
    ias_kt: float, altitude_ft: float, isa_deviation_c: float = PROCEDURE_ISA_DEVIATION_C
) -> float:
    """
    True airspeed by the designers' incompressible form.

    IAS * 171233 * sqrt(288 + deviation - 0.00198 H) / (288 - 0.00198 H)^2.628. PANS-OPS Vol II Part I Section
    1 Chapter 2 Appendix; not below the compressible figure but for rounding (4 % at 250 kt and 30,000 ft), so
    it is on the safe side for a radius. Up to 36,089 ft.
    """
    if not -2000.0 <= altitude_ft <= 36089.0:
        raise OutsideValidity(f"An altitude of {altitude_ft} ft is outside -2,000 to 36,089.")
    standard_k = 288.0 - 0.00198 * altitude_ft
    return float(ias_kt * 171233.0 * sqrt(standard_k + isa_deviation_c) / standard_k**2.628)


def tas_rule_kt(ias_kt: float, altitude_ft: float) -> float:
    """
    Working rule: 2 % more for every 1,000 ft (common practice).

    Up to 4.5 % high to 20,000 ft, never low.
    """
    return ias_kt * (1.0 + 0.02 * altitude_ft / 1000.0)


def category_for_speed(vref_kt: float) -> Category:
    """
    Approach category by the speed at the threshold at maximum landing mass (VREF.

    Or 1.3 VSO): 14 CFR 97.3.
    """
    if vref_kt <= 0.0:
        raise OutsideValidity(f"A threshold speed of {vref_kt} kt is not above zero.")
    return next((category for from_kt, category in _CATEGORY_FROM_KT if vref_kt >= from_kt), "A")


def _sound_kt(temperature_c: float) -> float:
    if not -90.0 <= temperature_c <= 60.0:
        raise OutsideValidity(f"A temperature of {temperature_c} C is outside -90 to 60.")
    return SOUND_SEA_LEVEL_KT * sqrt((temperature_c + ZERO_C_K) / SEA_LEVEL_K)
