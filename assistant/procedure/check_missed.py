"""
Does the missed approach lead where it says: levels that rise, ranges and radials that are met.

The aircraft is followed from the missed approach point over the ground; where a leg ends at an altitude, it
climbs at 2.5 percent (152 ft/NM), the gradient that designers assume unless the chart says more (ICAO Doc
8168 Vol II).
"""

from collections.abc import Iterator
from math import hypot

from assistant.nav.geometry import PlanePoint, line_radial_crossing, line_range_crossings, move
from assistant.procedure.findings import Path, Remark, Result
from assistant.procedure.layout import FinalPath, fix_point, ground_nm, minimum_msl_ft, msl_ft
from assistant.procedure.model import MissedApproachLeg, Procedure

CLIMB_FT_PER_NM = 152.0
CONE_NM = 0.3


def missed_findings(procedure: Procedure, path: FinalPath | None) -> Iterator[Remark | Result]:
    """Every remark and result on the missed approach."""
    yield from _levels(procedure)
    at_nm = path.missed_approach_point_nm() if path is not None else None
    if path is not None and at_nm is not None:
        yield from _followed(procedure, path.point(at_nm))


def _levels(procedure: Procedure) -> Iterator[Remark | Result]:
    where: Path = ("missed_approach", "legs")
    before_ft = max(minimum_msl_ft(procedure, minimum) for minimum in procedure.minima)
    before = "the highest minimum"
    for index, leg in enumerate(procedure.missed_approach.legs):
        climb_ft = msl_ft(procedure, leg.climb)
        if climb_ft < before_ft:
            problem = f"climbs to {climb_ft:.0f} ft, below {before} ({before_ft:.0f} ft)"
            yield Remark(path=(*where, index, "climb"), problem=problem, remedy="correct one of the two")
            return
        if leg.until_altitude_ft is not None and leg.until_altitude_ft > climb_ft:
            problem = f"ends at {leg.until_altitude_ft:.0f} ft, above the {climb_ft:.0f} ft being climbed to"
            yield Remark(
                path=(*where, index, "until_altitude_ft"), problem=problem, remedy="correct one of the two"
            )
        before_ft, before = climb_ft, "the leg before"
    hold = procedure.hold
    if (
        procedure.missed_approach.then_hold
        and hold is not None
        and before_ft < msl_ft(procedure, hold.minimum)
    ):
        problem = f"arrives at {before_ft:.0f} ft, below the lowest holding level"
        remedy = "correct the climb of the last leg or the hold's minimum"
        yield Remark(path=where, problem=problem, remedy=remedy)
        return
    yield Result(subject="missed approach", text=f"climbs to {before_ft:.0f} ft")


def _followed(procedure: Procedure, start: PlanePoint) -> Iterator[Remark]:
    here = start
    altitude_ft = min(minimum_msl_ft(procedure, minimum) for minimum in procedure.minima)
    for index, leg in enumerate(procedure.missed_approach.legs):
        if leg.to_fix is not None:
            here = fix_point(procedure, leg.to_fix)
            continue
        ahead_nm = _ahead_nm(procedure, leg, here, altitude_ft)
        if ahead_nm is None or leg.course_mag_deg is None:
            end = "until_dme_nm" if leg.until_dme_nm is not None else "until_radial_deg"
            problem = f"{end} {getattr(leg, end):g} is not met on track {leg.course_mag_deg or 0.0:03.0f}"
            yield Remark(
                path=("missed_approach", "legs", index, end),
                problem=problem,
                remedy="correct it or the track",
            )
            return
        here = move(here, leg.course_mag_deg, ahead_nm)
        altitude_ft += ahead_nm * CLIMB_FT_PER_NM


def _ahead_nm(
    procedure: Procedure, leg: MissedApproachLeg, here: PlanePoint, altitude_ft: float
) -> float | None:
    """How far ahead the leg ends, NM; None: never."""
    course_deg = leg.course_mag_deg or 0.0
    if leg.until_altitude_ft is not None:
        return max(0.0, (leg.until_altitude_ft - altitude_ft) / CLIMB_FT_PER_NM)
    if leg.until_radial_deg is not None:
        crossing_nm = line_radial_crossing(here, course_deg, leg.until_radial_deg)
        if crossing_nm is None or crossing_nm <= 0.0:
            return None
        # Overhead the station every radial is passed at once, and none can be read.
        met = move(here, course_deg, crossing_nm)
        return crossing_nm if hypot(met.east_nm, met.north_nm) > CONE_NM else None
    ground = ground_nm(procedure, leg.until_dme_nm or 0.0, altitude_ft)
    # The last crossing: past a station ahead, the range that counts is the one on the far side.
    return max((nm for nm in line_range_crossings(here, course_deg, ground) if nm > 0.0), default=None)
