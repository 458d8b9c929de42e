"""
Where a procedure's points lie: its fixes, threshold and final descent in the flat frame round the station.

Fixes are published by slant range, so each is laid out at the altitude at which it is passed. All bearings
here are magnetic (the station's own north), all altitudes above mean sea level.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import radians, tan

from assistant.nav.geometry import (
    FT_PER_NM,
    PlanePoint,
    along_and_across_nm,
    ground_nm_from_slant,
    line_range_crossings,
    move,
    plane_from_polar,
    radial_dme_from_position,
)
from assistant.procedure.findings import Path
from assistant.procedure.model import (
    Altitude,
    ArcLeg,
    CourseLeg,
    FinalLeg,
    Leg,
    Minimum,
    Procedure,
    ReversalLeg,
    Runway,
    StepDown,
)

STATION = PlanePoint(0.0, 0.0)


def msl_ft(procedure: Procedure, altitude: Altitude) -> float:
    """
    A charted value above mean sea level, ft.

    A flight level is taken at face value (a standard day): good enough to compare charted values, not to fly
    by.
    """
    if altitude.height_ft is not None:
        return altitude.height_ft + procedure.qfe_elevation_ft
    return altitude.indicated_ft


def chain(procedure: Procedure) -> Iterator[tuple[Path, Altitude]]:
    """Every altitude from the hold down to the final approach, in the order in which it comes to apply."""
    if procedure.hold is not None:
        yield ("hold", "minimum"), procedure.hold.minimum
    for index, leg in enumerate(procedure.legs):
        path: Path = ("legs", index)
        yield (*path, "altitude"), leg.altitude
        if isinstance(leg, ReversalLeg):
            if leg.turn_altitude is not None:
                yield (*path, "turn_altitude"), leg.turn_altitude
            yield (*path, "inbound_altitude"), leg.inbound_altitude
        else:
            for number, step in enumerate(leg.step_downs):
                yield (*path, "step_downs", number, "altitude"), step.altitude


def passing_altitude_ft(procedure: Procedure, ident: str) -> float:
    """The charted altitude at which a fix is first passed, ft above mean sea level."""
    passed = [
        leg_end
        for leg in procedure.legs
        for at, leg_end in (_passed(leg, "start"), _passed(leg, "end"))
        if at == ident
    ]
    if procedure.hold is not None and procedure.hold.fix == ident:
        passed.insert(0, procedure.hold.minimum)
    passed += [leg.climb for leg in procedure.missed_approach.legs if leg.to_fix == ident]
    # A fix met within the final approach only is passed low: its slant range is its ground range to 0.02 NM.
    return msl_ft(procedure, passed[0]) if passed else msl_ft(procedure, _lowest(procedure.final))


def _passed(leg: Leg, side: str) -> tuple[str | None, Altitude]:
    if side == "start":
        return (leg.fix if isinstance(leg, ReversalLeg) else leg.from_fix), leg.altitude
    if isinstance(leg, CourseLeg):
        return leg.to_fix, leg.step_downs[-1].altitude if leg.step_downs else leg.altitude
    return None, leg.altitude


def _lowest(leg: FinalLeg) -> Altitude:
    return leg.step_downs[-1].altitude if leg.step_downs else leg.altitude


def minimum_msl_ft(procedure: Procedure, minimum: Minimum) -> float:
    """A minimum above mean sea level, ft; of two values given the altitude."""
    if minimum.mda_ft is not None:
        return minimum.mda_ft
    return (minimum.mdh_ft or 0.0) + procedure.qfe_elevation_ft


def fix_point(procedure: Procedure, ident: str) -> PlanePoint:
    """Where a fix lies over the ground, by its radial and slant range."""
    fix = procedure.fix(ident)
    if fix.radial_deg is None:
        return STATION
    return plane_from_polar(
        fix.radial_deg, ground_nm(procedure, fix.dme_nm, passing_altitude_ft(procedure, ident))
    )


def ground_nm(procedure: Procedure, dme_nm: float, altitude_ft: float) -> float:
    """Ground range for a slant range read at an altitude above mean sea level."""
    return ground_nm_from_slant(dme_nm, altitude_ft - procedure.navaid.elevation_ft)


def threshold_position(procedure: Procedure) -> PlanePoint | None:
    """Where the threshold lies by its latitude and longitude; None where the chart does not give them."""
    runway: Runway = procedure.runway
    if runway.threshold_latitude_deg is None or runway.threshold_longitude_deg is None:
        return None
    station = procedure.navaid
    polar = radial_dme_from_position(
        station.latitude_deg,
        station.longitude_deg,
        station.declination_deg,
        runway.threshold_latitude_deg,
        runway.threshold_longitude_deg,
    )
    return plane_from_polar(polar.radial_deg, polar.ground_nm)


@dataclass(frozen=True, slots=True, kw_only=True)
class FinalPath:
    """
    The published descent as a line, from the final approach fix along the course to the crossing height.

    `threshold_nm` is the distance along the course from the fix to abeam the threshold, NM over the ground.
    """

    procedure: Procedure
    start: PlanePoint
    course_deg: float
    threshold_nm: float
    crossing_altitude_ft: float

    def due_ft(self, along_nm: float) -> float:
        """Altitude due at a distance from the final approach fix, ft above mean sea level."""
        gradient = tan(radians(self.procedure.final.descent_angle_deg)) * FT_PER_NM
        return self.crossing_altitude_ft + (self.threshold_nm - along_nm) * gradient

    def along_at_dme_nm(self, dme_nm: float) -> float | None:
        """Distance from the final approach fix at which the set reads a range on the path; None: nowhere."""
        along_nm = self.threshold_nm / 2.0
        # A range and the height due there depend on each other; four rounds settle it to a foot.
        for _ in range(4):
            ground = ground_nm(self.procedure, dme_nm, self.due_ft(along_nm))
            crossings = line_range_crossings(self.start, self.course_deg, ground)
            near = [crossing for crossing in crossings if -0.3 <= crossing <= self.threshold_nm + 0.5]
            if not near:
                return None
            along_nm = near[0]
        return along_nm

    def along_at_nm(self, place: StepDown) -> float | None:
        """Distance from the final approach fix of a step-down on the final approach."""
        if place.fix is not None:
            point = fix_point(self.procedure, place.fix)
            return along_and_across_nm(point, self.start, self.course_deg).along_nm
        return None if place.dme_nm is None else self.along_at_dme_nm(place.dme_nm)

    def along_at_altitude_nm(self, altitude_ft: float) -> float:
        """Distance from the final approach fix at which an altitude is due."""
        gradient = tan(radians(self.procedure.final.descent_angle_deg)) * FT_PER_NM
        return self.threshold_nm - (altitude_ft - self.crossing_altitude_ft) / gradient

    def missed_approach_point_nm(self) -> float | None:
        """Distance from the final approach fix to the missed approach point; None where it is never met."""
        point = self.procedure.final.missed_approach_point
        if point.timed_distance_nm is not None:
            return point.timed_distance_nm
        return self.along_at_nm(
            StepDown(altitude=self.procedure.final.altitude, fix=point.fix, dme_nm=point.dme_nm)
        )

    def point(self, along_nm: float) -> PlanePoint:
        """Where the path is, over the ground, at a distance from the final approach fix."""
        return move(self.start, self.course_deg, along_nm)


def final_path(procedure: Procedure) -> FinalPath | None:
    """The published final descent; None where the final course never comes to the threshold's range."""
    final, runway = procedure.final, procedure.runway
    start = fix_point(procedure, final.from_fix)
    crossing_ft = runway.threshold_elevation_ft + runway.threshold_crossing_height_ft
    threshold = threshold_position(procedure)
    if threshold is not None:
        threshold_nm = along_and_across_nm(threshold, start, final.course_mag_deg).along_nm
    else:
        ground = ground_nm(procedure, runway.threshold_dme_nm, runway.threshold_elevation_ft)
        gradient = tan(radians(final.descent_angle_deg)) * FT_PER_NM
        expected_nm = (msl_ft(procedure, final.altitude) - crossing_ft) / gradient
        crossings = line_range_crossings(start, final.course_mag_deg, ground)
        if not crossings:
            return None
        # A course past the station meets a range twice; the descent says which of the two is the threshold.
        threshold_nm = min(crossings, key=lambda along_nm: abs(along_nm - expected_nm))
    if threshold_nm <= 0.0:
        return None
    return FinalPath(
        procedure=procedure,
        start=start,
        course_deg=final.course_mag_deg,
        threshold_nm=threshold_nm,
        crossing_altitude_ft=crossing_ft,
    )


def arc_sweep_deg(leg: ArcLeg, from_radial_deg: float, to_radial_deg: float) -> float:
    """How far round an arc goes from one radial to another in its direction, degrees in [0, 360)."""
    turned = (
        to_radial_deg - from_radial_deg if leg.direction == "clockwise" else from_radial_deg - to_radial_deg
    )
    return turned % 360.0
