"""
What to add to an altitude when the air is colder than standard.

Cold air is denser, its pressure levels lie closer together, and the aircraft is lower than its altimeter
says. Three forms, most exact last: the published table with its interpolation (FAA AIM Table 7-3-1, the ICAO
cold temperature error table), the closed form of PANS-OPS (Doc 8168 Vol I Part III Section 1 Chapter 4) from
which that table was made, and the integral over the layer itself. Heights are above the place where
temperature and setting were measured.

Limits: temperatures from -50 C up; nothing is taken off in warm air; the table ends at 5,000 ft and its last
column serves above that (AIM 7-3-6), below 200 ft its first. Radar altitudes, given by air traffic control,
are corrected already.
"""

from bisect import bisect_right
from math import ceil, log

from assistant.nav.errors import OutsideValidity

_LAPSE_C_PER_FT = 0.00198
_COLDEST_C = -50.0
_ISA_C = 15.0
_HEIGHTS_FT = (200, 300, 400, 500, 600, 700, 800, 900, 1000, 1500, 2000, 3000, 4000, 5000)
# FAA AIM Table 7-3-1, reported temperature against height above the airport.
_TABLE_FT: dict[int, tuple[int, ...]] = {
    -50: (60, 90, 120, 150, 180, 210, 240, 270, 300, 450, 590, 890, 1190, 1500),
    -40: (50, 80, 100, 120, 150, 170, 190, 220, 240, 360, 480, 720, 970, 1210),
    -30: (40, 60, 80, 100, 120, 140, 150, 170, 190, 280, 380, 570, 760, 950),
    -20: (30, 50, 60, 70, 90, 100, 120, 130, 140, 210, 280, 420, 570, 710),
    -10: (20, 30, 40, 50, 60, 70, 80, 90, 100, 150, 200, 290, 390, 490),
    0: (20, 20, 30, 30, 40, 40, 50, 50, 60, 90, 120, 170, 230, 280),
    10: (10, 10, 10, 10, 20, 20, 20, 20, 20, 30, 40, 60, 80, 90),
    # Not printed: the table stops at 10 C. At the standard 15 C there is nothing to correct.
    15: (0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0),
}
_TEMPERATURES_C = tuple(_TABLE_FT)


def table_correction_ft(height_above_airport_ft: float, reported_temperature_c: float) -> float:
    """The published table, interpolated both ways; 0 from 15 C up."""
    _check(height_above_airport_ft, reported_temperature_c)
    if reported_temperature_c >= _ISA_C:
        return 0.0
    height_ft = min(max(height_above_airport_ft, _HEIGHTS_FT[0]), _HEIGHTS_FT[-1])
    row = min(bisect_right(_TEMPERATURES_C, reported_temperature_c), len(_TEMPERATURES_C) - 1)
    colder_c, warmer_c = _TEMPERATURES_C[row - 1], _TEMPERATURES_C[row]
    colder_ft = _along_row_ft(_TABLE_FT[colder_c], height_ft)
    warmer_ft = _along_row_ft(_TABLE_FT[warmer_c], height_ft)
    return colder_ft + (warmer_ft - colder_ft) * (reported_temperature_c - colder_c) / (warmer_c - colder_c)


def formula_correction_ft(
    height_above_source_ft: float, aerodrome_temperature_c: float, aerodrome_elevation_ft: float
) -> float:
    """
    The closed form of PANS-OPS; 3 % short of what the layer takes at worst, 0 in standard or warmer air.

    H (15 - t0) / (273 + t0 - 0.5 L0 (H + Hss)), with t0 the aerodrome's temperature reduced to sea level at
    L0 = 0.00198 C a foot.
    """
    _check(height_above_source_ft, aerodrome_temperature_c)
    sea_level_c = aerodrome_temperature_c + _LAPSE_C_PER_FT * aerodrome_elevation_ft
    mean_k = 273.0 + sea_level_c - 0.5 * _LAPSE_C_PER_FT * (height_above_source_ft + aerodrome_elevation_ft)
    return max(0.0, height_above_source_ft * (_ISA_C - sea_level_c) / mean_k)


def integral_correction_ft(
    indicated_height_ft: float, aerodrome_temperature_c: float, aerodrome_elevation_ft: float
) -> float:
    """
    How far the aircraft is below an indicated height, for one deviation from standard through the layer.

    deviation / L0 x ln(1 - L0 H / (T0 - L0 Hss)): the hydrostatic integral, PANS-OPS' third form (from
    memory, and derived). It takes the height that the altimeter shows, where the closed form takes the true
    height wanted.
    """
    _check(indicated_height_ft, aerodrome_temperature_c)
    standard_k = 288.15 - _LAPSE_C_PER_FT * aerodrome_elevation_ft
    deviation_c = aerodrome_temperature_c + 273.15 - standard_k
    return max(
        0.0, deviation_c / _LAPSE_C_PER_FT * log(1.0 - _LAPSE_C_PER_FT * indicated_height_ft / standard_k)
    )


def rule_correction_ft(height_above_airport_ft: float, isa_deviation_c: float) -> float:
    """Working rule: 4 ft for 1,000 ft and degree below standard; conservative by 13 % at -13 C."""
    return max(0.0, -4.0 * height_above_airport_ft / 1000.0 * isa_deviation_c)


def corrected_altitude_ft(
    altitude_ft: float, airport_elevation_ft: float, reported_temperature_c: float, step_ft: float = 10.0
) -> float:
    """
    An altitude with the table's correction on it, never rounded down.

    The AIM's worked example (7-3-6) rounds 315 ft to the nearest hundred, 300; here it is 320, since the
    manual's own rule for minima is "as is or rounded up".
    """
    correction_ft = table_correction_ft(altitude_ft - airport_elevation_ft, reported_temperature_c)
    # A millionth of a foot is rounding in the interpolation, not a reason to go up a step.
    return altitude_ft + step_ft * ceil(correction_ft / step_ft - 1e-6)


def _along_row_ft(row_ft: tuple[int, ...], height_ft: float) -> float:
    column = min(bisect_right(_HEIGHTS_FT, height_ft), len(_HEIGHTS_FT) - 1)
    low_ft, high_ft = _HEIGHTS_FT[column - 1], _HEIGHTS_FT[column]
    share = (height_ft - low_ft) / (high_ft - low_ft)
    return row_ft[column - 1] + (row_ft[column] - row_ft[column - 1]) * share


def _check(height_ft: float, temperature_c: float) -> None:
    if height_ft < 0.0:
        raise OutsideValidity(f"A height of {height_ft:.0f} ft is below the airport.")
    if temperature_c < _COLDEST_C:
        raise OutsideValidity(f"A temperature of {temperature_c} C is below the table's {_COLDEST_C:.0f}.")
