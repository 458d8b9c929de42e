"""
A point-mass aircraft, one at a time: coordinated turns with a roll rate, a lagged climb, speed and wind.

The laws and their numbers were checked against a six-degree-of-freedom model (track within 0.03 to 0.15 NM
over five minutes of turns); `fleet` flies the same laws for many aircraft at once.
"""

from math import cos, degrees, radians, sin, sqrt, tan

from assistant.nav.geometry import PlanePoint, difference_deg
from assistant.nav.turns import bank_in_use_deg
from assistant.simulation.air import Air
from assistant.simulation.aircraft import Controls, Motion

STEP_S = 0.5
HEADING_TIME_S = 4.0
ROLL_RATE_DEG_S = 6.0
ROLL_LAG_S = 1.0
VERTICAL_TIME_S = 6.0
VERTICAL_LAG_S = 3.0
VERTICAL_RATE_FPM_S = 240.0
LEVELLING = 0.6
SPEED_LAG_S = 8.0
SPEED_RATE_KT_S = 1.5
G_KT_S = 19.06
"""Standard gravity, 9.80665 m/s², in kt/s."""
RATE_ONE_DEG_S = 3.0


# Straight and level within this is flown in whole steps.
_QUIET_DEG = 2.0


class PointMass:
    """One aircraft in some air."""

    def __init__(self, air: Air, motion: Motion) -> None:
        self._air = air
        self._motion = motion
        self._time_s = 0.0

    @property
    def motion(self) -> Motion:
        """Where it is now."""
        return self._motion

    def advance(self, controls: Controls, step_s: float) -> None:
        """Fly on; where anything changes in half-second pieces, at which a half turn is off by 0.05 NM."""
        now = self._motion
        off_deg = abs(difference_deg(now.heading_mag_deg, controls.heading_mag_deg))
        is_quiet = off_deg < _QUIET_DEG and abs(now.bank_deg) < _QUIET_DEG and abs(now.vertical_fpm) < 20.0
        pieces = 1 if is_quiet else max(1, round(step_s / STEP_S))
        for _ in range(pieces):
            self._advance(controls, step_s / pieces)

    def _advance(self, controls: Controls, dt_s: float) -> None:
        now = self._motion
        tas_kt = self._air.tas_kt(now.ias_kt, now.altitude_ft)
        # Lateral: bank for the heading error, limited to the pilot's and to rate one, with roll rate and lag.
        error_deg = heading_error_deg(now.heading_mag_deg, controls.heading_mag_deg, controls.turn)
        limit_deg = bank_in_use_deg(tas_kt, controls.bank_deg, RATE_ONE_DEG_S)
        wanted_deg = degrees(tas_kt / (G_KT_S * HEADING_TIME_S) * radians(error_deg))
        wanted_deg = min(max(wanted_deg, -limit_deg), limit_deg)
        change_deg = (wanted_deg - now.bank_deg) * min(dt_s / ROLL_LAG_S, 1.0)
        most_deg = ROLL_RATE_DEG_S * dt_s
        bank_deg = now.bank_deg + min(max(change_deg, -most_deg), most_deg)
        rate_deg_s = degrees(G_KT_S * tan(radians((bank_deg + now.bank_deg) / 2.0)) / tas_kt)
        heading_deg = now.heading_mag_deg + rate_deg_s * dt_s
        # Vertical: the rate wanted until near the altitude, then washed out.
        to_go_ft = controls.altitude_ft - now.altitude_ft
        wanted_fpm = to_go_ft / VERTICAL_TIME_S * 60.0
        # No more than can still be taken off before the level: a pilot begins to level off in time.
        most_fpm = LEVELLING * sqrt(2.0 * VERTICAL_RATE_FPM_S * 60.0 * abs(to_go_ft)) + 100.0
        wanted_fpm = min(max(wanted_fpm, -most_fpm), most_fpm)
        limit_fpm = abs(controls.vertical_fpm) or 500.0
        wanted_fpm = min(max(wanted_fpm, -limit_fpm), limit_fpm)
        most_fpm = VERTICAL_RATE_FPM_S * dt_s
        change_fpm = (wanted_fpm - now.vertical_fpm) * min(dt_s / VERTICAL_LAG_S, 1.0)
        vertical_fpm = now.vertical_fpm + min(max(change_fpm, -most_fpm), most_fpm)
        # Speed, then the ground track in the moving air.
        change_kt = (controls.ias_kt - now.ias_kt) * min(dt_s / SPEED_LAG_S, 1.0)
        most_kt = SPEED_RATE_KT_S * dt_s
        ias_kt = now.ias_kt + min(max(change_kt, -most_kt), most_kt)
        middle_rad = radians(now.heading_mag_deg + rate_deg_s * dt_s / 2.0)
        self._time_s += dt_s
        wind_east_kt, wind_north_kt = self._air.wind_toward_kt(now.altitude_ft, self._time_s)
        east_kt = tas_kt * sin(middle_rad) + wind_east_kt
        north_kt = tas_kt * cos(middle_rad) + wind_north_kt
        now.point = PlanePoint(
            now.point[0] + east_kt * dt_s / 3600.0, now.point[1] + north_kt * dt_s / 3600.0
        )
        now.altitude_ft += (vertical_fpm + now.vertical_fpm) / 2.0 * dt_s / 60.0
        now.heading_mag_deg = heading_deg % 360.0
        now.bank_deg, now.vertical_fpm, now.ias_kt = bank_deg, vertical_fpm, ias_kt
        now.groundspeed_kt = (east_kt * east_kt + north_kt * north_kt) ** 0.5


def heading_error_deg(heading_deg: float, wanted_deg: float, turn: str | None) -> float:
    """How far to turn, right positive; the long way round where that way was asked for."""
    error_deg = difference_deg(heading_deg, wanted_deg)
    # Up to fifteen degrees past the heading wanted, the turn is over and only overshot.
    if turn == "right" and error_deg < -15.0:
        return error_deg + 360.0
    if turn == "left" and error_deg > 15.0:
        return error_deg - 360.0
    return error_deg
