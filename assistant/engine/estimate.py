"""
Where the aircraft is, and what may not be gone below there.

Theory. Knowledge of place is progress along the stage's nominal flight, fixed by the last accepted report and
run on by the clock. Its spread grows with age: by a seventh of the time flown, for wind, speed and path that
differ from the plan's, on top of what the report itself may have put the aircraft too far on: a reading, and
where it jumped ahead of the reckoning by more than both can explain, the jump. Whether a report is believed
at all: see `doubting`.
"""

from math import atan2, degrees, hypot, radians

from assistant.engine.events import CalloutKind, Datum, PositionReport
from assistant.engine.plan import Phase, Stage
from assistant.engine.state import State
from assistant.engine.today import Today, altitude_from_indicated_ft, indicated_ft
from assistant.engine.triggers import DmeReached, Trigger
from assistant.nav.geometry import (
    PlanePoint,
    along_and_across_nm,
    distance_nm,
    ground_nm_from_slant,
    plane_from_polar,
)

SPREAD_BASE_S = 2.0
SPREAD_SHARE, ARC_SPREAD_SHARE = 0.15, 0.2
# A reading puts the aircraft at most this far from where it is: a range read to a tenth, a bearing pointer to
# the degree, each with three times the deviation of reading and, of the pointer, the half degree of rounding;
# and the moment of reading.
DME_READ_NM, RADIAL_READ_DEG, MOMENT_S = 0.15, 2.6, 1.0
# A range counts for no worse than so many times its reading; how it runs is judged over so long to each side.
_FLATTEST, _AROUND_S = 3.0, 3.0
# A jump by so much more than is explained is doubted whole.
_MISREAD_NM = 0.35
# So far beside its course an aircraft is as good as on it; farther, it cuts back at 45 degrees, which is
# longer by 1/sin - 1/tan.
_BESIDE_NM, _CUT_SHARE = 0.3, 0.41
# From a callout to the moment the quickest pilot obeys: its fewest words ("Descend three thousand QNH." takes
# 1.5 s), and half a second. The final descent names the fix, the rate and the floor.
OBEYED_AFTER_S, FINAL_DESCENT_OBEYED_S = 2.0, 4.0
# Nearer to the station than this its needle swings, and a radial tells nothing.
OVERHEAD_NM = 2.0
# Established is within half scale, five degrees (ICAO Doc 8168 Vol I), less what a pointer is misread by:
# three deviations of reading and the half degree of rounding.
ESTABLISHED_DEG = 2.4
# The turn on to a course is as good as over this long before its end: twenty degrees are left of it.
ROLLING_OUT_S = 8.0
# A reading below a floor by less than this is rounding, not a pilot's error: half the least that is read
# off, or where the floor is no printed number on the pilot's datum, most of the 20 ft between an
# altimeter's marks.
FLOOR_SLACK_FT = 5.0
CONVERTED_SLACK_FT = 15.0


def spread_s(state: State, t_s: float) -> float:
    """How far, in seconds of flight, the place may be behind dead reckoning."""
    return state.ahead_s + pace_share(state) * min(state.age_s(t_s), 600.0)


def obeyed_after_s(kind: CalloutKind) -> float:
    """How long after it began a callout of a descent is obeyed, at the earliest."""
    return FINAL_DESCENT_OBEYED_S if kind is CalloutKind.FINAL_DESCENT else OBEYED_AFTER_S


def ahead_s(state: State, report: PositionReport, progress_s: float, *, was_held_back: bool = False) -> float:
    """
    How far a report may put the aircraft too far on, in seconds of flight.

    Its reading, and what it jumped ahead of dead reckoning by more than that and the spread: a digit misread
    by a mile still lies on the leg. `was_held_back`: the report before was, so a part of the jump was made
    then, and two may be misread alike. Nothing where the pilot named the fix that was passed, or a feed
    reports.
    """
    if state.timeline is None or report.fix is not None or report.groundspeed_kt is not None:
        return 0.0
    speed_nm_s = _speed_nm_s(state.stage, progress_s)
    reading_s = _reading_s(state.stage, speed_nm_s)
    if state.stage.arc is None and report.dme_nm is not None:
        flat = _flat(state, report, progress_s)
        reading_s += DME_READ_NM / speed_nm_s * (min(max(flat, 1.0), _FLATTEST) - 1.0)
    if state.observed_s is None or state.lost:
        return reading_s
    if state.observed_s >= report.observed_t_s:
        return max(reading_s, state.ahead_s)  # the same report, on the stage that it brought
    jumped_s = progress_s - state.progress_s(report.observed_t_s)
    more_s = jumped_s - pace_share(state) * state.age_s(report.observed_t_s) - reading_s
    # So much more that a digit was misread, most likely: then all of the jump may be wrong.
    moved_s = state.ahead_s if was_held_back and more_s > 0.0 else 0.0
    return moved_s + (jumped_s if more_s * speed_nm_s >= _MISREAD_NM else reading_s + max(more_s, 0.0))


def beside_s(state: State, progress_s: float, off_nm: float) -> float:
    """
    How much later than reckoned an aircraft beside its course comes to the end, by a cut back to it, s.

    At 45 degrees the way to the course is longer than the course beside it by 0.41 of the distance off.
    """
    timeline = state.timeline
    if timeline is None or state.stage.course is None or progress_s < timeline.turn_end_s:
        return 0.0
    beyond_nm = max(off_nm - _BESIDE_NM, 0.0)
    return _CUT_SHARE * beyond_nm / _speed_nm_s(state.stage, progress_s)


def ahead_carried_s(state: State, t_s: float, stage: Stage, progress_s: float) -> float:
    """
    How far the last report may have put the aircraft too far on, in seconds of the leg come to.

    A jump is a distance: the slower the leg, the longer it takes. A reading alone is left as it was; its
    tenth of a mile is a second at most.
    """
    if state.timeline is None or stage.timeline is None:
        return state.ahead_s
    speed_nm_s = _speed_nm_s(state.stage, state.progress_s(t_s))
    more_s = max(state.ahead_s - _reading_s(state.stage, speed_nm_s), 0.0)
    return state.ahead_s + more_s * (speed_nm_s / _speed_nm_s(stage, progress_s) - 1.0)


def _reading_s(stage: Stage, speed_nm_s: float) -> float:
    read_nm = DME_READ_NM if stage.arc is None else radians(RADIAL_READ_DEG) * stage.arc.arc_dme_nm
    return read_nm / speed_nm_s + MOMENT_S


def _flat(state: State, report: PositionReport, progress_s: float) -> float:
    """
    How much farther the aircraft flies than the range changes, where it was read.

    Overhead the station the range is mostly the height. One without a radial is no better in a turn, or on a
    cut.
    """
    timeline, dme_nm = state.timeline, report.dme_nm
    if timeline is None or dme_nm is None:
        return 1.0
    if report.radial_deg is not None:
        on_ground = point_of(state, 0.0, dme_nm, state.altitude_ft(report.observed_t_s))
        return dme_nm / max(on_ground.north_nm, 1e-6)
    before, after = timeline.at(progress_s - _AROUND_S), timeline.at(progress_s + _AROUND_S)
    return distance_nm(before.point, after.point) / max(abs(after.dme_nm - before.dme_nm), 1e-6)


def _speed_nm_s(stage: Stage, progress_s: float) -> float:
    if stage.timeline is None:
        return 30.0 / 3600.0
    flown_kt, most_kt = stage.timeline.groundspeed_kt(progress_s), stage.tas_kt + stage.wind_kt
    # On paper a cut that does not reach the course leaps on to it, faster than any turn is flown.
    return max(flown_kt if flown_kt < 1.5 * most_kt else most_kt, 30.0) / 3600.0


def pace_share(state: State) -> float:
    """On an arc the pace comes from two radials in whole degrees, and is twice as uncertain."""
    return SPREAD_SHARE if state.stage.arc is None else ARC_SPREAD_SHARE


def surely_passed_s(state: State, progress_s: float, *, obeyed_after_s: float = 0.0) -> float:
    """
    When a place on the timeline is surely passed: where dead reckoning less its spread has come to it.

    The moment that solves progress - spread = place; `obeyed_after_s` earlier for words that nobody obeys
    before that; not before the place by dead reckoning; never while no place is known.
    """
    nominal_s = state.time_of(progress_s)
    if state.observed_s is None:
        return float("inf")
    share = pace_share(state)
    spread_then_s = state.ahead_s + share * max(nominal_s - state.observed_s, 0.0)
    return nominal_s + max(spread_then_s / (state.rate - share) - obeyed_after_s, 0.0)


def soonest_s(state: State, trigger: Trigger, at_s: float) -> float:
    """
    The soonest that a range can be reached from the last one read, at the speed planned for there.

    On a leg flown across its course dead reckoning may be nearer to the end than any aircraft could be.
    """
    timeline = state.timeline
    if not isinstance(trigger, DmeReached) or state.dme_nm is None or timeline is None:
        return float("-inf")
    to_go_nm = abs(state.dme_nm - trigger.dme_nm) - DME_READ_NM
    speed_nm_s = max(timeline.groundspeed_kt(at_s) * max(state.rate, 1.0), 30.0) / 3600.0
    return state.dme_s + max(to_go_nm, 0.0) / speed_nm_s


def floor_ft(state: State, t_s: float, *, progress_s: float | None = None) -> float | None:
    """
    The altitude not to be gone below at a time, ft above mean sea level; None where none is known to apply.

    `progress_s` is where a report puts the aircraft; without it dead reckoning is taken late by its spread,
    so that a floor is never let go before the aircraft has surely passed what ends it.
    """
    stage = state.stage
    if stage.phase is Phase.ARRIVAL:
        return sector_floor_ft(state)
    if stage.phase in (Phase.MISSED, Phase.LANDING):
        return None
    here_s = progress_s if progress_s is not None else state.progress_s(t_s) - spread_s(state, t_s)
    # A thousandth of a second is rounding of the sums, not a place before the step-down.
    floor = next((floor.altitude_ft for floor in stage.floors if floor.until_s > here_s + 1e-3), 0.0)
    if not state.established:
        floor = max(floor, stage.floor_until_established_ft or 0.0, state.floor_carried_ft)
    if state.predicted and state.confirmed is not None and here_s < -1e-3:
        floor = max(floor, _last_floor_ft(state.confirmed.stage))
    return floor if floor > 0.0 else None


def _last_floor_ft(stage: Stage) -> float:
    return stage.floors[-1].altitude_ft if stage.floors else 0.0


def sector_floor_ft(state: State) -> float | None:
    """The minimum safe altitude of the sector; of all sectors the highest while the radial is not known."""
    sectors = state.plan.procedure.sectors
    if not sectors:
        return None
    if state.radial_deg is not None:
        radial_deg = state.radial_deg
        inside = [sector for sector in sectors if sector.contains(radial_deg)]
        sectors = tuple(inside) or sectors
    today = Today(procedure=state.plan.procedure, conditions=state.plan.conditions)
    return today.in_cold_ft(max(sector.minimum_altitude_ft for sector in sectors))


def point_of(state: State, radial_deg: float, dme_nm: float, altitude_ft: float | None) -> PlanePoint:
    """The place of a radial and a range read at an altitude (the stage's own while none was read)."""
    height_ft = altitude_ft if altitude_ft is not None else state.stage.target_ft or 0.0
    above_ft = max(height_ft - state.plan.procedure.navaid.elevation_ft, 0.0)
    return plane_from_polar(radial_deg, ground_nm_from_slant(dme_nm, above_ft))


def altitude_reported_ft(state: State, report: PositionReport) -> float | None:
    """The altitude on QNH that a report's reading means, on the datum named or the altimeter's."""
    if report.indicated_ft is None:
        return None
    datum = report.datum if report.datum is not None else state.datum
    return altitude_from_indicated_ft(
        report.indicated_ft, datum, procedure=state.plan.procedure, qnh_hpa=state.plan.conditions.qnh_hpa
    )


def shown_ft(state: State, altitude_ft: float, datum: Datum | None = None) -> float:
    """What the pilot's altimeter shows at an altitude."""
    return indicated_ft(
        altitude_ft,
        datum if datum is not None else state.datum,
        procedure=state.plan.procedure,
        qnh_hpa=state.plan.conditions.qnh_hpa,
    )


def is_on_course(state: State, point: PlanePoint, progress_s: float) -> bool:
    """Whether a place shown by a report lies on the stage's course or arc, the turn on to it being over."""
    stage, timeline = state.stage, state.timeline
    before_s = 1.0 if stage.arc is not None else ROLLING_OUT_S
    if timeline is None or progress_s < timeline.turn_end_s - before_s:
        return False
    if stage.arc is not None:
        off_nm = abs(hypot(point.east_nm, point.north_nm) - stage.arc.arc_dme_nm)
        return off_nm <= 0.5
    return stage.course is not None and abs(course_deviation_deg(state, point)) <= ESTABLISHED_DEG


def course_deviation_deg(state: State, point: PlanePoint) -> float:
    """
    How far a place is off the stage's course as the needle shows it from the station, right of course
    positive.
    """
    course = state.stage.course
    if course is None:
        return 0.0
    across_nm = along_and_across_nm(point, course.anchor, course.course_mag_deg).across_nm
    range_nm = max(hypot(point.east_nm, point.north_nm), 1.0)
    return degrees(atan2(across_nm, range_nm))
