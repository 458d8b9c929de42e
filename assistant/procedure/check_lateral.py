"""
Does a chart hang together seen from above: fixes, courses between them, arcs, lead radials.

Radials and courses are printed to a degree and ranges to 0.1 NM, so a point may be half a degree of its range
off, and a course half a degree of its length.
"""

from collections.abc import Iterator
from math import hypot, radians, sin

from assistant.nav.airspeed import tas_kt_from_ias
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import (
    PlanePoint,
    along_and_across_nm,
    bearing_deg,
    difference_deg,
    distance_nm,
    plane_from_polar,
    radial_dme_from_position,
    slant_nm_from_ground,
)
from assistant.nav.leads import lead_radial_from_arc
from assistant.nav.speed_limits import category_speeds
from assistant.nav.turns import bank_in_use_deg
from assistant.procedure.findings import Path, Remark, Result, Severity
from assistant.procedure.layout import (
    arc_sweep_deg,
    fix_point,
    ground_nm,
    msl_ft,
    passing_altitude_ft,
)
from assistant.procedure.model import ArcLeg, Category, CourseLeg, Leg, Procedure, ReversalLeg

RADIAL_ROUNDING_DEG = 0.5
RANGE_ROUNDING_NM = 0.06
SMALLEST_ARC_NM = 7.0
"""ICAO Doc 8168 Vol II: the smallest radius of a DME arc."""


def lateral_findings(procedure: Procedure) -> Iterator[Remark | Result]:
    """Every remark and result on fixes, courses and arcs."""
    yield from _fixes(procedure)
    for index, leg in enumerate(procedure.legs):
        before = procedure.legs[index - 1] if index else None
        if isinstance(leg, CourseLeg):
            yield from _course(procedure, leg, before, index)
        elif isinstance(leg, ArcLeg):
            yield from _arc(procedure, leg, index)


def placing_error_nm(dme_nm: float) -> float:
    """How far off a fix may lie through the rounding of its radial and range, NM."""
    return hypot(RANGE_ROUNDING_NM, dme_nm * sin(radians(RADIAL_ROUNDING_DEG)))


def _fixes(procedure: Procedure) -> Iterator[Remark | Result]:
    station = procedure.navaid
    for index, fix in enumerate(procedure.fixes):
        if fix.latitude_deg is None or fix.longitude_deg is None:
            continue
        polar = radial_dme_from_position(
            station.latitude_deg,
            station.longitude_deg,
            station.declination_deg,
            fix.latitude_deg,
            fix.longitude_deg,
        )
        apart_nm = distance_nm(
            plane_from_polar(polar.radial_deg, polar.ground_nm), fix_point(procedure, fix.ident)
        )
        height_ft = passing_altitude_ft(procedure, fix.ident) - station.elevation_ft
        slant_nm = slant_nm_from_ground(polar.ground_nm, height_ft)
        text = f"{fix.ident} by latitude and longitude: radial {polar.radial_deg:05.1f}, {slant_nm:.1f} DME"
        if apart_nm > placing_error_nm(fix.dme_nm):
            problem = f"{text}; {apart_nm:.1f} NM from its radial and range"
            remedy = "correct one of the two, or the station's declination"
            yield Remark(path=("fixes", index), problem=problem, remedy=remedy)
        else:
            yield Result(subject="fix", text=text)


def _course(
    procedure: Procedure, leg: CourseLeg, before: Leg | None, index: int
) -> Iterator[Remark | Result]:
    end = fix_point(procedure, leg.to_fix)
    where: Path = ("legs", index, "course_mag_deg")
    if leg.from_fix is not None:
        start_name, start = leg.from_fix, fix_point(procedure, leg.from_fix)
        start_dme_nm = procedure.fix(leg.from_fix).dme_nm
    elif isinstance(before, ArcLeg):
        ground = ground_nm(procedure, before.arc_dme_nm, msl_ft(procedure, before.altitude))
        start, start_dme_nm = plane_from_polar(before.to_radial_deg, ground), before.arc_dme_nm
        start_name = f"radial {before.to_radial_deg:03.0f} of the arc"
    elif isinstance(before, ReversalLeg):
        yield from _after_reversal(procedure, leg, before, index)
        return
    else:
        return
    length_nm = distance_nm(start, end)
    if length_nm < RANGE_ROUNDING_NM:
        yield Remark(
            path=where, problem=f"{start_name} and {leg.to_fix} are one place", remedy="remove the leg"
        )
        return
    seen = along_and_across_nm(end, start, leg.course_mag_deg)
    allowed_nm = (
        placing_error_nm(start_dme_nm)
        + placing_error_nm(procedure.fix(leg.to_fix).dme_nm)
        + length_nm * sin(radians(RADIAL_ROUNDING_DEG))
    )
    leads_deg = bearing_deg(start, end)
    if seen.along_nm <= 0.0 or abs(seen.across_nm) > allowed_nm:
        problem = f"{start_name} to {leg.to_fix} is {leads_deg:05.1f}, {length_nm:.1f} NM"
        yield Remark(
            path=where, problem=problem, remedy="correct the course, or the fixes' radials and ranges"
        )
    else:
        text = f"{leg.course_mag_deg:03.0f} from {start_name} to {leg.to_fix}, by geometry {leads_deg:05.1f}"
        yield Result(subject="course", text=f"{text}, {length_nm:.1f} NM")


def _after_reversal(
    procedure: Procedure, leg: CourseLeg, before: ReversalLeg, index: int
) -> Iterator[Remark]:
    """The leg carries on along the inbound course, and that course passes through the reversal's fix."""
    turned_deg = abs(difference_deg(before.inbound_course_mag_deg, leg.course_mag_deg))
    if turned_deg > 2.0 * RADIAL_ROUNDING_DEG:
        problem = (
            f"{leg.course_mag_deg:03.0f} is not the inbound course {before.inbound_course_mag_deg:03.0f}"
        )
        remedy = "let the leg after a reversal carry on along its inbound course"
        yield Remark(path=("legs", index, "course_mag_deg"), problem=problem, remedy=remedy)
    end, turned_at = fix_point(procedure, leg.to_fix), fix_point(procedure, before.fix)
    across_nm = along_and_across_nm(end, turned_at, leg.course_mag_deg).across_nm
    apart_nm = distance_nm(end, turned_at)
    allowed_nm = (
        placing_error_nm(procedure.fix(leg.to_fix).dme_nm)
        + placing_error_nm(procedure.fix(before.fix).dme_nm)
        + apart_nm * sin(radians(RADIAL_ROUNDING_DEG))
    )
    if abs(across_nm) > allowed_nm:
        line = f"{leg.course_mag_deg:03.0f} through {before.fix}"
        problem = f"{leg.to_fix} lies {abs(across_nm):.1f} NM beside {line}"
        yield Remark(path=("legs", index, "to_fix"), problem=problem, remedy="correct the course or the fix")


def _arc(procedure: Procedure, leg: ArcLeg, index: int) -> Iterator[Remark | Result]:
    where: Path = ("legs", index)
    fix = procedure.fix(leg.from_fix)
    if abs(fix.dme_nm - leg.arc_dme_nm) > 2.0 * RANGE_ROUNDING_NM:
        problem = f"{fix.ident} is at {fix.dme_nm:g} DME, not on the arc of {leg.arc_dme_nm:g} DME"
        yield Remark(
            path=(*where, "arc_dme_nm"), problem=problem, remedy="correct the arc's range or the fix"
        )
    if leg.arc_dme_nm < SMALLEST_ARC_NM:
        problem = f"an arc of {leg.arc_dme_nm:g} DME is below the {SMALLEST_ARC_NM:g} NM that designers keep"
        remedy = "check the range"
        yield Remark(path=(*where, "arc_dme_nm"), problem=problem, remedy=remedy, severity=Severity.WARNING)
    if fix.radial_deg is None:
        return
    sweep_deg = arc_sweep_deg(leg, fix.radial_deg, leg.to_radial_deg)
    if not 0.0 < sweep_deg <= 180.0:
        other = "anticlockwise" if leg.direction == "clockwise" else "clockwise"
        ends = f"from radial {fix.radial_deg:03.0f} to {leg.to_radial_deg:03.0f}"
        problem = f"{leg.direction} {ends} is {sweep_deg:.0f}°, the long way round"
        yield Remark(
            path=(*where, "direction"), problem=problem, remedy=f"write {other}, or correct the radials"
        )
        return
    turned_deg = 0.0
    for number, step in enumerate(leg.step_downs):
        at_deg = arc_sweep_deg(leg, fix.radial_deg, step.radial_deg or 0.0)
        if not turned_deg <= at_deg < sweep_deg:
            problem = f"radial {step.radial_deg or 0.0:03.0f} is not met there on the arc"
            remedy = "list the radials in the order met, between the arc's ends"
            yield Remark(path=(*where, "step_downs", number, "radial_deg"), problem=problem, remedy=remedy)
        turned_deg = max(turned_deg, at_deg)
    length_nm = radians(sweep_deg) * leg.arc_dme_nm
    yield Result(
        subject="arc", text=f"{leg.arc_dme_nm:g} DME, {leg.direction} {sweep_deg:.0f}°, {length_nm:.1f} NM"
    )
    yield from _lead_radial(procedure, leg, index, sweep_deg)


def _lead_radial(
    procedure: Procedure, leg: ArcLeg, index: int, sweep_deg: float
) -> Iterator[Remark | Result]:
    """The published lead against what a turn at 25 degrees of bank or rate one needs in still air."""
    following = procedure.legs[index + 1] if index + 1 < len(procedure.legs) else None
    if not isinstance(following, CourseLeg):
        return
    published_deg = None
    where: Path = ("legs", index, "lead_radial_deg")
    if leg.lead_radial_deg is not None:
        published_deg = arc_sweep_deg(leg, leg.lead_radial_deg, leg.to_radial_deg)
        if not 0.0 < published_deg < sweep_deg:
            end = f"{leg.to_radial_deg:03.0f}"
            problem = f"{leg.lead_radial_deg:03.0f} is past the arc's end at {end}"
            if 180.0 > published_deg >= sweep_deg:
                problem = f"{leg.lead_radial_deg:03.0f} is before the arc's start"
            remedy = f"give a radial on the arc, before {end}"
            yield Remark(path=where, problem=problem, remedy=remedy)
            return
    wanted_deg = dict(_wanted_leads_deg(procedure, leg, following))
    wants = ", ".join(f"{category} {lead_deg:.1f}°" for category, lead_deg in wanted_deg.items())
    if published_deg is None:
        yield Result(subject="lead radial", text=f"none published; turns want {wants}")
        return
    lead_nm = radians(published_deg) * leg.arc_dme_nm
    text = f"{leg.lead_radial_deg:03.0f} leads by {published_deg:.0f}°, {lead_nm:.1f} NM; turns want {wants}"
    yield Result(subject="lead radial", text=text)
    short = [
        category
        for category, lead_deg in wanted_deg.items()
        if lead_deg > published_deg + RADIAL_ROUNDING_DEG
    ]
    if short:
        problem = (
            f"a lead of {published_deg:.0f}° is short for category {', '.join(short)}, which want {wants}"
        )
        remedy = "check it against the chart; faster aircraft turn earlier"
        yield Remark(path=where, problem=problem, remedy=remedy, severity=Severity.WARNING)


def _wanted_leads_deg(
    procedure: Procedure, leg: ArcLeg, after: CourseLeg
) -> Iterator[tuple[Category, float]]:
    altitude_ft = msl_ft(procedure, leg.step_downs[-1].altitude if leg.step_downs else leg.altitude)
    ground = ground_nm(procedure, leg.arc_dme_nm, altitude_ft)
    is_inbound = abs(difference_deg(leg.to_radial_deg, after.course_mag_deg)) > 90.0
    crossing = plane_from_polar(leg.to_radial_deg, ground)
    station_across_nm = along_and_across_nm(PlanePoint(0.0, 0.0), crossing, after.course_mag_deg).across_nm
    for category in sorted({minimum.category for minimum in procedure.minima}):
        _, fastest_kt = category_speeds(category.value).initial_kt
        ias_kt = min(fastest_kt, leg.speed_limit_kt or fastest_kt)
        try:
            tas_kt = tas_kt_from_ias(ias_kt, altitude_ft)
            lead = lead_radial_from_arc(
                ground,
                leg.direction.value,
                after.course_mag_deg,
                tas_kt,
                bank_in_use_deg(tas_kt),
                0.0,
                0.0,
                "inbound" if is_inbound else "outbound",
                station_across_nm,
            )
        except (NoSolution, OutsideValidity):
            continue
        yield category, lead.lead_deg
