"""
Base turns and procedure turns: how long outbound, and where the turn back rolls out.

A base turn leaves the fix on a published track and turns back on to an inbound course that diverges from it;
a procedure turn leaves the outbound course by 45 (or 80) degrees and comes back by 180 (or 260). The tracks
are published and flown with drift taken off, so in wind only the time is free. For a base turn it is solved
exactly, since the roll-out's distance from the course grows evenly with time; for a procedure turn likewise.
Turns are at fixed bank in moving air (`turns`), without roll-in. Sources: ICAO Doc 8168 Vol I Part I Section
4 Chapter 3; Vol II Part I Section 4 Chapter 3 and its Appendix C; FAA Instrument Flying Handbook for the
training patterns.
"""

from math import atan, cos, degrees, radians, sin, tan
from typing import NamedTuple

from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import (
    PlanePoint,
    Turn,
    along_and_across_nm,
    difference_deg,
    move,
    normalize_deg,
    reciprocal_deg,
)
from assistant.nav.turns import turn_displacement, turn_radius_nm, turn_time_s
from assistant.nav.wind import heading_for_track

ENTRY_WITHIN_DEG = 30.0  # of the outbound track; Doc 8168 Vol I I-4-3 and Vol II I-4-3 3.5.3
FAST_ABOVE_KT = 170.0  # where 25 degrees gives less than rate one
SHORTEST_OUTBOUND_S, LONGEST_OUTBOUND_S = 60.0, 180.0
_FIX = PlanePoint(0.0, 0.0)


class Reversed(NamedTuple):
    """
    What comes of a reversal.

    `time_s` is the timed part (outbound from the fix, or from the start of the procedure turn);
    `across_error_nm` is where it rolls out, right of the inbound course positive; `roll_out_nm` is the
    distance left to the fix along it; `end` the point where the turn back begins, in the frame of the fix;
    `headings_deg` in the order flown.
    """

    time_s: float
    across_error_nm: float
    roll_out_nm: float
    end: PlanePoint
    headings_deg: tuple[float, ...]
    total_time_s: float


def may_enter(track_deg: float, outbound_track_deg: float) -> bool:
    """Whether a reversal may be entered directly on a track: within 30 degrees of the outbound track."""
    return abs(difference_deg(track_deg, outbound_track_deg)) <= ENTRY_WITHIN_DEG


def base_turn_angle_deg(tas_kt: float, outbound_time_s: float, bank_deg: float) -> float:
    """
    The divergence of a base turn for which a still-air turn rolls out on the inbound course: 2 atan(r / L).

    The designers' rule beside it is `base_turn_angle_rule_deg`.
    """
    length_nm = tas_kt * outbound_time_s / 3600.0
    if length_nm <= 0.0:
        raise OutsideValidity(f"An outbound time of {outbound_time_s} s has no length.")
    return degrees(2.0 * atan(turn_radius_nm(tas_kt, bank_deg) / length_nm))


def base_turn_angle_rule_deg(tas_kt: float, outbound_time_s: float) -> float:
    """Designers' rule: 36 / minutes up to 170 kt, 0.215 TAS / minutes above (Doc 8168 Vol II I-4-3 App C)."""
    minutes = outbound_time_s / 60.0
    return 36.0 / minutes if tas_kt <= FAST_ABOVE_KT else 0.215 * tas_kt / minutes


def base_turn(
    outbound_track_deg: float,
    inbound_course_deg: float,
    turn: Turn,
    tas_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_kt: float,
    outbound_time_s: float | None = None,
) -> Reversed:
    """
    A base turn from the fix, timed as given, or else for the time that rolls out on the inbound course.

    Raises NoSolution where no time does (the wind carries the turn across the course, or the tracks do not
    diverge).
    """
    out = heading_for_track(outbound_track_deg, tas_kt, wind_from_deg, wind_kt)
    back = heading_for_track(inbound_course_deg, tas_kt, wind_from_deg, wind_kt)
    path = turn_displacement(
        out.heading_deg, back.heading_deg, turn, tas_kt, bank_deg, wind_from_deg, wind_kt
    )
    turned = along_and_across_nm(PlanePoint(path.east_nm, path.north_nm), _FIX, inbound_course_deg)
    rate_nm = along_and_across_nm(
        move(_FIX, out.track_deg, out.groundspeed_kt / 3600.0), _FIX, inbound_course_deg
    )
    time_s = outbound_time_s
    if time_s is None:
        time_s = _time_to_cancel_s(turned.across_nm, rate_nm.across_nm)
    end = move(_FIX, out.track_deg, out.groundspeed_kt * time_s / 3600.0)
    return Reversed(
        time_s,
        turned.across_nm + rate_nm.across_nm * time_s,
        -(turned.along_nm + rate_nm.along_nm * time_s),
        end,
        (out.heading_deg, back.heading_deg),
        time_s + path.time_s,
    )


def procedure_turn(
    outbound_course_deg: float,
    turn: Turn,
    tas_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_kt: float,
    *,
    outbound_time_s: float,
    leg_time_s: float | None = None,
    away_deg: float = 45.0,
) -> Reversed:
    """
    A procedure turn: outbound, away to the side named, back the other way on to the reciprocal course.

    45 degrees and 180 back, timed from the start of the first turn (60 s for categories A and B, 75 s for the
    others, Doc 8168), or, without a time, for the one that rolls out on course. The 80/260 turn is
    `away_deg=80` with the turn's own time: it has no straight leg. The leg away is flown on its track in the
    wind.
    """
    side = 1.0 if turn == "right" else -1.0
    other: Turn = "left" if turn == "right" else "right"
    inbound_deg = reciprocal_deg(outbound_course_deg)
    flown = (tas_kt, bank_deg, wind_from_deg, wind_kt)
    out = heading_for_track(outbound_course_deg, tas_kt, wind_from_deg, wind_kt)
    away = heading_for_track(
        normalize_deg(outbound_course_deg + side * away_deg), tas_kt, wind_from_deg, wind_kt
    )
    back = heading_for_track(inbound_deg, tas_kt, wind_from_deg, wind_kt)
    first = turn_displacement(out.heading_deg, away.heading_deg, turn, *flown)
    second = turn_displacement(away.heading_deg, back.heading_deg, other, *flown)
    start = move(_FIX, outbound_course_deg, out.groundspeed_kt * outbound_time_s / 3600.0)
    turns = along_and_across_nm(
        PlanePoint(
            start.east_nm + first.east_nm + second.east_nm, start.north_nm + first.north_nm + second.north_nm
        ),
        _FIX,
        inbound_deg,
    )
    rate_nm = along_and_across_nm(move(_FIX, away.track_deg, away.groundspeed_kt / 3600.0), _FIX, inbound_deg)
    if leg_time_s is None:
        straight_s = _time_to_cancel_s(turns.across_nm, rate_nm.across_nm)
    else:
        straight_s = max(0.0, leg_time_s - first.time_s)
    end = move(
        PlanePoint(start.east_nm + first.east_nm, start.north_nm + first.north_nm),
        away.track_deg,
        away.groundspeed_kt * straight_s / 3600.0,
    )
    return Reversed(
        first.time_s + straight_s,
        turns.across_nm + rate_nm.across_nm * straight_s,
        -(turns.along_nm + rate_nm.along_nm * straight_s),
        end,
        (out.heading_deg, away.heading_deg, back.heading_deg),
        outbound_time_s + first.time_s + straight_s + second.time_s,
    )


def procedure_turn_time_s(category: str) -> float:
    """
    Time from the start of the 45 degree turn: 60 s for categories A and B.

    75 s for C, D and E (Doc 8168).
    """
    return 60.0 if category in {"A", "B"} else 75.0


def procedure_turn_offset_nm(
    tas_kt: float, bank_deg: float, leg_time_s: float, away_deg: float = 45.0
) -> float:
    """How far aside a procedure turn's timed leg leads in still air: r (1 - cos) and straight x sin."""
    straight_s = leg_time_s - turn_time_s(away_deg, tas_kt, bank_deg)
    if straight_s < 0.0:
        raise NoSolution(f"The {away_deg:.0f} degree turn takes longer than {leg_time_s:.0f} s.")
    sideways_nm = turn_radius_nm(tas_kt, bank_deg) * (1.0 - cos(radians(away_deg)))
    return sideways_nm + tas_kt * straight_s / 3600.0 * sin(radians(away_deg))


def teardrop_length_nm(tas_kt: float, bank_deg: float, angle_deg: float) -> float:
    """The outbound length for which a divergence rolls out on course in still air: r / tan(angle / 2)."""
    if not 0.0 < angle_deg < 180.0:
        raise OutsideValidity(f"A divergence of {angle_deg} degrees is outside 0 to 180.")
    return turn_radius_nm(tas_kt, bank_deg) / tan(radians(angle_deg / 2.0))


def _time_to_cancel_s(across_nm: float, rate_nm: float) -> float:
    """Seconds after which a steady sideways rate has undone a distance."""
    time_s = -across_nm / rate_nm if abs(rate_nm) > 1e-12 else -1.0
    if time_s < 0.0:
        raise NoSolution("No outbound time rolls out on the inbound course in this wind.")
    return time_s
