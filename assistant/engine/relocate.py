"""
Finding the flight again.

The way to the first fix, a stage entered too early, a place the pilot insists on.
"""

from dataclasses import replace

from assistant.engine.cues import turned_from, with_rhythm
from assistant.engine.doubting import DRIFT_SHARE, is_going_wrong
from assistant.engine.due import call_before_s
from assistant.engine.entering import entry_name, is_led
from assistant.engine.estimate import OVERHEAD_NM, altitude_reported_ft, point_of
from assistant.engine.events import CalloutKind, PositionReport, Priority, StageEntered
from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.outbox import Outbox
from assistant.engine.plan import HOLD_ENTRY, Exit, Phase, Stage, When
from assistant.engine.state import State
from assistant.engine.timeline import Timeline
from assistant.engine.triggers import DmeReached, TimeElapsed
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import PlanePoint, bearing_deg, difference_deg, distance_nm
from assistant.nav.wind import heading_for_track

# After a call that dead reckoning brought too early, a pilot has begun to obey: no going back later than
# this.
TAKE_BACK_WITHIN_S = 12.0
# And only for a report that lies this far before the event: less is within what sets and reckoning are off.
TAKE_BACK_BEFORE_S = 6.0
# Two places nearer than this tell no direction.
_MOVED_NM = 0.5
# Nor does a range that changed by less than this, or was read longer ago.
_RAN_NM, _TELLS_WAY_S = 0.15, 60.0
# A place this near a stage's nominal path may belong to it.
_ON_PATH_NM = 1.0
_LOST_S = 15.0
# The stage in hand is kept for a place farther off than another stage would be taken up for.
_NEAR_PATH_NM = 2.5
# A hold's turns are flown wide, at altitude by miles.
_NEAR_HOLD_NM = 4.0
# Who is this much higher than the final fix is not on final; nor, with room for a descent called late, than
# an earlier leg is flown.
_TOO_HIGH_FT, _FAR_TOO_HIGH_FT = 1500.0, 5000.0
_NEAR_END_S = 30.0
# So long straight on past a turn that was not called.
_STRAIGHT_ON_S = 60.0
# A turn is flown no faster than this, by one who began it before its call.
_FASTER = 1.5
# A turn begun late, or flown wide, puts a pilot this much behind the nominal flight of the same leg.
_OTHER_PACE_S = 60.0
# An arrival is a straight line: few samples do.
_ARRIVAL_SAMPLE_S = 15.0


def arrival_stage(state: State, point: PlanePoint) -> Stage:
    """The arrival as a straight flight from a place to the first fix, at its speed in today's wind."""
    plan = state.plan
    stage = plan.stage(plan.first)
    figures = stage.event_figures
    fix = PlanePoint(0.0, 0.0)
    if figures.radial_deg is not None and figures.dme_nm is not None:
        fix = point_of(state, figures.radial_deg, figures.dme_nm, stage.target_ft)
    track_deg = bearing_deg(point, fix) if distance_nm(point, fix) > 0.05 else 0.0
    try:
        heading_for_track(track_deg, stage.tas_kt, stage.wind_from_mag_deg, stage.wind_kt)
        wind_kt = stage.wind_kt
    except NoSolution:
        # No way into this wind: time the leg in still air; the plan's own legs have raised this before.
        wind_kt = 0.0
    flight = NominalFlight(
        point=point,
        heading_deg=track_deg,
        wind_from_deg=stage.wind_from_mag_deg,
        wind_kt=wind_kt,
        height_ft=(stage.target_ft or 0.0) - plan.procedure.navaid.elevation_ft,
        sample_s=_ARRIVAL_SAMPLE_S,
    )
    flight.follow_course(fix, track_deg, stage.tas_kt)
    timeline = flight.timeline()
    trigger = DmeReached(dme_nm=timeline.dmes_nm[-1], closing=timeline.dmes_nm[-1] < timeline.dmes_nm[0])
    exits: tuple[Exit, ...] = (Exit(trigger=trigger, at_s=timeline.duration_s, to=plan.after_hold),)
    heading_deg = state.heading_mag_deg if state.heading_mag_deg is not None else track_deg
    if plan.procedure.hold is not None:
        exits = (
            Exit(trigger=trigger, at_s=timeline.duration_s, to=HOLD_ENTRY, when=When.STAYING),
            Exit(trigger=trigger, at_s=timeline.duration_s, to=plan.after_hold, when=When.LEAVING),
        )
    known = {name: plan.stage(name) for name in plan.index}
    first = known[plan.after_hold]
    if first.free_turn and first.cues:
        turned = replace(first.cues[0], figures=turned_from(first.cues[0].figures, heading_deg))
        known[plan.after_hold] = replace(first, cues=(turned, *first.cues[1:]))
    entries = {
        name: plan.stage(entry_name(racetrack, heading_deg)) for name, racetrack in plan.racetracks.items()
    }
    return with_rhythm(replace(stage, timeline=timeline, exits=exits), {**known, **entries})


def take_back(state: State, report: PositionReport, out: Outbox) -> State:
    """
    Undo a stage that dead reckoning entered too early, when a report shows the aircraft clearly before its
    event.

    On final the floor is at stake, so there it is undone however long ago; elsewhere only at once, since a
    pilot who was told to turn is turning.
    """
    before = state.confirmed
    if not state.predicted or before is None or (report.dme_nm is None and report.radial_deg is None):
        return state
    timeline = before.timeline
    leaving = next((leaving for leaving in before.stage.exits if _leads_to(state, leaving)), None)
    if (
        timeline is None
        or leaving is None
        or leaving.at_s is None
        or isinstance(leaving.trigger, TimeElapsed)
    ):
        # A timed leg ends by the clock, wherever it has led.
        return state
    late = report.observed_t_s - state.entered_s > TAKE_BACK_WITHIN_S
    if late and state.stage.phase is not Phase.FINAL:
        return state
    found = _progress_on(before, timeline, report)
    if report.radial_deg is None and timeline.at(leaving.at_s).dme_nm < OVERHEAD_NM:
        # About the station a range alone is the same before and behind it.
        return state
    called_s = leaving.at_s - call_before_s(before, leaving)
    if found is None or found > called_s - TAKE_BACK_BEFORE_S:
        return state
    if found < called_s - TAKE_BACK_BEFORE_S - DRIFT_SHARE * before.age_s(report.observed_t_s) - _LOST_S:
        # So far back that dead reckoning cannot have been that wrong: the reading means another place.
        return state
    out.add(StageEntered(t_s=report.t_s, stage=before.stage_name))
    figures = replace(before.stage.event_figures, event=before.stage.event)
    if state.stage.phase is Phase.FINAL:
        figures = replace(figures, altitude_ft=before.target_ft)
    out.say(before, report.t_s, CalloutKind.NOT_YET, Priority.ACTION, "not yet", figures)
    # What was prepared already is not prepared again: the event itself is near.
    prepared = frozenset(cue.name for cue in before.stage.cues if cue.kind is CalloutKind.PREPARE)
    counted = before.circuits_left is not None and state.circuits_left == before.circuits_left - 1
    return state.but(
        stage_name=before.stage_name,
        since_s=report.t_s,
        entered_s=before.entered_s,
        predicted=False,
        confirmed=None,
        anchor_s=before.anchor_s,
        anchor_progress_s=before.anchor_progress_s,
        rate=before.rate,
        target_ft=before.target_ft,
        established=before.established,
        floor_carried_ft=before.floor_carried_ft,
        circuits_left=before.circuits_left if counted else state.circuits_left,
        fired=before.fired | prepared,
    )


def _leads_to(state: State, leaving: Exit) -> bool:
    """Whether the stage in hand was come to by an exit: by itself, or as one of the ways into a racetrack."""
    racetrack = state.plan.racetracks.get(leaving.to)
    entries = () if racetrack is None else tuple(name for _, name in racetrack.entries)
    return state.stage_name in (leaving.to, *entries)


def _progress_on(state: State, timeline: Timeline, report: PositionReport) -> float | None:
    expected_s = state.progress_s(report.observed_t_s)
    if report.radial_deg is not None and report.dme_nm is not None:
        point = point_of(state, report.radial_deg, report.dme_nm, state.altitude_ft(report.observed_t_s))
        progress_s, off_nm = timeline.progress_at(point, expected_s)
        return progress_s if off_nm <= _ON_PATH_NM else None
    if report.dme_nm is not None:
        return timeline.progress_by_dme(report.dme_nm, expected_s)
    return None if report.radial_deg is None else timeline.progress_by_radial(report.radial_deg, expected_s)


def _is_this_leg_later_or_sooner(state: State, report: PositionReport) -> bool:
    """Whether a range or radial alone fits the leg at another time than reckoned, the right way along it."""
    if state.lost or state.timeline is None:
        return False
    if report.dme_nm is not None and is_going_wrong(state, report.dme_nm, report.observed_t_s):
        return False
    found = _progress_on(state, state.timeline, report)
    if found is None:
        return False
    off_s = abs(found - state.progress_s(report.observed_t_s))
    return off_s <= _OTHER_PACE_S + DRIFT_SHARE * min(state.age_s(report.observed_t_s), 300.0)


def _runs_against(state: State, report: PositionReport, timeline: Timeline, progress_s: float) -> bool:
    """Whether the range ran the other way since it was last read than it does on a leg about there."""
    if state.dme_nm is None or report.dme_nm is None:
        return False
    ago_s = report.observed_t_s - state.dme_s
    moved_nm = report.dme_nm - state.dme_nm
    if not 0.0 < ago_s <= _TELLS_WAY_S or abs(moved_nm) < _RAN_NM:
        return False
    expected_nm = timeline.at(progress_s).dme_nm - timeline.at(progress_s - ago_s).dme_nm
    return moved_nm * expected_nm < 0.0


def _reaches_s(state: State, stage: Stage, timeline: Timeline) -> float:
    """
    How far along a stage a place may be found on it: past its end where a turn is called there.

    Who flew straight on was not told to turn; taken for one in the next leg, that call would never come.
    """
    turns = stage.arc is None and any(is_led(state.plan, leaving.to) for leaving in stage.exits)
    return timeline.duration_s + (_STRAIGHT_ON_S if turns else 0.0)


def _is_far_on(state: State, t_s: float, progress_s: float) -> bool:
    """Whether a place is so far along a turn called just now, or past it, that nobody has flown there."""
    stage, timeline = state.stage, state.timeline
    if not stage.turns or stage.arc is not None or timeline is None or state.established:
        return False
    turned_s = min(progress_s, timeline.turn_end_s)
    return turned_s > _FASTER * max(t_s - state.entered_s, 0.0) + _NEAR_END_S


def _is_flown_the_other_way(
    state: State, report: PositionReport, point: PlanePoint, timeline: Timeline, progress_s: float
) -> bool:
    """
    Whether the way from the report first doubted to this one runs against a leg, or the range does.

    Then that leg is not flown.
    """
    if _runs_against(state, report, timeline, progress_s):
        return True
    track_deg = timeline.at(progress_s).track_deg
    doubt = state.before_report.doubt if state.before_report is not None else None
    if doubt is None or doubt.report.radial_deg is None or doubt.report.dme_nm is None:
        return False
    before = point_of(
        state, doubt.report.radial_deg, doubt.report.dme_nm, state.altitude_ft(doubt.report.observed_t_s)
    )
    if distance_nm(before, point) < _MOVED_NM:
        return False
    return abs(difference_deg(bearing_deg(before, point), track_deg)) > 90.0


def _called_already(stage: Stage, progress_s: float) -> frozenset[str]:
    """
    The cues that are over for a flight found on a stage.

    Its own turn is not, while the place is in that turn: who is only then known to be there was not told.
    """
    in_turn = stage.turns and stage.timeline is not None and progress_s < stage.timeline.turn_end_s
    return frozenset(
        cue.name
        for cue in stage.cues
        if cue.at_s < progress_s and not cue.descends and not (in_turn and cue.at_s <= 0.0)
    )


def _is_too_high(state: State, stage: Stage, report: PositionReport) -> bool:
    """Whether the aircraft is far above where a stage is flown, whatever its place looks like."""
    altitude_ft = altitude_reported_ft(state, report)
    altitude_ft = state.altitude_ft(report.observed_t_s) if altitude_ft is None else altitude_ft
    floors_ft = [floor.altitude_ft for floor in stage.floors] or [0.0]
    begins_ft = stage.floor_until_established_ft or max(floors_ft)
    if altitude_ft is None or begins_ft <= 0.0:
        return False
    return altitude_ft > begins_ft + (_TOO_HIGH_FT if stage.phase is Phase.FINAL else _FAR_TOO_HIGH_FT)


def relocate(state: State, report: PositionReport, out: Outbox) -> tuple[State, bool]:
    """
    The stage in which a place that the pilot insists on lies: this one, or the first further on whose path is
    near.

    Never back, and never past the final approach: those are the pilot's to say in words. The second value is
    true where no stage fits, or a range alone cannot tell: then the flight is lost until a radial and a range
    are read.
    """
    if report.radial_deg is None or report.dme_nm is None:
        return state, not _is_this_leg_later_or_sooner(state, report)
    point = point_of(state, report.radial_deg, report.dme_nm, state.altitude_ft(report.observed_t_s))
    here = state.timeline
    if here is not None:
        progress_s, off_nm = here.progress_at(point, state.progress_s(report.observed_t_s))
        near_nm = _NEAR_HOLD_NM if state.stage.phase is Phase.HOLD else _NEAR_PATH_NM
        is_on_it = off_nm <= near_nm and -_NEAR_END_S <= progress_s <= here.duration_s + _NEAR_END_S
        if is_on_it and not _is_far_on(state, report.observed_t_s, progress_s):
            return state, False
    stages = state.plan.stages
    for stage in stages[state.plan.index[state.stage_name] + 1 :]:
        if stage.phase in (Phase.LANDING, Phase.MISSED):
            break
        if stage.timeline is None or stage.phase is Phase.HOLD:
            continue
        if _is_too_high(state, stage, report):
            continue
        progress_s, off_nm = stage.timeline.progress_at(point, stage.timeline.duration_s / 2.0)
        if _is_flown_the_other_way(state, report, point, stage.timeline, progress_s):
            continue
        if off_nm <= _ON_PATH_NM and 0.0 <= progress_s <= _reaches_s(state, stage, stage.timeline):
            out.add(StageEntered(t_s=report.t_s, stage=stage.name))
            found = state.but(
                stage_name=stage.name,
                # As if it had been flown from its start: then the turn on to it is over, or not, as the
                # place says.
                entered_s=report.observed_t_s - progress_s,
                predicted=False,
                confirmed=None,
                anchor_s=report.observed_t_s,
                anchor_progress_s=progress_s,
                rate=1.0,
                established=False,
                fired=_called_already(stage, progress_s),
            )
            return found, False
    return state, True
