"""Puts a debrief together from a log."""

from assistant.caution import CAUTION
from assistant.debrief.conduct import conduct, late_reports
from assistant.debrief.content import Debrief, Place
from assistant.debrief.events import event_rows
from assistant.debrief.final import at_minimum, decision, descent_held, slope
from assistant.debrief.flown import Flown, TrackPoint
from assistant.debrief.measures import altimeter, arcs, courses, floors, levels, turns
from assistant.debrief.rating import practices
from assistant.debrief.standards import ACS, Standard
from assistant.engine.conditions import Conditions
from assistant.engine.events import Said, StageEntered, Statement
from assistant.engine.plan import Phase
from assistant.flight_log import FlightRecord


def debrief_of(log: FlightRecord, standard: Standard = ACS) -> Debrief:
    """
    The debrief of a flight, from its log alone.

    ProcedureError or PlanError where the procedure in the log cannot be read or planned.
    """
    flown = Flown(log)
    rows = event_rows(flown)
    held, decided, talked = descent_held(flown), decision(flown), conduct(flown)
    measured = (
        floors(flown, standard),
        at_minimum(flown, decided, standard),
        altimeter(flown),
        turns(rows),
        arcs(flown, standard),
        courses(flown, standard),
        levels(flown, standard),
        slope(held),
    )
    findings = [found for measure in measured for found in measure.findings] + list(late_reports(talked))
    findings.sort(key=lambda found: found.t_s)
    procedure = flown.plan.procedure
    return Debrief(
        caution=CAUTION,
        ident=procedure.ident,
        title=procedure.title,
        edition=procedure.edition,
        started_utc=flown.header.started_utc,
        origin=flown.header.origin.value,
        conditions=_conditions(flown.header.conditions),
        prompting=flown.header.prompting,
        standard=standard.title,
        standard_source=standard.source,
        duration_s=flown.end_s,
        ended=_ended(flown),
        notice=flown.notice,
        events=rows,
        marks=tuple(mark for measure in measured for mark in measure.marks),
        findings=tuple(findings),
        practise=practices(findings),
        descent=held,
        decision=decided,
        conduct=talked,
        track=_track(flown),
    )


def _conditions(conditions: Conditions) -> tuple[str, ...]:
    winds = [
        f"wind {round(level.wind_from_mag_deg) % 360 or 360:03d}/{level.wind_kt:.0f}"
        + (f" at {level.altitude_ft:.0f} ft" if level.altitude_ft else "")
        for level in conditions.wind
    ]
    return (
        *(winds or ["calm"]),
        f"QNH {conditions.qnh_hpa:.0f}",
        f"category {conditions.category.value}",
        f"altimeter on {conditions.datum.value.upper()}",
    )


def _ended(flown: Flown) -> str:
    """How far the flight went."""
    said = [record.said for record in flown.records if isinstance(record, Statement)]
    if Said.LANDED in said:
        return "landed"
    stages = [record.stage for record in flown.records if isinstance(record, StageEntered)]
    if not stages:
        return "ended before the first fix"
    stage = flown.state_at(flown.end_s).stage
    return {
        Phase.LANDING: "ended in sight of the runway",
        Phase.MISSED: "ended on the missed approach",
    }.get(stage.phase, f"ended on: {stage.title}")


def _track(flown: Flown) -> tuple[Place, ...]:
    """The reckoned way, the readings on it and, of a simulated flight, the true way, in order of time."""
    readings = [
        Place(
            t_s=reading.t_s,
            east_nm=reading.point.east_nm,
            north_nm=reading.point.north_nm,
            dme_nm=reading.report.dme_nm,
            radial_deg=reading.report.radial_deg,
            altitude_ft=reading.altitude_ft,
            source="sample" if reading.is_sample else "report",
        )
        for reading in flown.accepted
        if reading.point is not None
        and reading.report.dme_nm is not None
        and reading.report.radial_deg is not None
    ]
    reckoned = [_place(point, "reckoning") for point in flown.track(4.0)]
    true = [_place(point, "truth") for point in flown.true_track()]
    return tuple(sorted([*readings, *reckoned, *true], key=lambda place: place.t_s))


def _place(there: TrackPoint, source: str) -> Place:
    return Place(
        t_s=there.t_s,
        east_nm=there.point.east_nm,
        north_nm=there.point.north_nm,
        dme_nm=there.dme_nm,
        radial_deg=there.radial_deg,
        altitude_ft=there.altitude_ft,
        source=source,
    )
