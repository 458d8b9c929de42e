"""
Where a pilot will be who is coming on to a course, and when the turn off it on to an arc must begin.

Theory. The plan has the aircraft on the course from the end of the turn. After a short way back to a hold's
fix the pilot still cuts to the needle when the arc is there: nearer or farther than planned, on another
heading, with more or less to turn. So from the last radial and range read the flight is carried on: the
heading called is flown until the needle comes in, then the needle, cut to by thirty degrees at most. The
turn begins where it ends on the arc: the planned lead, less what the turn from this heading is shorter, the
radius times the sine of the angle by which it already points the arc's way.

Left out: turns off the needle's middle by less than its width, and a wind that differs from the plan's.
"""

from collections.abc import Iterator
from math import cos, hypot, radians, sin
from typing import NamedTuple

from assistant.engine.plan import CourseFacts, Exit
from assistant.engine.state import Joining, State
from assistant.engine.timeline import Timeline
from assistant.engine.triggers import DmeReached
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import (
    PlanePoint,
    along_and_across_nm,
    bearing_deg,
    difference_deg,
    move,
    normalize_deg,
    slant_nm_from_ground,
)
from assistant.nav.turns import bank_in_use_deg, turn_radius_nm, turn_rate_deg_s
from assistant.nav.wind import heading_for_track, track_for_heading
from assistant.procedure.model import Turn

_STATION = PlanePoint(0.0, 0.0)
_STEP_S = 2.0
# A pilot rolls out of a cut sooner than foreseen, more often than later: so much of it is counted on.
_CUT_SHARE = 0.7
# A radial and range older than this, or read so long before the turn on to the course is over, tell nothing.
_SEEN_WITHIN_S, _NEARLY_S = 75.0, 10.0
_LONGEST_S = 100.0
# Thirty degrees of cut half a mile off and more (common practice), and less the nearer the needle is.
_CUT_DEG, _CUT_DEG_PER_NM, _COMES_IN_NM = 30.0, 70.0, 0.15
# A heading called this far off the course is a cut, flown until the needle comes in.
_IS_CUT_DEG = 25.0


class _Ahead(NamedTuple):
    t_s: float
    point: PlanePoint
    track_deg: float


def turn_begins_s(state: State, leaving: Exit) -> float | None:
    """When the turn on to an arc must begin; None where the pilot was not seen on this leg."""
    trigger, following = leaving.trigger, state.plan.stage(leaving.to)
    course, arc, turn = state.stage.course, following.arc, following.cues[0].figures.turn
    if arc is None or course is None or turn is None or not isinstance(trigger, DmeReached):
        return None
    sign = 1.0 if trigger.closing else -1.0
    planned_nm = sign * (trigger.dme_nm - arc.arc_dme_nm)
    tas_kt = state.stage.tas_kt
    radius_nm = turn_radius_nm(tas_kt, bank_in_use_deg(tas_kt, state.plan.conditions.bank_deg))
    for ahead in _ahead(state, course):
        toward_deg = difference_deg(course.course_mag_deg, ahead.track_deg)
        toward_deg = toward_deg if turn is Turn.RIGHT else -toward_deg
        lead_nm = planned_nm - _CUT_SHARE * radius_nm * sin(radians(toward_deg))
        if sign * (_range_nm(state, ahead.point) - arc.arc_dme_nm) <= lead_nm:
            return ahead.t_s
    return None


def foreseen(state: State, t_s: float) -> Joining | None:
    """Where, and on which heading, the pilot will be at a moment; None where not seen on this leg."""
    course = state.stage.course
    if course is None:
        return None
    found: _Ahead | None = None
    for ahead in _ahead(state, course):
        found = ahead
        if ahead.t_s >= t_s:
            break
    if found is None:
        return None
    return Joining(found.point, _heading(state, found.track_deg)[0])


def _ahead(state: State, course: CourseFacts) -> Iterator[_Ahead]:
    """The flight on, in steps, from the last radial and range read; nothing where that is too long ago."""
    stage, timeline = state.stage, state.timeline
    if timeline is None or not stage.turns:
        return
    t_s, point = _begun_from(state, timeline)
    if state.reached_s - t_s > _SEEN_WITHIN_S:
        return
    bank_deg = bank_in_use_deg(stage.tas_kt, state.plan.conditions.bank_deg)
    turns_deg = turn_rate_deg_s(stage.tas_kt, bank_deg) * _STEP_S
    radius_nm = turn_radius_nm(stage.tas_kt, bank_deg)
    course_deg = course.course_mag_deg
    called_deg = next((cue.figures.heading_mag_deg for cue in stage.cues if cue.name == "turn"), None)
    track_deg = course_deg
    if called_deg is not None:
        track_deg = track_for_heading(
            called_deg, stage.tas_kt, stage.wind_from_mag_deg, stage.wind_kt
        ).track_deg
    cut_deg = difference_deg(course_deg, track_deg)
    cutting = abs(cut_deg) > _IS_CUT_DEG
    if not cutting:
        track_deg = course_deg
    comes_in_nm = radius_nm * (1.0 - cos(radians(cut_deg))) + _COMES_IN_NM
    until_s = t_s + _LONGEST_S
    is_range_used = state.dme_s <= t_s
    while t_s < until_s:
        yield _Ahead(t_s, point, track_deg)
        across_nm = along_and_across_nm(point, course.anchor, course_deg).across_nm
        # To the left of the course a cut to the right comes in, and the other way round.
        cutting = cutting and -across_nm * cut_deg > 0.0 and abs(across_nm) > comes_in_nm
        if not cutting:
            wanted_deg = course_deg - max(-_CUT_DEG, min(_CUT_DEG, _CUT_DEG_PER_NM * across_nm))
            change_deg = difference_deg(track_deg, wanted_deg)
            track_deg = normalize_deg(track_deg + max(-turns_deg, min(turns_deg, change_deg)))
        point = move(point, track_deg, _heading(state, track_deg)[1] * _STEP_S / 3600.0)
        t_s += _STEP_S
        if not is_range_used and t_s >= state.dme_s and state.dme_nm is not None:
            # A range read since then puts the place right along the course.
            is_range_used = True
            here = move(point, track_deg, _heading(state, track_deg)[1] * (state.dme_s - t_s) / 3600.0)
            closing = cos(radians(difference_deg(course_deg, bearing_deg(here, _STATION))))
            if abs(closing) > 0.5:
                point = move(point, course_deg, (_range_nm(state, here) - state.dme_nm) / closing)


def _begun_from(state: State, timeline: Timeline) -> tuple[float, PlanePoint]:
    """Where the pilot was last seen since the turn on to the course, else where that is planned to end."""
    over_s = state.entered_s + timeline.turn_end_s
    if state.seen is not None and state.seen[0] >= over_s - _NEARLY_S:
        return state.seen
    return state.time_of(timeline.turn_end_s), timeline.at(timeline.turn_end_s).point


def _heading(state: State, track_deg: float) -> tuple[float, float]:
    """Heading and ground speed of a track; in a wind that lets none be made good, as in still air."""
    stage = state.stage
    try:
        flown = heading_for_track(track_deg, stage.tas_kt, stage.wind_from_mag_deg, stage.wind_kt)
    except NoSolution:
        return track_deg, stage.tas_kt
    return flown.heading_deg, flown.groundspeed_kt


def _range_nm(state: State, point: PlanePoint) -> float:
    """The range read at a place, at the altitude of the leg."""
    above_ft = (state.stage.target_ft or 0.0) - state.plan.procedure.navaid.elevation_ft
    return slant_nm_from_ground(hypot(*point), max(above_ft, 0.0))
