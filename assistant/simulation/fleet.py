"""
The point mass for many aircraft at once: the laws of `point_mass` on NumPy arrays.

For sweeps of kinematics alone, thousands of flights a second. The pilots of a campaign hold state of their
own and are flown one at a time; this is the second implementation that the single aircraft is checked by.
"""

from dataclasses import dataclass, field

import numpy as np

from assistant.nav.atmosphere import isa_temperature_c
from assistant.simulation.point_mass import (
    G_KT_S,
    HEADING_TIME_S,
    LEVELLING,
    RATE_ONE_DEG_S,
    ROLL_LAG_S,
    ROLL_RATE_DEG_S,
    SPEED_LAG_S,
    SPEED_RATE_KT_S,
    VERTICAL_LAG_S,
    VERTICAL_RATE_FPM_S,
    VERTICAL_TIME_S,
)
from assistant.simulation.track import Numbers

# ICAO standard atmosphere (Doc 7488), troposphere: pressure falls with this power of the temperature ratio.
_PRESSURE_POWER = 5.25588
_SEA_LEVEL_K = 288.15


@dataclass(slots=True, kw_only=True)
class Fleet:
    """Equal-length arrays, one place an aircraft; turns go the shorter way."""

    east_nm: Numbers
    north_nm: Numbers
    altitude_ft: Numbers
    heading_mag_deg: Numbers
    ias_kt: Numbers
    bank_deg: Numbers = field(init=False)
    vertical_fpm: Numbers = field(init=False)

    def __post_init__(self) -> None:
        """Wings level, not climbing."""
        self.bank_deg = np.zeros_like(self.east_nm)
        self.vertical_fpm = np.zeros_like(self.east_nm)

    def advance(
        self,
        *,
        heading_mag_deg: Numbers,
        bank_deg: Numbers,
        to_altitude_ft: Numbers,
        vertical_fpm: Numbers,
        to_ias_kt: Numbers,
        wind_east_kt: Numbers,
        wind_north_kt: Numbers,
        step_s: float,
    ) -> None:
        """Fly all of them on for a step, s, at most half a second for the accuracy of the single aircraft."""
        tas_kt = self.ias_kt / np.sqrt(density_ratio(self.altitude_ft))
        error_deg = (heading_mag_deg - self.heading_mag_deg + 180.0) % 360.0 - 180.0
        rate_one_deg = np.degrees(np.arctan(tas_kt * np.radians(RATE_ONE_DEG_S) / G_KT_S))
        limit_deg = np.minimum(bank_deg, rate_one_deg)
        wanted_deg = np.clip(tas_kt / (G_KT_S * HEADING_TIME_S) * error_deg, -limit_deg, limit_deg)
        most_deg = ROLL_RATE_DEG_S * step_s
        before_deg = self.bank_deg
        self.bank_deg = before_deg + np.clip(
            (wanted_deg - before_deg) * min(step_s / ROLL_LAG_S, 1.0), -most_deg, most_deg
        )
        turn_deg = (
            np.degrees(G_KT_S * np.tan(np.radians((self.bank_deg + before_deg) / 2.0)) / tas_kt) * step_s
        )
        middle_rad = np.radians(self.heading_mag_deg + turn_deg / 2.0)
        self.heading_mag_deg = (self.heading_mag_deg + turn_deg) % 360.0
        self.east_nm = self.east_nm + (tas_kt * np.sin(middle_rad) + wind_east_kt) * step_s / 3600.0
        self.north_nm = self.north_nm + (tas_kt * np.cos(middle_rad) + wind_north_kt) * step_s / 3600.0
        self._climb(to_altitude_ft, vertical_fpm, step_s)
        most_kt = SPEED_RATE_KT_S * step_s
        self.ias_kt = self.ias_kt + np.clip(
            (to_ias_kt - self.ias_kt) * min(step_s / SPEED_LAG_S, 1.0), -most_kt, most_kt
        )

    def _climb(self, to_altitude_ft: Numbers, vertical_fpm: Numbers, step_s: float) -> None:
        to_go_ft = to_altitude_ft - self.altitude_ft
        stopping_fpm = LEVELLING * np.sqrt(2.0 * VERTICAL_RATE_FPM_S * 60.0 * np.abs(to_go_ft)) + 100.0
        limit_fpm = np.minimum(np.abs(vertical_fpm), stopping_fpm)
        wanted_fpm = np.clip(to_go_ft / VERTICAL_TIME_S * 60.0, -limit_fpm, limit_fpm)
        most_fpm = VERTICAL_RATE_FPM_S * step_s
        before_fpm = self.vertical_fpm
        self.vertical_fpm = before_fpm + np.clip(
            (wanted_fpm - before_fpm) * min(step_s / VERTICAL_LAG_S, 1.0), -most_fpm, most_fpm
        )
        self.altitude_ft = self.altitude_ft + (self.vertical_fpm + before_fpm) / 2.0 * step_s / 60.0


def density_ratio(altitude_ft: Numbers) -> Numbers:
    """Density over that at sea level in the ICAO standard atmosphere's troposphere (below 36,000 ft)."""
    lapse_k_ft = (isa_temperature_c(0.0) - isa_temperature_c(10_000.0)) / 10_000.0
    ratio: Numbers = ((_SEA_LEVEL_K - lapse_k_ft * altitude_ft) / _SEA_LEVEL_K) ** (_PRESSURE_POWER - 1.0)
    return ratio
