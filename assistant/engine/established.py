"""Whether a report shows the aircraft established: on its leg's course or arc, the right way along it."""

from assistant.engine.doubting import DRIFT_SHARE
from assistant.engine.estimate import ROLLING_OUT_S, is_on_course, point_of
from assistant.engine.events import PositionReport
from assistant.engine.state import State
from assistant.nav.geometry import PlanePoint, bearing_deg, difference_deg, distance_nm

# To count as being on the leg: so long after the last fix, and so near to dead reckoning.
_TELLS_AFTER_S, _TELLS_WITHIN_S = 5.0, 20.0
_SAME_WAY_DEG = 30.0
# A course closed more steeply than this is not one that a pilot is established on.
_CLOSING_DEG = 60.0
# The way between two places no older than this tells how a course was come to; a cut is 30 degrees, or 45.
_SEEN_WITHIN_S, _MOVED_NM, _CROSSING_DEG = 60.0, 0.5, 35.0


def shows_established(state: State, report: PositionReport, progress_s: float) -> bool:
    """Whether a report shows the aircraft on the stage's course or arc, flown the right way along it."""
    point = place_reported(state, report)
    return (
        point is not None
        and report.radial_deg is not None
        and not _is_still_turning(state, report)
        and not _is_crossing(state, report, point)
        and _is_as_flown(state, report, progress_s)
        and is_on_course(state, point, progress_s)
    )


def _is_still_turning(state: State, report: PositionReport) -> bool:
    """
    Whether by the clock the turn on to the course cannot be nearly over, wherever wind has carried it.

    On a turn flown wide the needle comes in while the course is still crossed steeply. The turn is counted
    from its call: who turned before the call says "established", or is early only by the words.
    """
    timeline, heading_mag_deg = state.timeline, report.heading_mag_deg
    if timeline is None or state.stage.arc is not None or not state.stage.turns:
        return False
    if heading_mag_deg is not None:
        return abs(difference_deg(heading_mag_deg, timeline.headings_deg[-1])) > _CLOSING_DEG
    return report.observed_t_s < state.entered_s + timeline.turn_end_s - ROLLING_OUT_S


def _is_crossing(state: State, report: PositionReport, point: PlanePoint) -> bool:
    """
    Whether the way from the place seen before crosses the course: then its needle is swept, and not held.

    Both places past the turn on to it, in which the way lies anyhow.
    """
    timeline, course = state.timeline, state.stage.course
    if state.point is None or timeline is None or course is None:
        return False
    is_recent = 0.0 < report.observed_t_s - state.point_s <= _SEEN_WITHIN_S
    if not is_recent or state.progress_s(state.point_s) < timeline.turn_end_s - ROLLING_OUT_S:
        return False
    if distance_nm(state.point, point) < _MOVED_NM:
        return False
    return abs(difference_deg(course.course_mag_deg, bearing_deg(state.point, point))) > _CROSSING_DEG


def _is_as_flown(state: State, report: PositionReport, progress_s: float) -> bool:
    """
    Whether a place fits the leg as flown since the last fix on it: the right way along, and about as far.

    One place alone cannot tell a pilot on the course from one who crosses it, or flies it the other way.
    """
    t_s, heading_mag_deg = report.observed_t_s, report.heading_mag_deg
    gone_s = t_s - state.anchor_s
    if abs(progress_s - state.progress_s(t_s)) > _TELLS_WITHIN_S + DRIFT_SHARE * gone_s:
        return False
    if gone_s >= _TELLS_AFTER_S:
        return True
    # A feed's samples follow too closely to tell by distance, but they say which way the aircraft goes.
    if heading_mag_deg is None or state.timeline is None:
        return False
    return abs(difference_deg(heading_mag_deg, state.timeline.at(progress_s).track_deg)) <= _SAME_WAY_DEG


def place_reported(state: State, report: PositionReport) -> PlanePoint | None:
    """The place of a report: both coordinates, or one of them with the other by dead reckoning."""
    place = state.place(report.observed_t_s)
    dme_nm = report.dme_nm if report.dme_nm is not None else None if place is None else place.dme_nm
    radial_deg = (
        report.radial_deg if report.radial_deg is not None else None if place is None else place.radial_deg
    )
    if dme_nm is None or radial_deg is None:
        return None
    return point_of(state, radial_deg, dme_nm, state.altitude_ft(report.observed_t_s))
