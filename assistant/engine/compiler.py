"""
Procedure to plan: every leg is flown once on paper in today's wind and becomes a stage with its exits and
cues.

The compiler walks the chart in order: arrival, hold, legs, final, landing, missed approach. It keeps the
place and heading at which the last stage ended, so that each entry turn starts where the last leg left off.
Holds and the missed approach live in `compile_hold` and `compile_missed`; the cues that every stage has in
`cues`.
"""

from copy import copy
from dataclasses import replace

from assistant.engine.compile_arc import arc_stage
from assistant.engine.compile_final import final_stages
from assistant.engine.compile_hold import hold_stages
from assistant.engine.compile_legs import course_stage
from assistant.engine.compile_missed import missed_stages
from assistant.engine.compile_reversal import offset_course_stage, reversal_stages
from assistant.engine.conditions import Conditions
from assistant.engine.cues import with_event_cues
from assistant.engine.draft import Draft
from assistant.engine.events import Figures
from assistant.engine.plan import Phase, Plan, PlanError, Stage
from assistant.engine.today import Today, published_ft
from assistant.engine.turning_away import inbound_turn
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import along_and_across_nm
from assistant.procedure.model import ArcLeg, CourseLeg, FinalLeg, Leg, Procedure, ReversalLeg

# A fix this far before a course's end is passed on the way to it.
_ON_THE_WAY_NM = 0.5


def compile_plan(procedure: Procedure, conditions: Conditions) -> Plan:
    """
    The plan of a procedure for a day.

    Raises PlanError, in one sentence, where the day cannot be flown: no minimum for the category, a wind
    stronger than the airspeed, a turn too wide for the arc.
    """
    try:
        return _compile(procedure, conditions)
    except (PlanError, NoSolution, OutsideValidity, LookupError) as problem:
        raise PlanError(
            f"{procedure.ident} cannot be planned for today: {str(problem).rstrip('.')}"
        ) from problem


def _compile(procedure: Procedure, conditions: Conditions) -> Plan:
    draft = Draft(Today(procedure=procedure, conditions=conditions))
    legs = _with_intermediate(draft.today)
    arrival = _arrival(draft)
    draft.stages.append(arrival)
    if procedure.hold is not None:
        hold_stages(draft, procedure.hold, legs[0])
    after_hold = _next_stage_name(legs, 0)
    for number, leg in enumerate(legs):
        following = legs[number + 1] if number + 1 < len(legs) else None
        following_name = _next_stage_name(legs, number + 1) if following is not None else ""
        match leg:
            case CourseLeg():
                before = copy(draft)
                course_stage(draft, leg, number, following, following_name)
                offset_course_stage(before, leg, number, following, following_name)
            case ArcLeg():
                if following is None or not isinstance(following, CourseLeg):
                    raise LookupError("an arc needs a course to turn on to after it")
                arc_stage(draft, leg, number, following, following_name)
            case ReversalLeg():
                back = isinstance(following, CourseLeg) and following.to_fix == leg.fix
                beyond = _next_stage_name(legs, number + 2) if back and number + 2 < len(legs) else ""
                reversal_stages(draft, leg, number, following, following_name, beyond or following_name)
            case FinalLeg():
                final_stages(draft, leg)
    missed_stages(draft)
    came_by = {} if procedure.hold is not None else {after_hold: arrival.event}
    stages = with_event_cues(_with_after_hold(draft.stages, after_hold), came_by)
    return Plan(
        procedure=procedure,
        conditions=conditions,
        stages=tuple(stages),
        index={stage.name: number for number, stage in enumerate(stages)},
        first=arrival.name,
        after_hold=after_hold,
        missed="missed_0",
        minimum_ft=draft.minimum_ft,
        decision_ft=draft.minimum_ft + conditions.minimum_addon_ft,
        profile=draft.profile,
        final_gradient_ft_per_nm=draft.final_gradient_ft_per_nm,
        threshold_s=draft.threshold_s,
        published=published_ft(procedure),
        racetracks=draft.racetracks,
    )


def _with_intermediate(today: Today) -> tuple[Leg, ...]:
    """
    The legs, with the courses put in that a chart leaves to be understood.

    From an arc or a reversal straight to the final approach: the turn on to the final course and the wait
    for "established" happen before the final approach fix, so they need a stage of their own. From a
    reversal to a course that begins at its fix: the way back to that fix, on its own inbound altitude.
    """
    legs: list[Leg] = []
    for leg in today.procedure.legs:
        before = legs[-1] if legs else None
        if isinstance(before, ReversalLeg):
            legs.extend(_after_reversal(today, before, leg))
        elif isinstance(before, ArcLeg) and isinstance(leg, FinalLeg):
            legs.append(
                CourseLeg(to_fix=leg.from_fix, course_mag_deg=leg.course_mag_deg, altitude=leg.altitude)
            )
            legs.append(leg)
        else:
            legs.append(leg)
    return tuple(legs)


def _after_reversal(today: Today, reversal: ReversalLeg, leg: Leg) -> list[Leg]:
    """What is flown from the reversal's inbound turn on: the turn's way is the reversal's."""
    turn = inbound_turn(reversal)
    if isinstance(leg, CourseLeg) and not _is_on_the_way(today, reversal.fix, leg):
        # The reversal's fix lies beyond this course's end: both altitudes bind on it, so the higher does.
        higher = max(leg.altitude, reversal.inbound_altitude, key=today.altitude_ft)
        return [replace(leg, turn=leg.turn or turn, altitude=higher)]
    to_fix = leg.from_fix if isinstance(leg, FinalLeg) else reversal.fix
    back = CourseLeg(
        to_fix=to_fix,
        course_mag_deg=reversal.inbound_course_mag_deg,
        altitude=reversal.inbound_altitude,
        turn=turn,
    )
    return [back, leg]


def _is_on_the_way(today: Today, ident: str, leg: CourseLeg) -> bool:
    """Whether a fix lies before a course's end, seen along it."""
    procedure = today.procedure
    altitude_ft = today.altitude_ft(leg.altitude)
    end = today.point(procedure.fix(leg.to_fix), altitude_ft)
    here = along_and_across_nm(today.point(procedure.fix(ident), altitude_ft), end, leg.course_mag_deg)
    return here.along_nm < -_ON_THE_WAY_NM


def _next_stage_name(legs: tuple[Leg, ...], number: int) -> str:
    leg = legs[number]
    match leg:
        case CourseLeg():
            return f"course_{number}"
        case ArcLeg():
            return f"arc_{number}"
        case ReversalLeg():
            return f"outbound_{number}"
        case FinalLeg():
            return "final"


def _arrival(draft: Draft) -> Stage:
    """
    The stage before anything is known: on the way to the hold, or to the first fix where the chart has no
    hold.

    Its floor is the sector's (the engine looks that up, since it needs the radial), its timeline is made in
    flight from the first report that gives a place.
    """
    today = draft.today
    procedure = today.procedure
    first_ident = draft.first_fix_ident
    fix = procedure.fix(first_ident)
    hold = procedure.hold
    altitude = hold.minimum if hold is not None else draft.first_altitude
    target_ft = today.altitude_ft(altitude)
    draft.start(today.point(fix, target_ft), draft.first_course_deg, target_ft)
    wind = today.wind(target_ft)
    return Stage(
        name="arrival",
        title=f"Arrival to {first_ident}",
        phase=Phase.ARRIVAL,
        timeline=None,
        tas_kt=today.tas_kt(today.conditions.speeds.initial_kt, target_ft),
        wind_from_mag_deg=wind.from_deg,
        wind_kt=wind.speed_kt,
        target_ft=target_ft,
        floors=(),
        event=f"hold {first_ident}" if hold is not None else f"initial approach fix {first_ident}",
        event_figures=Figures(
            radial_deg=fix.radial_deg, dme_nm=None if fix.radial_deg is None else fix.dme_nm
        ),
    )


def _with_after_hold(stages: list[Stage], after_hold: str) -> list[Stage]:
    """The hold's way out leads to the first leg; its name is known only now."""
    return [
        replace(
            stage, exits=tuple(replace(e, to=after_hold) if e.to == "after_hold" else e for e in stage.exits)
        )
        for stage in stages
    ]
