"""
Does a chart hang together up and down: altitudes, descent angle, heights, step-downs, minima, datums.

What counts as equal is what a chart's own rounding allows: ranges are printed to 0.1 NM, heights to 10 ft,
angles to 0.1 or 0.01 degrees, and every one of them is half a unit out at worst.
"""

from collections.abc import Iterator
from itertools import pairwise

from assistant.nav.geometry import line_range_crossings, polar_from_plane, slant_nm_from_ground
from assistant.nav.vertical import angle_deg_from, gradient_ft_per_nm
from assistant.procedure.findings import Path, Remark, Result, Severity
from assistant.procedure.layout import FinalPath, chain, fix_point, ground_nm, minimum_msl_ft, msl_ft
from assistant.procedure.model import Altitude, AltitudeKind, CourseLeg, FinalLeg, Minimum, Procedure

HEIGHT_ROUNDING_FT = 10.0
RANGE_ROUNDING_NM = 0.05
LOWEST_NON_PRECISION_HEIGHT_FT = 200.0
"""No published design rule gives less without glide path guidance (ICAO Doc 8168 gives 250 ft with a VOR)."""
STEEPEST_STRAIGHT_IN_DEG = 3.77
"""400 ft/NM: steeper, and straight-in minima are not published for faster categories (FAA Order 8260.3)."""


def vertical_findings(procedure: Procedure, path: FinalPath | None) -> Iterator[Remark | Result]:
    """Every remark and result on levels."""
    yield from _never_rising(procedure)
    yield from _step_downs_in_order(procedure)
    yield from _elevations(procedure)
    yield from _minima(procedure)
    yield from _levels_and_transition(procedure)
    if path is None:
        problem = "the final approach course never comes to the range that the set reads at the threshold"
        remedy = "check threshold_dme_nm, the final approach fix and the course"
        yield Remark(path=("runway", "threshold_dme_nm"), problem=problem, remedy=remedy)
        return
    yield from _descent_angle(procedure, path)
    yield from _heights(procedure, path)
    yield from _step_downs_clear(procedure, path)
    yield from _last_floor(procedure)
    yield from _missed_approach_point(procedure, path)


def _named(procedure: Procedure, altitude: Altitude) -> str:
    """An altitude for a message, with its datum."""
    if altitude.flight_level is not None:
        return f"FL{altitude.flight_level:.0f}"
    if altitude.height_ft is not None:
        return f"{altitude.height_ft:.0f} ft QFE ({msl_ft(procedure, altitude):.0f} ft QNH)"
    return f"{altitude.indicated_ft:.0f} ft QNH"


def _never_rising(procedure: Procedure) -> Iterator[Remark | Result]:
    floors = [(path, altitude) for path, altitude in chain(procedure) if altitude.is_floor]
    rises = 0
    for (_, before), (path, after) in pairwise(floors):
        if msl_ft(procedure, after) > msl_ft(procedure, before):
            rises += 1
            problem = f"{_named(procedure, after)} is above the {_named(procedure, before)} before it"
            yield Remark(path=path, problem=problem, remedy="let floors fall or stay toward the runway")
    if not rises:
        yield Result(subject="floors", text=f"{len(floors)} in a row never rise toward the runway")
    floor: Altitude | None = None
    for path, altitude in chain(procedure):
        if altitude.is_floor:
            floor = altitude
        elif altitude.kind is not AltitudeKind.AT_OR_BELOW or floor is None:
            continue
        elif msl_ft(procedure, altitude) < msl_ft(procedure, floor):
            problem = (
                f"at or below {_named(procedure, altitude)} is under the floor {_named(procedure, floor)}"
            )
            yield Remark(path=path, problem=problem, remedy="correct one of the two")


def _step_downs_in_order(procedure: Procedure) -> Iterator[Remark]:
    """Step-downs of straight legs stand in the order met, between the ends of their leg."""
    for index, leg in enumerate(procedure.legs):
        if not isinstance(leg, CourseLeg | FinalLeg) or not leg.step_downs:
            continue
        end = leg.to_fix if isinstance(leg, CourseLeg) else leg.from_fix
        anchor = fix_point(procedure, end)
        last_nm = -1e9
        for number, step in enumerate(leg.step_downs):
            dme_nm = step.dme_nm if step.fix is None else procedure.fix(step.fix).dme_nm
            ground = ground_nm(procedure, dme_nm or 0.0, msl_ft(procedure, step.altitude))
            crossings = line_range_crossings(anchor, leg.course_mag_deg, ground)
            # On the way to a fix the range is met before it, on the final approach after it.
            near = [nm for nm in crossings if (nm <= 0.2 if isinstance(leg, CourseLeg) else nm >= -0.2)]
            at_nm = (max(near) if isinstance(leg, CourseLeg) else min(near)) if near else None
            where: Path = ("legs", index, "step_downs", number)
            if at_nm is None:
                problem = f"{dme_nm:g} DME is not met on this leg"
                yield Remark(path=where, problem=problem, remedy="correct the range, or move it to its leg")
            elif at_nm < last_nm:
                problem = f"{dme_nm:g} DME is met before the step-down above it"
                yield Remark(path=where, problem=problem, remedy="list step-downs in the order met")
            last_nm = last_nm if at_nm is None else max(last_nm, at_nm)


def _elevations(procedure: Procedure) -> Iterator[Remark | Result]:
    aerodrome_ft, threshold_ft = procedure.airport.elevation_ft, procedure.runway.threshold_elevation_ft
    if threshold_ft > aerodrome_ft:
        problem = (
            f"the threshold ({threshold_ft:.0f} ft) is above the aerodrome elevation ({aerodrome_ft:.0f} ft)"
        )
        remedy = "check both; the aerodrome elevation is that of the highest point of the landing area"
        yield Remark(
            path=("airport", "elevation_ft"), problem=problem, remedy=remedy, severity=Severity.WARNING
        )
    text = f"heights are above the {procedure.airport.qfe_datum} at {procedure.qfe_elevation_ft:.0f} ft"
    yield Result(subject="QFE", text=text)


def _minima(procedure: Procedure) -> Iterator[Remark | Result]:
    datum_ft = procedure.qfe_elevation_ft
    for index, minimum in enumerate(procedure.minima):
        path: Path = ("minima", index)
        name = f"category {minimum.category} {minimum.line.replace('_', '-')}"
        altitude_ft = minimum_msl_ft(procedure, minimum)
        if minimum.mda_ft is not None and minimum.mdh_ft is not None:
            apart_ft = minimum.mda_ft - minimum.mdh_ft
            if abs(apart_ft - datum_ft) > HEIGHT_ROUNDING_FT:
                problem = (
                    f"{name}: mda_ft less mdh_ft is {apart_ft:.0f} ft, the datum lies at {datum_ft:.0f} ft"
                )
                yield Remark(path=path, problem=problem, remedy="correct one, or airport.qfe_datum")
        key = "mda_ft" if minimum.mda_ft is not None else "mdh_ft"
        above_ft = altitude_ft - procedure.runway.threshold_elevation_ft
        if above_ft <= 0.0:
            problem = f"{name}: the minimum is not above the threshold"
            yield Remark(
                path=(*path, key), problem=problem, remedy="correct the minimum or the threshold elevation"
            )
        elif above_ft < LOWEST_NON_PRECISION_HEIGHT_FT:
            problem = f"{name}: {above_ft:.0f} ft above the threshold is low for a non-precision approach"
            yield Remark(
                path=(*path, key), problem=problem, remedy="check the number", severity=Severity.WARNING
            )
        if altitude_ft >= msl_ft(procedure, procedure.final.altitude):
            problem = f"{name}: the minimum is not below the altitude at the final approach fix"
            yield Remark(path=(*path, key), problem=problem, remedy="correct one of the two")
        lights_out_m = minimum.lights_out_visibility_m
        if lights_out_m is not None and lights_out_m < minimum.visibility_m:
            problem = f"{name}: less visibility is wanted with the lights out of service than with them"
            where = (*path, "lights_out_visibility_m")
            yield Remark(path=where, problem=problem, remedy="give the whole visibility, not the increment")
        yield from _against_straight_in(procedure, minimum, path)
    yield Result(
        subject="minima", text=f"{len(procedure.minima)}, above the threshold and between the datums"
    )


def _against_straight_in(procedure: Procedure, minimum: Minimum, path: Path) -> Iterator[Remark]:
    if minimum.line != "circling":
        return
    for other in procedure.minima:
        if (other.line, other.category) != ("straight_in", minimum.category):
            continue
        if minimum_msl_ft(procedure, minimum) < minimum_msl_ft(procedure, other):
            problem = f"category {minimum.category}: the circling minimum is below the straight-in one"
            yield Remark(path=path, problem=problem, remedy="check both", severity=Severity.WARNING)


def _levels_and_transition(procedure: Procedure) -> Iterator[Remark]:
    transition_ft = procedure.airport.transition_altitude_ft
    if transition_ft is None:
        return
    for path, altitude in chain(procedure):
        if altitude.flight_level is not None and altitude.indicated_ft < transition_ft:
            problem = f"{_named(procedure, altitude)} is below the transition altitude {transition_ft:.0f} ft"
            yield Remark(
                path=path, problem=problem, remedy="give it as an altitude, or correct the transition"
            )
        if altitude.altitude_ft is not None and altitude.altitude_ft > transition_ft:
            problem = f"{_named(procedure, altitude)} is above the transition altitude {transition_ft:.0f} ft"
            remedy = "give it as a flight level, or correct the transition altitude"
            yield Remark(path=path, problem=problem, remedy=remedy, severity=Severity.WARNING)


def _rounding_ft(procedure: Procedure, distance_nm: float) -> float:
    """How far apart two of a chart's numbers may be on the path and still be the same: half of each unit."""
    gradient = gradient_ft_per_nm(procedure.final.descent_angle_deg)
    is_to_tenth = round(procedure.final.descent_angle_deg, 1) == procedure.final.descent_angle_deg
    angle_ft = (
        gradient / procedure.final.descent_angle_deg * (0.05 if is_to_tenth else 0.005) * abs(distance_nm)
    )
    return HEIGHT_ROUNDING_FT / 2.0 + gradient * RANGE_ROUNDING_NM + angle_ft


def _descent_angle(procedure: Procedure, path: FinalPath) -> Iterator[Remark | Result]:
    final = procedure.final
    published_deg = final.descent_angle_deg
    where: Path = ("legs", len(procedure.legs) - 1, "descent_angle_deg")
    start_ft = msl_ft(procedure, final.altitude)
    from_start_deg = angle_deg_from(start_ft, path.crossing_altitude_ft, path.threshold_nm)
    due_ft = path.due_ft(0.0)
    allowed_ft = _rounding_ft(procedure, path.threshold_nm)
    text = (
        f"published {published_deg:.2f}°; from {start_ft:.0f} ft at {final.from_fix} to"
        f" {path.crossing_altitude_ft:.0f} ft over the threshold, {path.threshold_nm:.2f} NM on:"
        f" {from_start_deg:.2f}°"
    )
    yield Result(subject="descent", text=text)
    remedy = "check the angle, the fix's altitude and range, the threshold"
    if final.altitude.is_floor and due_ft < start_ft - allowed_ft:
        problem = (
            f"{published_deg:g}° up from the threshold passes {final.from_fix} at {due_ft:.0f} ft, below its"
            f" {start_ft:.0f} ft; from there it is {from_start_deg:.2f}°"
        )
        yield Remark(
            path=where, problem=problem, remedy="check the angle, the fix's altitude and range, the threshold"
        )
    elif due_ft > start_ft + allowed_ft:
        is_exact = final.altitude.kind is AltitudeKind.AT
        problem = (
            f"{published_deg:g}° up from the threshold passes {final.from_fix} at {due_ft:.0f} ft, above its"
            f" {start_ft:.0f} ft: it is flown level before the descent begins"
        )
        severity = Severity.ERROR if is_exact else Severity.WARNING
        yield Remark(path=where, problem=problem, remedy=remedy, severity=severity)
    if published_deg > STEEPEST_STRAIGHT_IN_DEG:
        problem = f"{published_deg:g}° is steeper than {STEEPEST_STRAIGHT_IN_DEG}° (400 ft/NM)"
        yield Remark(path=where, problem=problem, remedy="check the angle", severity=Severity.WARNING)


def _heights(procedure: Procedure, path: FinalPath) -> Iterator[Remark | Result]:
    final = procedure.final
    where: Path = ("legs", len(procedure.legs) - 1, "heights")
    apart_ft: list[float] = []
    last_ft = float("inf")
    for index, line in enumerate(final.heights):
        is_height = line.height_ft is not None
        value_ft = (
            (line.height_ft or 0.0) + procedure.qfe_elevation_ft if is_height else line.altitude_ft or 0.0
        )
        along_nm = path.along_at_dme_nm(line.dme_nm)
        if along_nm is None:
            problem = f"{line.dme_nm:g} DME is not met between {final.from_fix} and the threshold"
            yield Remark(path=(*where, index), problem=problem, remedy="correct the range")
            continue
        due_ft = path.due_ft(along_nm)
        apart_ft.append(value_ft - due_ft)
        if abs(value_ft - due_ft) > _rounding_ft(procedure, path.threshold_nm - along_nm):
            shown_due_ft = due_ft - procedure.qfe_elevation_ft if is_height else due_ft
            shown_ft = line.height_ft if is_height else line.altitude_ft
            charted = f"{shown_ft:.0f} ft at {line.dme_nm:g} DME"
            problem = f"{charted}; the published angle gives {shown_due_ft:.0f} ft there"
            yield Remark(
                path=(*where, index), problem=problem, remedy="check this line, the angle and the threshold"
            )
        if value_ft >= last_ft:
            problem = f"the height at {line.dme_nm:g} DME is not below the one before it"
            yield Remark(path=(*where, index), problem=problem, remedy="list the table in the order flown")
        last_ft = value_ft
    if apart_ft:
        worst_ft = max(apart_ft, key=abs)
        text = f"{len(apart_ft)} lines, at most {abs(worst_ft):.0f} ft from the published angle"
        yield Result(subject="heights against ranges", text=text)


def _step_downs_clear(procedure: Procedure, path: FinalPath) -> Iterator[Remark | Result]:
    """Where a floor ends, the published descent must still be above it."""
    final = procedure.final
    for number, (floor, following) in enumerate(pairwise(final.step_downs), start=1):
        along_nm = path.along_at_nm(following)
        if along_nm is None or not floor.altitude.is_floor:
            continue
        above_ft = path.due_ft(along_nm) - msl_ft(procedure, floor.altitude)
        place = following.fix or f"{following.dme_nm:g} DME"
        if above_ft < 0.0:
            where: Path = ("legs", len(procedure.legs) - 1, "step_downs", number - 1, "altitude")
            named = _named(procedure, floor.altitude)
            problem = f"the published descent passes {place} {-above_ft:.0f} ft below {named}"
            remedy = "check the floor, the range and the angle"
            yield Remark(path=where, problem=problem, remedy=remedy)
        else:
            yield Result(
                subject="step-down", text=f"the descent passes {place} {above_ft:.0f} ft above its floor"
            )


def _last_floor(procedure: Procedure) -> Iterator[Remark]:
    """After the last step-down only the minimum is left to go down to."""
    final = procedure.final
    if not final.step_downs or not final.step_downs[-1].altitude.is_floor:
        return
    floor_ft = msl_ft(procedure, final.step_downs[-1].altitude)
    under = sorted(
        {
            minimum.category
            for minimum in procedure.minima
            if minimum.line == "straight_in" and minimum_msl_ft(procedure, minimum) < floor_ft
        }
    )
    if under:
        index = len(final.step_downs) - 1
        where: Path = ("legs", len(procedure.legs) - 1, "step_downs", index, "altitude")
        named = _named(procedure, final.step_downs[-1].altitude)
        problem = f"{named} binds to the end, above the minimum of category {', '.join(under)}"
        remedy = "add the step-down after which the minimum may be gone down to, or correct one of the two"
        yield Remark(path=where, problem=problem, remedy=remedy)


def _missed_approach_point(procedure: Procedure, path: FinalPath) -> Iterator[Remark | Result]:
    """How steep it would be from the minimum at the missed approach point."""
    where: Path = ("legs", len(procedure.legs) - 1, "missed_approach_point")
    at_nm = path.missed_approach_point_nm()
    if at_nm is None or at_nm <= 0.0:
        problem = f"the missed approach point is not met after {procedure.final.from_fix}"
        yield Remark(path=where, problem=problem, remedy="correct its range, or the final approach fix")
        return
    left_nm = path.threshold_nm - at_nm
    if left_nm < -1.0:
        problem = f"the missed approach point lies {-left_nm:.1f} NM beyond the threshold"
        yield Remark(path=where, problem=problem, remedy="correct its range or distance")
    lowest = sorted(procedure.minima, key=lambda minimum: minimum_msl_ft(procedure, minimum))
    reached: dict[float, str] = {}
    for minimum in lowest:
        if minimum.line == "straight_in":
            altitude_ft = minimum_msl_ft(procedure, minimum)
            reached[altitude_ft] = reached.get(altitude_ft, "") + minimum.category
    for altitude_ft, categories in reached.items():
        visual_nm = path.along_at_altitude_nm(altitude_ft)
        visual = path.point(visual_nm)
        height_ft = altitude_ft - procedure.navaid.elevation_ft
        visual_dme_nm = slant_nm_from_ground(polar_from_plane(visual).ground_nm, height_ft)
        text = f"category {categories}: the descent reaches {altitude_ft:.0f} ft at {visual_dme_nm:.1f} DME"
        if left_nm > 0.05:
            steep_deg = angle_deg_from(altitude_ft, path.crossing_altitude_ft, left_nm)
            text += f"; from there at the missed approach point, {left_nm:.2f} NM out, it is {steep_deg:.1f}°"
        else:
            text += "; the missed approach point is at the threshold or beyond: no descent from there"
        yield Result(subject="missed approach point", text=text)
        if visual_nm > at_nm + RANGE_ROUNDING_NM:
            problem = (
                f"category {categories}: at the missed approach point the descent is still above the minimum"
            )
            remedy = "check the minimum and the missed approach point"
            yield Remark(path=where, problem=problem, remedy=remedy, severity=Severity.WARNING)
