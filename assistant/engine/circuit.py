"""What a racetrack is flown with today: shared by holds, racetrack reversals and the ways into them."""

from typing import NamedTuple

from assistant.engine.draft import Draft
from assistant.engine.events import Figures
from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.today import Today
from assistant.engine.triggers import DmeReached, TimeElapsed, Trigger
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import (
    PlanePoint,
    distance_nm,
)
from assistant.nav.holding import (
    Outbound,
    RangeLimit,
    outbound_by_rule,
    outbound_solved,
)
from assistant.nav.wind import WindTriangle, heading_for_track
from assistant.procedure.model import Hold, Turn


class Circuit(NamedTuple):
    """What a racetrack is flown with today: shared by holds and racetrack reversals."""

    fix: PlanePoint
    inbound_course_deg: float
    turn: Turn
    altitude_ft: float
    ias_kt: float
    tas_kt: float
    bank_deg: float
    wind_from_deg: float
    wind_kt: float
    inbound: WindTriangle
    outbound: Outbound
    limit_dme_nm: float | None


def circuit(
    today: Today,
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
        ias_kt,
        tas_kt,
        bank_deg,
        wind.from_deg,
        wind.speed_kt,
        inbound,
        outbound,
        dme_nm,
    )


def hold_circuit(today: Today, hold: Hold) -> Circuit:
    """Today's circuit of a hold, at its lowest level; no faster than the limit published."""
    fastest_kt = today.conditions.speeds.hold_kt
    return circuit(
        today,
        fix_ident=hold.fix,
        inbound_course_deg=hold.inbound_course_mag_deg,
        turn=hold.turn,
        altitude_ft=today.altitude_ft(hold.minimum),
        ias_kt=fastest_kt if hold.speed_limit_kt is None else min(fastest_kt, hold.speed_limit_kt),
        time_s=hold.outbound_time_s,
        dme_nm=hold.outbound_dme_nm,
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
