"""A holding pattern as stages: three ways in, and the two halves of the circuit."""

from dataclasses import replace

from assistant.engine.arc_lead import arc_join
from assistant.engine.circuit import Circuit, flight_at, hold_circuit, limit_figures, outbound_flight
from assistant.engine.compile_entry import action, entry_stages
from assistant.engine.compile_legs import established_cues
from assistant.engine.draft import Draft
from assistant.engine.events import CalloutKind, EntrySector, Figures, Priority, Said
from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.plan import HOLD_ENTRY, CourseFacts, Cue, Exit, Floor, Phase, Racetrack, Stage, When
from assistant.engine.timeline import Timeline
from assistant.engine.triggers import DmeReached, Trigger
from assistant.nav.geometry import (
    PlanePoint,
    along_and_across_nm,
    distance_nm,
    slant_nm_from_ground,
)
from assistant.procedure.model import ArcLeg, Hold, Leg

OFFSET_INBOUND = "hold_offset_inbound"


def hold_stages(draft: Draft, hold: Hold, first: Leg) -> None:
    """
    The stages of a hold; afterwards the draft stands where the first leg begins, inbound, at the lowest
    holding level.

    That is over the fix, or at the lead range before it where the first leg is an arc through it.
    """
    course = hold_circuit(draft.today, hold)
    altitude_ft = course.altitude_ft
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
        cues=(action(CalloutKind.OUTBOUND, out), *_limit_check(limit, base.timeline)),
    )
    draft.stages.append(outbound_stage)
    draft.stages.append(_direct(outbound_stage, out))
    returning = replace(
        base,
        event=f"hold fix {hold.fix}",
        event_figures=_fix_figures(draft, hold),
        exits=_fix_exits(draft, course, hold),
    )
    entries = entry_stages(draft, course, "hold", base, returning)
    draft.racetracks[HOLD_ENTRY] = Racetrack(
        inbound_course_mag_deg=hold.inbound_course_mag_deg,
        turn=hold.turn,
        entries=tuple((sector, f"hold_entry_{sector.value}") for sector in hold.permitted_entries),
    )
    inbound = flight_at(draft, course, outbound.point, outbound.heading_deg)
    inbound.turn(course.inbound.heading_deg, hold.turn, course.tas_kt, course.bank_deg)
    stage = _inbound(draft, course, hold, base, inbound, turn_in)
    entries = _with_offset_inbound(draft, course, hold, base, entries, turn_in)
    start = course.fix
    if isinstance(first, ArcLeg):
        entries = [
            _leaving_early(draft, course, hold, entry, first)[0]
            if len(entry.exits) == 2 and entry.course
            else entry
            for entry in entries
        ]
        stage, start = _leaving_early(draft, course, hold, stage, first)
    draft.stages.extend((*entries, stage))
    draft.start(start, course.inbound.heading_deg, altitude_ft)
    draft.tas_kt = course.tas_kt


def _with_offset_inbound(
    draft: Draft, course: Circuit, hold: Hold, base: Stage, entries: list[Stage], turn_in: Figures
) -> list[Stage]:
    """
    The offset entry with an inbound leg of its own.

    Its turn begins elsewhere than the circuit's: reckoned as the circuit's, the range would be miles off.
    """
    found: list[Stage] = []
    for entry in entries:
        if entry.name != "hold_entry_offset" or entry.timeline is None or entry.exits[0].at_s is None:
            found.append(entry)
            continue
        end = entry.timeline.at(entry.exits[0].at_s).point
        flight = flight_at(draft, course, end, entry.timeline.headings_deg[-1])
        flight.turn(course.inbound.heading_deg, hold.turn, course.tas_kt, course.bank_deg)
        inbound = _inbound(draft, course, hold, base, flight, turn_in)
        exits = tuple(replace(leaving, to=OFFSET_INBOUND) for leaving in entry.exits)
        found += [
            replace(entry, exits=exits),
            replace(
                inbound, name=OFFSET_INBOUND, title=inbound.title + " from the offset entry", joined_by=()
            ),
        ]
    return found


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
        cues=(action(CalloutKind.HOLD_ENTRY, entry), *outbound.cues[1:]),
    )


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
    coming_in = established_cues(timeline)[:-1]
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
        cues=(action(CalloutKind.INBOUND_TURN, turn_in), *coming_in),
    )
