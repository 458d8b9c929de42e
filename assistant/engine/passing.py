"""Whether a report shows that a stage's end is passed, and which."""

from assistant.engine.doubting import AFTER_TURN_S
from assistant.engine.due import holds
from assistant.engine.estimate import altitude_reported_ft, point_of
from assistant.engine.events import PositionReport
from assistant.engine.plan import Exit, Phase
from assistant.engine.state import State
from assistant.engine.triggers import AltitudeCrossed, DmeReached, TimeElapsed, Trigger
from assistant.nav.geometry import along_and_across_nm

# A place this near before an exit counts as the exit: reading and speaking take that long.
_EXIT_SLACK_S = 1.0
# So far beyond its end a place is surely past a leg, where the station is far enough for a radial to tell.
_BEYOND_NM, _RADIAL_TELLS_NM = 0.5, 1.0
# A timed leg flown for less than this share of its time is not over.
_CLOCK_SHARE = 0.6


def passed_exit(state: State, report: PositionReport) -> str | None:
    """The stage that follows by the first exit which a report shows to be passed; None where none is."""
    altitude_ft = altitude_reported_ft(state, report)
    place_read = report.dme_nm is not None or report.radial_deg is not None
    for leaving in state.stage.exits:
        if not holds(state, leaving.when):
            continue
        match leaving.trigger:
            case AltitudeCrossed(altitude_ft=level_ft, descending=descending) if altitude_ft is not None:
                if (altitude_ft <= level_ft) if descending else (altitude_ft >= level_ft):
                    return leaving.to
            case _:
                if state.observed_s is None and _is_shown_past(state, leaving, report):
                    return leaving.to
                if leaving.at_s is None or not place_read or state.observed_s is None:
                    continue
                if _is_too_soon(state, leaving.trigger, report.observed_t_s):
                    continue
                if state.progress_s(report.observed_t_s) >= leaving.at_s - _EXIT_SLACK_S * state.rate:
                    return leaving.to
    return None


def _is_too_soon(state: State, trigger: Trigger, t_s: float) -> bool:
    """Whether by the clock a timed leg cannot be over yet, whatever place is read."""
    return isinstance(trigger, TimeElapsed) and t_s < state.entered_s + _CLOCK_SHARE * trigger.time_s


def _is_shown_past(state: State, leaving: Exit, report: PositionReport) -> bool:
    """Whether a report shows even a flight that is lost on a leg past its end."""
    return _reads_past(state, leaving.trigger, report) or _lies_past(state, leaving, report)


def _lies_past(state: State, leaving: Exit, report: PositionReport) -> bool:
    """Whether on final a radial and a range lie beyond the missed approach point, however far beside it."""
    stage, timeline = state.stage, state.timeline
    if stage.phase is not Phase.FINAL or stage.course is None or timeline is None or leaving.at_s is None:
        return False
    if report.radial_deg is None or report.dme_nm is None or report.dme_nm < _RADIAL_TELLS_NM:
        return False
    point = point_of(state, report.radial_deg, report.dme_nm, state.altitude_ft(report.observed_t_s))
    ends = timeline.at(leaving.at_s).point
    return along_and_across_nm(point, ends, stage.course.course_mag_deg).along_nm > _BEYOND_NM


def _reads_past(state: State, trigger: Trigger, report: PositionReport) -> bool:
    """
    Whether the range itself is past what ends the leg: true even of a flight that is lost on it.

    Not before the leg's own turn is flown, in which the range may still run the other way.
    """
    timeline = state.timeline
    if not isinstance(trigger, DmeReached) or report.dme_nm is None or timeline is None:
        return False
    if report.observed_t_s < state.entered_s + timeline.turn_end_s + AFTER_TURN_S:
        return False
    past_nm = trigger.dme_nm - report.dme_nm if trigger.closing else report.dme_nm - trigger.dme_nm
    return past_nm >= 0.0
