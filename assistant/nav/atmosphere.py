"""
The standard atmosphere: temperature and pressure by altitude, both ways.

ICAO Doc 7488 / ISO 2533 below 20 km: 15 C and 1013.25 hPa at the mean sea level, 6.5 K per kilometre to 11
km, then -56.5 C. Altitudes are geopotential, as every altimeter's are. True from -2,000 to 65,000 ft.
"""

from math import exp, log

from assistant.nav.errors import OutsideValidity
from assistant.nav.geometry import M_PER_FT

SEA_LEVEL_HPA = 1013.25
SEA_LEVEL_K = 288.15
ZERO_C_K = 273.15
LAPSE_K_PER_M = 0.0065
G_M_S2 = 9.80665
AIR_GAS_CONSTANT = 287.05287  # J / (kg K)
TROPOPAUSE_M = 11000.0
TROPOPAUSE_FT = TROPOPAUSE_M / M_PER_FT  # 36,089
_EXPONENT = G_M_S2 / (AIR_GAS_CONSTANT * LAPSE_K_PER_M)  # 5.25588
_TROPOPAUSE_K = SEA_LEVEL_K - LAPSE_K_PER_M * TROPOPAUSE_M
_TROPOPAUSE_HPA = SEA_LEVEL_HPA * (_TROPOPAUSE_K / SEA_LEVEL_K) ** _EXPONENT
_LOWEST_FT, _HIGHEST_FT = -2000.0, 65000.0


def isa_temperature_c(altitude_ft: float) -> float:
    """Temperature of the standard atmosphere at a pressure altitude."""
    _check(altitude_ft)
    return SEA_LEVEL_K - LAPSE_K_PER_M * min(altitude_ft * M_PER_FT, TROPOPAUSE_M) - ZERO_C_K


def pressure_at_altitude_hpa(altitude_ft: float) -> float:
    """Pressure of the standard atmosphere at a pressure altitude."""
    _check(altitude_ft)
    height_m = altitude_ft * M_PER_FT
    if height_m <= TROPOPAUSE_M:
        return float(SEA_LEVEL_HPA * (1.0 - LAPSE_K_PER_M * height_m / SEA_LEVEL_K) ** _EXPONENT)
    scale_m = AIR_GAS_CONSTANT * _TROPOPAUSE_K / G_M_S2
    return float(_TROPOPAUSE_HPA * exp(-(height_m - TROPOPAUSE_M) / scale_m))


def altitude_at_pressure_ft(pressure_hpa: float) -> float:
    """Pressure altitude at which the standard atmosphere has a pressure."""
    if not 55.0 <= pressure_hpa <= 1090.0:
        raise OutsideValidity(f"A pressure of {pressure_hpa} hPa is outside 55 to 1090.")
    if pressure_hpa >= _TROPOPAUSE_HPA:
        share = (pressure_hpa / SEA_LEVEL_HPA) ** (1.0 / _EXPONENT)
        return float((1.0 - share) * SEA_LEVEL_K / LAPSE_K_PER_M / M_PER_FT)
    scale_m = AIR_GAS_CONSTANT * _TROPOPAUSE_K / G_M_S2
    return (TROPOPAUSE_M - scale_m * log(pressure_hpa / _TROPOPAUSE_HPA)) / M_PER_FT


def ft_per_hpa(altitude_ft: float) -> float:
    """
    Height of the layer in which the pressure falls by one hectopascal: 27.3 ft at sea level.

    38 at 10,000 ft.
    """
    kelvin = isa_temperature_c(altitude_ft) + ZERO_C_K
    return AIR_GAS_CONSTANT * kelvin / (G_M_S2 * pressure_at_altitude_hpa(altitude_ft)) / M_PER_FT


def _check(altitude_ft: float) -> None:
    if not _LOWEST_FT <= altitude_ft <= _HIGHEST_FT:
        raise OutsideValidity(f"An altitude of {altitude_ft} ft is outside -2,000 to 65,000.")
