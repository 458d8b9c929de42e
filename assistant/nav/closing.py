"""
Closing to a point: how fast the range falls, when it will be reached, and how to get back to a line.

Sources: geometry for the exact figures; the 1-in-60 rules (US Navy P-340 appendix) and the bearing-change
rule (FAA Instrument Flying Handbook, time to station) stand beside them.
"""

from math import atan, cos, degrees, radians, tan
from typing import NamedTuple

from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import FT_PER_NM, PlanePoint, bearing_deg, difference_deg, line_range_crossings


class Regain(NamedTuple):
    """Angles that take an aircraft from off its track to the end of the leg: made, to make, and their sum."""

    track_error_deg: float
    closing_angle_deg: float
    turn_deg: float


def closing_kt(point: PlanePoint, track_deg: float, groundspeed_kt: float) -> float:
    """How fast the range of the station falls; negative when it opens. Over the station itself it opens."""
    if point == (0.0, 0.0):
        return -groundspeed_kt
    to_station_deg = bearing_deg(point, PlanePoint(0.0, 0.0))
    return groundspeed_kt * cos(radians(difference_deg(track_deg, to_station_deg)))


def time_to_range_s(
    point: PlanePoint, track_deg: float, groundspeed_kt: float, ground_nm: float
) -> float | None:
    """Seconds on a straight track until the ground range is next as given; None where it never will be."""
    if groundspeed_kt <= 0.0:
        raise NoSolution(f"At a groundspeed of {groundspeed_kt} kt no range is reached.")
    ahead_nm = [along_nm for along_nm in line_range_crossings(point, track_deg, ground_nm) if along_nm >= 0.0]
    return min(ahead_nm) * 3600.0 / groundspeed_kt if ahead_nm else None


def time_to_station_s(time_s: float, bearing_change_deg: float) -> float:
    """
    Working rule: flying with the station on the wing tip, seconds x 60 / degrees of change is the time to it.

    FAA Instrument Flying Handbook; 5 % long for small angles, in still air.
    """
    if bearing_change_deg <= 0.0:
        raise OutsideValidity(f"A bearing change of {bearing_change_deg} degrees tells nothing.")
    return time_s * 60.0 / bearing_change_deg


def regain(leg_nm: float, along_nm: float, off_track_nm: float) -> Regain:
    """The exact angles from an off-track fix to the end of the leg."""
    _check(leg_nm, along_nm)
    error_deg = degrees(atan(off_track_nm / along_nm))
    closing_deg = degrees(atan(off_track_nm / (leg_nm - along_nm)))
    return Regain(error_deg, closing_deg, error_deg + closing_deg)


def regain_rule(leg_nm: float, along_nm: float, off_track_nm: float) -> Regain:
    """Working rule, 1-in-60: 60 x distance off / distance gone, and / distance to go."""
    _check(leg_nm, along_nm)
    error_deg = 60.0 * off_track_nm / along_nm
    closing_deg = 60.0 * off_track_nm / (leg_nm - along_nm)
    return Regain(error_deg, closing_deg, error_deg + closing_deg)


def offset_rule_nm(distance_nm: float, error_deg: float) -> float:
    """Working rule, 1-in-60: distance off is distance x degrees / 60; 4.5 % short."""
    return distance_nm * error_deg / 60.0


def range_tolerance_aim_nm(dme_nm: float) -> float:
    """What a range reading may be off: half a mile or 3 %, the greater (FAA AIM 1-1-7)."""
    return max(0.5, 0.03 * dme_nm)


def range_tolerance_pansops_nm(dme_nm: float) -> float:
    """
    What a range reading may be off: 0.25 NM and 1.25 % (Doc 8168 Vol I Part I Section 2 Chapter 2.

    2.4.2).
    """
    return 0.25 + 0.0125 * dme_nm


def cone_radius_nm(height_ft: float, half_angle_deg: float = 50.0) -> float:
    """
    Radius round the station in which its bearing means nothing: height x tan of the cone's half angle.

    50 degrees for VOR, 40 for NDB (Doc 8168 Vol I Part I Section 2 Chapter 2, 2.4.4).
    """
    if height_ft < 0.0 or not 0.0 <= half_angle_deg < 90.0:
        raise OutsideValidity(f"A cone of {half_angle_deg} degrees at {height_ft} ft has no radius.")
    return height_ft / FT_PER_NM * tan(radians(half_angle_deg))


def _check(leg_nm: float, along_nm: float) -> None:
    if not 0.0 < along_nm < leg_nm:
        raise OutsideValidity(f"{along_nm} NM along is not within a leg of {leg_nm} NM.")
