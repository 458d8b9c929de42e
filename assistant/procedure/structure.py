"""
Is a procedure whole? Rules on how its parts refer to each other, before any of its numbers is judged.

"Exactly one of" is a rule here and not in the types: a chart gives a limit by time or by range, and files
read best when the key that stands there says which.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from itertools import pairwise

from assistant.procedure.findings import Path, Remark, field_name
from assistant.procedure.legs import (
    ArcLeg,
    CourseLeg,
    FinalLeg,
    HeightAtRange,
    Hold,
    MissedApproachPoint,
    OutboundTrack,
    ReversalLeg,
    StepDown,
)
from assistant.procedure.model import MissedApproachLeg, Procedure
from assistant.procedure.places import Altitude, Fix, Runway
from assistant.procedure.words import FixRole

EXACTLY_ONE: dict[type, tuple[str, ...]] = {
    Altitude: ("altitude_ft", "height_ft", "flight_level"),
    Hold: ("outbound_time_s", "outbound_dme_nm"),
    StepDown: ("fix", "dme_nm", "radial_deg"),
    OutboundTrack: ("time_s", "dme_nm"),
    MissedApproachPoint: ("fix", "dme_nm", "timed_distance_nm"),
    HeightAtRange: ("altitude_ft", "height_ft"),
    MissedApproachLeg: ("to_fix", "until_dme_nm", "until_radial_deg", "until_altitude_ft"),
}
BOTH_OR_NEITHER: dict[type, tuple[str, str]] = {
    Fix: ("latitude_deg", "longitude_deg"),
    Runway: ("threshold_latitude_deg", "threshold_longitude_deg"),
}
FIX_KEYS = frozenset({"fix", "to_fix", "from_fix"})


def structural_remarks(procedure: Procedure) -> tuple[Remark, ...]:
    """Every way in which the procedure's parts do not fit each other."""
    known = {fix.ident for fix in procedure.fixes}
    return (
        *_fix_list(procedure),
        *(remark for path, part in _parts(procedure, ()) for remark in _part_remarks(path, part, known)),
        *_roles(procedure),
        *_legs_join(procedure),
        *_step_downs(procedure),
        *_minima(procedure),
        *_missed_approach(procedure),
        *_datums(procedure),
    )


def _parts(part: object, path: Path) -> Iterator[tuple[Path, object]]:
    """Every group of keys in the procedure, with its path."""
    if isinstance(part, tuple):
        for index, item in enumerate(part):
            yield from _parts(item, (*path, index))
    elif is_dataclass(part):
        yield path, part
        for field in fields(part):
            yield from _parts(getattr(part, field.name), (*path, field.name))


def _part_remarks(path: Path, part: object, known_fixes: set[str]) -> Iterator[Remark]:
    alternatives = EXACTLY_ONE.get(type(part), ())
    given = [key for key in alternatives if getattr(part, key) is not None]
    if alternatives and not given:
        yield Remark(
            path=path, problem=f"has none of {', '.join(alternatives)}", remedy="give exactly one of them"
        )
    if len(given) > 1:
        problem = f"has {' and '.join(given)}"
        yield Remark(
            path=(*path, given[1]), problem=problem, remedy=f"keep exactly one of {', '.join(alternatives)}"
        )
    pair = BOTH_OR_NEITHER.get(type(part), ())
    if len([key for key in pair if getattr(part, key) is not None]) == 1:
        yield Remark(
            path=path, problem=f"has only one of {' and '.join(pair)}", remedy="give both or neither"
        )
    if not is_dataclass(part):
        return
    for field in fields(part):
        ident = getattr(part, field.name)
        if field.name in FIX_KEYS and ident is not None and ident not in known_fixes:
            remedy = f"add it to fixes, or use one of {', '.join(sorted(known_fixes))}"
            yield Remark(path=(*path, field.name), problem=f"{ident} is not among the fixes", remedy=remedy)


def _fix_list(procedure: Procedure) -> Iterator[Remark]:
    for ident, count in Counter(fix.ident for fix in procedure.fixes).items():
        if count > 1:
            second = [index for index, fix in enumerate(procedure.fixes) if fix.ident == ident][1]
            yield Remark(
                path=("fixes", second), problem=f"{ident} is listed twice", remedy="keep one of the two"
            )
    for index, fix in enumerate(procedure.fixes):
        if fix.radial_deg is None and fix.dme_nm > 0.0:
            remedy = "add the radial; only a fix overhead the station has none"
            yield Remark(
                path=("fixes", index), problem=f"{fix.ident} has a range and no radial", remedy=remedy
            )


def _roles(procedure: Procedure) -> Iterator[Remark]:
    """A fix said to be the final approach fix or the missed approach point is the one that the legs use."""
    final = next((leg for leg in procedure.legs if isinstance(leg, FinalLeg)), None)
    if final is None:
        return
    used = {FixRole.FAF: final.from_fix, FixRole.MISSED_APPROACH_POINT: final.missed_approach_point.fix}
    for index, fix in enumerate(procedure.fixes):
        for role in fix.roles:
            if used.get(role) not in {None, fix.ident}:
                problem = f"{fix.ident} has the role {role}, the final approach has {used[role]}"
                remedy = "correct the role, or the final approach"
                yield Remark(path=("fixes", index, "roles"), problem=problem, remedy=remedy)


def _start_of(leg: object) -> str | None:
    if isinstance(leg, ReversalLeg):
        return leg.fix
    return leg.from_fix if isinstance(leg, CourseLeg | ArcLeg | FinalLeg) else None


def _end_of(leg: object) -> str | None:
    """The fix at which a leg ends; an arc ends on a course, not at a fix."""
    if isinstance(leg, ReversalLeg):
        return leg.fix
    return leg.to_fix if isinstance(leg, CourseLeg) else None


def _legs_join(procedure: Procedure) -> Iterator[Remark]:
    legs = procedure.legs
    finals = [index for index, leg in enumerate(legs) if isinstance(leg, FinalLeg)]
    if not finals:
        yield Remark(
            path=("legs",), problem="there is no final approach", remedy="end the legs with one of kind final"
        )
    for index in finals:
        if index != len(legs) - 1:
            problem = "the final approach is not the last leg"
            yield Remark(path=("legs", index), problem=problem, remedy="put the one final approach last")
    if procedure.hold is not None and legs:
        start = _start_of(legs[0])
        if start is not None and start != procedure.hold.fix:
            problem = f"the first leg starts at {start}, the hold is at {procedure.hold.fix}"
            yield Remark(path=("legs", 0), problem=problem, remedy="begin the legs at the holding fix")
    for index, (before, after) in enumerate(pairwise(legs), start=1):
        yield from _joint(index, before, after)


def _joint(index: int, before: object, after: object) -> Iterator[Remark]:
    end, start = _end_of(before), _start_of(after)
    if isinstance(before, ArcLeg) and not isinstance(after, CourseLeg):
        remedy = "follow the arc with a leg of kind course that has no from_fix"
        yield Remark(path=("legs", index), problem="an arc leads straight into no course", remedy=remedy)
    elif isinstance(before, ArcLeg) and start is not None:
        problem = f"starts at {start}, but the turn off the arc ends anywhere on the course"
        yield Remark(
            path=("legs", index, "from_fix"), problem=problem, remedy="leave out from_fix after an arc"
        )
    elif end is not None and start is not None and end != start and not isinstance(before, ReversalLeg):
        problem = f"starts at {start}, the leg before ends at {end}"
        yield Remark(
            path=("legs", index), problem=problem, remedy="let each leg start where the last one ended"
        )
    elif isinstance(before, ReversalLeg) and isinstance(after, ReversalLeg):
        yield Remark(
            path=("legs", index), problem="a reversal after a reversal", remedy="remove one of the two"
        )


def _step_downs(procedure: Procedure) -> Iterator[Remark]:
    for index, leg in enumerate(procedure.legs):
        if isinstance(leg, ReversalLeg):
            if not leg.outbound:
                remedy = "add an outbound track with its categories, course and limit"
                yield Remark(path=("legs", index, "outbound"), problem="no outbound track", remedy=remedy)
            named = Counter(category for track in leg.outbound for category in track.categories)
            for category in (category for category, count in named.items() if count > 1):
                problem = f"category {category} has two outbound tracks"
                yield Remark(
                    path=("legs", index, "outbound"), problem=problem, remedy="name each category once"
                )
            continue
        if (
            isinstance(leg, FinalLeg)
            and leg.step_downs
            and not _is_at_final_fix(procedure, leg, leg.step_downs[0])
        ):
            problem = (
                f"the first step-down is not at {leg.from_fix}, so nothing says what binds from there on"
            )
            remedy = f"begin with {{fix: {leg.from_fix}, altitude: ...}}, the floor from there on"
            yield Remark(path=("legs", index, "step_downs", 0), problem=problem, remedy=remedy)
        for number, step in enumerate(leg.step_downs):
            if step.radial_deg is not None and not isinstance(leg, ArcLeg):
                path: Path = ("legs", index, "step_downs", number, "radial_deg")
                problem = "a step-down by radial is only met on an arc"
                yield Remark(path=path, problem=problem, remedy="give its range or fix")
            if isinstance(leg, ArcLeg) and step.radial_deg is None:
                path = ("legs", index, "step_downs", number)
                yield Remark(
                    path=path, problem="the range does not change on an arc", remedy="give its radial_deg"
                )


def _is_at_final_fix(procedure: Procedure, leg: FinalLeg, step: StepDown) -> bool:
    ranges_nm = [fix.dme_nm for fix in procedure.fixes if fix.ident == leg.from_fix]
    return step.fix == leg.from_fix or step.dme_nm in ranges_nm


def _minima(procedure: Procedure) -> Iterator[Remark]:
    if not procedure.minima:
        yield Remark(
            path=("minima",), problem="there are no minima", remedy="add one for each category published"
        )
    seen: set[tuple[str, str]] = set()
    for index, minimum in enumerate(procedure.minima):
        if minimum.mda_ft is None and minimum.mdh_ft is None:
            problem = "has neither mda_ft nor mdh_ft"
            yield Remark(path=("minima", index), problem=problem, remedy="give the one published, or both")
        if (minimum.category, minimum.line) in seen:
            problem = f"category {minimum.category} has a second {minimum.line} minimum"
            yield Remark(
                path=("minima", index), problem=problem, remedy="keep one for each category and line"
            )
        seen.add((minimum.category, minimum.line))


def _missed_approach(procedure: Procedure) -> Iterator[Remark]:
    missed = procedure.missed_approach
    path: Path = ("missed_approach", "legs")
    if not missed.legs:
        yield Remark(path=path, problem="the missed approach has no legs", remedy="add at least one leg")
    for index, leg in enumerate(missed.legs):
        if leg.course_mag_deg is None and leg.to_fix is None:
            problem = "has neither a course nor a fix to go to"
            yield Remark(path=(*path, index), problem=problem, remedy="give course_mag_deg or to_fix")
    if missed.then_hold and procedure.hold is None:
        path = ("missed_approach", "then_hold")
        yield Remark(
            path=path, problem="there is no hold to go to", remedy="describe the hold, or write false"
        )
    if (
        missed.then_hold
        and procedure.hold is not None
        and missed.legs
        and missed.legs[-1].to_fix != procedure.hold.fix
    ):
        problem = f"the last leg does not end at the holding fix {procedure.hold.fix}"
        remedy = f"end the missed approach with to_fix: {procedure.hold.fix}"
        yield Remark(path=(*path, len(missed.legs) - 1), problem=problem, remedy=remedy)


def _datums(procedure: Procedure) -> Iterator[Remark]:
    if procedure.airport.transition_altitude_ft is not None:
        return
    for path, part in _parts(procedure, ()):
        if isinstance(part, Altitude) and part.flight_level is not None:
            problem = f"{field_name(path)} is a flight level, and there is no transition altitude"
            remedy = "add airport.transition_altitude_ft: where the altimeter changes to 1013.25 hPa"
            yield Remark(path=("airport",), problem=problem, remedy=remedy)
            return
