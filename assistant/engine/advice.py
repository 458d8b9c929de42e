"""
Which figure a report calls for.

The height due, the rate that meets the slope, the heading back to the arc or course.
"""

from dataclasses import replace
from math import copysign

from assistant.engine.along_arc import Within, arc_heading_deg, is_along_arc, is_heading_called, with_heading
from assistant.engine.due import call_before_s, holds
from assistant.engine.entering import is_led
from assistant.engine.estimate import (
    OVERHEAD_NM,
    altitude_reported_ft,
    course_deviation_deg,
    floor_ft,
    point_of,
)
from assistant.engine.events import CalloutKind, Figures, PositionReport, Priority
from assistant.engine.outbox import Outbox
from assistant.engine.plan import Phase, Plan
from assistant.engine.state import State
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import (
    PlanePoint,
    difference_deg,
    distance_nm,
    normalize_deg,
    plane_from_polar,
    radial_dme_from_position,
)
from assistant.nav.visual import runway_view
from assistant.nav.wind import heading_for_track

# Differences are said in tens; within this the pilot is on the slope.
ON_SLOPE_FT = 50.0
# Nearer to the arc than this the reference heading is right: the sets read tenths, and two are seen.
ARC_OFFSET_NM = 0.2
# On the arc, but on a heading that leaves it by more than this before the next point: a heading was missed.
ARC_HEADING_DEG = 6.0
# Right after a heading was called, while it is said or turned to, another one is called only if it is this
# much better: two headings within seconds are one too many.
_AFRESH = Within(called_s=8.0, apart_deg=12.0)
# A quarter of full scale and more is worth a heading.
OFF_COURSE_DEG = 2.0
# On final this much comes before the height due: half scale is not far.
FAR_OFF_DEG = 3.0
# A range older than this does not tell the altitude due.
_FRESH_S = 10.0
# The rate that regains the slope stays within these of the planned one.
_RATE_FROM, _RATE_TO = 0.4, 1.6
# The slope is met again half-way to the minimum, but in no less than half a minute.
_REGAIN_SHARE, _REGAIN_SHORTEST_MIN = 0.5, 0.5
_NEAR_THRESHOLD_NM = 0.05
_HERE_NM = 0.3
# An offset's words and the hand take so long.
_BEFORE_TURN_S = 8.0


def advise(state: State, report: PositionReport, out: Outbox) -> State:
    """Answer a report, where it shows something to correct; one answer a report."""
    stage = state.stage
    timeline = state.timeline
    if timeline is None or stage.phase in (Phase.LANDING, Phase.MISSED):
        return state
    # Read before this leg, or in the turn on to it, it is no measure of how it is flown.
    t_s = report.observed_t_s
    is_flown = t_s >= state.entered_s and state.progress_s(t_s) >= timeline.turn_end_s
    if state.lost:
        # How far along nobody knows: only a place read whole tells how this course is joined.
        whole = report.radial_deg is not None and report.dme_nm is not None
        if whole and is_flown and stage.course is not None:
            _course(state, report, out)
        return state
    if stage.phase is Phase.FINAL and not _is_far_off(state, report) and _height(state, report, out):
        return state
    if stage.arc is not None:
        return _arc(state, report, out) if is_along_arc(state, t_s) else state
    if stage.course is not None and is_flown and not _is_turn_near(state, report.t_s):
        _course(state, report, out)
    return state


def _is_turn_near(state: State, t_s: float) -> bool:
    """Whether the turn off this leg is about to be called: another heading would be left again at once."""
    return any(
        is_led(state.plan, leaving.to)
        and state.time_of(leaving.at_s) - call_before_s(state, leaving) < t_s + _BEFORE_TURN_S
        for leaving in state.stage.exits
        if leaving.at_s is not None and holds(state, leaving.when)
    )


def _is_far_off(state: State, report: PositionReport) -> bool:
    """Whether the needle, as reported, is so far off the final course that the height can wait."""
    if report.radial_deg is None or report.dme_nm is None or report.dme_nm < OVERHEAD_NM:
        return False
    point = point_of(state, report.radial_deg, report.dme_nm, state.altitude_ft(report.observed_t_s))
    return abs(course_deviation_deg(state, point)) >= FAR_OFF_DEG


def _height(state: State, report: PositionReport, out: Outbox) -> bool:
    """On final: the altitude due at the range, the difference, and the rate to meet the slope."""
    altitude_ft = altitude_reported_ft(state, report)
    if altitude_ft is None or "final descent" not in state.fired:
        return False
    dme_nm = report.dme_nm
    if dme_nm is None:
        if state.age_s(report.observed_t_s) > _FRESH_S:
            return False
        place = state.place(report.observed_t_s)
        dme_nm = None if place is None else place.dme_nm
    due_ft = None if dme_nm is None else height_due_ft(state, dme_nm, report.observed_t_s)
    if due_ft is None or due_ft <= state.plan.decision_ft or "minimum" in state.asked:
        return False
    difference_ft = round((altitude_ft - due_ft) / 10.0) * 10.0
    figures = Figures(
        dme_nm=dme_nm,
        altitude_ft=due_ft,
        difference_ft=0.0 if abs(difference_ft) <= ON_SLOPE_FT else difference_ft,
        descent_fpm=rate_to_slope_fpm(state, altitude_ft, difference_ft, report.observed_t_s),
    )
    out.say(state, report.t_s, CalloutKind.HEIGHT_CHECK, Priority.ANSWER, "height", figures)
    return True


def height_due_ft(state: State, dme_nm: float, t_s: float) -> float | None:
    """
    The altitude due on final at a range, never below the floor in force there.

    None off the final approach.
    """
    due_ft = state.plan.altitude_due_ft(dme_nm)
    if due_ft is None:
        return None
    final = state.plan.stage("final")
    floor = 0.0
    if final.timeline is not None:
        at_s = final.timeline.progress_by_dme(dme_nm, final.timeline.duration_s / 2.0)
        if at_s is not None:
            floor = next((floor.altitude_ft for floor in final.floors if floor.until_s > at_s), 0.0)
    place = state.place(t_s)
    if state.stage.phase is Phase.FINAL and place is not None and abs(place.dme_nm - dme_nm) < _HERE_NM:
        floor = max(floor, floor_ft(state, t_s) or 0.0)
    # In tens, as an altimeter is read; the floor itself is never rounded.
    return max(round(due_ft / 10.0) * 10.0, floor)


def rate_to_slope_fpm(state: State, altitude_ft: float, difference_ft: float, t_s: float) -> float | None:
    """
    The rate that is back on the slope half-way to the minimum, ft/min; None where none is known.

    A rate to the threshold would leave a high aircraft high until the missed approach point.
    """
    planned_fpm = rate_to_threshold_fpm(state, altitude_ft - difference_ft, t_s)
    if planned_fpm is None:
        return None
    to_minimum_ft = altitude_ft - difference_ft - state.plan.decision_ft
    regain_min = max(to_minimum_ft / planned_fpm * _REGAIN_SHARE, _REGAIN_SHORTEST_MIN)
    return min(
        max(planned_fpm + difference_ft / regain_min, _RATE_FROM * planned_fpm), _RATE_TO * planned_fpm
    )


def rate_to_threshold_fpm(state: State, altitude_ft: float, t_s: float) -> float | None:
    """
    The rate from here to the threshold crossing height, ft/min; the planned one bounds it.

    None where the aircraft is so low that it must first level off, or the threshold is reached.
    """
    stage, timeline = state.stage, state.timeline
    runway = state.plan.procedure.runway
    if timeline is None or stage.course is None:
        return None
    progress_s = state.progress_s(t_s)
    threshold_s = state.plan.threshold_s
    if threshold_s - progress_s < 10.0:
        return None
    groundspeed_kt = timeline.at(progress_s).groundspeed_kt * state.rate
    minutes = (threshold_s - progress_s) / state.rate / 60.0
    to_lose_ft = altitude_ft - runway.threshold_elevation_ft - runway.threshold_crossing_height_ft
    planned_fpm = state.plan.final_gradient_ft_per_nm * groundspeed_kt / 60.0
    rate_fpm = to_lose_ft / minutes
    return min(max(rate_fpm, _RATE_FROM * planned_fpm), _RATE_TO * planned_fpm)


def _arc(state: State, report: PositionReport, out: Outbox) -> State:
    """Inside or outside the arc: by how much, and the heading that brings it back."""
    stage = state.stage
    if stage.arc is None or report.dme_nm is None:
        return state
    # Two tenths read are two tenths: in floating point 12.2 - 12.0 is a little less.
    offset_nm = round(report.dme_nm - stage.arc.arc_dme_nm, 6)
    heading_deg = arc_heading_deg(state, report.t_s)
    if heading_deg is None or is_heading_called(state, report.t_s, heading_deg, within=_AFRESH):
        return state
    figures = Figures(heading_mag_deg=heading_deg)
    kind = CalloutKind.HEADING
    if abs(offset_nm) >= ARC_OFFSET_NM:
        kind = CalloutKind.ARC_OFFSET
        side = "outside" if offset_nm > 0.0 else "inside"
        figures = replace(figures, offset_nm=abs(offset_nm), side=side)
    elif not state.headings or abs(difference_deg(state.headings[-1][1], heading_deg)) < ARC_HEADING_DEG:
        return state
    # A heading to be flown now: said whole, whatever is prepared the moment after it.
    out.say(state, report.t_s, kind, Priority.ACTION, "arc", figures)
    return with_heading(state, report.t_s, heading_deg)


def _course(state: State, report: PositionReport, out: Outbox) -> None:
    """
    Off the course.

    Which side, and a heading that cuts back, more the farther off (common practice, no source).
    """
    stage = state.stage
    if stage.course is None or report.radial_deg is None or state.dme_nm is None:
        return
    dme_nm = report.dme_nm
    if dme_nm is None:
        place = state.place(report.observed_t_s)
        dme_nm = state.dme_nm if place is None else place.dme_nm
    point = point_of(state, report.radial_deg, dme_nm, state.altitude_ft(report.observed_t_s))
    deviation_deg = course_deviation_deg(state, point)
    if abs(deviation_deg) < OFF_COURSE_DEG or dme_nm < OVERHEAD_NM:
        return
    cut_deg = 10.0 if abs(deviation_deg) < 3.0 else 20.0 if abs(deviation_deg) < 5.0 else 30.0
    track_deg = normalize_deg(stage.course.course_mag_deg - copysign(cut_deg, deviation_deg))
    try:
        heading = heading_for_track(track_deg, stage.tas_kt, stage.wind_from_mag_deg, stage.wind_kt)
    except NoSolution:
        return
    figures = Figures(
        side="right" if deviation_deg > 0.0 else "left",
        offset_deg=abs(round(deviation_deg)),
        heading_mag_deg=heading.heading_deg,
        course_mag_deg=stage.course.course_mag_deg,
    )
    out.say(state, report.t_s, CalloutKind.COURSE_OFFSET, Priority.ANSWER, "course", figures)


def runway_figures(state: State, t_s: float) -> Figures:
    """
    Where the runway is to be looked for from here.

    Side of the nose and angle, drift and offset included.
    """
    place, timeline = state.place(t_s), state.timeline
    if place is None or timeline is None:
        return Figures()
    threshold = threshold_point(state.plan)
    seen_from = PlanePoint(place.point.east_nm - threshold.east_nm, place.point.north_nm - threshold.north_nm)
    heading_deg = timeline.headings_deg[-1]
    if distance_nm(seen_from, PlanePoint(0.0, 0.0)) < _NEAR_THRESHOLD_NM:
        return Figures()
    # The height says how far down to look, which is not told.
    view = runway_view(seen_from, heading_deg, state.plan.procedure.runway.course_mag_deg, 0.0)
    return Figures(side=view.side, angle_deg=abs(view.angle_deg))


def threshold_point(plan: Plan) -> PlanePoint:
    """
    The threshold in the station's frame.

    By its coordinates, else where its range is read on the final track.
    """
    procedure = plan.procedure
    runway, navaid = procedure.runway, procedure.navaid
    if runway.threshold_latitude_deg is not None and runway.threshold_longitude_deg is not None:
        polar = radial_dme_from_position(
            navaid.latitude_deg,
            navaid.longitude_deg,
            navaid.declination_deg,
            runway.threshold_latitude_deg,
            runway.threshold_longitude_deg,
        )
        return plane_from_polar(polar.radial_deg, polar.ground_nm)
    timeline = plan.stage("final").timeline
    if timeline is None:
        raise ValueError("the final approach of a plan has a timeline")
    return timeline.at(plan.threshold_s).point
