"""
A second method for all that turns: the path, integrated by SciPy from the equations of motion.

Own constants, SI units, nothing taken from `assistant.nav`: d(heading)/dt = g tan(bank) / V,
d(position)/dt = V + wind. Positions in metres east and north; `place_nm` gives NM.
"""

from collections.abc import Callable
from math import cos, hypot, radians, sin, tan
from typing import NamedTuple

from scipy.integrate import solve_ivp

_G = 9.80665
_KT = 1852.0 / 3600.0


class Air(NamedTuple):
    """True airspeed, bank of turns, and the wind."""

    tas_kt: float
    bank_deg: float
    wind_from_deg: float
    wind_kt: float


class State(NamedTuple):
    """East and north in metres, heading in degrees (not wrapped), seconds."""

    east_m: float
    north_m: float
    heading_deg: float
    t_s: float

    @property
    def place_nm(self) -> tuple[float, float]:
        return self.east_m / 1852.0, self.north_m / 1852.0

    @property
    def range_nm(self) -> float:
        return hypot(*self.place_nm)


def start(east_nm: float, north_nm: float, heading_deg: float) -> State:
    return State(east_nm * 1852.0, north_nm * 1852.0, heading_deg, 0.0)


def _velocity(air: Air, heading_deg: float) -> tuple[float, float]:
    heading, wind = radians(heading_deg), radians(air.wind_from_deg)
    return (
        (air.tas_kt * sin(heading) - air.wind_kt * sin(wind)) * _KT,
        (air.tas_kt * cos(heading) - air.wind_kt * cos(wind)) * _KT,
    )


def turn(air: Air, state: State, heading_deg: float, side: str) -> State:
    """Turns by the side named until the heading is reached, at the air's bank."""
    sign = 1.0 if side == "right" else -1.0
    through_deg = (sign * (heading_deg - state.heading_deg)) % 360.0
    rate_deg_s = sign * 57.29577951308232 * _G * tan(radians(air.bank_deg)) / (air.tas_kt * _KT)

    def motion(_t: float, y: list[float]) -> list[float]:
        east, north = _velocity(air, y[2])
        return [east, north, rate_deg_s]

    stop_s = through_deg / abs(rate_deg_s)
    return _integrate(motion, state, stop_s)


def straight(air: Air, state: State, seconds: float) -> State:
    """Holds the heading for some seconds."""
    east, north = _velocity(air, state.heading_deg)
    return State(
        state.east_m + east * seconds, state.north_m + north * seconds, state.heading_deg, state.t_s + seconds
    )


def steer(air: Air, state: State, heading_at: Callable[[float, float], float], seconds: float) -> State:
    """Flies the heading that a function of the position (NM) gives at every moment, for some seconds."""

    def motion(_t: float, y: list[float]) -> list[float]:
        east, north = _velocity(air, heading_at(y[0] / 1852.0, y[1] / 1852.0))
        return [east, north, 0.0]

    return _integrate(motion, state, seconds)


def across_nm(state: State, course_deg: float, east_nm: float = 0.0, north_nm: float = 0.0) -> float:
    """How far right of the course through a point the aircraft is."""
    east, north = state.place_nm
    angle = radians(course_deg)
    return (east - east_nm) * cos(angle) - (north - north_nm) * sin(angle)


def along_nm(state: State, course_deg: float, east_nm: float = 0.0, north_nm: float = 0.0) -> float:
    """How far along the course from a point the aircraft is."""
    east, north = state.place_nm
    angle = radians(course_deg)
    return (east - east_nm) * sin(angle) + (north - north_nm) * cos(angle)


def _integrate(motion: Callable[[float, list[float]], list[float]], state: State, seconds: float) -> State:
    if seconds <= 0.0:
        return state
    solved = solve_ivp(motion, (0.0, seconds), list(state[:3]), rtol=1e-8, atol=1e-4, method="DOP853")
    east_m, north_m, heading_deg = solved.y[:, -1]
    return State(float(east_m), float(north_m), float(heading_deg), state.t_s + seconds)
