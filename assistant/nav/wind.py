"""
What the wind does: the wind triangle in all its cases, and the working rules pilots use beside it.

All directions of one call share one north reference. Drift is positive to the right: track = heading + drift.
The wind correction angle of the textbooks is minus the drift. Source of the triangle: the vector sum itself;
checked against FAA-H-8083-25 chapter 15 and others in tests/nav/check_values.yaml.
"""

from collections.abc import Sequence
from math import asin, atan2, cos, degrees, hypot, radians, sin, sqrt
from typing import NamedTuple

from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import difference_deg, normalize_deg

__all__ = [
    "Components",
    "NoSolution",
    "RequiredTas",
    "Wind",
    "WindTriangle",
    "clock_code_drift_deg",
    "components",
    "design_wind_kt",
    "heading_for_track",
    "maximum_drift_deg",
    "maximum_drift_rule_deg",
    "required_tas",
    "track_for_heading",
    "wind_at_level",
    "wind_from_two",
]


class WindTriangle(NamedTuple):
    """Heading, track, groundspeed and drift that belong together."""

    heading_deg: float
    track_deg: float
    groundspeed_kt: float
    drift_deg: float


class Components(NamedTuple):
    """Wind along and across a direction: headwind positive, crosswind from the right positive."""

    head_kt: float
    cross_kt: float


class Wind(NamedTuple):
    """A wind: where it blows from, and how fast."""

    from_deg: float
    speed_kt: float


class RequiredTas(NamedTuple):
    """The airspeed and heading that a track at a groundspeed asks for."""

    tas_kt: float
    heading_deg: float


def heading_for_track(
    track_mag_deg: float, tas_kt: float, wind_from_mag_deg: float, wind_kt: float
) -> WindTriangle:
    """
    The heading that makes a track good.

    Raises NoSolution where the crosswind exceeds the airspeed or the wind carries the aircraft backwards.
    """
    _check(tas_kt, wind_kt)
    wind = components(track_mag_deg, wind_from_mag_deg, wind_kt)
    if abs(wind.cross_kt) > tas_kt:
        raise NoSolution(
            f"A crosswind of {abs(wind.cross_kt):.0f} kt is more than the airspeed of {tas_kt:.0f} kt."
        )
    groundspeed_kt = sqrt(tas_kt**2 - wind.cross_kt**2) - wind.head_kt
    if groundspeed_kt <= 0.0:
        raise NoSolution(f"A headwind of {wind.head_kt:.0f} kt stops an airspeed of {tas_kt:.0f} kt.")
    drift_deg = -degrees(asin(wind.cross_kt / tas_kt))
    return WindTriangle(
        normalize_deg(track_mag_deg - drift_deg), normalize_deg(track_mag_deg), groundspeed_kt, drift_deg
    )


def track_for_heading(
    heading_mag_deg: float, tas_kt: float, wind_from_mag_deg: float, wind_kt: float
) -> WindTriangle:
    """
    The track and groundspeed of a heading.

    NoSolution where the wind brings the aircraft to a standstill.
    """
    _check(tas_kt, wind_kt)
    wind = components(heading_mag_deg, wind_from_mag_deg, wind_kt)
    groundspeed_kt = hypot(tas_kt - wind.head_kt, wind.cross_kt)
    # Below a millionth of a knot the direction of the sum is rounding, not a track.
    if groundspeed_kt < 1e-6:
        raise NoSolution(f"A headwind of {wind_kt:.0f} kt leaves no groundspeed and so no track.")
    drift_deg = degrees(atan2(-wind.cross_kt, tas_kt - wind.head_kt))
    return WindTriangle(
        normalize_deg(heading_mag_deg), normalize_deg(heading_mag_deg + drift_deg), groundspeed_kt, drift_deg
    )


def components(direction_deg: float, wind_from_deg: float, wind_kt: float) -> Components:
    """Headwind (positive) and crosswind (from the right positive) on a heading, track or runway."""
    angle_rad = radians(wind_from_deg - direction_deg)
    return Components(wind_kt * cos(angle_rad), wind_kt * sin(angle_rad))


def maximum_drift_deg(tas_kt: float, wind_kt: float) -> float:
    """The most drift that a wind can cause on any track: asin(wind / TAS)."""
    _check(tas_kt, wind_kt)
    if wind_kt > tas_kt:
        raise NoSolution(f"A wind of {wind_kt:.0f} kt is more than the airspeed of {tas_kt:.0f} kt.")
    return degrees(asin(wind_kt / tas_kt))


def maximum_drift_rule_deg(tas_kt: float, wind_kt: float) -> float:
    """
    Working rule, 60-to-1: wind over miles a minute.

    Within 1 degree of the exact figure below 15 degrees.
    """
    _check(tas_kt, wind_kt)
    return 60.0 * wind_kt / tas_kt


def clock_code_drift_deg(track_deg: float, tas_kt: float, wind_from_deg: float, wind_kt: float) -> float:
    """
    Working rule, the clock code: maximum drift by the angle off as if minutes of an hour; right positive.

    15 degrees off takes a quarter of the maximum, 30 a half, 45 three quarters, 60 and more all of it.
    Common practice; within 3 degrees of the exact drift while the maximum drift is below 15 degrees.
    """
    off_deg = difference_deg(track_deg, wind_from_deg)
    acute_deg = min(abs(off_deg), 180.0 - abs(off_deg))
    size_deg = maximum_drift_rule_deg(tas_kt, wind_kt) * min(1.0, acute_deg / 60.0)
    return -size_deg if off_deg > 0.0 else size_deg


def wind_from_two(heading_deg: float, tas_kt: float, track_deg: float, groundspeed_kt: float) -> Wind:
    """The wind, found from the two vectors that the aircraft knows: through the air and over the ground."""
    east_kt = tas_kt * sin(radians(heading_deg)) - groundspeed_kt * sin(radians(track_deg))
    north_kt = tas_kt * cos(radians(heading_deg)) - groundspeed_kt * cos(radians(track_deg))
    return Wind(normalize_deg(degrees(atan2(east_kt, north_kt))), hypot(east_kt, north_kt))


def required_tas(
    track_deg: float, groundspeed_kt: float, wind_from_deg: float, wind_kt: float
) -> RequiredTas:
    """The true airspeed and heading that give a groundspeed on a track (a time to make good)."""
    if groundspeed_kt <= 0.0:
        raise OutsideValidity(f"A groundspeed of {groundspeed_kt} kt is not above zero.")
    wind = components(track_deg, wind_from_deg, wind_kt)
    along_kt = groundspeed_kt + wind.head_kt
    correction_deg = degrees(atan2(wind.cross_kt, along_kt))
    return RequiredTas(hypot(along_kt, wind.cross_kt), normalize_deg(track_deg + correction_deg))


def wind_at_level(levels: Sequence[tuple[float, float, float]], altitude_ft: float) -> Wind:
    """
    Wind at an altitude from (altitude_ft, from_deg, kt) rows, interpolated by components.

    By components, since half way between 350 and 010 degrees is north and not south. Below the lowest and
    above the highest row the nearest row holds: nothing is known of a trend beyond them.
    """
    if not levels:
        raise OutsideValidity("No wind is given at any level.")
    rows = sorted(levels)
    below = max((row for row in rows if row[0] <= altitude_ft), default=rows[0])
    above = min((row for row in rows if row[0] >= altitude_ft), default=rows[-1])
    span_ft = above[0] - below[0]
    share = (altitude_ft - below[0]) / span_ft if span_ft > 0.0 else 0.0
    east_kt, north_kt = (
        (1.0 - share) * below[2] * part(radians(below[1])) + share * above[2] * part(radians(above[1]))
        for part in (sin, cos)
    )
    return Wind(normalize_deg(degrees(atan2(east_kt, north_kt))), hypot(east_kt, north_kt))


def design_wind_kt(altitude_ft: float) -> float:
    """The wind that procedure areas allow for: 2 h + 47, h in thousands of feet (PANS-OPS Vol II)."""
    return 2.0 * altitude_ft / 1000.0 + 47.0


def _check(tas_kt: float, wind_kt: float) -> None:
    if tas_kt <= 0.0:
        raise OutsideValidity(f"A true airspeed of {tas_kt} kt is not above zero.")
    if wind_kt < 0.0:
        raise OutsideValidity(f"A wind speed of {wind_kt} kt is below zero.")
