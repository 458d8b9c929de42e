"""Does what stands around a procedure fit it: the hold, sectors, areas, the station's channel."""

from collections.abc import Iterator

from assistant.nav.geometry import (
    PlanePoint,
    bearing_deg,
    distance_nm,
    line_range_crossings,
    move,
    plane_from_polar,
    reciprocal_deg,
)
from assistant.nav.speed_limits import maximum_holding_speed_kt
from assistant.procedure.findings import Path, Remark, Result, Severity
from assistant.procedure.layout import arc_sweep_deg, final_path, fix_point, ground_nm, msl_ft
from assistant.procedure.model import (
    ArcLeg,
    Area,
    CourseLeg,
    FinalLeg,
    Hold,
    NavaidKind,
    Procedure,
    ReversalLeg,
    Sector,
)

HOLD_LEG_NM = (1.0, 20.0)
"""Shorter or longer than this, an outbound leg by range is a slipped digit."""
SAMPLES_NM = 0.5


def around_findings(procedure: Procedure) -> Iterator[Remark | Result]:
    """Every remark and result on the hold, the sectors, the areas and the station."""
    if procedure.hold is not None:
        yield from _hold(procedure, procedure.hold)
    yield from _sectors(procedure.sectors)
    yield from _areas(procedure)
    yield from _station(procedure)


def _hold(procedure: Procedure, hold: Hold) -> Iterator[Remark | Result]:
    if hold.maximum is not None and msl_ft(procedure, hold.maximum) < msl_ft(procedure, hold.minimum):
        problem = "the highest holding level is below the lowest"
        yield Remark(path=("hold", "maximum"), problem=problem, remedy="correct one of the two")
    length = f"{hold.outbound_time_s:.0f} s outbound" if hold.outbound_time_s is not None else ""
    if hold.outbound_dme_nm is not None:
        fix = fix_point(procedure, hold.fix)
        ground = ground_nm(procedure, hold.outbound_dme_nm, msl_ft(procedure, hold.minimum))
        ahead = [
            nm
            for nm in line_range_crossings(fix, reciprocal_deg(hold.inbound_course_mag_deg), ground)
            if nm > 0.0
        ]
        if not ahead or not HOLD_LEG_NM[0] <= min(ahead) <= HOLD_LEG_NM[1]:
            problem = (
                f"{hold.outbound_dme_nm:g} DME is not met on the outbound leg from {hold.fix}"
                f" at {procedure.fix(hold.fix).dme_nm:g} DME"
                if not ahead
                else f"an outbound leg of {min(ahead):.1f} NM is not a hold's"
            )
            yield Remark(
                path=("hold", "outbound_dme_nm"), problem=problem, remedy="correct the range or the course"
            )
            return
        length = f"{min(ahead):.1f} NM outbound to {hold.outbound_dme_nm:g} DME"
    yield Result(subject="hold", text=f"at {hold.fix}, {hold.turn} turns, {length}")
    yield from _hold_speed(procedure, hold)


def _hold_speed(procedure: Procedure, hold: Hold) -> Iterator[Remark | Result]:
    """The chart's limit against the published maximum at the lowest level."""
    level_ft = min(60000.0, max(0.0, msl_ft(procedure, hold.minimum)))  # the tables' own limits
    icao_kt, faa_kt = maximum_holding_speed_kt("icao", level_ft), maximum_holding_speed_kt("faa", level_ft)
    published = f"at {level_ft:.0f} ft ICAO gives {icao_kt:.0f} kt at most, the FAA {faa_kt:.0f} kt"
    if hold.speed_limit_kt is None:
        yield Result(subject="hold", text=f"no speed limit charted; {published}")
    elif hold.speed_limit_kt > max(icao_kt, faa_kt):
        problem = f"{hold.speed_limit_kt:.0f} kt is more than any published maximum: {published}"
        where: Path = ("hold", "speed_limit_kt")
        yield Remark(path=where, problem=problem, remedy="check the number", severity=Severity.WARNING)
    else:
        yield Result(subject="hold", text=f"limit {hold.speed_limit_kt:.0f} kt; {published}")


def _sectors(sectors: tuple[Sector, ...]) -> Iterator[Remark | Result]:
    if not sectors:
        return
    ordered = sorted(enumerate(sectors), key=lambda item: item[1].from_radial_deg % 360.0)
    if len(sectors) == 1:
        only = sectors[0]
        if only.from_radial_deg % 360.0 != only.to_radial_deg % 360.0:
            problem = "one sector, and it does not go all round"
            yield Remark(
                path=("sectors", 0), problem=problem, remedy="add the others, or make both radials equal"
            )
            return
    for (index, sector), (_, following) in zip(ordered, (*ordered[1:], ordered[0]), strict=True):
        gap_deg = (following.from_radial_deg - sector.to_radial_deg) % 360.0
        if len(sectors) > 1 and gap_deg != 0.0:
            ends, starts = f"{sector.to_radial_deg:03.0f}", f"{following.from_radial_deg:03.0f}"
            problem = f"the sector ends at {ends}, the next begins at {starts}: they do not close the circle"
            where: Path = ("sectors", index, "to_radial_deg")
            yield Remark(path=where, problem=problem, remedy="let each sector begin where the last ended")
            return
    covered_deg = sum((item.to_radial_deg - item.from_radial_deg) % 360.0 or 360.0 for item in sectors)
    if round(covered_deg) != 360:
        problem = f"together the sectors cover {covered_deg:.0f}°"
        yield Remark(path=("sectors",), problem=problem, remedy="let them cover the circle once")
        return
    yield Result(subject="sectors", text=f"{len(sectors)}, closing the circle")


def _areas(procedure: Procedure) -> Iterator[Remark | Result]:
    pattern = list(pattern_points(procedure))
    for index, area in enumerate(procedure.areas):
        if area.lower_altitude_ft >= area.upper_altitude_ft:
            problem = "its base is not below its top"
            yield Remark(path=("areas", index), problem=problem, remedy="correct one of the two")
            continue
        yield _area(area, pattern, ("areas", index))


def _area(area: Area, pattern: list[tuple[PlanePoint, float, str]], where: Path) -> Remark | Result:
    centre = plane_from_polar(area.radial_deg, area.dme_nm)
    inside = [
        (altitude_ft, name)
        for point, altitude_ft, name in pattern
        if distance_nm(point, centre) <= area.radius_nm
    ]
    touched = [
        name
        for altitude_ft, name in inside
        if area.lower_altitude_ft <= altitude_ft <= area.upper_altitude_ft
    ]
    if touched:
        problem = f"{area.ident}: the {touched[0]} passes through it at its levels"
        remedy = "check position and levels; if the chart has it so, brief it"
        return Remark(path=where, problem=problem, remedy=remedy, severity=Severity.WARNING)
    if inside:
        return Result(subject="area", text=f"{area.ident}: the {inside[0][1]} passes over or under it")
    nearest_nm = min((distance_nm(point, centre) - area.radius_nm for point, _, _ in pattern), default=0.0)
    return Result(subject="area", text=f"{area.ident}: {nearest_nm:.1f} NM from the pattern at the nearest")


def pattern_points(procedure: Procedure) -> Iterator[tuple[PlanePoint, float, str]]:
    """Points half a mile apart along the pattern's lines, each with the floor there (ft) and a name."""
    if procedure.hold is not None:
        yield from _hold_points(procedure, procedure.hold)
    here: PlanePoint | None = None
    for leg in procedure.legs:
        floor_ft = msl_ft(procedure, leg.altitude)
        if isinstance(leg, ArcLeg):
            radial_deg = procedure.fix(leg.from_fix).radial_deg or 0.0
            sweep_deg = arc_sweep_deg(leg, radial_deg, leg.to_radial_deg)
            ground = ground_nm(procedure, leg.arc_dme_nm, floor_ft)
            sign = 1.0 if leg.direction == "clockwise" else -1.0
            for turned_deg in range(0, int(sweep_deg) + 1, 2):
                here = plane_from_polar(radial_deg + sign * turned_deg, ground)
                yield here, _arc_floor_ft(procedure, leg, turned_deg, radial_deg), "arc"
        elif isinstance(leg, CourseLeg):
            start = here if leg.from_fix is None else fix_point(procedure, leg.from_fix)
            end = fix_point(procedure, leg.to_fix)
            lowest_ft = msl_ft(procedure, leg.step_downs[-1].altitude) if leg.step_downs else floor_ft
            yield from ((point, lowest_ft, f"leg to {leg.to_fix}") for point in _between(start or end, end))
            here = end
        elif isinstance(leg, ReversalLeg):
            yield from _reversal_points(procedure, leg)
            here = fix_point(procedure, leg.fix)
        elif isinstance(leg, FinalLeg):
            path = final_path(procedure)
            if path is not None:
                for point in _between(path.start, path.point(path.threshold_nm)):
                    yield point, path.due_ft(distance_nm(path.start, point)), "final approach"


def _arc_floor_ft(procedure: Procedure, leg: ArcLeg, turned_deg: float, start_deg: float) -> float:
    floor = leg.altitude
    for step in leg.step_downs:
        if arc_sweep_deg(leg, start_deg, step.radial_deg or 0.0) <= turned_deg:
            floor = step.altitude
    return msl_ft(procedure, floor)


def _between(start: PlanePoint, end: PlanePoint) -> Iterator[PlanePoint]:
    length_nm = distance_nm(start, end)
    count = max(1, round(length_nm / SAMPLES_NM))
    if length_nm == 0.0:
        yield end
        return
    course_deg = bearing_deg(start, end)
    yield from (move(start, course_deg, length_nm * number / count) for number in range(count + 1))


def _hold_points(procedure: Procedure, hold: Hold) -> Iterator[tuple[PlanePoint, float, str]]:
    """The two straight legs, at a width of 3 NM (a turn at rate one near 250 kt) and a usual length."""
    fix = fix_point(procedure, hold.fix)
    floor_ft = msl_ft(procedure, hold.minimum)
    outbound_deg = reciprocal_deg(hold.inbound_course_mag_deg)
    length_nm = 4.0 * (hold.outbound_time_s or 60.0) / 60.0
    if hold.outbound_dme_nm is not None:
        ground = ground_nm(procedure, hold.outbound_dme_nm, floor_ft)
        ahead = [nm for nm in line_range_crossings(fix, outbound_deg, ground) if nm > 0.0]
        length_nm = min(ahead, default=length_nm)
    side_deg = hold.inbound_course_mag_deg + (90.0 if hold.turn == "right" else -90.0)
    for start in (fix, move(fix, side_deg, 3.0)):
        yield from (
            (point, floor_ft, "hold") for point in _between(start, move(start, outbound_deg, length_nm))
        )


def _reversal_points(procedure: Procedure, leg: ReversalLeg) -> Iterator[tuple[PlanePoint, float, str]]:
    """Out and back; the turn itself is covered by its two ends."""
    fix = fix_point(procedure, leg.fix)
    floor_ft = msl_ft(procedure, leg.turn_altitude or leg.altitude)
    for track in leg.outbound:
        length_nm = 4.0 * (track.time_s or 60.0) / 60.0
        if track.dme_nm is not None:
            crossings = line_range_crossings(
                fix, track.course_mag_deg, ground_nm(procedure, track.dme_nm, floor_ft)
            )
            length_nm = min((nm for nm in crossings if nm > 0.0), default=length_nm)
        for course_deg in (track.course_mag_deg, reciprocal_deg(leg.inbound_course_mag_deg)):
            end = move(fix, course_deg, length_nm)
            yield from ((point, floor_ft, "reversal") for point in _between(fix, end))


def _station(procedure: Procedure) -> Iterator[Remark]:
    navaid = procedure.navaid
    if navaid.kind is NavaidKind.TACAN and navaid.channel is None:
        problem, remedy = "a TACAN has a channel", "add navaid.channel, for example 57X"
        yield Remark(path=("navaid",), problem=problem, remedy=remedy, severity=Severity.WARNING)
    if navaid.kind is not NavaidKind.TACAN and navaid.frequency_mhz is None:
        problem, remedy = "a VOR has a frequency", "add navaid.frequency_mhz"
        yield Remark(path=("navaid",), problem=problem, remedy=remedy, severity=Severity.WARNING)
