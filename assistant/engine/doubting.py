"""
Whether a report can be true.

It is believed if it lies within reach of what is known: the spread of dead reckoning, plus what the set and a
pilot's path may be off. What does not is challenged and changes nothing; the same thing said twice is
believed: then it is the reckoning that is wrong.

Left out: a report's confidence (typed reports have 1), and a pilot who reads the wrong station.
"""

from assistant.engine.estimate import OVERHEAD_NM, altitude_reported_ft
from assistant.engine.events import Datum, PositionReport
from assistant.engine.plan import Phase
from assistant.engine.state import State
from assistant.engine.today import altitude_from_indicated_ft
from assistant.nav.geometry import difference_deg
from assistant.procedure.model import Category

# Off the nominal path by this much is still the same leg: reading to half a mile, half scale, a wide turn.
PLACE_SLACK_NM = 1.0
AFTER_TURN_S = 60.0
MISSED_SLACK_NM = 4.0
# A range that changed the wrong way by more than this was not misread by a tenth.
WRONG_WAY_NM = 0.35
# Share of the distance flown since the last report by which a report may differ from dead reckoning.
DRIFT_SHARE = 0.35
# The most that an altitude changes: jets lose height fast on a penetration, light aircraft do not.
LIGHT_FPM, FAST_FPM = 2500.0, 6500.0
ALTITUDE_SLACK_FT = 250.0


def doubtful_item(state: State, report: PositionReport, t_s: float) -> str | None:
    """What in a report cannot be true, as the pilot will be asked for it; None when all of it may be."""
    return doubtful_place(state, report, t_s) or _doubtful_altitude(state, report, t_s)


def doubtful_place(state: State, report: PositionReport, t_s: float) -> str | None:
    """Which of range and radial cannot be true; None when both may be."""
    place = state.place(t_s)
    if state.observed_s is None or place is None:
        return None
    age_s = state.age_s(t_s)
    slack_nm = PLACE_SLACK_NM + DRIFT_SHARE * place.groundspeed_kt / 3600.0 * min(age_s, 900.0)
    if state.stage.phase is Phase.MISSED:
        # Turns at an altitude begin wherever that altitude is reached.
        slack_nm += MISSED_SLACK_NM
    elif state.stage.phase is Phase.FINAL:
        # On final the range only closes (or only opens) and the leg is short: half the slack finds a slip
        # of a mile.
        slack_nm -= 0.4 * PLACE_SLACK_NM
    elif state.stage.turns and _is_about_the_turn(state, t_s):
        # A turn begins when the pilot begins it, from the heading that the pilot had.
        slack_nm += PLACE_SLACK_NM
    if report.dme_nm is not None and abs(report.dme_nm - place.dme_nm) > slack_nm:
        return "range"
    if report.dme_nm is not None and is_going_wrong(state, report.dme_nm, t_s):
        return "range"
    if report.radial_deg is not None and min(place.dme_nm, report.dme_nm or place.dme_nm) > OVERHEAD_NM:
        across_nm = abs(difference_deg(place.radial_deg, report.radial_deg)) * place.dme_nm / 57.3
        # One radial is narrow close in: ten degrees are always believed.
        if across_nm > slack_nm and abs(difference_deg(place.radial_deg, report.radial_deg)) > 10.0:
            return "radial"
    return None


def _is_about_the_turn(state: State, t_s: float) -> bool:
    """Whether the stage's first turn is being flown, or was over less than a minute ago."""
    timeline = state.timeline
    return timeline is not None and state.progress_s(t_s) < timeline.turn_end_s + AFTER_TURN_S


def is_going_wrong(state: State, dme_nm: float, t_s: float) -> bool:
    """
    Whether the range opens where it should close, or closes where it should open, since the last one read.

    Judged on straight legs after the turn, with both readings on the leg.
    """
    stage, timeline = state.stage, state.timeline
    if timeline is None or state.dme_nm is None or stage.course is None or stage.phase is Phase.ARRIVAL:
        return False
    before_s = state.progress_s(state.dme_s)
    if before_s < timeline.turn_end_s or state.dme_s < state.entered_s:
        return False
    expected_nm = timeline.at(state.progress_s(t_s)).dme_nm - timeline.at(before_s).dme_nm
    moved_nm = dme_nm - state.dme_nm
    return abs(moved_nm) > WRONG_WAY_NM and abs(expected_nm) > WRONG_WAY_NM and moved_nm * expected_nm < 0.0


def _doubtful_altitude(state: State, report: PositionReport, t_s: float) -> str | None:
    altitude_ft = altitude_reported_ft(state, report)
    known = state.altitude
    if altitude_ft is None or known is None:
        return None
    light = state.plan.conditions.category in (Category.A, Category.B)
    reach_ft = ALTITUDE_SLACK_FT + (LIGHT_FPM if light else FAST_FPM) / 60.0 * max(t_s - known.read_s, 0.0)
    return "altitude" if abs(altitude_ft - known.altitude_ft) > reach_ft else None


def other_setting(state: State, report: PositionReport, t_s: float) -> Datum | None:
    """
    The altimeter setting on which a reading would fit the altitude expected, where on the one in use it does
    not.

    Asked only where the two differ by 150 ft and more: less is a pilot's wandering, not a wrong setting.
    """
    expected_ft = state.altitude_ft(t_s)
    if report.indicated_ft is None or report.datum is not None or expected_ft is None:
        return None
    level = state.altitude is not None and state.altitude.descent_fpm == 0.0
    if state.stage.phase is Phase.ARRIVAL or not (level or state.stage.phase is Phase.FINAL):
        # What a descent of the pilot's own choosing should read, nobody knows.
        return None
    own_ft = altitude_reported_ft(state, report)
    if own_ft is None or abs(own_ft - expected_ft) < 150.0:
        return None
    for datum in Datum:
        if datum is state.datum:
            continue
        other_ft = altitude_from_indicated_ft(
            report.indicated_ft, datum, procedure=state.plan.procedure, qnh_hpa=state.plan.conditions.qnh_hpa
        )
        if abs(other_ft - expected_ft) <= 60.0 and abs(other_ft - own_ft) >= 150.0:
            return datum
    return None
