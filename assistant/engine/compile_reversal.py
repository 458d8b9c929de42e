"""Reversals as stages: base turn, penetration, racetrack and the two procedure turns."""

from copy import copy
from dataclasses import replace

from assistant.engine.circuit import Circuit, circuit, limit_figures, outbound_flight
from assistant.engine.compile_entry import entry_stages
from assistant.engine.compile_legs import course_stage, descent_cue
from assistant.engine.draft import Draft, entry_turn, fix_trigger
from assistant.engine.events import CalloutKind, EntrySector, Figures, Priority, Said
from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.outbound_time import outbound_time_s
from assistant.engine.plan import CourseFacts, Cue, Exit, Floor, Phase, PlanError, Racetrack, Stage, When
from assistant.engine.triggers import DmeReached, TimeElapsed, Trigger
from assistant.engine.turning_away import turn_away
from assistant.nav.geometry import PlanePoint
from assistant.nav.wind import heading_for_track
from assistant.procedure.model import Category, CourseLeg, Leg, OutboundTrack, ReversalLeg, Turn

_FAR_NM = 100.0
# Overhead a station neither needle tells the moment it is passed: so much later the first descent is called.
_PAST_FIX_S = 8.0


def reversal_stages(
    draft: Draft,
    leg: ReversalLeg,
    number: int,
    following: Leg | None,
    following_name: str,
    beyond_name: str,
) -> None:
    """
    Outbound, and for a procedure turn the offset leg.

    The turn inbound belongs to the course that follows. `beyond_name` is what follows the reversal's own fix
    when it is passed inbound: a parallel entry comes back to it without another turn.
    """
    today = draft.today
    track = outbound_track(leg, today.conditions.category)
    altitude_ft = today.altitude_ft(leg.altitude)
    speeds = today.conditions.speeds
    ias_kt = min(speeds.initial_kt, leg.speed_limit_kt or speeds.initial_kt)
    tas_kt = today.tas_kt(ias_kt, altitude_ft)
    wind = today.wind(altitude_ft)
    before_ft = draft.floor_ft
    trigger: Trigger
    turn: Turn | None
    facts: CourseFacts | None = None
    racetrack: Circuit | None = None
    anchor = today.point(today.procedure.fix(leg.fix), altitude_ft)
    if leg.pattern == "racetrack":
        course = circuit(
            today,
            fix_ident=leg.fix,
            inbound_course_deg=leg.inbound_course_mag_deg,
            turn=leg.turn,
            altitude_ft=altitude_ft,
            ias_kt=ias_kt,
            time_s=track.time_s,
            dme_nm=track.dme_nm,
        )
        flight, trigger = outbound_flight(draft, course)
        turn, heading_deg = leg.turn, course.outbound.heading_deg
        racetrack = course
    else:
        heading_deg = heading_for_track(
            track.course_mag_deg, tas_kt, wind.from_deg, wind.speed_kt
        ).heading_deg
        flight = draft.flight(altitude_ft)
        turn = entry_turn(draft, flight, heading_deg, tas_kt)
        time_s = None
        if track.time_s is not None:
            back = following if isinstance(following, CourseLeg) else None
            time_s = outbound_time_s(draft, leg, back, track, tas_kt, altitude_ft)
        trigger = _fly_outbound(flight, anchor, track, tas_kt, time_s)
        facts = CourseFacts(course_mag_deg=track.course_mag_deg, anchor=anchor)
    timeline = flight.timeline()
    figures = limit_figures(trigger)
    procedure_turn = leg.pattern.startswith("procedure_turn")
    stage = Stage(
        name=f"outbound_{number}",
        title=f"{leg.pattern.replace('_', ' ').capitalize()}, outbound",
        phase=Phase.INITIAL,
        timeline=timeline,
        tas_kt=tas_kt,
        wind_from_mag_deg=wind.from_deg,
        wind_kt=wind.speed_kt,
        target_ft=altitude_ft,
        floors=(Floor(altitude_ft=draft.floor_of(leg.altitude, before_ft)),),
        course=facts,
        turns=turn is not None,
        free_turn=turn is not None and racetrack is None,
        event="procedure turn" if procedure_turn else "inbound turn",
        event_figures=figures,
        joined_by=(Said.OUTBOUND,),
        exits=(
            Exit(
                trigger=trigger,
                at_s=timeline.duration_s,
                to=f"procedure_turn_{number}" if procedure_turn else following_name,
            ),
        ),
        cues=(
            Cue(
                name="turn",
                at_s=0.0,
                kind=CalloutKind.OUTBOUND,
                priority=Priority.ACTION,
                figures=Figures(
                    turn=turn,
                    heading_mag_deg=heading_deg,
                    course_mag_deg=track.course_mag_deg if facts is not None else None,
                    time_s=figures.time_s,
                    dme_nm=figures.dme_nm,
                ),
            ),
            *descent_cue(draft, altitude_ft, when=When.ALWAYS, at_s=_PAST_FIX_S),
        ),
    )
    draft.finish(stage, flight, stage.floors[0].altitude_ft)
    if racetrack is not None:
        _racetrack_entries(draft, racetrack, leg, stage, beyond_name)
    if leg.turn_altitude is not None:
        draft.turn_altitude_ft = today.altitude_ft(leg.turn_altitude)
    if procedure_turn:
        _procedure_turn(draft, leg, number, stage, following_name)


def _racetrack_entries(
    draft: Draft, course: Circuit, leg: ReversalLeg, outbound: Stage, beyond_name: str
) -> None:
    """A racetrack is entered as a hold is, by sector (ICAO Doc 8168 Vol I, racetrack procedures)."""
    # By the fix itself, not by the outbound leg's limit: what ends by the clock is never taken back.
    passing = fix_trigger(draft, leg.fix, leg.inbound_course_mag_deg, course.altitude_ft)
    returning = replace(
        outbound,
        event=leg.fix,
        event_figures=Figures(),
        exits=(Exit(trigger=passing, at_s=None, to=beyond_name),),
        joined_by=(),
    )
    base = replace(outbound, joined_by=())
    draft.stages.extend(entry_stages(draft, course, outbound.name, base, returning))
    draft.racetracks[outbound.name] = Racetrack(
        inbound_course_mag_deg=leg.inbound_course_mag_deg,
        turn=leg.turn,
        entries=(
            (EntrySector.DIRECT, outbound.name),
            (EntrySector.OFFSET, f"{outbound.name}_entry_offset"),
            (EntrySector.PARALLEL, f"{outbound.name}_entry_parallel"),
        ),
    )


def offset_course_stage(draft: Draft, leg: CourseLeg, number: int, following: Leg | None, to: str) -> None:
    """
    The course after a racetrack as it is flown from the offset entry; its stage comes after the course's own.

    Its turn begins elsewhere than the pattern's: reckoned as that, a good report would be challenged.
    `draft` is as it was before the course was compiled; nothing of it is changed but the stages.
    """
    found = [
        (index, entry)
        for index, entry in enumerate(draft.stages)
        if entry.entry is EntrySector.OFFSET and entry.exits[0].to == f"course_{number}"
    ]
    for index, entry in found:
        if entry.timeline is None or entry.exits[0].at_s is None:
            continue
        beside = copy(draft)
        beside.stages = []
        beside.start(
            entry.timeline.at(entry.exits[0].at_s).point, entry.timeline.headings_deg[-1], draft.floor_ft
        )
        course_stage(beside, leg, number, following, to)
        (stage,) = beside.stages
        name = entry.name.replace("entry_offset", "offset_inbound")
        draft.stages[index] = replace(entry, exits=tuple(replace(one, to=name) for one in entry.exits))
        title = f"{stage.title} from the offset entry"
        draft.stages.append(replace(stage, name=name, title=title))


def outbound_track(leg: ReversalLeg, category: Category) -> OutboundTrack:
    """The outbound track that the chart gives a category; PlanError where it gives none."""
    for track in leg.outbound:
        if category in track.categories:
            return track
    raise PlanError(f"the reversal at {leg.fix} publishes no outbound track for category {category}")


def _fly_outbound(
    flight: NominalFlight, anchor: PlanePoint, track: OutboundTrack, tas_kt: float, time_s: float | None
) -> Trigger:
    """
    Out along the charted track to the limit, or for today's time.

    A range that a hundred miles do not reach is the chart's fault.
    """
    start_s = flight.time_s
    flight.follow_course(anchor, track.course_mag_deg, tas_kt, to_along_nm=_FAR_NM)
    if time_s is not None:
        # Timed from over the fix, or from wings level where the turn outbound comes first.
        flight.cut(start_s + time_s)
        return TimeElapsed(time_s=time_s)
    if track.dme_nm is None:
        raise PlanError("an outbound track has neither time nor range")
    start_dme_nm = flight.timeline().at(start_s).dme_nm
    trigger = DmeReached(dme_nm=track.dme_nm, closing=track.dme_nm < start_dme_nm)
    at_s = flight.timeline().when(trigger, from_s=flight.turn_end_s)
    if at_s is None:
        raise PlanError(f"the outbound track {track.course_mag_deg:03.0f} never reads {track.dme_nm} miles")
    flight.cut(at_s)
    return trigger


def _procedure_turn(
    draft: Draft, leg: ReversalLeg, number: int, outbound: Stage, following_name: str
) -> None:
    """The turn away from the outbound course: 45 degrees and a timed leg, or 80 degrees and straight back."""
    today = draft.today
    altitude_ft = outbound.floors[0].altitude_ft
    wind = today.wind(altitude_ft)
    away = turn_away(today, leg, outbound.tas_kt, altitude_ft)
    heading_deg = away.heading_mag_deg
    flight = draft.flight(altitude_ft)
    flight.turn(heading_deg, leg.turn, outbound.tas_kt, today.bank_deg(outbound.tas_kt))
    if away.leg_s is not None:
        flight.hold_heading(heading_deg, outbound.tas_kt, away.straight_s(flight.time_s))
    timeline = flight.timeline()
    trigger = TimeElapsed(time_s=round(timeline.duration_s))
    stage = Stage(
        name=f"procedure_turn_{number}",
        title="Procedure turn",
        phase=Phase.INITIAL,
        timeline=timeline,
        tas_kt=outbound.tas_kt,
        wind_from_mag_deg=wind.from_deg,
        wind_kt=wind.speed_kt,
        target_ft=outbound.target_ft,
        floors=outbound.floors,
        turns=True,
        event="inbound turn",
        event_figures=Figures(time_s=trigger.time_s),
        joined_by=(Said.TURNING,),
        exits=(Exit(trigger=trigger, at_s=timeline.duration_s, to=following_name),),
        cues=(
            Cue(
                name="turn",
                at_s=0.0,
                kind=CalloutKind.OUTBOUND,
                priority=Priority.ACTION,
                figures=Figures(turn=leg.turn, heading_mag_deg=heading_deg, time_s=trigger.time_s),
            ),
        ),
    )
    draft.finish(stage, flight, altitude_ft)
