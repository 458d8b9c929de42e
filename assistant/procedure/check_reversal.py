"""
Does a reversal come back: the side of its outbound track, its limits, where it rolls out, how fast it sinks.

Flown on paper in still air. The turn is at 25 degrees of bank or rate one, whichever is shallower, as
designers assume (ICAO Doc 8168 Vol II, table I-2-3-1), at the fastest speed of each category.
"""

from collections.abc import Iterator

from assistant.nav.airspeed import tas_kt_from_ias
from assistant.nav.errors import OutsideValidity
from assistant.nav.geometry import (
    PlanePoint,
    along_and_across_nm,
    difference_deg,
    line_range_crossings,
    move,
    reciprocal_deg,
    turn_through_deg,
)
from assistant.nav.speed_limits import category_speeds
from assistant.nav.turns import bank_in_use_deg, turn_displacement
from assistant.procedure.findings import Path, Remark, Result, Severity
from assistant.procedure.layout import fix_point, ground_nm, msl_ft
from assistant.procedure.model import Altitude, Category, OutboundTrack, Procedure, ReversalLeg

ROLL_OUT_WITHIN_NM = 1.5
"""Further from the inbound course than this after a still-air turn, the outbound track is not the chart's."""
GREATEST_SPREAD_DEG = 45.0
ROOM_NM = 1.5
"""With less than this to go to the final approach fix there is little room to settle on the course."""
MOST_DESCENT_FPM = {
    "outbound": {"A": 804.0, "B": 804.0, "C": 1197.0, "D": 1197.0, "E": 1197.0},
    "inbound": {"A": 655.0, "B": 655.0, "C": 1000.0, "D": 1000.0, "E": 1000.0},
}
"""Descent for each minute of nominal outbound time: ICAO Doc 8168 Vol II, Table I-4-3-1."""


def reversal_findings(procedure: Procedure) -> Iterator[Remark | Result]:
    """Every remark and result on reversals."""
    for index, leg in enumerate(procedure.legs):
        if isinstance(leg, ReversalLeg):
            for number, track in enumerate(leg.outbound):
                yield from _outbound(procedure, leg, track, ("legs", index, "outbound", number))
            yield from _categories(procedure, leg, ("legs", index, "outbound"))


def _is_teardrop(leg: ReversalLeg) -> bool:
    return leg.pattern in ("base_turn", "penetration")


def _categories(procedure: Procedure, leg: ReversalLeg, where: Path) -> Iterator[Remark]:
    named = {category for track in leg.outbound for category in track.categories}
    without = sorted({minimum.category for minimum in procedure.minima} - named)
    if without:
        problem = f"category {', '.join(without)} has minima and no outbound track"
        yield Remark(path=where, problem=problem, remedy="name every category that has a minimum")


def _outbound(
    procedure: Procedure, leg: ReversalLeg, track: OutboundTrack, where: Path
) -> Iterator[Remark | Result]:
    back_deg = reciprocal_deg(leg.inbound_course_mag_deg)
    spread_deg = difference_deg(back_deg, track.course_mag_deg)
    if _is_teardrop(leg):
        # A right turn needs the outbound track on the left of the line it comes back on, and the reverse.
        is_on_side = spread_deg < 0.0 if leg.turn == "right" else spread_deg > 0.0
        if not is_on_side or abs(spread_deg) > GREATEST_SPREAD_DEG:
            problem = (
                f"a {leg.turn} turn from {track.course_mag_deg:03.0f} does not come back to"
                f" {leg.inbound_course_mag_deg:03.0f}, whose reciprocal is {back_deg:03.0f}"
            )
            yield Remark(
                path=(*where, "course_mag_deg"), problem=problem, remedy="correct the course or the turn"
            )
            return
    elif abs(spread_deg) > 1.0:
        problem = f"{track.course_mag_deg:03.0f} is not the reciprocal {back_deg:03.0f} of the inbound course"
        yield Remark(path=(*where, "course_mag_deg"), problem=problem, remedy="correct one of the two")
        return
    limit_nm = leg.remain_within_dme_nm
    if limit_nm is not None and track.dme_nm is not None and track.dme_nm >= limit_nm:
        problem = f"the turn begins at {track.dme_nm:g} DME, and the limit is {limit_nm:g} DME"
        yield Remark(path=(*where, "dme_nm"), problem=problem, remedy="correct one of the two")
    for category in track.categories:
        yield from _flown(procedure, leg, track, category, where)


def _flown(
    procedure: Procedure, leg: ReversalLeg, track: OutboundTrack, category: Category, where: Path
) -> Iterator[Remark | Result]:
    """Fly it in still air: where it turns back, where it rolls out, what is lost a minute."""
    altitude_ft = msl_ft(procedure, leg.turn_altitude or leg.altitude)
    fastest_kt = category_speeds(category.value).reversal_kt
    ias_kt = min(fastest_kt, leg.speed_limit_kt or fastest_kt)
    try:
        tas_kt = tas_kt_from_ias(ias_kt, altitude_ft)
    except OutsideValidity:
        return
    start = fix_point(procedure, leg.fix)
    length_nm = _length_nm(procedure, track, start, altitude_ft, tas_kt)
    if length_nm is None:
        problem = f"{track.dme_nm:g} DME is not met outbound from {leg.fix} on {track.course_mag_deg:03.0f}"
        yield Remark(path=(*where, "dme_nm"), problem=problem, remedy="correct the range or the course")
        return
    minutes = length_nm / tas_kt * 60.0
    text = f"category {category} at {ias_kt:.0f} kt: outbound {length_nm:.1f} NM, {minutes:.1f} min"
    if not _is_teardrop(leg):
        yield Result(subject="reversal", text=text)
        yield from _descent(procedure, leg, category, minutes, where)
        return
    turned_deg = turn_through_deg(track.course_mag_deg, leg.inbound_course_mag_deg, leg.turn.value)
    turn = turn_displacement(
        track.course_mag_deg,
        leg.inbound_course_mag_deg,
        leg.turn.value,
        tas_kt,
        bank_in_use_deg(tas_kt),
        0.0,
        0.0,
    )
    out = move(start, track.course_mag_deg, length_nm)
    end = PlanePoint(out.east_nm + turn.east_nm, out.north_nm + turn.north_nm)
    yield _roll_out(procedure, leg, end, f"{text}; a turn through {turned_deg:.0f}°", where)
    yield from _descent(procedure, leg, category, minutes, where)


def _roll_out(
    procedure: Procedure, leg: ReversalLeg, end: PlanePoint, flown: str, where: Path
) -> Remark | Result:
    """How far from the inbound course a turn ends, and how far before the final approach fix."""
    final_fix = procedure.final.from_fix
    there = along_and_across_nm(end, fix_point(procedure, final_fix), leg.inbound_course_mag_deg)
    across_nm = along_and_across_nm(end, fix_point(procedure, leg.fix), leg.inbound_course_mag_deg).across_nm
    side = "right" if across_nm > 0.0 else "left"
    text = f"{flown} rolls out {abs(across_nm):.1f} NM {side} of the inbound course"
    to_go_nm = -there.along_nm
    if abs(across_nm) > ROLL_OUT_WITHIN_NM:
        problem, remedy = f"{text} in still air", "check the outbound course, its limit and the speed limit"
        return Remark(path=where, problem=problem, remedy=remedy, severity=Severity.WARNING)
    if to_go_nm < 0.0:
        problem = f"{text} and {-to_go_nm:.1f} NM past {final_fix} in still air"
        remedy = "lengthen the outbound leg, or correct the final approach fix"
        return Remark(path=where, problem=problem, remedy=remedy, severity=Severity.WARNING)
    room = ": little room" if to_go_nm < ROOM_NM else ""
    return Result(subject="reversal", text=f"{text}, {to_go_nm:.1f} NM before {final_fix}{room}")


def _descent(
    procedure: Procedure, leg: ReversalLeg, category: Category, nominal_min: float, where: Path
) -> Iterator[Remark | Result]:
    """
    What is lost outbound and inbound, for each minute outbound, against the designers' table.

    What is lost in the turn has no place in that table. A penetration from on high is steeper by its nature
    and only told. The table's least descents inbound are left out: less to lose is no fault.
    """
    at_turn_ft = msl_ft(procedure, leg.turn_altitude or leg.altitude)
    losses_ft = {"inbound": at_turn_ft - msl_ft(procedure, leg.inbound_altitude)}
    before = _level_before(procedure, leg)
    if before is not None:
        losses_ft = {"outbound": msl_ft(procedure, before) - msl_ft(procedure, leg.altitude)} | losses_ft
    told: list[str] = []
    for name, lost_ft in losses_ft.items():
        fpm = lost_ft / nominal_min
        text = f"{lost_ft:.0f} ft {name}, {fpm:.0f} for each minute out"
        most_fpm = MOST_DESCENT_FPM[name][category.value]
        if leg.pattern != "penetration":
            text += f" ({most_fpm:.0f} at most)"
            if fpm > most_fpm:
                problem, remedy = (
                    f"category {category}: {text}",
                    "lengthen the outbound leg, or correct the levels",
                )
                yield Remark(path=where, problem=problem, remedy=remedy, severity=Severity.WARNING)
                continue
        told.append(text)
    if told:
        yield Result(subject="reversal descent", text=f"category {category}: {'; '.join(told)}")


def _level_before(procedure: Procedure, leg: ReversalLeg) -> Altitude | None:
    """The level at which a reversal begins: that of the leg before, or the hold's lowest; None: no such."""
    index = procedure.legs.index(leg)
    if index == 0:
        return procedure.hold.minimum if procedure.hold is not None else None
    before = procedure.legs[index - 1]
    if isinstance(before, ReversalLeg):
        return before.inbound_altitude
    return before.step_downs[-1].altitude if before.step_downs else before.altitude


def _length_nm(
    procedure: Procedure, track: OutboundTrack, start: PlanePoint, altitude_ft: float, tas_kt: float
) -> float | None:
    """Length of the outbound leg, NM; None where its range is never met."""
    if track.time_s is not None:
        return tas_kt * track.time_s / 3600.0
    ground = ground_nm(procedure, track.dme_nm or 0.0, altitude_ft)
    ahead = [nm for nm in line_range_crossings(start, track.course_mag_deg, ground) if nm > 0.0]
    return min(ahead, default=None)
