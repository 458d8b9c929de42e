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
_QUIET_DEG, _QUIET_FPM = 2.0, 20.0


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
        """
        Fly on; where anything changes in half-second pieces, at which a half turn is off by 0.05 NM.

        The air is asked once a step: within a second neither wind nor density changes by what could be seen.
        """
        now, air = self._motion, self._air
        self._time_s += step_s
        tas_kt = air.tas_kt(now.ias_kt, now.altitude_ft)
        wind_kt = air.wind_toward_kt(now.altitude_ft, self._time_s)
        off_deg = difference_deg(now.heading_mag_deg, controls.heading_mag_deg)
        is_straight = -_QUIET_DEG < off_deg < _QUIET_DEG and -_QUIET_DEG < now.bank_deg < _QUIET_DEG
        is_level = -_QUIET_FPM < now.vertical_fpm < _QUIET_FPM
        pieces = max(1, round(step_s / STEP_S))
        if is_straight:
            # Two degrees off ask for less bank than rate one takes at any speed: only the pilot's own limits.
            _turn_and_move(now, controls, tas_kt, wind_kt, controls.bank_deg, step_s, 1)
        else:
            limit_deg = bank_in_use_deg(tas_kt, controls.bank_deg, RATE_ONE_DEG_S)
            _turn_and_move(now, controls, tas_kt, wind_kt, limit_deg, step_s / pieces, pieces)
        _climb(now, controls, step_s, 1) if is_level else _climb(now, controls, step_s / pieces, pieces)
        change_kt = (controls.ias_kt - now.ias_kt) * min(step_s / SPEED_LAG_S, 1.0)
        now.ias_kt += _within(change_kt, SPEED_RATE_KT_S * step_s)


def _turn_and_move(
    now: Motion,
    controls: Controls,
    tas_kt: float,
    wind_kt: tuple[float, float],
    limit_deg: float,
    dt_s: float,
    pieces: int,
) -> None:
    """Bank for the heading error, limited to the pilot's and to rate one, with roll rate and lag; move on."""
    heading_deg, bank_deg = now.heading_mag_deg, now.bank_deg
    east_nm, north_nm = now.point
    wind_east_kt, wind_north_kt = wind_kt
    gain = tas_kt / (G_KT_S * HEADING_TIME_S)
    share, most_deg = min(dt_s / ROLL_LAG_S, 1.0), ROLL_RATE_DEG_S * dt_s
    for _ in range(pieces):
        error_deg = heading_error_deg(heading_deg, controls.heading_mag_deg, controls.turn)
        wanted_deg = gain * error_deg
        if wanted_deg > limit_deg or wanted_deg < -limit_deg:
            wanted_deg = limit_deg if wanted_deg > 0.0 else -limit_deg
        before_deg = bank_deg
        change_deg = (wanted_deg - before_deg) * share
        if change_deg > most_deg or change_deg < -most_deg:
            change_deg = most_deg if change_deg > 0.0 else -most_deg
        bank_deg += change_deg
        rate_deg_s = degrees(G_KT_S * tan(radians((bank_deg + before_deg) / 2.0)) / tas_kt)
        middle_rad = radians(heading_deg + rate_deg_s * dt_s / 2.0)
        east_kt = tas_kt * sin(middle_rad) + wind_east_kt
        north_kt = tas_kt * cos(middle_rad) + wind_north_kt
        east_nm += east_kt * dt_s / 3600.0
        north_nm += north_kt * dt_s / 3600.0
        heading_deg = (heading_deg + rate_deg_s * dt_s) % 360.0
    now.point = PlanePoint(east_nm, north_nm)
    now.heading_mag_deg, now.bank_deg = heading_deg, bank_deg
    now.groundspeed_kt = sqrt(east_kt * east_kt + north_kt * north_kt)


def _climb(now: Motion, controls: Controls, dt_s: float, pieces: int) -> None:
    """The rate wanted until near the altitude, then washed out."""
    altitude_ft, vertical_fpm = now.altitude_ft, now.vertical_fpm
    most_fpm, share = abs(controls.vertical_fpm) or 500.0, min(dt_s / VERTICAL_LAG_S, 1.0)
    for _ in range(pieces):
        to_go_ft = controls.altitude_ft - altitude_ft
        # No more than can still be taken off before the level: a pilot begins to level off in time.
        stopping_fpm = LEVELLING * sqrt(2.0 * VERTICAL_RATE_FPM_S * 60.0 * abs(to_go_ft)) + 100.0
        wanted_fpm = _within(to_go_ft / VERTICAL_TIME_S * 60.0, min(most_fpm, stopping_fpm))
        before_fpm = vertical_fpm
        vertical_fpm += _within((wanted_fpm - before_fpm) * share, VERTICAL_RATE_FPM_S * dt_s)
        altitude_ft += (vertical_fpm + before_fpm) / 2.0 * dt_s / 60.0
    now.altitude_ft, now.vertical_fpm = altitude_ft, vertical_fpm


def _within(value: float, most: float) -> float:
    if value > most:
        return most
    # Asked six times a second of flight: a call of `max` would cost as much as all the rest.
    return -most if value < -most else value  # noqa: FURB136 - as said above


def heading_error_deg(heading_deg: float, wanted_deg: float, turn: str | None) -> float:
    """How far to turn, right positive; the long way round where that way was asked for."""
    error_deg = difference_deg(heading_deg, wanted_deg)
    # Up to fifteen degrees past the heading wanted, the turn is over and only overshot.
    if turn == "right" and error_deg < -15.0:
        return error_deg + 360.0
    if turn == "left" and error_deg > 15.0:
        return error_deg - 360.0
    return error_deg
