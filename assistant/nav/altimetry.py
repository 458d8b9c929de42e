"""
Altimeter settings: QNH, QFE, standard, flight levels and units of pressure.

An altimeter is a barometer that knows the standard atmosphere: it shows the pressure altitude outside minus
the pressure altitude of its setting. So a change of setting shifts the needle by the same amount at every
height, and that amount comes from the atmosphere itself, not from a constant 27 or 30 ft. Sources: ICAO Doc
7488; ICAO Annex 5 for the units; PANS-OPS (Doc 8168) Vol I for the terms. Settings from 650 hPa (QFE of the
highest airports) to 1085.
"""

from math import ceil, floor

from assistant.nav.atmosphere import (
    SEA_LEVEL_HPA,
    altitude_at_pressure_ft,
    ft_per_hpa,
    pressure_at_altitude_hpa,
)
from assistant.nav.errors import OutsideValidity

HPA_PER_INHG = 33.86389
HPA_PER_MMHG = 1.3332239
RULE_FT_PER_HPA = 27.0  # working rule near sea level; 30 is the other one taught


def setting_shift_ft(from_hpa: float, to_hpa: float) -> float:
    """How much more the altimeter shows once its setting is changed: positive for a higher new setting."""
    return _setting_ft(from_hpa) - _setting_ft(to_hpa)


def altitude_from_flight_level_ft(flight_level: float, qnh_hpa: float) -> float:
    """Altitude on QNH of a flight level (hundreds of feet on standard)."""
    return flight_level * 100.0 + setting_shift_ft(SEA_LEVEL_HPA, qnh_hpa)


def flight_level_from_altitude(altitude_ft: float, qnh_hpa: float) -> float:
    """Flight level (hundreds of feet on standard, with decimals) of an altitude on QNH."""
    return pressure_altitude_ft(altitude_ft, qnh_hpa) / 100.0


def pressure_altitude_ft(altitude_ft: float, qnh_hpa: float) -> float:
    """Altitude on standard of an altitude on QNH."""
    return altitude_ft + setting_shift_ft(qnh_hpa, SEA_LEVEL_HPA)


def pressure_altitude_rule_ft(altitude_ft: float, qnh_inhg: float) -> float:
    """Working rule: 1,000 ft for an inch of mercury; 8 % too much of a correction near sea level."""
    return altitude_ft + (29.92 - qnh_inhg) * 1000.0


def qfe_from_qnh_hpa(qnh_hpa: float, elevation_ft: float) -> float:
    """
    The setting with which the altimeter reads zero at an elevation.

    From the one with which it reads it.
    """
    return pressure_at_altitude_hpa(_setting_ft(qnh_hpa) + elevation_ft)


def qnh_from_qfe_hpa(qfe_hpa: float, elevation_ft: float) -> float:
    """The setting with which the altimeter reads its elevation on the ground, from the pressure there."""
    return pressure_at_altitude_hpa(_setting_ft(qfe_hpa) - elevation_ft)


def altitude_from_qfe_height_ft(height_ft: float, qfe_hpa: float, qnh_hpa: float) -> float:
    """
    What QNH would show where QFE shows a height.

    With settings in whole hPa it need not differ by the elevation.
    """
    return height_ft + setting_shift_ft(qfe_hpa, qnh_hpa)


def qfe_height_from_altitude_ft(altitude_ft: float, qnh_hpa: float, qfe_hpa: float) -> float:
    """What QFE would show where QNH shows an altitude."""
    return altitude_ft + setting_shift_ft(qnh_hpa, qfe_hpa)


def qfe_rule_hpa(qnh_hpa: float, elevation_ft: float, step_ft_per_hpa: float = RULE_FT_PER_HPA) -> float:
    """Working rule: one hectopascal for every 27 (or 30) ft of elevation; 2 hPa wrong at 1,500 ft."""
    return qnh_hpa - elevation_ft / step_ft_per_hpa


def passed_setting_hpa(pressure_hpa: float) -> int:
    """
    The setting as it is passed to pilots: rounded down to the whole hectopascal.

    Which errs high in the air.
    """
    return floor(pressure_hpa)


def transition_level(transition_altitude_ft: float, qnh_hpa: float, buffer_ft: float = 0.0) -> int:
    """
    Lowest flight level, in steps of 5, at or above the transition altitude.

    A buffer may be added where the state asks for one. Derived from the atmosphere; national tables
    differ by their buffers, so the published one rules.
    """
    return 5 * ceil((pressure_altitude_ft(transition_altitude_ft, qnh_hpa) + buffer_ft) / 500.0)


def hpa_from_inhg(pressure_inhg: float) -> float:
    """Hectopascals from inches of mercury (at 0 C, standard gravity)."""
    return pressure_inhg * HPA_PER_INHG


def inhg_from_hpa(pressure_hpa: float) -> float:
    """Inches of mercury from hectopascals."""
    return pressure_hpa / HPA_PER_INHG


def hpa_from_mmhg(pressure_mmhg: float) -> float:
    """Hectopascals from millimetres of mercury."""
    return pressure_mmhg * HPA_PER_MMHG


def mmhg_from_hpa(pressure_hpa: float) -> float:
    """Millimetres of mercury from hectopascals."""
    return pressure_hpa / HPA_PER_MMHG


def ft_per_hpa_at_setting(setting_hpa: float) -> float:
    """Feet for one hectopascal of setting, near a setting: 27.3 at 1013, 27.9 at 985."""
    return ft_per_hpa(_setting_ft(setting_hpa))


def _setting_ft(setting_hpa: float) -> float:
    """The pressure altitude of a setting."""
    if not 650.0 <= setting_hpa <= 1085.0:
        raise OutsideValidity(f"An altimeter setting of {setting_hpa} hPa is outside 650 to 1085.")
    return altitude_at_pressure_ft(setting_hpa)
