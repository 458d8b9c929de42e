"""Courses of the initial and intermediate approach as stages, and the calls that all legs have."""

from assistant.engine.arc_lead import arc_join
from assistant.engine.draft import Draft, entry_turn, event_name, fix_trigger, floors_along, position_figures
from assistant.engine.estimate import ROLLING_OUT_S
from assistant.engine.events import CalloutKind, Figures, Priority, Said
from assistant.engine.intercept import WIDE_NM, intercept
from assistant.engine.plan import FOREVER_S, CourseFacts, Cue, Exit, Phase, Stage, When
from assistant.engine.timeline import Timeline
from assistant.engine.triggers import DmeReached, RadialReached, Trigger
from assistant.nav.geometry import (
    along_and_across_nm,
)
from assistant.nav.wind import heading_for_track
from assistant.procedure.model import ArcLeg, CourseLeg, FinalLeg, Leg, StepDown

# The final fix is passed at final speed (common practice); losing 40 kt takes a jet about so long.
SLOWING_S = 35.0
# The needle's check needs so long to be spoken and looked at.
_ROOM_S = 8.0
RADIAL_QUESTION = "radial?"
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


def radial_cue(at_s: float) -> Cue:
    """Asks for the radial of a pilot who has not reported established on the course by then."""
    return Cue(
        name=RADIAL_QUESTION,
        at_s=at_s,
        kind=CalloutKind.SAY_POSITION,
        priority=Priority.PREPARATION,
        figures=Figures(item="radial"),
        when=When.NOT_ESTABLISHED,
    )


def established_cues(timeline: Timeline) -> tuple[Cue, ...]:
    """
    After a turn on to a course: is the needle coming in, where is it, and is the pilot established.

    The radial is asked for at once, since a descent may wait for it that has little room.
    """
    needle = Cue(
        name="needle",
        at_s=0.7 * timeline.turn_end_s,
        kind=CalloutKind.CHECK,
        priority=Priority.PREPARATION,
        figures=Figures(item="needle"),
        when=When.NOT_ESTABLISHED,
    )
    radial = radial_cue(max(timeline.turn_end_s - ROLLING_OUT_S, 0.8 * timeline.turn_end_s))
    established = Cue(
        name="established?",
        at_s=timeline.turn_end_s + 15.0,
        kind=CalloutKind.SAY_POSITION,
        priority=Priority.PREPARATION,
        figures=Figures(item="established"),
        when=When.NOT_ESTABLISHED,
    )
    return (*_with_room((needle,), radial), radial, established)


def _with_room(before: tuple[Cue, ...], cue: Cue) -> tuple[Cue, ...]:
    """Those that are not spoken right before another one, which says more."""
    return tuple(one for one in before if cue.at_s - one.at_s >= _ROOM_S)


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
    # Throttle back at its preparation, most of that half minute is flown at the final speed already.
    return draft.today.tas_kt((speeds.intermediate_kt + 3.0 * speeds.final_kt) / 4.0, altitude_ft)


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
