"""
The final approach as a stage.

The descent profile, step-downs, the minimum and the missed approach point.
"""

from dataclasses import replace
from itertools import pairwise

from assistant.engine.compile_legs import ESTABLISHED_BY, step_cues, steps_on
from assistant.engine.draft import Draft, entry_turn, event_name, fix_trigger, floors_along
from assistant.engine.events import CalloutKind, Figures, Priority
from assistant.engine.plan import FOREVER_S, CourseFacts, Cue, Exit, Phase, Stage, When
from assistant.engine.timeline import Timeline
from assistant.engine.today import Today
from assistant.engine.triggers import DmeReached, TimeElapsed, Trigger
from assistant.nav.geometry import PlanePoint, distance_nm, line_range_crossings, move, slant_nm_from_ground
from assistant.nav.vertical import descent_fpm, gradient_ft_per_nm, visual_descent_point_nm
from assistant.nav.wind import heading_for_track
from assistant.procedure.model import FinalLeg

MISSED = "missed_0"
# How far past the threshold the final's nominal flight runs on, so that reports from there still have a
# place.
_RUN_ON_NM = 1.0
_PROFILE_STEP_NM = 0.5
VISUAL_QUESTION = "visual?"
# The question, a look outside, the answer: two, five and two seconds (common practice, no source).
_ANSWERED_S = 10.0


def final_stages(draft: Draft, leg: FinalLeg) -> None:
    """The final approach and the landing; afterwards the draft stands at the missed approach point."""
    today = draft.today
    procedure = today.procedure
    faf_ft = today.altitude_ft(leg.altitude)
    draft.minimum_ft = minimum_ft(today)
    draft.final_gradient_ft_per_nm = gradient_ft_per_nm(leg.descent_angle_deg)
    tas_kt = today.tas_kt(today.conditions.speeds.final_kt, (faf_ft + draft.minimum_ft) / 2.0)
    wind = today.wind((faf_ft + draft.minimum_ft) / 2.0)
    anchor = today.point(procedure.fix(leg.from_fix), faf_ft)
    triangle = heading_for_track(leg.course_mag_deg, tas_kt, wind.from_deg, wind.speed_kt)
    to_threshold_nm = threshold_along_nm(today, anchor, leg)
    flight = draft.flight(draft.minimum_ft)
    turn = entry_turn(draft, flight, triangle.heading_deg, tas_kt)
    flight.follow_course(anchor, leg.course_mag_deg, tas_kt, to_along_nm=to_threshold_nm)
    draft.threshold_s = flight.time_s
    flight.follow_course(anchor, leg.course_mag_deg, tas_kt, to_along_nm=to_threshold_nm + _RUN_ON_NM)
    timeline = flight.timeline()
    draft.profile = profile(today, leg, anchor, to_threshold_nm)
    rate_fpm = descent_fpm(triangle.groundspeed_kt, leg.descent_angle_deg)

    floor_ft = draft.minimum_ft
    # The minimum binds all along: a step-down below it (a chart for several categories has them) adds
    # nothing.
    steps = [
        (at_s, name, max(altitude_ft, floor_ft))
        for at_s, name, altitude_ft in steps_on(draft, timeline, leg.step_downs, floor_ft)
    ]
    floors = tuple(floor for floor in floors_along(steps, floor_ft) if floor.until_s > 1.0)
    missed_at, missed_s = _missed_approach_point(draft, leg, timeline, triangle.groundspeed_kt)
    toward = timeline.dmes_nm[-1] < timeline.dmes_nm[0]
    faf = Cue(
        name="final descent",
        at_s=0.0,
        kind=CalloutKind.FINAL_DESCENT,
        priority=Priority.ACTION,
        figures=Figures(
            event=event_name(draft, leg.from_fix),
            descent_fpm=rate_fpm,
            altitude_ft=floors[0].altitude_ft,
            turn=turn,
            heading_mag_deg=triangle.heading_deg if turn else None,
            course_mag_deg=leg.course_mag_deg if turn else None,
        ),
        when=When.ESTABLISHED,
        window_s=FOREVER_S,
        descends=True,
    )
    wait = replace(
        faf,
        name="not established",
        kind=CalloutKind.MAINTAIN,
        figures=Figures(altitude_ft=draft.floor_ft, item="until established"),
        when=When.NOT_ESTABLISHED,
        window_s=20.0,
        descends=False,
    )
    stage = Stage(
        name="final",
        title=f"Final approach {leg.course_mag_deg:03.0f}",
        phase=Phase.FINAL,
        timeline=timeline,
        tas_kt=tas_kt,
        wind_from_mag_deg=wind.from_deg,
        wind_kt=wind.speed_kt,
        target_ft=draft.minimum_ft,
        floors=floors,
        floor_until_established_ft=draft.floor_ft,
        turns=turn is not None,
        event="missed approach point",
        event_figures=Figures(dme_nm=missed_at.dme_nm if isinstance(missed_at, DmeReached) else None),
        course=CourseFacts(course_mag_deg=leg.course_mag_deg, anchor=anchor),
        joined_by=ESTABLISHED_BY,
        exits=(Exit(trigger=missed_at, at_s=missed_s, to=MISSED, when=When.NOT_VISUAL),),
        cues=(
            faf,
            wait,
            *_mile_cues(draft, timeline, missed_s, toward=toward),
            *_visual_descent_point(draft, leg, timeline, missed_s, to_threshold_nm),
            _visual_question(missed_s),
            *_floor_cues([step for step in steps if step[0] > 1.0]),
        ),
    )
    draft.stages.append(stage)
    landing = replace(
        stage,
        name="landing",
        title="Landing",
        phase=Phase.LANDING,
        target_ft=procedure.runway.threshold_elevation_ft,
        floors=(),
        floor_until_established_ft=None,
        event="threshold",
        event_figures=Figures(dme_nm=procedure.runway.threshold_dme_nm),
        joined_by=(),
        exits=(),
        cues=(),
    )
    draft.stages.append(landing)
    here = timeline.at(missed_s)
    draft.start(here.point, triangle.heading_deg, draft.minimum_ft)
    draft.tas_kt = tas_kt


def _floor_cues(steps: list[tuple[float, str, float]]) -> tuple[Cue, ...]:
    """At each step-down on final: the next floor. No descent is called: the aircraft is in one already."""
    return tuple(
        replace(cue, kind=CalloutKind.FLOOR, when=When.ESTABLISHED, window_s=8.0) for cue in step_cues(steps)
    )


def minimum_ft(today: Today) -> float:
    """
    The minimum descent altitude for the category flown, ft above mean sea level.

    LookupError where none is published.
    """
    minimum = today.procedure.minimum_for(today.conditions.category)
    if minimum.mda_ft is not None:
        return today.in_cold_ft(minimum.mda_ft)
    if minimum.mdh_ft is None:
        raise LookupError(f"the minimum of category {minimum.category} has neither mda_ft nor mdh_ft")
    return today.in_cold_ft(minimum.mdh_ft + today.procedure.qfe_elevation_ft)


def threshold_along_nm(today: Today, anchor: PlanePoint, leg: FinalLeg) -> float:
    """
    How far along the final track, from the final approach fix, the range reads what it reads at the
    threshold.
    """
    runway = today.procedure.runway
    ground_nm = today.ground_nm(runway.threshold_dme_nm, runway.threshold_elevation_ft)
    ahead = [at_nm for at_nm in line_range_crossings(anchor, leg.course_mag_deg, ground_nm) if at_nm > 0.0]
    if not ahead:
        raise LookupError(f"the final track never reads the threshold's {runway.threshold_dme_nm} miles")
    # Flown toward a station beyond or abeam the threshold, the nearer crossing comes first; away from it
    # there is one.
    return ahead[0]


def profile(
    today: Today, leg: FinalLeg, anchor: PlanePoint, to_threshold_nm: float
) -> tuple[tuple[float, float], ...]:
    """
    The altitude due against range, in order of range.

    The chart's own table where it prints one, so that the pilot hears the printed numbers; outside it, and
    where there is none, the published angle through the threshold crossing height.
    """
    runway = today.procedure.runway
    over_threshold_ft = runway.threshold_elevation_ft + runway.threshold_crossing_height_ft
    per_nm_ft = gradient_ft_per_nm(leg.descent_angle_deg)

    def slope(along_nm: float) -> tuple[float, float]:
        altitude_ft = over_threshold_ft + per_nm_ft * (to_threshold_nm - along_nm)
        ground_nm = distance_nm(move(anchor, leg.course_mag_deg, along_nm), PlanePoint(0.0, 0.0))
        return slant_nm_from_ground(ground_nm, today.height_above_station_ft(altitude_ft)), altitude_ft

    steps = int(to_threshold_nm / _PROFILE_STEP_NM)
    computed = [slope(min(step * _PROFILE_STEP_NM, to_threshold_nm)) for step in range(steps + 1)]
    computed.append(slope(to_threshold_nm))
    elevation_ft = today.procedure.qfe_elevation_ft
    published = [
        (
            row.dme_nm,
            row.altitude_ft if row.altitude_ft is not None else (row.height_ft or 0.0) + elevation_ft,
        )
        for row in leg.heights
    ]
    if published:
        nearest, farthest = min(published)[0], max(published)[0]
        computed = [point for point in computed if not nearest - 0.2 <= point[0] <= farthest + 0.2]
    ordered = sorted(
        {round(dme_nm, 4): (dme_nm, altitude_ft) for dme_nm, altitude_ft in computed + published}.values()
    )
    return tuple((dme_nm, today.in_cold_ft(altitude_ft)) for dme_nm, altitude_ft in ordered)


def _visual_descent_point(
    draft: Draft, leg: FinalLeg, timeline: Timeline, missed_s: float, to_threshold_nm: float
) -> tuple[Cue, ...]:
    """Where the normal slope leaves the minimum; none where it lies past the missed approach point."""
    runway = draft.today.procedure.runway
    before_nm = visual_descent_point_nm(
        draft.minimum_ft,
        runway.threshold_elevation_ft,
        runway.threshold_crossing_height_ft,
        leg.descent_angle_deg,
    )
    groundspeed_kt = timeline.at(draft.threshold_s).groundspeed_kt
    at_s = draft.threshold_s - before_nm / groundspeed_kt * 3600.0
    if not 0.0 < at_s < missed_s or before_nm > to_threshold_nm:
        return ()
    cue = Cue(
        name="visual descent point",
        at_s=at_s,
        kind=CalloutKind.VISUAL_DESCENT_POINT,
        priority=Priority.PREPARATION,
        figures=Figures(event="visual descent point", dme_nm=timeline.at(at_s).dme_nm),
        when=When.ESTABLISHED,
    )
    return (cue,)


def _visual_question(missed_s: float) -> Cue:
    """
    Whether the runway is seen, of a pilot who has not come down to the minimum where it is asked anyway.

    So long before the missed approach point that the answer comes before it.
    """
    return Cue(
        name=VISUAL_QUESTION,
        at_s=missed_s - _ANSWERED_S,
        kind=CalloutKind.SAY_POSITION,
        priority=Priority.ACTION,
        figures=Figures(item="visual"),
        when=When.NOT_VISUAL,
        needs_position=False,
    )


def _missed_approach_point(
    draft: Draft, leg: FinalLeg, timeline: Timeline, groundspeed_kt: float
) -> tuple[Trigger, float]:
    """What shows the missed approach point, and when it comes."""
    point = leg.missed_approach_point
    trigger: Trigger
    if point.timed_distance_nm is not None:
        time_s = point.timed_distance_nm / groundspeed_kt * 3600.0
        return TimeElapsed(time_s=round(time_s)), time_s
    if point.fix is not None:
        trigger = fix_trigger(draft, point.fix, leg.course_mag_deg, draft.minimum_ft)
    else:
        closing = timeline.dmes_nm[-1] < timeline.dmes_nm[0]
        trigger = DmeReached(dme_nm=point.dme_nm or 0.0, closing=closing)
    at_s = timeline.when(trigger)
    if at_s is None:
        raise LookupError(f"the final track never comes to the missed approach point ({trigger})")
    return trigger, at_s


def _mile_cues(draft: Draft, timeline: Timeline, missed_s: float, *, toward: bool) -> tuple[Cue, ...]:
    """At every whole mile down to the minimum: the altitude due."""
    first_nm, last_nm = timeline.dmes_nm[0], timeline.at(missed_s).dme_nm
    low_nm, high_nm = sorted((first_nm, last_nm))
    cues: list[Cue] = []
    for mile in range(int(low_nm) + 1, int(high_nm) + 1):
        trigger = DmeReached(dme_nm=float(mile), closing=toward)
        at_s = timeline.when(trigger)
        due_ft = due_on(draft.profile, float(mile))
        if at_s is None or due_ft is None or at_s < 10.0 or due_ft < draft.minimum_ft + 100.0:
            continue
        cues.append(
            Cue(
                name=due_cue_name(mile),
                at_s=at_s - 3.0,
                kind=CalloutKind.ALTITUDE_DUE,
                priority=Priority.PREPARATION,
                figures=Figures(dme_nm=float(mile), altitude_ft=due_ft),
                trigger=trigger,
                lead_s=3.0,
                when=When.ESTABLISHED,
            )
        )
    return tuple(cues)


def due_cue_name(mile: int) -> str:
    """The name of the cue for the altitude due at a whole mile."""
    return f"due at {mile}"


def due_on(points: tuple[tuple[float, float], ...], dme_nm: float) -> float | None:
    """The altitude on a profile at a range, between its points; None outside it."""
    for (a_nm, a_ft), (b_nm, b_ft) in pairwise(points):
        if a_nm <= dme_nm <= b_nm:
            return a_ft + (dme_nm - a_nm) / (b_nm - a_nm) * (b_ft - a_ft)
    return None
