"""Does a chart lead to its runway: the threshold's place, the final course, where the runway appears."""

from collections.abc import Iterator

from assistant.nav.geometry import (
    along_and_across_nm,
    bearing_deg,
    difference_deg,
    polar_from_plane,
    slant_nm_from_ground,
)
from assistant.procedure.check_lateral import RADIAL_ROUNDING_DEG, RANGE_ROUNDING_NM, placing_error_nm
from assistant.procedure.findings import Path, Remark, Result, Severity
from assistant.procedure.layout import FinalPath, minimum_msl_ft, threshold_position
from assistant.procedure.model import Category, CourseLeg, Procedure, ReversalLeg

GREATEST_OFFSET_DEG = 30.0
"""
Beyond it a final course is no straight-in approach for any category (ICAO Doc 8168 Vol II, part I section 4).
"""
GREATEST_OFFSET_C_TO_E_DEG = 15.0


def runway_findings(procedure: Procedure, path: FinalPath | None) -> Iterator[Remark | Result]:
    """Every remark and result on the runway and the final course."""
    yield from _threshold(procedure)
    if path is not None:
        yield from _final_course(procedure, path)


def _threshold(procedure: Procedure) -> Iterator[Remark | Result]:
    point = threshold_position(procedure)
    if point is None:
        return
    height_ft = procedure.runway.threshold_elevation_ft - procedure.navaid.elevation_ft
    slant_nm = slant_nm_from_ground(polar_from_plane(point).ground_nm, height_ft)
    if abs(slant_nm - procedure.runway.threshold_dme_nm) > RANGE_ROUNDING_NM:
        problem = f"by its latitude and longitude the threshold lies at {slant_nm:.2f} DME"
        yield Remark(path=("runway", "threshold_dme_nm"), problem=problem, remedy="correct one of the two")
    else:
        yield Result(subject="threshold", text=f"by latitude and longitude at {slant_nm:.2f} DME")


def _final_course(procedure: Procedure, path: FinalPath) -> Iterator[Remark | Result]:
    runway_deg, course_deg = procedure.runway.course_mag_deg, path.course_deg
    where: Path = ("legs", len(procedure.legs) - 1, "course_mag_deg")
    offset_deg = difference_deg(runway_deg, course_deg)
    if abs(offset_deg) > GREATEST_OFFSET_DEG:
        problem = f"{course_deg:03.0f} is {abs(offset_deg):.0f}° off the runway's {runway_deg:03.0f}"
        yield Remark(path=where, problem=problem, remedy="correct the course, or the runway's")
        return
    straight_in = [minimum.category for minimum in procedure.minima if minimum.line == "straight_in"]
    fast = [category for category in straight_in if category >= Category.C]
    if abs(offset_deg) > GREATEST_OFFSET_C_TO_E_DEG and fast:
        problem = (
            f"an offset of {abs(offset_deg):.0f}° has no straight-in minimum for category {', '.join(fast)}"
        )
        yield Remark(path=where, problem=problem, remedy="check course and minima", severity=Severity.WARNING)
    yield from _runway_appears(procedure, path, offset_deg, where)
    before = procedure.legs[-2] if len(procedure.legs) > 1 else None
    if isinstance(before, ReversalLeg):
        turned_deg = abs(difference_deg(before.inbound_course_mag_deg, course_deg))
    elif isinstance(before, CourseLeg):
        turned_deg = abs(difference_deg(before.course_mag_deg, course_deg))
    else:
        return
    if turned_deg > GREATEST_OFFSET_DEG:
        problem = f"the course turns {turned_deg:.0f}° at {procedure.final.from_fix}"
        remedy = "check both courses; designers keep to 30°"
        yield Remark(path=where, problem=problem, remedy=remedy, severity=Severity.WARNING)


def _runway_appears(
    procedure: Procedure, path: FinalPath, offset_deg: float, where: Path
) -> Iterator[Remark | Result]:
    """On which side of the nose the threshold stands when the minimum is reached, in still air."""
    if abs(offset_deg) < RADIAL_ROUNDING_DEG:
        course = f"final course {path.course_deg:03.0f} is the runway's"
    else:
        off = f"{abs(offset_deg):.0f}° {'right' if offset_deg > 0.0 else 'left'}"
        runway = f"the runway's {procedure.runway.course_mag_deg:03.0f}"
        course = f"final course {path.course_deg:03.0f} is {off} of {runway}"
    threshold = threshold_position(procedure)
    if threshold is None:
        seen = (
            ""
            if abs(offset_deg) < RADIAL_ROUNDING_DEG
            else ": expect the runway on the other side of the nose"
        )
        yield Result(subject="final course", text=course + seen)
        return
    across_nm = along_and_across_nm(threshold, path.start, path.course_deg).across_nm
    if abs(across_nm) > 0.3 + placing_error_nm(procedure.fix(procedure.final.from_fix).dme_nm):
        problem = f"the final course passes {abs(across_nm):.1f} NM beside the threshold"
        yield Remark(
            path=where, problem=problem, remedy="correct the course, the fix or the threshold's position"
        )
    lowest_ft = min(minimum_msl_ft(procedure, minimum) for minimum in procedure.minima)
    seen_from = path.point(path.along_at_altitude_nm(lowest_ft))
    aside_deg = difference_deg(path.course_deg, bearing_deg(seen_from, threshold))
    if abs(aside_deg) < RADIAL_ROUNDING_DEG:
        seen = "the threshold is dead ahead"
    else:
        seen = f"the threshold is {abs(aside_deg):.0f}° {'right' if aside_deg > 0.0 else 'left'} of the track"
    yield Result(subject="final course", text=f"{course}; at the minimum {seen}")
