"""A holding pattern as stages: three ways in, and the two halves of the circuit."""

from dataclasses import replace
from typing import NamedTuple

from assistant.engine.compile_legs import arc_join, established_cues
from assistant.engine.draft import Draft
from assistant.engine.events import CalloutKind, EntrySector, Figures, Priority, Said
from assistant.engine.plan import HOLD_ENTRY, CourseFacts, Cue, Exit, Floor, Phase, Racetrack, Stage, When
from assistant.engine.timeline import NominalFlight, Timeline
from assistant.engine.triggers import DmeReached, TimeElapsed, Trigger
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import (
    PlanePoint,
    along_and_across_nm,
    bearing_deg,
    distance_nm,
    normalize_deg,
    reciprocal_deg,
    slant_nm_from_ground,
)
from assistant.nav.holding import (
    SHORTEST_OUTBOUND_S,
    Outbound,
    RangeLimit,
    entry_heading_deg,
    outbound_by_rule,
    outbound_solved,
)
from assistant.nav.wind import WindTriangle, heading_for_track
from assistant.procedure.model import ArcLeg, Hold, Leg, Turn

# An offset entry is left after a minute at the latest (ICAO Doc 8168 Vol I, holding, sector 2).
OFFSET_ENTRY_S = 60.0


class Circuit(NamedTuple):
    """What a racetrack is flown with today: shared by holds and racetrack reversals."""

    fix: PlanePoint
    inbound_course_deg: float
    turn: Turn
    altitude_ft: float
    tas_kt: float
    bank_deg: float
    wind_from_deg: float
    wind_kt: float
    inbound: WindTriangle
    outbound: Outbound
    limit_dme_nm: float | None


def circuit(
    draft: Draft,
    *,
    fix_ident: str,
    inbound_course_deg: float,
    turn: Turn,
    altitude_ft: float,
    ias_kt: float,
    time_s: float | None,
    dme_nm: float | None,
) -> Circuit:
    """
    Today's racetrack: the outbound heading solved so that the inbound turn rolls out on course.

    Where no heading does that (wind too strong for the leg's length), the triple-drift rule's.
    """
    today = draft.today
    fix = today.point(today.procedure.fix(fix_ident), altitude_ft)
    tas_kt = today.tas_kt(ias_kt, altitude_ft)
    bank_deg, wind = today.bank_deg(tas_kt), today.wind(altitude_ft)
    limit = None
    if dme_nm is not None:
        limit = RangeLimit(PlanePoint(-fix.east_nm, -fix.north_nm), today.ground_nm(dme_nm, altitude_ft))
    nominal_s = 60.0 if time_s is None else time_s
    try:
        outbound = outbound_solved(
            inbound_course_deg,
            turn.value,
            tas_kt,
            bank_deg,
            wind.from_deg,
            wind.speed_kt,
            inbound_time_s=nominal_s,
            range_limit=limit,
        )
    except NoSolution:
        outbound = outbound_by_rule(
            inbound_course_deg,
            turn.value,
            tas_kt,
            bank_deg,
            wind.from_deg,
            wind.speed_kt,
            nominal_time_s=nominal_s,
            range_limit=limit,
        )
    inbound = heading_for_track(inbound_course_deg, tas_kt, wind.from_deg, wind.speed_kt)
    return Circuit(
        fix,
        inbound_course_deg,
        turn,
        altitude_ft,
        tas_kt,
        bank_deg,
        wind.from_deg,
        wind.speed_kt,
        inbound,
        outbound,
        dme_nm,
    )


def flight_at(draft: Draft, course: Circuit, point: PlanePoint, heading_deg: float) -> NominalFlight:
    """A nominal flight in the circuit's wind, from a place and heading."""
    return NominalFlight(
        point=point,
        heading_deg=heading_deg,
        wind_from_deg=course.wind_from_deg,
        wind_kt=course.wind_kt,
        height_ft=draft.today.height_above_station_ft(course.altitude_ft),
    )


def outbound_flight(draft: Draft, course: Circuit) -> tuple[NominalFlight, Trigger]:
    """From the fix, the outbound turn and leg, to what ends it."""
    flight = flight_at(draft, course, course.fix, course.inbound.heading_deg)
    flight.turn(course.outbound.heading_deg, course.turn, course.tas_kt, course.bank_deg)
    flight.hold_heading(course.outbound.heading_deg, course.tas_kt, max(course.outbound.straight_s, 1.0))
    return flight, outbound_limit(course)


def outbound_limit(course: Circuit) -> Trigger:
    """What ends the outbound leg: its range, or its time from abeam the fix."""
    if course.limit_dme_nm is not None:
        opening = distance_nm(course.fix, PlanePoint(0.0, 0.0)) < course.limit_dme_nm
        return DmeReached(dme_nm=course.limit_dme_nm, closing=not opening)
    return TimeElapsed(time_s=round(course.outbound.time_s))


def limit_figures(trigger: Trigger) -> Figures:
    """The limit of an outbound leg, for saying it."""
    match trigger:
        case DmeReached(dme_nm=dme_nm):
            return Figures(dme_nm=dme_nm)
        case TimeElapsed(time_s=time_s):
            return Figures(time_s=time_s)
        case _:
            raise ValueError(f"{trigger} does not end an outbound leg")


def hold_stages(draft: Draft, hold: Hold, first: Leg) -> None:
    """
    The stages of a hold; afterwards the draft stands where the first leg begins, inbound, at the lowest
    holding level.

    That is over the fix, or at the lead range before it where the first leg is an arc through it.
    """
    today = draft.today
    altitude_ft = today.altitude_ft(hold.minimum)
    speeds = today.conditions.speeds
    ias_kt = speeds.hold_kt if hold.speed_limit_kt is None else min(speeds.hold_kt, hold.speed_limit_kt)
    course = circuit(
        draft,
        fix_ident=hold.fix,
        inbound_course_deg=hold.inbound_course_mag_deg,
        turn=hold.turn,
        altitude_ft=altitude_ft,
        ias_kt=ias_kt,
        time_s=hold.outbound_time_s,
        dme_nm=hold.outbound_dme_nm,
    )
    outbound, limit = outbound_flight(draft, course)
    base = Stage(
        name="hold_outbound",
        title=f"Hold {hold.fix}, outbound",
        phase=Phase.HOLD,
        timeline=outbound.timeline(),
        tas_kt=course.tas_kt,
        wind_from_mag_deg=course.wind_from_deg,
        wind_kt=course.wind_kt,
        target_ft=altitude_ft,
        floors=(Floor(altitude_ft=altitude_ft),),
        turns=True,
        event="inbound turn",
        event_figures=limit_figures(limit),
        exits=(Exit(trigger=limit, at_s=outbound.time_s, to="hold_inbound"),),
    )
    turn_in = Figures(
        turn=hold.turn, heading_mag_deg=course.inbound.heading_deg, course_mag_deg=hold.inbound_course_mag_deg
    )
    out = replace(limit_figures(limit), turn=hold.turn, heading_mag_deg=course.outbound.heading_deg)
    outbound_stage = replace(
        base,
        joined_by=(Said.OUTBOUND,),
        cues=(_action(CalloutKind.OUTBOUND, out), *_limit_check(limit, base.timeline)),
    )
    draft.stages.append(outbound_stage)
    draft.stages.append(_direct(outbound_stage, out))
    returning = replace(
        base,
        event=f"hold fix {hold.fix}",
        event_figures=_fix_figures(draft, hold),
        exits=_fix_exits(draft, course, hold),
    )
    draft.stages.extend(entry_stages(draft, course, "hold", base, returning))
    draft.racetracks[HOLD_ENTRY] = Racetrack(
        inbound_course_mag_deg=hold.inbound_course_mag_deg,
        turn=hold.turn,
        entries=tuple((sector, f"hold_entry_{sector.value}") for sector in hold.permitted_entries),
    )
    inbound = flight_at(draft, course, outbound.point, outbound.heading_deg)
    inbound.turn(course.inbound.heading_deg, hold.turn, course.tas_kt, course.bank_deg)
    stage = _inbound(draft, course, hold, base, inbound, turn_in)
    start = course.fix
    if isinstance(first, ArcLeg):
        stage, start = _leaving_early(draft, course, hold, stage, first)
    draft.stages.append(stage)
    draft.start(start, course.inbound.heading_deg, altitude_ft)
    draft.tas_kt = course.tas_kt


def _leaving_early(
    draft: Draft, course: Circuit, hold: Hold, stage: Stage, arc: ArcLeg
) -> tuple[Stage, PlanePoint]:
    """The inbound leg with the way out led on to the arc, and where that is."""
    join = arc_join(draft, hold.fix, hold.inbound_course_mag_deg, arc, course.altitude_ft, course.tas_kt)
    if join is None or stage.timeline is None:
        return stage, course.fix
    trigger, _ = join
    at_s = stage.timeline.when(trigger, from_s=stage.timeline.turn_end_s)
    if at_s is None:
        return stage, course.fix
    event = f"turn on to the {arc.arc_dme_nm:.0f} mile arc"
    staying, leaving = stage.exits
    leaving = replace(leaving, trigger=trigger, at_s=at_s, event=event)
    return replace(stage, exits=(staying, leaving)), stage.timeline.at(at_s).point


def _action(kind: CalloutKind, figures: Figures) -> Cue:
    return Cue(name="turn", at_s=0.0, kind=kind, priority=Priority.ACTION, figures=figures)


def _limit_check(limit: Trigger, timeline: Timeline | None) -> tuple[Cue, ...]:
    """Once wings level outbound: is the range going the right way."""
    if timeline is None or not isinstance(limit, DmeReached):
        return ()
    item = "range closing" if limit.closing else "range opening"
    return (
        Cue(
            name="range",
            at_s=timeline.turn_end_s + 5.0,
            kind=CalloutKind.CHECK,
            priority=Priority.PREPARATION,
            figures=Figures(item=item),
        ),
    )


def _direct(outbound: Stage, figures: Figures) -> Stage:
    """Sector 3: the outbound turn and leg as in every circuit."""
    entry = replace(figures, entry=EntrySector.DIRECT)
    return replace(
        outbound,
        name="hold_entry_direct",
        title=outbound.title.replace("outbound", "direct entry"),
        entry=EntrySector.DIRECT,
        joined_by=(),
        cues=(_action(CalloutKind.HOLD_ENTRY, entry), *outbound.cues[1:]),
    )


def entry_stages(draft: Draft, course: Circuit, prefix: str, base: Stage, returning: Stage) -> list[Stage]:
    """
    The offset and parallel ways into a racetrack; the direct one is its own outbound leg.

    `base` has the names and floors of the outbound leg and ends where it ends; `returning` is what follows
    the parallel entry's outbound leg, with its event and exits.
    """
    return [
        _offset(draft, course, prefix, base),
        *_parallel(draft, course, prefix, base, returning),
    ]


def _entry_end(course: Circuit, flight: NominalFlight) -> tuple[Trigger, float]:
    """What ends an entry's outbound leg: the pattern's range where it is met, else the time flown."""
    limit = outbound_limit(course)
    at_s = flight.timeline().when(limit) if isinstance(limit, DmeReached) else None
    if at_s is not None:
        return limit, at_s
    return TimeElapsed(time_s=round(flight.time_s)), flight.time_s


def _offset(draft: Draft, course: Circuit, prefix: str, base: Stage) -> Stage:
    """Sector 2: 30 degrees into the holding side, a minute or the limit, then the turn inbound."""
    track_deg = entry_heading_deg("offset", course.inbound_course_deg, course.turn.value)
    heading_deg = heading_for_track(
        track_deg, course.tas_kt, course.wind_from_deg, course.wind_kt
    ).heading_deg
    flight = flight_at(draft, course, course.fix, heading_deg)
    straight_s = max(course.outbound.straight_s, 1.0)
    flight.hold_heading(
        heading_deg, course.tas_kt, straight_s if course.limit_dme_nm else min(straight_s, OFFSET_ENTRY_S)
    )
    trigger, at_s = _entry_end(course, flight)
    entry = replace(limit_figures(trigger), entry=EntrySector.OFFSET, heading_mag_deg=heading_deg)
    return replace(
        base,
        name=f"{prefix}_entry_offset",
        title=base.title.replace("outbound", "offset entry"),
        timeline=flight.timeline(),
        event_figures=limit_figures(trigger),
        entry=EntrySector.OFFSET,
        course=None,
        exits=tuple(replace(leaving, trigger=trigger, at_s=at_s) for leaving in base.exits),
        cues=(_action(CalloutKind.HOLD_ENTRY, entry),),
    )


def _parallel(draft: Draft, course: Circuit, prefix: str, base: Stage, returning: Stage) -> list[Stage]:
    """
    Sector 1.

    Parallel to the inbound course outbound, then round through the holding side to cut the course at 45.
    """
    out_deg = reciprocal_deg(course.inbound_course_deg)
    wind = (course.wind_from_deg, course.wind_kt)
    heading_deg = heading_for_track(out_deg, course.tas_kt, *wind).heading_deg
    flight = flight_at(draft, course, course.fix, heading_deg)
    flight.hold_heading(heading_deg, course.tas_kt, max(course.outbound.straight_s, SHORTEST_OUTBOUND_S))
    trigger, at_s = _entry_end(course, flight)
    entry = replace(limit_figures(trigger), entry=EntrySector.PARALLEL, heading_mag_deg=heading_deg)
    back_name = f"{prefix}_parallel_return"
    outbound = replace(
        base,
        name=f"{prefix}_entry_parallel",
        title=base.title.replace("outbound", "parallel entry"),
        timeline=flight.timeline(),
        event_figures=limit_figures(trigger),
        entry=EntrySector.PARALLEL,
        course=None,
        exits=(Exit(trigger=trigger, at_s=at_s, to=back_name),),
        cues=(_action(CalloutKind.HOLD_ENTRY, entry),),
    )
    way = Turn.LEFT if course.turn is Turn.RIGHT else Turn.RIGHT
    cut_deg = normalize_deg(course.inbound_course_deg + (-45.0 if way is Turn.LEFT else 45.0))
    back = flight_at(draft, course, flight.point, heading_deg)
    cut_heading_deg = heading_for_track(cut_deg, course.tas_kt, *wind).heading_deg
    back.turn(cut_heading_deg, way, course.tas_kt, course.bank_deg)
    turn_end_s = back.time_s
    _to_the_course(back, course, cut_heading_deg)
    turn_in = Figures(turn=way, heading_mag_deg=cut_heading_deg, course_mag_deg=course.inbound_course_deg)
    back_stage = replace(
        returning,
        name=back_name,
        title=base.title.replace("outbound", "return to the course"),
        timeline=replace(back.timeline(), turn_end_s=turn_end_s),
        course=CourseFacts(course_mag_deg=course.inbound_course_deg, anchor=course.fix),
        exits=tuple(replace(leaving, at_s=back.time_s) for leaving in returning.exits),
        cues=(_action(CalloutKind.INBOUND_TURN, turn_in),),
    )
    return [outbound, back_stage]


def _to_the_course(flight: NominalFlight, course: Circuit, cut_heading_deg: float) -> None:
    """
    On the cutting heading until the course line, then along it to the fix (or straight to the fix when too
    near).
    """
    for _ in range(150):
        here = along_and_across_nm(flight.point, course.fix, course.inbound_course_deg)
        crossed = here.across_nm >= 0.0 if course.turn is Turn.LEFT else here.across_nm <= 0.0
        if crossed or here.along_nm >= -0.5:
            break
        flight.hold_heading(cut_heading_deg, course.tas_kt, 2.0)
    here = along_and_across_nm(flight.point, course.fix, course.inbound_course_deg)
    if here.along_nm < -0.2:
        flight.follow_course(course.fix, course.inbound_course_deg, course.tas_kt)
    else:
        direct_deg = bearing_deg(flight.point, course.fix)
        flight.follow_course(course.fix, direct_deg, course.tas_kt)


def _fix_figures(draft: Draft, hold: Hold) -> Figures:
    """Where the hold's fix is read; overhead the station there is nothing to read."""
    fix = draft.today.procedure.fix(hold.fix)
    return Figures(dme_nm=None if fix.radial_deg is None else fix.dme_nm)


def _fix_exits(draft: Draft, course: Circuit, hold: Hold) -> tuple[Exit, ...]:
    """Over the fix: round again, or away; the place on the timeline is the stage's own."""
    ground_nm = distance_nm(course.fix, PlanePoint(0.0, 0.0))
    dme_nm = slant_nm_from_ground(ground_nm, draft.today.height_above_station_ft(course.altitude_ft))
    station = along_and_across_nm(PlanePoint(0.0, 0.0), course.fix, hold.inbound_course_mag_deg)
    trigger = DmeReached(dme_nm=round(dme_nm, 1), closing=station.along_nm >= 0.0)
    return (
        Exit(trigger=trigger, at_s=None, to="hold_outbound", when=When.STAYING),
        Exit(trigger=trigger, at_s=None, to="after_hold", when=When.LEAVING),
    )


def _inbound(
    draft: Draft, course: Circuit, hold: Hold, base: Stage, flight: NominalFlight, turn_in: Figures
) -> Stage:
    flight.follow_course(course.fix, hold.inbound_course_mag_deg, course.tas_kt)
    timeline = flight.timeline()
    exits = tuple(replace(leaving, at_s=timeline.duration_s) for leaving in _fix_exits(draft, course, hold))
    needle, _ = established_cues(timeline)
    return replace(
        base,
        name="hold_inbound",
        title=base.title.replace("outbound", "inbound"),
        timeline=timeline,
        event=f"hold fix {hold.fix}",
        event_figures=_fix_figures(draft, hold),
        course=CourseFacts(course_mag_deg=hold.inbound_course_mag_deg, anchor=course.fix),
        joined_by=(Said.INBOUND,),
        passed_fix=hold.fix,
        exits=exits,
        cues=(_action(CalloutKind.INBOUND_TURN, turn_in), needle),
    )
