"""The missed approach as stages: from the missed approach point through its legs to the hold."""

from dataclasses import replace

from assistant.engine.compile_legs import place_name
from assistant.engine.cues import CLIMB
from assistant.engine.draft import Draft, entry_turn, fix_trigger, position_figures
from assistant.engine.events import CalloutKind, Figures, Priority
from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.plan import FOREVER_S, HOLD_ENTRY, CourseFacts, Cue, Exit, Phase, Stage, When
from assistant.engine.triggers import AltitudeCrossed, DmeReached, RadialReached, Trigger
from assistant.nav.geometry import bearing_deg
from assistant.nav.wind import heading_for_track
from assistant.procedure.model import Category, MissedApproachLeg, Turn

EARLY = "missed_early"
COMPLETE = "complete"
# Climb taken for the nominal time of a climb "until" an altitude; common practice, no source.
_CLIMB_FPM = {Category.A: 600.0, Category.B: 1000.0}
_CLIMB_FAST_FPM = 2000.0
# Long enough to find any charted range or radial on the way out.
_FAR_NM = 60.0


def missed_stages(draft: Draft) -> None:
    """The missed approach's stages, one a leg, and one for going around before the missed approach point."""
    procedure = draft.today.procedure
    legs = procedure.missed_approach.legs
    final = next(stage for stage in draft.stages if stage.name == "final")
    missed_point = final.exits[0]
    for number, leg in enumerate(legs):
        last = number + 1 == len(legs)
        to = (
            f"missed_{number + 1}"
            if not last
            else HOLD_ENTRY
            if procedure.missed_approach.then_hold
            else COMPLETE
        )
        stage = _leg_stage(draft, leg, number, to)
        draft.stages.append(stage)
        if number == 0:
            draft.stages.extend(_early(final, missed_point, stage))
    end = draft.stages[-1]
    draft.stages.append(
        replace(
            end,
            name=COMPLETE,
            title="Missed approach complete",
            event="",
            event_figures=Figures(),
            turns=False,
            exits=(),
            cues=(),
            passed_fix=None,
            joined_by=(),
        )
    )


def _early(final: Stage, missed_point: Exit, first: Stage) -> list[Stage]:
    """
    Going around before the missed approach point: climb on the final track, and turn only at the point.

    The charted missed approach protects turns from the point on, not before it (ICAO Doc 8168 Vol I, missed
    approach).
    """
    going = first.cues[0]
    early = replace(
        final,
        name=EARLY,
        title="Missed approach, to the missed approach point",
        phase=Phase.MISSED,
        target_ft=first.target_ft,
        floors=(),
        floor_until_established_ft=None,
        joined_by=(),
        exits=(replace(missed_point, to="missed_0_after_early", when=When.ALWAYS),),
        cues=(
            replace(
                going,
                name="go around",
                figures=Figures(
                    altitude_ft=going.figures.altitude_ft,
                    course_mag_deg=final.course.course_mag_deg if final.course is not None else None,
                    item="to the missed approach point",
                ),
            ),
        ),
    )
    after = replace(
        first, name="missed_0_after_early", cues=(replace(going, kind=CalloutKind.CLIMB), *first.cues[1:])
    )
    return [early, after]


def _leg_stage(draft: Draft, leg: MissedApproachLeg, number: int, to: str) -> Stage:
    today = draft.today
    target_ft = today.altitude_ft(leg.climb)
    tas_kt = today.tas_kt(today.conditions.speeds.missed_kt, target_ft)
    wind = today.wind(target_ft)
    flight = draft.flight(target_ft)
    fix = today.point(today.procedure.fix(leg.to_fix), target_ft) if leg.to_fix is not None else None
    course_deg = leg.course_mag_deg
    if course_deg is None:
        course_deg = draft.heading_deg if fix is None else bearing_deg(draft.point, fix)
    triangle = heading_for_track(course_deg, tas_kt, wind.from_deg, wind.speed_kt)
    turn = entry_turn(draft, flight, triangle.heading_deg, tas_kt, leg.turn)
    if fix is not None and leg.course_mag_deg is None:
        # Direct to the fix: the bearing from where the turn ends, not from where it began.
        course_deg = bearing_deg(flight.point, fix)
        triangle = heading_for_track(course_deg, tas_kt, wind.from_deg, wind.speed_kt)
    anchor = fix if fix is not None else flight.point
    trigger, at_s = _fly_to_end(draft, leg, flight, course_deg, tas_kt, target_ft)
    timeline = flight.timeline()
    stage = Stage(
        name=f"missed_{number}",
        title="Missed approach" if number == 0 else f"Missed approach, leg {number + 1}",
        phase=Phase.MISSED,
        timeline=timeline,
        tas_kt=tas_kt,
        wind_from_mag_deg=wind.from_deg,
        wind_kt=wind.speed_kt,
        target_ft=target_ft,
        floors=(),
        turns=turn is not None,
        event=_event(leg, trigger),
        event_figures=_event_figures(leg, trigger),
        course=CourseFacts(course_mag_deg=course_deg, anchor=anchor),
        passed_fix=leg.to_fix,
        exits=(Exit(trigger=trigger, at_s=at_s, to=to),),
        cues=(_action(leg, number, turn, target_ft, triangle.heading_deg, course_deg),),
    )
    draft.start(flight.point, triangle.heading_deg, target_ft)
    draft.tas_kt = tas_kt
    return stage


def _action(
    leg: MissedApproachLeg,
    number: int,
    turn: Turn | None,
    target_ft: float,
    heading_deg: float,
    course_deg: float,
) -> Cue:
    first = number == 0
    # Straight on along the final track it is the needle that is followed, not a heading.
    on_course = first and turn is None and leg.course_mag_deg is not None
    return Cue(
        name="go around" if first else "turn",
        at_s=0.0,
        kind=CalloutKind.GO_AROUND if first else CalloutKind.CLIMB,
        # Late is better than never here: the sentence is right until the next leg begins.
        priority=Priority.SAFETY if first else Priority.ACTION,
        figures=Figures(
            altitude_ft=target_ft,
            turn=turn,
            heading_mag_deg=None if on_course else heading_deg,
            course_mag_deg=course_deg if leg.course_mag_deg is not None else None,
            item=f"direct {leg.to_fix}" if leg.course_mag_deg is None and leg.to_fix is not None else None,
        ),
        # However late a report shows that the point is passed: who was lost on final is told all the same.
        window_s=FOREVER_S if first else 20.0,
        needs_position=False,
    )


def _event_figures(leg: MissedApproachLeg, trigger: Trigger) -> Figures:
    """Where a leg ends; nothing where the event's own name says it."""
    if leg.to_fix is not None or leg.until_altitude_ft is not None:
        return position_figures(trigger)
    return Figures()


def _event(leg: MissedApproachLeg, trigger: Trigger) -> str:
    """How the end of a leg is called: the fix, the place, or the climb itself."""
    if leg.to_fix is not None:
        return leg.to_fix
    return CLIMB if leg.until_altitude_ft is not None else place_name(trigger)


def _fly_to_end(
    draft: Draft,
    leg: MissedApproachLeg,
    flight: NominalFlight,
    course_deg: float,
    tas_kt: float,
    target_ft: float,
) -> tuple[Trigger, float | None]:
    """Fly the leg on paper to what ends it; the trigger, and its place where range or radial shows it."""
    today = draft.today
    start = flight.point
    if leg.to_fix is not None:
        anchor = today.point(today.procedure.fix(leg.to_fix), target_ft)
        flight.follow_course(anchor, course_deg, tas_kt)
        return fix_trigger(draft, leg.to_fix, course_deg, target_ft), flight.time_s
    if leg.until_altitude_ft is not None:
        rate_fpm = _CLIMB_FPM.get(today.conditions.category, _CLIMB_FAST_FPM)
        climb_s = max((leg.until_altitude_ft - draft.floor_ft) / rate_fpm * 60.0, 10.0)
        flight.follow_course(
            start, course_deg, tas_kt, to_along_nm=max(climb_s - flight.time_s, 5.0) * tas_kt / 3600.0
        )
        return AltitudeCrossed(altitude_ft=leg.until_altitude_ft, descending=False), None
    flight.follow_course(start, course_deg, tas_kt, to_along_nm=_FAR_NM)
    timeline = flight.timeline()
    triggers: list[Trigger] = []
    if leg.until_dme_nm is not None:
        triggers = [
            DmeReached(dme_nm=leg.until_dme_nm, closing=False),
            DmeReached(dme_nm=leg.until_dme_nm, closing=True),
        ]
    elif leg.until_radial_deg is not None:
        triggers = [RadialReached(radial_deg=leg.until_radial_deg)]
    found = [(timeline.when(trigger, from_s=timeline.turn_end_s), trigger) for trigger in triggers]
    # A range already past when the leg begins is no end of it. Flown toward the station a leg reads its range
    # closing, and again opening, beyond: the first of the two is meant.
    ahead = [
        (at_s, trigger) for at_s, trigger in found if at_s is not None and at_s > timeline.turn_end_s + 1.0
    ]
    if not ahead:
        raise LookupError(
            f"the missed approach never comes to the end of its leg on course {course_deg:03.0f}"
        )
    at_s, trigger = min(ahead, key=lambda pair: pair[0])
    flight.cut(at_s)
    return trigger, at_s
