"""
Flying an arc: track, heading and bearing pointer at every radial, in wind and off the arc.

In still air the station is on the wing tip and the heading is the radial plus or minus 90. In wind the
heading takes the drift off, so the pointer stands ahead of or behind the wing tip by that drift: that is its
reference. To regain the arc the pointer is held off its reference by the rule of US Navy P-871 chapter 4: 5
degrees for every half mile inside, 10 for every half mile outside (outside costs more since the arc bends
away from a straight track).
"""

from math import acos, cos, degrees, radians
from typing import NamedTuple

from assistant.nav.errors import OutsideValidity
from assistant.nav.geometry import Direction, difference_deg, normalize_deg, reciprocal_deg
from assistant.nav.wind import WindTriangle, heading_for_track

INSIDE_DEG_PER_NM = 10.0
OUTSIDE_DEG_PER_NM = 20.0
# Common practice: beyond a 45 degree cut more bank of correction gains little and needs a lead of its own.
LARGEST_CORRECTION_DEG = 45.0


class Pointer(NamedTuple):
    """
    Where the bearing pointer stands on an arc.

    `relative_deg` is from the nose, right positive; `ahead_deg` is from the wing tip toward the nose.
    """

    relative_deg: float
    ahead_deg: float


def arc_track_deg(radial_deg: float, direction: Direction) -> float:
    """The track along an arc at a radial: the tangent, radial + 90 clockwise and - 90 anticlockwise."""
    return normalize_deg(radial_deg + (90.0 if direction == "clockwise" else -90.0))


def arc_correction_deg(offset_nm: float) -> float:
    """
    How far to turn toward the arc for being off it.

    Offset positive outside, the answer positive toward the station. US Navy P-871 chapter 4, linear
    between its half miles; limited to 45 degrees (common practice).
    """
    slope_deg_per_nm = OUTSIDE_DEG_PER_NM if offset_nm > 0.0 else INSIDE_DEG_PER_NM
    return max(-LARGEST_CORRECTION_DEG, min(LARGEST_CORRECTION_DEG, slope_deg_per_nm * offset_nm))


def arc_heading(
    radial_deg: float,
    direction: Direction,
    tas_kt: float,
    wind_from_deg: float,
    wind_kt: float,
    offset_nm: float = 0.0,
) -> WindTriangle:
    """
    Heading, track and groundspeed at a radial of an arc, in wind; offset in NM off the arc, outside positive.

    The track is the tangent, turned toward the arc by `arc_correction_deg`; the heading makes that track
    good.
    """
    toward_station = 1.0 if direction == "clockwise" else -1.0
    track_deg = arc_track_deg(radial_deg, direction) + toward_station * arc_correction_deg(offset_nm)
    return heading_for_track(track_deg, tas_kt, wind_from_deg, wind_kt)


def pointer_on_arc(radial_deg: float, direction: Direction, heading_deg: float) -> Pointer:
    """Where the bearing pointer stands at a radial of an arc on a heading."""
    relative_deg = difference_deg(heading_deg, reciprocal_deg(radial_deg))
    wing_tip_deg = 90.0 if direction == "clockwise" else -90.0
    behind_deg = difference_deg(wing_tip_deg, relative_deg)
    return Pointer(relative_deg, -behind_deg if direction == "clockwise" else behind_deg)


def tangent_gain_nm(arc_nm: float, radials_deg: float) -> float:
    """How far outside the arc a straight tangent leads after a number of radials: R (1/cos - 1)."""
    _check(arc_nm, radials_deg)
    return arc_nm * (1.0 / cos(radians(radials_deg)) - 1.0)


def chord_depth_nm(arc_nm: float, radials_deg: float) -> float:
    """How far inside the arc a chord over a number of radials runs at its middle: R (1 - cos half)."""
    _check(arc_nm, radials_deg / 2.0)
    return arc_nm * (1.0 - cos(radians(radials_deg / 2.0)))


def chord_radials_deg(arc_nm: float, depth_nm: float) -> float:
    """How many radials a chord may span and stay within a depth of the arc."""
    if not 0.0 < depth_nm < arc_nm:
        raise OutsideValidity(f"A depth of {depth_nm} NM is not between 0 and the arc of {arc_nm} NM.")
    return degrees(2.0 * acos(1.0 - depth_nm / arc_nm))


def radial_spacing_nm(arc_nm: float) -> float:
    """The width of one radial on an arc: R times one degree in radians."""
    return radians(arc_nm)


def radial_spacing_rule_nm(arc_nm: float) -> float:
    """Working rule, 60-to-1: the width of one radial is R / 60; 4.5 % short."""
    return arc_nm / 60.0


def _check(arc_nm: float, radials_deg: float) -> None:
    if arc_nm <= 0.0 or not 0.0 <= radials_deg < 90.0:
        raise OutsideValidity(f"{radials_deg} radials of a {arc_nm} NM arc are outside 0 to 90 degrees.")
