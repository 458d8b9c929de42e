"""Where the turns on to and off an arc begin today: lead range and lead radial."""

from assistant.engine.draft import Draft
from assistant.engine.triggers import DmeReached
from assistant.nav.geometry import (
    PlanePoint,
    along_and_across_nm,
    difference_deg,
    line_range_crossings,
    normalize_deg,
    slant_nm_from_ground,
)
from assistant.nav.leads import LeadRadial, lead_radial_from_arc, lead_range_to_arc
from assistant.procedure.model import ArcLeg, CourseLeg

# A course that passes this near the station runs along a radial, as the lead-range formula wants.
_ALONG_A_RADIAL_NM = 0.5
_STATION = PlanePoint(0.0, 0.0)


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
