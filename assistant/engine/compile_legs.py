"""Courses and arcs of the initial and intermediate approach, as stages."""

from assistant.engine.draft import Draft, entry_turn, event_name, fix_trigger, floors_along, position_figures
from assistant.engine.entering import CALL_S
from assistant.engine.events import CalloutKind, Figures, Priority, Said
from assistant.engine.intercept import WIDE_NM, intercept
from assistant.engine.plan import FOREVER_S, ArcFacts, CourseFacts, Cue, Exit, Phase, Stage, When
from assistant.engine.timeline import Timeline
from assistant.engine.triggers import DmeReached, RadialReached, Trigger
from assistant.nav.arcs import arc_heading
from assistant.nav.geometry import (
    PlanePoint,
    along_and_across_nm,
    difference_deg,
    line_range_crossings,
    normalize_deg,
    polar_from_plane,
    slant_nm_from_ground,
    turn_through_deg,
)
from assistant.nav.leads import LeadRadial, lead_radial_from_arc, lead_range_to_arc
from assistant.nav.wind import heading_for_track
from assistant.procedure.model import ArcDirection, ArcLeg, CourseLeg, FinalLeg, Leg, StepDown, Turn

# An arc is flown in straight legs, a new heading each so many radials (FAA-H-8083-15B ch. 9 names ten).
CHORD_DEG = 10.0
# A course that passes this near the station runs along a radial, as the lead-range formula wants.
_ALONG_A_RADIAL_NM = 0.5
# No new heading this near the lead radial: its preparation is spoken then.
_BEFORE_LEAD_S = 30.0
_STATION = PlanePoint(0.0, 0.0)
# The final fix is passed at final speed (common practice); losing 40 kt takes a jet about so long.
SLOWING_S = 35.0
ESTABLISHED_BY = (Said.ESTABLISHED, Said.INBOUND)


def descent_cue(
    draft: Draft, target_ft: float, *, when: When, at_s: float = 0.0, name: str = "descend"
) -> tuple[Cue, ...]:
    """The call to leave the last altitude for the next lower one; none where it is no lower."""
    if target_ft > draft.floor_ft - 50.0:
        return ()
    cue = Cue(
        name=name,
        at_s=at_s,
        kind=CalloutKind.DESCEND,
        priority=Priority.ACTION,
        figures=Figures(altitude_ft=target_ft),
        when=when,
        window_s=FOREVER_S,
        descends=True,
    )
    return (cue,)


def established_cues(timeline: Timeline) -> tuple[Cue, ...]:
    """After a turn on to a course: is the needle coming in, and is the pilot established."""
    needle = Cue(
        name="needle",
        at_s=0.7 * timeline.turn_end_s,
        kind=CalloutKind.CHECK,
        priority=Priority.PREPARATION,
        figures=Figures(item="needle"),
        when=When.NOT_ESTABLISHED,
    )
    established = Cue(
        name="established?",
        at_s=timeline.turn_end_s + 15.0,
        kind=CalloutKind.SAY_POSITION,
        priority=Priority.PREPARATION,
        figures=Figures(item="established"),
        when=When.NOT_ESTABLISHED,
    )
    return (needle, established)


def steps_on(
    draft: Draft, timeline: Timeline, step_downs: tuple[StepDown, ...], floor_ft: float
) -> list[tuple[float, str, float]]:
    """Where on a stage lower altitudes begin to apply: (progress, name, altitude), in the order flown."""
    found: list[tuple[float, str, float]] = []
    for step in step_downs:
        trigger = step_trigger(draft, timeline, step)
        at_s = timeline.when(trigger, from_s=timeline.turn_end_s)
        if at_s is not None:
            found.append((at_s, step.fix or place_name(trigger), draft.floor_of(step.altitude, floor_ft)))
    return sorted(found)


def place_name(trigger: Trigger) -> str:
    """A place without a name of its own, as it is called out."""
    match trigger:
        case DmeReached(dme_nm=dme_nm):
            return f"{dme_nm:.4g} DME"
        case _:
            return str(trigger)


def step_trigger(draft: Draft, timeline: Timeline, step: StepDown) -> Trigger:
    """What shows that a step-down is passed: its radial on an arc, else its range as the leg runs."""
    if step.radial_deg is not None:
        return RadialReached(radial_deg=step.radial_deg)
    dme_nm = step.dme_nm if step.dme_nm is not None else draft.today.procedure.fix(step.fix or "").dme_nm
    return DmeReached(dme_nm=dme_nm, closing=timeline.dmes_nm[-1] < timeline.at(timeline.turn_end_s).dme_nm)


def step_cues(steps: list[tuple[float, str, float]]) -> tuple[Cue, ...]:
    """At each step-down: what is passed, and the next lower altitude."""
    return tuple(
        Cue(
            name=f"step {name}",
            at_s=at_s,
            kind=CalloutKind.DESCEND,
            priority=Priority.ACTION,
            figures=Figures(event=name, altitude_ft=altitude_ft),
            when=When.ESTABLISHED,
            window_s=FOREVER_S,
            descends=True,
        )
        for at_s, name, altitude_ft in steps
    )


def _slowing_kt(draft: Draft, altitude_ft: float) -> float:
    """True airspeed over the last half minute before the final fix, where the aircraft slows down for it."""
    speeds = draft.today.conditions.speeds
    return draft.today.tas_kt((speeds.intermediate_kt + speeds.final_kt) / 2.0, altitude_ft)


def course_stage(
    draft: Draft, leg: CourseLeg, number: int, following: Leg | None, following_name: str
) -> None:
    """
    A straight leg to a fix, the turn on to it first.

    It ends at the fix, or at the lead range where an arc follows.
    """
    today = draft.today
    target_ft = today.altitude_ft(leg.altitude)
    to_final = isinstance(following, FinalLeg)
    speeds = today.conditions.speeds
    tas_kt = today.tas_kt(speeds.intermediate_kt if to_final else speeds.initial_kt, target_ft)
    wind = today.wind(target_ft)
    anchor = today.point(today.procedure.fix(leg.to_fix), target_ft)
    triangle = heading_for_track(leg.course_mag_deg, tas_kt, wind.from_deg, wind.speed_kt)
    flight = draft.flight(target_ft)
    turn = entry_turn(draft, flight, triangle.heading_deg, tas_kt, leg.turn)
    first_heading_deg = triangle.heading_deg
    cutting: tuple[Cue, ...] = ()
    missed_nm = along_and_across_nm(flight.point, anchor, leg.course_mag_deg).across_nm
    if turn is not None and abs(missed_nm) > WIDE_NM:
        cut = intercept(
            draft,
            anchor=anchor,
            course_mag_deg=leg.course_mag_deg,
            altitude_ft=target_ft,
            tas_kt=tas_kt,
            turn=turn,
            missed_nm=missed_nm,
        )
        if cut is not None:
            flight, first_heading_deg, cutting = cut

    event, trigger = (
        event_name(draft, leg.to_fix),
        fix_trigger(draft, leg.to_fix, leg.course_mag_deg, target_ft),
    )
    end_along_nm = 0.0
    if isinstance(following, ArcLeg):
        join = arc_join(draft, leg.to_fix, leg.course_mag_deg, following, target_ft, tas_kt)
        if join is not None:
            event, trigger, end_along_nm = f"turn on to the {following.arc_dme_nm:.0f} mile arc", *join
    slow_kt = _slowing_kt(draft, target_ft) if to_final else tas_kt
    slow_nm = heading_for_track(leg.course_mag_deg, slow_kt, *wind).groundspeed_kt * SLOWING_S / 3600.0
    flight.follow_course(anchor, leg.course_mag_deg, tas_kt, to_along_nm=end_along_nm - slow_nm)
    flight.follow_course(anchor, leg.course_mag_deg, slow_kt, to_along_nm=end_along_nm)
    timeline = flight.timeline()
    floor_ft = draft.floor_of(leg.altitude, draft.floor_ft)
    steps = steps_on(draft, timeline, leg.step_downs, floor_ft)
    action = Cue(
        name="turn",
        at_s=0.0,
        kind=CalloutKind.TURN if turn else CalloutKind.HEADING,
        priority=Priority.ACTION,
        figures=Figures(turn=turn, heading_mag_deg=first_heading_deg, course_mag_deg=leg.course_mag_deg),
    )
    in_turn: tuple[Cue, ...] = ()
    if draft.turn_altitude_ft is not None:
        in_turn = descent_cue(
            draft, draft.turn_altitude_ft, when=When.ALWAYS, at_s=4.0, name="descend in the turn"
        )
        draft.floor_ft, draft.turn_altitude_ft = draft.turn_altitude_ft, None
    stage = Stage(
        name=f"course_{number}",
        title=f"Course {leg.course_mag_deg:03.0f} to {leg.to_fix}",
        phase=Phase.INTERMEDIATE if to_final else Phase.INITIAL,
        timeline=timeline,
        tas_kt=tas_kt,
        wind_from_mag_deg=wind.from_deg,
        wind_kt=wind.speed_kt,
        target_ft=target_ft,
        floors=floors_along(steps, floor_ft),
        floor_until_established_ft=draft.floor_ft if turn else None,
        turns=turn is not None,
        free_turn=turn is not None and leg.turn is None,
        event=event,
        event_figures=position_figures(trigger),
        course=CourseFacts(course_mag_deg=leg.course_mag_deg, anchor=anchor),
        joined_by=ESTABLISHED_BY,
        passed_fix=leg.to_fix,
        exits=(Exit(trigger=trigger, at_s=timeline.duration_s, to=following_name),),
        cues=(
            action,
            *in_turn,
            *cutting,
            *(established_cues(timeline) if turn else ()),
            *descent_cue(draft, target_ft, when=When.ESTABLISHED if turn else When.RELEASED),
            *step_cues(steps),
        ),
    )
    draft.finish(stage, flight, stage.floors[-1].altitude_ft)


def arc_join(
    draft: Draft, to_fix: str, course_mag_deg: float, arc: ArcLeg, altitude_ft: float, tas_kt: float
) -> tuple[DmeReached, float] | None:
    """
    Where on a course to turn on to the arc: trigger, and how far along past the fix (negative: before it).

    None where the course does not run along a radial, or already runs along the arc: then the turn is at the
    fix.
    """
    today = draft.today
    anchor = today.point(today.procedure.fix(to_fix), altitude_ft)
    station = along_and_across_nm(_STATION, anchor, course_mag_deg)
    if abs(station.across_nm) > _ALONG_A_RADIAL_NM:
        return None
    inbound = station.along_nm > 0.0
    wind = today.wind(altitude_ft)
    arc_ground_nm = today.ground_nm(arc.arc_dme_nm, altitude_ft)
    lead = lead_range_to_arc(
        arc_ground_nm,
        normalize_deg(course_mag_deg + (180.0 if inbound else 0.0)),
        "inbound" if inbound else "outbound",
        arc.direction.value,
        tas_kt,
        today.bank_deg(tas_kt),
        wind.from_deg,
        wind.speed_kt,
    )
    crossings = line_range_crossings(anchor, course_mag_deg, lead.start_ground_nm)
    if not crossings:
        return None
    along_nm = min(crossings, key=abs)
    dme_nm = slant_nm_from_ground(lead.start_ground_nm, today.height_above_station_ft(altitude_ft))
    return DmeReached(dme_nm=round(dme_nm, 1), closing=inbound), along_nm


def lead_radial(
    draft: Draft, arc: ArcLeg, course: CourseLeg, altitude_ft: float, tas_kt: float
) -> LeadRadial:
    """
    Today's lead radial from an arc on to the next course.

    Speed, bank and wind as they are, not as charted.
    """
    today = draft.today
    wind = today.wind(altitude_ft)
    anchor = today.point(today.procedure.fix(course.to_fix), altitude_ft)
    station = along_and_across_nm(_STATION, anchor, course.course_mag_deg)
    inbound = abs(difference_deg(arc.to_radial_deg, course.course_mag_deg)) > 90.0
    return lead_radial_from_arc(
        today.ground_nm(arc.arc_dme_nm, altitude_ft),
        arc.direction.value,
        course.course_mag_deg,
        tas_kt,
        today.bank_deg(tas_kt),
        wind.from_deg,
        wind.speed_kt,
        "inbound" if inbound else "outbound",
        station.across_nm,
    )


def arc_stage(draft: Draft, leg: ArcLeg, number: int, course: CourseLeg, following_name: str) -> None:
    """A DME arc: the turn on to it, a heading each ten radials, off it at today's lead radial."""
    today = draft.today
    target_ft = today.altitude_ft(leg.altitude)
    tas_kt = today.tas_kt(today.conditions.speeds.initial_kt, target_ft)
    wind = today.wind(target_ft)
    lead = lead_radial(draft, leg, course, target_ft, tas_kt)
    flight = draft.flight(target_ft)
    joining = _joining_heading_deg(draft, leg, target_ft, tas_kt)
    turn = entry_turn(draft, flight, joining, tas_kt)
    flight.follow_arc(today.ground_nm(leg.arc_dme_nm, target_ft), leg.direction, lead.radial_deg, tas_kt)
    timeline = flight.timeline()
    floor_ft = draft.floor_of(leg.altitude, draft.floor_ft)
    steps = steps_on(draft, timeline, leg.step_downs, floor_ft)
    trigger = RadialReached(radial_deg=lead.radial_deg)
    headings = _chord_cues(leg, timeline, lead.radial_deg, tas_kt, (wind.from_deg, wind.speed_kt))
    action = Cue(
        name="turn",
        at_s=0.0,
        kind=CalloutKind.TURN if turn else CalloutKind.HEADING,
        priority=Priority.ACTION,
        figures=Figures(turn=turn, heading_mag_deg=joining),
    )
    stage = Stage(
        name=f"arc_{number}",
        title=f"{leg.arc_dme_nm:.1f} DME arc, {leg.direction.value}",
        phase=Phase.INITIAL,
        timeline=timeline,
        tas_kt=tas_kt,
        wind_from_mag_deg=wind.from_deg,
        wind_kt=wind.speed_kt,
        target_ft=target_ft,
        floors=floors_along(steps, floor_ft),
        floor_until_established_ft=draft.floor_ft if turn else None,
        turns=turn is not None,
        event="lead radial",
        event_figures=position_figures(trigger),
        arc=ArcFacts(arc_dme_nm=leg.arc_dme_nm, direction=leg.direction),
        joined_by=(Said.ON_ARC,),
        exits=(Exit(trigger=trigger, at_s=timeline.duration_s, to=following_name),),
        cues=(
            action,
            *headings,
            *descent_cue(draft, target_ft, when=When.ESTABLISHED if turn else When.RELEASED),
            *step_cues(steps),
        ),
    )
    draft.finish(stage, flight, stage.floors[-1].altitude_ft)


def _joining_heading_deg(draft: Draft, leg: ArcLeg, altitude_ft: float, tas_kt: float) -> float:
    """
    The heading for the first straight piece of the arc.

    That of the arc half a piece beyond where the turn ends.
    """
    wind = draft.today.wind(altitude_ft)
    sign = 1.0 if leg.direction is ArcDirection.CLOCKWISE else -1.0
    heading_deg = arc_heading(
        polar_from_plane(draft.point).radial_deg, leg.direction.value, tas_kt, wind.from_deg, wind.speed_kt
    ).heading_deg
    trial = draft.flight(altitude_ft)
    entry_turn(draft, trial, heading_deg, tas_kt)
    middle_deg = normalize_deg(polar_from_plane(trial.point).radial_deg + sign * CHORD_DEG / 4.0)
    return arc_heading(middle_deg, leg.direction.value, tas_kt, wind.from_deg, wind.speed_kt).heading_deg


def _chord_cues(
    leg: ArcLeg, timeline: Timeline, lead_radial_deg: float, tas_kt: float, wind: tuple[float, float]
) -> tuple[Cue, ...]:
    """
    A heading at every tenth radial of the arc: that of the middle of the straight leg that begins there.

    Flying each heading for ten radials cuts the arc by R(1 - cos 5°), 0.05 NM at 12 miles.
    """
    way = Turn.RIGHT if leg.direction is ArcDirection.CLOCKWISE else Turn.LEFT
    sign = 1.0 if way is Turn.RIGHT else -1.0
    start_deg = timeline.at(timeline.turn_end_s).radial_deg
    length_deg = turn_through_deg(start_deg, lead_radial_deg, way.value)
    to_first_deg = (-start_deg * sign) % CHORD_DEG
    cues: list[Cue] = []
    gone_deg = to_first_deg if to_first_deg >= CHORD_DEG / 2.0 else to_first_deg + CHORD_DEG
    while gone_deg < length_deg - CHORD_DEG / 2.0:
        radial_deg = normalize_deg(start_deg + sign * gone_deg)
        trigger = RadialReached(radial_deg=radial_deg)
        at_s = timeline.when(trigger, from_s=timeline.turn_end_s)
        if at_s is not None and at_s < timeline.duration_s - _BEFORE_LEAD_S:
            middle_deg = normalize_deg(radial_deg + sign * CHORD_DEG / 2.0)
            heading = arc_heading(middle_deg, leg.direction.value, tas_kt, *wind).heading_deg
            cues.append(
                Cue(
                    name=f"heading at {radial_deg:03.0f}",
                    # As early as a turn is called: late by that each time, the arc would be left outward.
                    at_s=max(at_s - CALL_S, timeline.turn_end_s),
                    kind=CalloutKind.HEADING,
                    priority=Priority.PREPARATION,
                    figures=Figures(heading_mag_deg=heading, radial_deg=radial_deg),
                    trigger=trigger,
                )
            )
        gone_deg += CHORD_DEG
    return tuple(cues)
