"""
When to start a turn so that it ends where it should: on a course, from an arc, or on an arc.

Solved on the ground track: the turn is a circle in moving air (`turns.turn_displacement`), it starts on the
heading that holds the present track in the wind and ends on the heading that holds the next. In still air the
answers are the tangent circles of the training books: lead = r tan(turn/2) to a course; asin(r / (R - r)) off
an arc inbound and asin(r / (R + r)) outbound. The 60-to-1 rules stand beside them at the end. Roll-in and
roll-out are left out.
"""

from math import cos, radians, sin, tan
from typing import Literal, NamedTuple

from assistant.nav.arcs import arc_track_deg
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import (
    Direction,
    PlanePoint,
    Turn,
    along_and_across_nm,
    difference_deg,
    line_range_crossings,
    move,
    normalize_deg,
    plane_from_polar,
    polar_from_plane,
    reciprocal_deg,
    shorter_turn,
)
from assistant.nav.roots import sign_changes
from assistant.nav.turns import turn_displacement
from assistant.nav.wind import heading_for_track

Sense = Literal["inbound", "outbound"]
_ORIGIN = PlanePoint(0.0, 0.0)


class CourseLead(NamedTuple):
    """
    Where a turn on to a course starts and ends.

    `lead_nm` is measured along the present track back from where it crosses the course, `across_nm` from the
    course line (both positive before it), `roll_out_along_nm` along the course from the crossing.
    """

    lead_nm: float
    across_nm: float
    roll_out_along_nm: float
    heading_deg: float
    time_s: float


class LeadRadial(NamedTuple):
    """
    Where a turn from an arc on to a course starts and ends.

    `lead_deg` is the number of radials before the one on which the course crosses the arc.
    """

    lead_deg: float
    radial_deg: float
    roll_out_ground_nm: float
    heading_deg: float
    time_s: float


class LeadRange(NamedTuple):
    """
    Where a turn from a radial on to an arc starts and ends.

    `lead_nm` is positive before the arc is reached.
    """

    lead_nm: float
    start_ground_nm: float
    roll_out_radial_deg: float
    heading_deg: float
    time_s: float


class ArcLead(NamedTuple):
    """
    Where a turn from a track on to an arc starts and ends.

    `lead_nm` is measured along the track back from where it crosses the arc, `along_nm` on from the point
    given.
    """

    lead_nm: float
    along_nm: float
    start_ground_nm: float
    roll_out_radial_deg: float
    heading_deg: float
    time_s: float


def lead_to_course(
    track_deg: float,
    course_deg: float,
    tas_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_kt: float,
    turn: Turn | None = None,
) -> CourseLead:
    """
    When to start the turn from a track on to a course that it crosses, the shorter way unless told.

    Raises NoSolution where the track runs along the course (it never crosses it).
    """
    cut_deg = difference_deg(track_deg, course_deg)
    if abs(sin(radians(cut_deg))) < 1e-6:
        raise NoSolution("The track is parallel to the course and never crosses it.")
    side = turn or shorter_turn(track_deg, course_deg)
    before = heading_for_track(track_deg, tas_kt, wind_from_deg, wind_kt)
    after = heading_for_track(course_deg, tas_kt, wind_from_deg, wind_kt)
    path = turn_displacement(
        before.heading_deg, after.heading_deg, side, tas_kt, bank_deg, wind_from_deg, wind_kt
    )
    moved = along_and_across_nm(PlanePoint(path.east_nm, path.north_nm), _ORIGIN, course_deg)
    # Along the present track the distance right of the course grows by -sin(cut) a mile.
    lead_nm = -moved.across_nm / sin(radians(cut_deg))
    return CourseLead(
        lead_nm,
        lead_nm * abs(sin(radians(cut_deg))),
        moved.along_nm - lead_nm * cos(radians(cut_deg)),
        after.heading_deg,
        path.time_s,
    )


def lead_radial_from_arc(
    arc_ground_nm: float,
    direction: Direction,
    course_deg: float,
    tas_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_kt: float,
    sense: Sense = "inbound",
    station_across_nm: float = 0.0,
) -> LeadRadial:
    """
    The radial of an arc at which to start the turn on to a course, so that it rolls out on the course.

    `sense` says whether the course is flown toward the station or away; `station_across_nm` is where the
    station lies of a course that does not pass over it, right of course positive. Ground ranges. Raises
    NoSolution where no start on the arc serves (turn too wide for the arc: in still air, a radius of half the
    arc inbound).
    """
    _check_arc(arc_ground_nm)
    if abs(station_across_nm) >= arc_ground_nm:
        raise OutsideValidity(
            f"The course passes {abs(station_across_nm)} NM from the station: outside the arc."
        )
    anchor = plane_from_polar(course_deg - 90.0, station_across_nm)
    along_nm = (arc_ground_nm**2 - station_across_nm**2) ** 0.5
    crossing = polar_from_plane(
        PlanePoint(
            anchor.east_nm + sin(radians(course_deg)) * (along_nm if sense == "outbound" else -along_nm),
            anchor.north_nm + cos(radians(course_deg)) * (along_nm if sense == "outbound" else -along_nm),
        )
    )
    side: Turn = "right" if (direction == "clockwise") == (sense == "inbound") else "left"
    ahead = 1.0 if direction == "clockwise" else -1.0
    after = heading_for_track(course_deg, tas_kt, wind_from_deg, wind_kt)

    def roll_out(lead_deg: float) -> tuple[PlanePoint, float]:
        radial_deg = crossing.radial_deg - ahead * lead_deg
        track_deg = arc_track_deg(radial_deg, direction)
        before = heading_for_track(track_deg, tas_kt, wind_from_deg, wind_kt)
        path = turn_displacement(
            before.heading_deg, after.heading_deg, side, tas_kt, bank_deg, wind_from_deg, wind_kt
        )
        start = plane_from_polar(radial_deg, arc_ground_nm)
        return PlanePoint(start.east_nm + path.east_nm, start.north_nm + path.north_nm), path.time_s

    def missed_by_nm(lead_deg: float) -> float:
        return along_and_across_nm(roll_out(lead_deg)[0], anchor, course_deg).across_nm

    # From slightly past the course (a turn that the wind carries back) to half the arc before it.
    lead_deg = next(sign_changes(missed_by_nm, -20.0, 120.0, 2.0), None)
    if lead_deg is None:
        raise NoSolution(
            f"No turn at {bank_deg:.0f} degrees of bank from the {arc_ground_nm:.1f} NM arc"
            " rolls out on the course."
        )
    end, time_s = roll_out(lead_deg)
    return LeadRadial(
        lead_deg,
        normalize_deg(crossing.radial_deg - ahead * lead_deg),
        polar_from_plane(end).ground_nm,
        after.heading_deg,
        time_s,
    )


def lead_to_arc(
    point: PlanePoint,
    track_deg: float,
    arc_ground_nm: float,
    direction: Direction,
    tas_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_kt: float,
) -> ArcLead:
    """
    When to start the turn from any track on to an arc in either direction, by the shorter way.

    The track is the line through a point, and the arc is joined where the track next crosses it ahead of the
    point. Rolls out on the arc's range with the ground track along it. Raises NoSolution where the track
    never meets the arc, or the turn is too wide (in still air, from the station out, a radius of half the
    arc).
    """
    _check_arc(arc_ground_nm)
    ahead_nm = [along for along in line_range_crossings(point, track_deg, arc_ground_nm) if along >= 0.0]
    if not ahead_nm:
        raise NoSolution(f"The track does not meet the {arc_ground_nm:.1f} NM arc ahead.")
    crossing_nm = min(ahead_nm)
    crossing_deg = polar_from_plane(move(point, track_deg, crossing_nm)).radial_deg
    side = shorter_turn(track_deg, arc_track_deg(crossing_deg, direction))
    ahead = 1.0 if direction == "clockwise" else -1.0
    before = heading_for_track(track_deg, tas_kt, wind_from_deg, wind_kt)

    def start_for(ahead_deg: float) -> tuple[PlanePoint, float, float]:
        end_deg = crossing_deg + ahead * ahead_deg
        after = heading_for_track(arc_track_deg(end_deg, direction), tas_kt, wind_from_deg, wind_kt)
        path = turn_displacement(
            before.heading_deg, after.heading_deg, side, tas_kt, bank_deg, wind_from_deg, wind_kt
        )
        end = plane_from_polar(end_deg, arc_ground_nm)
        return (
            PlanePoint(end.east_nm - path.east_nm, end.north_nm - path.north_nm),
            after.heading_deg,
            path.time_s,
        )

    def off_track_nm(ahead_deg: float) -> float:
        return along_and_across_nm(start_for(ahead_deg)[0], point, track_deg).across_nm

    ahead_deg = next(sign_changes(off_track_nm, -20.0, 120.0, 2.0), None)
    if ahead_deg is None:
        raise NoSolution(
            f"No turn at {bank_deg:.0f} degrees of bank from the track"
            f" rolls out on the {arc_ground_nm:.1f} NM arc."
        )
    start, heading_deg, time_s = start_for(ahead_deg)
    along_nm = along_and_across_nm(start, point, track_deg).along_nm
    return ArcLead(
        crossing_nm - along_nm,
        along_nm,
        polar_from_plane(start).ground_nm,
        normalize_deg(crossing_deg + ahead * ahead_deg),
        heading_deg,
        time_s,
    )


def lead_range_to_arc(
    arc_ground_nm: float,
    radial_deg: float,
    sense: Sense,
    direction: Direction,
    tas_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_kt: float,
) -> LeadRange:
    """
    The range on a radial, flown in or out, at which to start the turn on to an arc in either direction.

    `lead_to_arc` with the track along the radial. Ground ranges.
    """
    _check_arc(arc_ground_nm)
    outbound = sense == "outbound"
    begin = _ORIGIN if outbound else plane_from_polar(radial_deg, 2.0 * arc_ground_nm)
    track_deg = radial_deg if outbound else reciprocal_deg(radial_deg)
    lead = lead_to_arc(begin, track_deg, arc_ground_nm, direction, tas_kt, bank_deg, wind_from_deg, wind_kt)
    return LeadRange(
        lead.lead_nm,
        lead.start_ground_nm,
        lead.roll_out_radial_deg,
        lead.heading_deg,
        lead.time_s,
    )


def lead_deg_60_to_1(radius_nm: float, arc_nm: float) -> float:
    """
    Working rule: lead off an arc for a 90 degree turn is 60 / arc times the radius (US Navy.

    US Air Force).
    """
    _check_arc(arc_nm)
    return 60.0 / arc_nm * radius_nm


def lead_deg_outbound_corrected(radius_nm: float, arc_nm: float) -> float:
    """
    Working rule for the outbound turn off an arc: lead - (90 - lead) / 90 * r (US Navy P-1204).

    12.9 at 10 NM and r = 2.5, where the tangent circle gives 11.5; the inbound form adds the same amount.
    """
    base_deg = lead_deg_60_to_1(radius_nm, arc_nm)
    return base_deg - (90.0 - base_deg) / 90.0 * radius_nm


def lead_share_of_90(turn_deg: float) -> float:
    """
    The still-air lead to a course as a share of the 90 degree lead: tan(turn/2).

    The rules say 1/2 or 1/3 at 45.
    """
    return tan(radians(turn_deg) / 2.0)


def _check_arc(arc_nm: float) -> None:
    if arc_nm <= 0.0:
        raise OutsideValidity(f"An arc of {arc_nm} NM has no size.")
