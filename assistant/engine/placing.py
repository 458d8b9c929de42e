"""
Where on its leg a report puts the aircraft.

A radial and a range are a place; a range alone is one where it changes along the leg. In a turn, about the
station, before a turn was called and beside a cut a reading tells less than it seems to: then dead reckoning
goes on, or the reading is taken for what it can only mean.
"""

from math import cos, radians

from assistant.engine.estimate import OVERHEAD_NM, point_of
from assistant.engine.events import PositionReport
from assistant.engine.plan import Phase
from assistant.engine.state import State
from assistant.engine.timeline import Timeline
from assistant.nav.geometry import PlanePoint, along_and_across_nm, difference_deg, distance_nm

# A leg that ends at less than this leads over the station.
_LEADS_OVER_NM = 1.0
# A leg flown so much across its course is a cut to it.
_CUT_DEG, _STEEP_DEG, _LEAST_NM_S = 15.0, 75.0, 30.0 / 3600.0
# Two ranges are longer than the ways over the ground by up to this each: the height over the station.
_OVERHEAD_SLACK_NM = 0.7
# So long after a leg that begins over the station was to begin, the station may still lie ahead.
_LEAVING_S = 30.0
# In a turn a reading is not one from further back than a pilot is late to begin it. Nor, in its first half,
# one from after it, where it fits about as well the place reckoned: the way out and the way back lie side by
# side. Nor one from so far on that it cannot have been flown to since the last report, where a range misread
# by two miles explains it.
_BACK_IN_TURN_S, _AHEAD_IN_TURN_S, _AS_RECKONED_NM, _TWO_MISREAD_NM = 12.0, 25.0, 2.0, 2.5


def progress_from(state: State, report: PositionReport, t_s: float) -> tuple[float, float] | None:
    """
    Where on the stage's timeline a report puts the aircraft, and how far off it, NM; None where it tells
    nothing.

    A range alone says nothing on an arc, a radial alone nothing on a leg along it, and neither in a turn,
    where it may as well be one from long before it: then dead reckoning goes on.
    """
    timeline = state.timeline
    if timeline is None:
        return None
    expected_s = _expected_s(state, timeline, t_s)
    if report.radial_deg is not None and report.dme_nm is not None:
        point = point_of(state, report.radial_deg, report.dme_nm, state.altitude_ft(t_s))
        at = _along_course(state, timeline, point, timeline.progress_at(point, expected_s))
        off_nm = distance_nm(timeline.at(expected_s).point, point)
        return None if _is_not_there(state, timeline, t_s, at[0], off_nm) else at
    found: float | None = None
    if report.dme_nm is not None:
        found = _progress_by_range(state, timeline, report.dme_nm, t_s)
    elif report.radial_deg is not None:
        found = timeline.progress_by_radial(report.radial_deg, expected_s)
    in_turn = expected_s < timeline.turn_end_s
    if found is None or (in_turn and found < expected_s - _BACK_IN_TURN_S):
        return None
    if report.dme_nm is not None:
        off_nm = abs(report.dme_nm - timeline.at(expected_s).dme_nm)
        if _is_not_there(state, timeline, t_s, found, off_nm):
            return None
    return found, 0.0


def _expected_s(state: State, timeline: Timeline, t_s: float) -> float:
    """Where the flight is reckoned to be; where it is established past the turn, whenever that was over."""
    reckoned_s = state.progress_s(t_s)
    return max(reckoned_s, timeline.turn_end_s) if state.established and state.stage.turns else reckoned_s


def _along_course(
    state: State, timeline: Timeline, point: PlanePoint, at: tuple[float, float]
) -> tuple[float, float]:
    """
    The same progress, on a cut to the course counted along the course: there the leg's end lies.

    Beside a cut the nearest place of it is nearer to the end, or farther from it, than the aircraft is.
    """
    progress_s, off_nm = at
    course = state.stage.course
    if course is None or state.stage.arc is not None or progress_s <= timeline.turn_end_s:
        return at
    place = timeline.at(progress_s)
    cut_deg = abs(difference_deg(course.course_mag_deg, place.track_deg))
    if not _CUT_DEG <= cut_deg <= _STEEP_DEG:
        return at
    ahead_nm = along_and_across_nm(point, place.point, course.course_mag_deg).along_nm
    closing_nm_s = place.groundspeed_kt / 3600.0 * cos(radians(cut_deg))
    return progress_s + ahead_nm / max(closing_nm_s, _LEAST_NM_S), off_nm


def _progress_by_range(state: State, timeline: Timeline, dme_nm: float, t_s: float) -> float | None:
    """Where a range alone lies, nearest to the expected; None where it tells no place."""
    expected_s = _expected_s(state, timeline, t_s)
    if state.stage.arc is not None:
        return None
    if _is_about_overhead(state, timeline, dme_nm, expected_s):
        return _before_station(state, timeline, dme_nm, t_s)
    if state.established and (before_s := _before_rolling_out(state, timeline, dme_nm)) is not None:
        return before_s
    found = timeline.progress_by_dme(dme_nm, expected_s)
    if found is not None and found < 0.0 and max(timeline.dmes_nm[-1], dme_nm) < _LEADS_OVER_NM:
        # Over the station, at the leg's end, no range is less than the height there: looked for on a line
        # that runs on, it was found long before the leg began.
        return timeline.duration_s
    return found


def _before_station(state: State, timeline: Timeline, dme_nm: float, t_s: float) -> float | None:
    """
    Where a range lies that is the same before and behind the station, if it can only be before it.

    Since the range read before it no aircraft has flown to the station and as far again.
    """
    before = state.range_before if state.dme_s >= t_s else (state.dme_nm, state.dme_s)
    if before is None or before[0] is None or timeline.dmes_nm[-1] >= _LEADS_OVER_NM:
        return None
    flown_nm = (state.stage.tas_kt + state.stage.wind_kt) * (t_s - before[1]) / 3600.0
    if before[0] + dme_nm <= flown_nm + 2.0 * _OVERHEAD_SLACK_NM:
        return None
    found_s = timeline.progress_by_dme(dme_nm, timeline.duration_s)
    return None if found_s is None else min(found_s, timeline.duration_s)


def _before_rolling_out(state: State, timeline: Timeline, dme_nm: float) -> float | None:
    """
    Where on its course an aircraft is that is established on it farther back than its turn was to end.

    So far before that as the course is run on backwards. None where the range lies on the course as planned,
    or does not run along it.
    """
    if not state.stage.turns or state.stage.course is None:
        return None
    rolled_out, end = timeline.at(timeline.turn_end_s), timeline.at(timeline.duration_s)
    back_nm = dme_nm - rolled_out.dme_nm if end.dme_nm < rolled_out.dme_nm else rolled_out.dme_nm - dme_nm
    straight_nm = abs(end.dme_nm - rolled_out.dme_nm)
    if back_nm <= 0.0 or straight_nm < 0.5 * distance_nm(rolled_out.point, end.point):
        return None
    return timeline.turn_end_s - back_nm / max(rolled_out.groundspeed_kt, 30.0) * 3600.0


def _is_not_there(state: State, timeline: Timeline, t_s: float, found_s: float, off_nm: float) -> bool:
    """
    Whether a reading cannot be from where on the leg it was found.

    It may be the turn itself; or it was read before the turn was called, when nobody had begun it. An arc is
    come to from where the aircraft is: there only what lies far on was not flown.
    """
    if state.stage.turns and t_s < state.entered_s:
        return state.stage.arc is None or found_s > max(state.progress_s(t_s), 0.0) + _BACK_IN_TURN_S
    return state.stage.turns and _is_from_after_turn(state, timeline, t_s, found_s, off_nm)


def _is_from_after_turn(state: State, timeline: Timeline, t_s: float, found_s: float, off_nm: float) -> bool:
    """
    Whether in the first half of a turn a reading was found far on, and cannot be from there.

    It fits the place reckoned as well, or almost, and the time since the last report is too short to have
    flown so far.
    """
    expected_s = _expected_s(state, timeline, t_s)
    if expected_s >= timeline.turn_end_s / 2.0:
        return False
    if found_s <= max(expected_s, 0.0) + _AHEAD_IN_TURN_S:
        return False
    is_too_soon = found_s - expected_s > state.age_s(t_s) + _AHEAD_IN_TURN_S
    return off_nm <= (_TWO_MISREAD_NM if is_too_soon else _AS_RECKONED_NM)


def _is_about_overhead(state: State, timeline: Timeline, dme_nm: float, expected_s: float) -> bool:
    """
    Whether a range alone is the same before and behind the station, at the end of a leg that leads over it.

    A final that leads to the station is left out: there the range is all that matters, and its leg is timed
    by it. One that begins over the station is not, nor any other leg: its first mile reads as the last before
    it.
    """
    begins_over = timeline.dmes_nm[0] < _LEADS_OVER_NM
    if state.stage.phase is Phase.FINAL:
        return begins_over and dme_nm < _LEADS_OVER_NM
    if begins_over and expected_s < _LEAVING_S and dme_nm < OVERHEAD_NM:
        return True
    return (
        timeline.dmes_nm[-1] < _LEADS_OVER_NM
        and dme_nm < OVERHEAD_NM
        and timeline.at(expected_s).dme_nm < OVERHEAD_NM
    )
