"""
Where things are: angles, the flat frame round a station, slant range, and positions on the earth.

All angles of one call share one north reference (the engine's is magnetic). Within the ranges of an approach
(60 NM) a frame that is flat at the station is true to a few hundredths of a mile, so the engine works in it:
range and radial from the station are exact there, and only distances between two far points are stretched.
Latitude and longitude come and go through the WGS 84 ellipsoid.
"""

from math import atan2, cos, degrees, floor, hypot, radians, sin, sqrt
from typing import Literal, NamedTuple

from geographiclib.geodesic import Geodesic

from assistant.nav.errors import OutsideValidity

Turn = Literal["left", "right"]
Direction = Literal["clockwise", "anticlockwise"]

M_PER_NM = 1852.0
M_PER_FT = 0.3048
FT_PER_NM = M_PER_NM / M_PER_FT  # 6076.115


class PlanePoint(NamedTuple):
    """A point of the flat frame with the station at its origin."""

    east_nm: float
    north_nm: float


class Polar(NamedTuple):
    """A point by radial (from the station) and ground range."""

    radial_deg: float
    ground_nm: float


class LatLon(NamedTuple):
    """A position on WGS 84; north and east positive."""

    latitude_deg: float
    longitude_deg: float


class AlongAcross(NamedTuple):
    """A point seen from a course line: distance along it from its anchor, and across it, right positive."""

    along_nm: float
    across_nm: float


def normalize_deg(angle_deg: float) -> float:
    """The same direction in [0, 360)."""
    wrapped_deg = angle_deg % 360.0
    # -1e-17 % 360 is 360.0 exactly in floating point, which is outside the promised range.
    return 0.0 if wrapped_deg >= 360.0 else wrapped_deg


def spoken_deg(angle_deg: float) -> int:
    """The direction in whole degrees as it is spoken: 1 to 360, north is 360 and never 0."""
    return floor(normalize_deg(angle_deg) + 0.5) % 360 or 360


def difference_deg(from_deg: float, to_deg: float) -> float:
    """The shorter way round from one direction to another in (-180, 180], clockwise positive."""
    delta_deg = normalize_deg(to_deg - from_deg)
    return delta_deg - 360.0 if delta_deg > 180.0 else delta_deg


def reciprocal_deg(angle_deg: float) -> float:
    """The opposite direction in [0, 360)."""
    return normalize_deg(angle_deg + 180.0)


def turn_through_deg(from_deg: float, to_deg: float, turn: Turn) -> float:
    """The angle in [0, 360) turned through from one direction to another, by the side named."""
    return normalize_deg(to_deg - from_deg if turn == "right" else from_deg - to_deg)


def shorter_turn(from_deg: float, to_deg: float) -> Turn:
    """The side of the smaller turn; right if both are 180 degrees."""
    return "right" if difference_deg(from_deg, to_deg) >= 0.0 else "left"


def plane_from_polar(radial_deg: float, ground_nm: float) -> PlanePoint:
    """The point on a radial at a ground range from the station."""
    return PlanePoint(ground_nm * sin(radians(radial_deg)), ground_nm * cos(radians(radial_deg)))


def polar_from_plane(point: PlanePoint) -> Polar:
    """Radial in [0, 360) and ground range of a point; the radial of the station itself is 0."""
    return Polar(normalize_deg(degrees(atan2(point.east_nm, point.north_nm))), hypot(*point))


def move(point: PlanePoint, track_deg: float, distance_nm: float) -> PlanePoint:
    """The point reached on a track after a distance; a negative distance goes back along it."""
    step = plane_from_polar(track_deg, distance_nm)
    return PlanePoint(point.east_nm + step.east_nm, point.north_nm + step.north_nm)


def bearing_deg(a: PlanePoint, b: PlanePoint) -> float:
    """The bearing of b seen from a, in [0, 360)."""
    return normalize_deg(degrees(atan2(b.east_nm - a.east_nm, b.north_nm - a.north_nm)))


def distance_nm(a: PlanePoint, b: PlanePoint) -> float:
    """The distance between two points of the flat frame."""
    return hypot(b.east_nm - a.east_nm, b.north_nm - a.north_nm)


def along_and_across_nm(point: PlanePoint, anchor: PlanePoint, course_deg: float) -> AlongAcross:
    """The point seen from the line through the anchor on a course; across is positive right of course."""
    east_nm, north_nm = point.east_nm - anchor.east_nm, point.north_nm - anchor.north_nm
    sine, cosine = sin(radians(course_deg)), cos(radians(course_deg))
    return AlongAcross(east_nm * sine + north_nm * cosine, east_nm * cosine - north_nm * sine)


def ground_nm_from_slant(dme_nm: float, height_ft: float) -> float:
    """
    Ground range from slant range, over a flat earth, for a height above the station.

    0 where the reading is not more than the height: overhead, within what the set can resolve. The curvature
    left out is below 0.06 NM at 60 NM and 40,000 ft, and 0.004 at 15 NM and 10,000. Source: Pythagoras;
    PANS-OPS Vol II I-4-3 App C 3.3.4.
    """
    height_nm = height_ft / FT_PER_NM
    _not_negative("range", dme_nm)
    return 0.0 if dme_nm <= abs(height_nm) else sqrt(dme_nm**2 - height_nm**2)


def slant_nm_from_ground(ground_nm: float, height_ft: float) -> float:
    """Slant range, as distance-measuring equipment reads, from ground range and height above the station."""
    _not_negative("ground range", ground_nm)
    return hypot(ground_nm, height_ft / FT_PER_NM)


def position_from_radial_dme(
    latitude_deg: float, longitude_deg: float, declination_deg: float, radial_deg: float, ground_nm: float
) -> LatLon:
    """
    Position of a point on a station's radial at a ground range, by the WGS 84 geodesic.

    The station's declination (east positive) turns its radials from its own north to true north; it is the
    one published for the station, which need not be today's variation at the place.
    """
    direct = Geodesic.WGS84.Direct(
        latitude_deg, longitude_deg, radial_deg + declination_deg, ground_nm * M_PER_NM
    )
    return LatLon(float(direct["lat2"]), float(direct["lon2"]))


def radial_dme_from_position(
    latitude_deg: float,
    longitude_deg: float,
    declination_deg: float,
    point_latitude_deg: float,
    point_longitude_deg: float,
) -> Polar:
    """
    Radial and ground range of a position (the last two) from a station (the first two).

    By the geodesic.
    """
    inverse = Geodesic.WGS84.Inverse(latitude_deg, longitude_deg, point_latitude_deg, point_longitude_deg)
    return Polar(normalize_deg(float(inverse["azi1"]) - declination_deg), float(inverse["s12"]) / M_PER_NM)


def line_range_crossings(anchor: PlanePoint, course_deg: float, ground_nm: float) -> tuple[float, ...]:
    """
    Distances along a course from its anchor (NM, behind negative) at which the station is a range away.

    In order along the course: two, one where the line touches the circle, none where it passes outside it.
    """
    station = along_and_across_nm(PlanePoint(0.0, 0.0), anchor, course_deg)
    square = ground_nm**2 - station.across_nm**2
    # A course that touches the circle, or runs over the station itself, must not miss it by rounding.
    if square < -1e-9:
        return ()
    half_nm = sqrt(max(0.0, square))
    return (station.along_nm - half_nm, station.along_nm + half_nm) if half_nm else (station.along_nm,)


def line_radial_crossing(anchor: PlanePoint, course_deg: float, radial_deg: float) -> float | None:
    """
    Distance along a course from its anchor (NM, behind negative) at which it crosses a radial.

    The radial is the ray from the station, not its reciprocal. None where the course never meets it or runs
    along it.
    """
    angle_rad = radians(course_deg - radial_deg)
    # 1e-9 rad is a millimetre in a hundred miles: such a course is parallel to the radial.
    if abs(sin(angle_rad)) < 1e-9:
        return None
    seen_nm = along_and_across_nm(anchor, PlanePoint(0.0, 0.0), radial_deg)
    along_course_nm = -seen_nm.across_nm / sin(angle_rad)
    out_nm = seen_nm.along_nm + along_course_nm * cos(angle_rad)
    return along_course_nm if out_nm >= 0.0 else None


def _not_negative(what: str, value_nm: float) -> None:
    if value_nm < 0.0:
        raise OutsideValidity(f"A {what} of {value_nm} NM is below zero.")
