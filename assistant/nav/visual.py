"""
The end of the approach: minima, visibility with lights out, and where the runway will appear.

Minima and visibilities are the chart's; here is only what the pilot works out from them. Sources: Doc 8168
Vol II Part I Section 4 Chapter 9 (rounding); FAA Order 8260.3 (from memory) for US rounding; FAA inoperative
components table (from memory) for lights; plane geometry for the view.
"""

from math import atan2, ceil, degrees
from typing import Literal, NamedTuple

from assistant.nav.airspeed import Category
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import (
    FT_PER_NM,
    PlanePoint,
    bearing_deg,
    difference_deg,
    distance_nm,
    line_range_crossings,
    move,
)

M_PER_STATUTE_MILE = 1609.344
_THRESHOLD = PlanePoint(0.0, 0.0)
Lights = Literal["full", "medium"]


class RunwayView(NamedTuple):
    """
    Where the runway stands as it comes into sight.

    `angle_deg` is from the nose, right positive; `runway_deg` is how much further right than the nose the
    runway itself points; `below_deg` is how far the threshold lies under the horizon.
    """

    side: Literal["left", "ahead", "right"]
    angle_deg: float
    runway_deg: float
    below_deg: float
    ground_nm: float


def rounded_minimum_ft(minimum_ft: float, step_ft: float = 10.0) -> float:
    """A minimum rounded up: ICAO to 10 ft (5 m), the FAA to 20 ft for a minimum descent altitude."""
    if step_ft <= 0.0:
        raise OutsideValidity(f"A step of {step_ft} ft rounds nothing.")
    return step_ft * ceil(minimum_ft / step_ft - 1e-9)


def visibility_lights_out_m(visibility_m: float, increment_m: float) -> float:
    """Visibility required with lights out of service: the chart's figure and the chart's increment."""
    if visibility_m < 0.0 or increment_m < 0.0:
        raise OutsideValidity("Neither a visibility nor an increment is below zero.")
    return visibility_m + increment_m


def lights_out_increment_m(lights: Lights, category: Category) -> float:
    """
    The visibility increment of a non-precision approach whose chart prints none.

    FAA inoperative components table (from memory). Half a statute mile without a full approach light
    system; a quarter, for A to C, without a medium one.
    """
    if lights == "full":
        return M_PER_STATUTE_MILE / 2.0
    return M_PER_STATUTE_MILE / 4.0 if category in {"A", "B", "C"} else 0.0


def point_on_final(
    final_course_deg: float, runway_course_deg: float, crossing_nm: float, ground_nm: float
) -> PlanePoint:
    """
    Where the final course is a ground distance from the threshold, in the threshold's frame.

    `crossing_nm` is how far before the threshold the final course crosses the runway's centre line (past it
    negative; 0 for a course to the threshold). Raises NoSolution where the course does not come that near.
    """
    crossing = move(_THRESHOLD, runway_course_deg, -crossing_nm)
    crossings_nm = line_range_crossings(crossing, final_course_deg, ground_nm)
    if not crossings_nm:
        raise NoSolution(f"The final course never comes within {ground_nm} NM of the threshold.")
    return move(crossing, final_course_deg, crossings_nm[0])


def runway_view(
    point: PlanePoint, heading_deg: float, runway_course_deg: float, height_above_threshold_ft: float
) -> RunwayView:
    """
    Where the runway appears from a point (threshold at the origin) on a heading, drift and offset included.

    Within 1 degree of the nose counts as ahead.
    """
    angle_deg = difference_deg(heading_deg, bearing_deg(point, _THRESHOLD))
    side: Literal["left", "ahead", "right"] = "ahead"
    if abs(angle_deg) > 1.0:
        side = "right" if angle_deg > 0.0 else "left"
    ground_nm = distance_nm(point, _THRESHOLD)
    return RunwayView(
        side,
        angle_deg,
        difference_deg(heading_deg, runway_course_deg),
        degrees(atan2(height_above_threshold_ft / FT_PER_NM, ground_nm)),
        ground_nm,
    )
