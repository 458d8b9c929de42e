"""
May a reversal be entered the way the chart leads to it.

A base turn, a penetration and a procedure turn are entered from within 30 degrees of the outbound track (ICAO
Doc 8168 Vol II, Part I, Section 4, Chapter 3, 3.5.3). From anywhere else the aircraft is far off the outbound
track by the time it is on its heading. Racetracks are entered by sector, as holds are.
"""

from collections.abc import Iterator

from assistant.nav.geometry import difference_deg, normalize_deg, reciprocal_deg
from assistant.nav.reversal import ENTRY_WITHIN_DEG, may_enter
from assistant.procedure.findings import Path, Remark, Result
from assistant.procedure.model import ArcLeg, CourseLeg, OutboundTrack, Procedure, ReversalLeg


def entry_findings(procedure: Procedure) -> Iterator[Remark | Result]:
    """Every remark and result on how reversals are entered."""
    for index, leg in enumerate(procedure.legs):
        if isinstance(leg, ReversalLeg) and leg.pattern != "racetrack":
            yield _entry(procedure, leg, index)


def _entry(procedure: Procedure, leg: ReversalLeg, index: int) -> Remark | Result:
    courses = dict.fromkeys(f"{track.course_mag_deg:03.0f}" for track in leg.outbound)
    tracks = " and ".join(courses)
    arrival = _arrival(procedure, index)
    if arrival is None:
        text = f"no hold and no leg before it: to be entered within {ENTRY_WITHIN_DEG:.0f}° of {tracks}"
        return Result(subject="reversal entry", text=text)
    words, course_deg, path = arrival
    off_deg = [abs(difference_deg(track.course_mag_deg, course_deg)) for track in leg.outbound]
    if all(_may_enter(leg, track, course_deg) for track in leg.outbound):
        text = f"{words} on {course_deg:03.0f}, at most {max(off_deg):.0f}° off the outbound track {tracks}"
        return Result(subject="reversal entry", text=text)
    problem = (
        f"{words} arrives at {leg.fix} on {course_deg:03.0f}, {max(off_deg):.0f}° off the outbound track"
        f" {tracks}; a {leg.pattern.replace('_', ' ')} is entered within {ENTRY_WITHIN_DEG:.0f}° of it"
    )
    remedy = f"correct the course; a hold belongs on the other side of {leg.fix}, inbound near {tracks}"
    return Remark(path=path, problem=problem, remedy=remedy)


def _may_enter(leg: ReversalLeg, track: OutboundTrack, course_deg: float) -> bool:
    """
    Within 30 degrees; of a base turn that diverges by more, also between outbound track and inbound line.

    The second half is Doc 8168 Vol I, Part I, Section 4, Chapter 3, 3.2.2 (from memory).
    """
    spread_deg = difference_deg(track.course_mag_deg, reciprocal_deg(leg.inbound_course_mag_deg))
    off_deg = difference_deg(track.course_mag_deg, course_deg)
    is_between = off_deg * spread_deg > 0.0 and abs(off_deg) <= abs(spread_deg)
    return may_enter(course_deg, track.course_mag_deg) or is_between


def _arrival(procedure: Procedure, index: int) -> tuple[str, float, Path] | None:
    """What comes before a reversal, the course on which it ends, and where in the file that stands."""
    if index == 0:
        if procedure.hold is None:
            return None
        return "the hold", procedure.hold.inbound_course_mag_deg, ("hold", "inbound_course_mag_deg")
    before = procedure.legs[index - 1]
    if isinstance(before, CourseLeg):
        return "the leg before", before.course_mag_deg, ("legs", index - 1, "course_mag_deg")
    if isinstance(before, ArcLeg):
        along_deg = 90.0 if before.direction == "clockwise" else -90.0
        return (
            "the arc",
            normalize_deg(before.to_radial_deg + along_deg),
            ("legs", index - 1, "to_radial_deg"),
        )
    return None  # a reversal after a reversal or the final is refused before anything is checked
