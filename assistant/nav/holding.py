"""
The hold: how to enter it, how fast, and which way to fly outbound in wind.

The pattern is two turns at fixed bank in moving air and two straight legs; only the outbound heading and its
length are free. A turn cannot be corrected for wind, so the outbound leg has to make up for the drift of both
turns: hence "three times the drift" (FAA AIM 5-3-8), a rule that is exact for no wind at all. Here the
outbound leg is solved, so that the inbound turn rolls out on the inbound course, and the rule's own
cross-track error is given beside it. Roll-in and roll-out are left out. Sources: ICAO Doc 8168 Vol I Part I
Section 6 Chapter 1; FAA AIM 5-3-8.
"""

from collections.abc import Callable, Collection
from typing import Literal, NamedTuple

from assistant.nav.errors import NoSolution
from assistant.nav.geometry import (
    AlongAcross,
    PlanePoint,
    Turn,
    along_and_across_nm,
    difference_deg,
    line_range_crossings,
    move,
    normalize_deg,
    reciprocal_deg,
)
from assistant.nav.roots import sign_changes
from assistant.nav.turns import TurnPath, turn_displacement
from assistant.nav.wind import WindTriangle, components, heading_for_track, track_for_heading

Sector = Literal["parallel", "offset", "direct"]
ENTRY_ZONE_DEG = 5.0
OFFSET_ENTRY_DEG = 30.0
SHORTEST_OUTBOUND_S = (
    30.0  # US Navy P-871, adverse wind note; PANS-OPS Vol II II-4-1 1.3.2.3 for the inbound leg
)
_FIX = PlanePoint(0.0, 0.0)


class Entry(NamedTuple):
    """The entry that belongs to a heading, and the one next door if within 5 degrees of the boundary."""

    sector: Sector
    also: Sector | None


class Outbound(NamedTuple):
    """
    How to fly outbound, and what comes of it.

    `time_s` runs as the pilot times it, from abeam the fix or wings level, whichever is later; `straight_s`
    from wings level. `drift_correction_deg` is the heading off the reciprocal of the inbound course, right
    positive. `across_error_nm` is where the inbound turn rolls out, right of the inbound course positive;
    `inbound_time_s` and `roll_out_nm` are what is left to the fix then (below zero: rolled out past it).
    `end` is where the inbound turn starts, in the flat frame with the fix at its origin.
    """

    heading_deg: float
    time_s: float
    straight_s: float
    drift_correction_deg: float
    across_error_nm: float
    inbound_time_s: float
    roll_out_nm: float
    inbound_heading_deg: float
    end: PlanePoint


class RangeLimit(NamedTuple):
    """
    An outbound limit by range: the station's place in the frame of the fix.

    And the ground range that ends it.
    """

    station: PlanePoint
    ground_nm: float


class _Pattern(NamedTuple):
    course_deg: float
    turn: Turn
    tas_kt: float
    bank_deg: float
    wind_from_deg: float
    wind_kt: float
    inbound: WindTriangle


class _Legs(NamedTuple):
    first: TurnPath
    second: TurnPath
    outbound: WindTriangle


def entry_sector(heading_mag_deg: float, inbound_course_mag_deg: float, turn: Turn) -> Entry:
    """
    The entry by heading at the fix: sectors cut at 70 and 110 degrees from the outbound course.

    Right turns: parallel from 110 left of the outbound course to the course itself, offset from there to 70
    right, direct elsewhere; mirrored for left turns. On a boundary itself either is right and the first of
    these is named.
    """
    relative_deg = difference_deg(heading_mag_deg, reciprocal_deg(inbound_course_mag_deg))
    # Positive: the outbound course lies on the side of the holding turn.
    toward_deg = relative_deg if turn == "right" else -relative_deg
    # 0, 70 and -110 as bounds of (offset | parallel), (offset | direct) and (parallel | direct).
    if 0.0 < toward_deg <= 70.0:
        sector: Sector = "offset"
    elif -110.0 <= toward_deg <= 0.0:
        sector = "parallel"
    else:
        sector = "direct"
    neighbours: dict[float, tuple[Sector, Sector]] = {
        0.0: ("offset", "parallel"),
        70.0: ("offset", "direct"),
        -110.0: ("parallel", "direct"),
    }
    for bound_deg, (one, other) in neighbours.items():
        if abs(toward_deg - bound_deg) <= ENTRY_ZONE_DEG:
            return Entry(sector, other if sector == one else one)
    return Entry(sector, None)


def permitted_entries(entry: Entry, not_authorised: Collection[Sector] = ()) -> tuple[Sector, ...]:
    """
    The entries that sector, 5 degree zone and the chart's restrictions leave, the sector's own first.

    Maybe none.
    """
    offered = (entry.sector,) if entry.also is None else (entry.sector, entry.also)
    return tuple(sector for sector in offered if sector not in not_authorised)


def entry_heading_deg(sector: Sector, inbound_course_deg: float, turn: Turn) -> float:
    """
    The still-air track to take up over the fix: the reciprocal, or 30 degrees into the holding side.

    The direct entry turns to the outbound heading at once, so it names the reciprocal too.
    """
    out_deg = reciprocal_deg(inbound_course_deg)
    if sector != "offset":
        return out_deg
    return normalize_deg(out_deg - OFFSET_ENTRY_DEG if turn == "right" else out_deg + OFFSET_ENTRY_DEG)


def outbound_by_rule(
    inbound_course_deg: float,
    turn: Turn,
    tas_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_kt: float,
    *,
    nominal_time_s: float = 60.0,
    drift_factor: float = 3.0,
    range_limit: RangeLimit | None = None,
) -> Outbound:
    """
    The outbound leg by the working rules, and where it leads.

    Heading: the inbound correction times three, to the other side (FAA AIM 5-3-8; US Navy P-1244 says two to
    three). Time: a second more for every knot of head wind outbound, less for tail wind (common practice), at
    least 30 s (US Navy P-871); or the range limit if there is one.
    """
    pattern = _pattern(inbound_course_deg, turn, tas_kt, bank_deg, wind_from_deg, wind_kt)
    out_deg = reciprocal_deg(inbound_course_deg)
    heading_deg = normalize_deg(out_deg + drift_factor * pattern.inbound.drift_deg)
    head_kt = components(out_deg, wind_from_deg, wind_kt).head_kt
    time_s = max(SHORTEST_OUTBOUND_S, nominal_time_s + head_kt)
    legs = _legs(pattern, heading_deg)
    if range_limit is None:
        straight_s: float | None = _straight_from_timed_s(pattern, legs, time_s)
    else:
        straight_s = _straight_to_range_s(legs, range_limit)
    if straight_s is None:
        raise NoSolution(f"Outbound on heading {heading_deg:.0f} never reaches the range limit in this wind.")
    return _outcome(pattern, legs, straight_s)


def outbound_solved(
    inbound_course_deg: float,
    turn: Turn,
    tas_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_kt: float,
    *,
    inbound_time_s: float = 60.0,
    outbound_time_s: float | None = None,
    range_limit: RangeLimit | None = None,
) -> Outbound:
    """
    The outbound heading whose inbound turn rolls out on the inbound course, to a thousandth of a mile.

    The leg's length comes from one of three: the wanted inbound time (the default), a timed outbound leg, or
    a range that ends it. Raises NoSolution, with a sentence, where no heading within 80 degrees of the
    reciprocal does it.
    """
    pattern = _pattern(inbound_course_deg, turn, tas_kt, bank_deg, wind_from_deg, wind_kt)

    def straight_s(legs: _Legs) -> float | None:
        if range_limit is not None:
            return _straight_to_range_s(legs, range_limit)
        if outbound_time_s is not None:
            return _straight_from_timed_s(pattern, legs, outbound_time_s)
        return _straight_for_inbound_s(pattern, legs, inbound_time_s)

    return _solve(pattern, straight_s)


def next_outbound_time_s(
    outbound_flown_s: float, inbound_measured_s: float, inbound_wanted_s: float
) -> float:
    """Working rule: lengthen the next outbound leg by what the inbound leg fell short (US Navy P-871)."""
    return max(SHORTEST_OUTBOUND_S, outbound_flown_s + inbound_wanted_s - inbound_measured_s)


def _solve(pattern: _Pattern, straight_s: Callable[[_Legs], float | None]) -> Outbound:
    out_deg = reciprocal_deg(pattern.course_deg)

    def error_nm(correction_deg: float) -> float | None:
        try:
            legs = _legs(pattern, normalize_deg(out_deg + correction_deg))
        except NoSolution:
            return None
        time_s = straight_s(legs)
        return None if time_s is None else _outcome(pattern, legs, time_s).across_error_nm

    found: list[Outbound] = []
    for correction_deg in sign_changes(error_nm, -80.0, 80.0, 2.0):
        legs = _legs(pattern, normalize_deg(out_deg + correction_deg))
        time_s = straight_s(legs)
        if time_s is not None:
            found.append(_outcome(pattern, legs, time_s))
    # A bracket may also hold a jump (the limit is met on another branch), which is no solution.
    solved = [outbound for outbound in found if abs(outbound.across_error_nm) < 1e-3]
    if not solved:
        raise NoSolution(
            f"No outbound heading within 80 degrees of {out_deg:.0f} rolls out on the inbound course"
            f" in a wind of {pattern.wind_from_deg:.0f} degrees {pattern.wind_kt:.0f} kt"
            f" at {pattern.tas_kt:.0f} kt: ask for a longer leg or another bank."
        )
    return min(solved, key=lambda outbound: abs(outbound.drift_correction_deg))


def _pattern(
    course_deg: float, turn: Turn, tas_kt: float, bank_deg: float, wind_from_deg: float, wind_kt: float
) -> _Pattern:
    inbound = heading_for_track(course_deg, tas_kt, wind_from_deg, wind_kt)
    return _Pattern(course_deg, turn, tas_kt, bank_deg, wind_from_deg, wind_kt, inbound)


def _legs(pattern: _Pattern, heading_deg: float) -> _Legs:
    flown = (pattern.turn, pattern.tas_kt, pattern.bank_deg, pattern.wind_from_deg, pattern.wind_kt)
    inbound_deg = pattern.inbound.heading_deg
    return _Legs(
        turn_displacement(inbound_deg, heading_deg, *flown),
        turn_displacement(heading_deg, inbound_deg, *flown),
        track_for_heading(heading_deg, pattern.tas_kt, pattern.wind_from_deg, pattern.wind_kt),
    )


def _seen(pattern: _Pattern, point: PlanePoint) -> AlongAcross:
    return along_and_across_nm(point, _FIX, pattern.course_deg)


def _per_second(legs: _Legs, straight_s: float) -> PlanePoint:
    """Displacement of the straight outbound leg after some seconds."""
    return move(_FIX, legs.outbound.track_deg, legs.outbound.groundspeed_kt * straight_s / 3600.0)


def _straight_for_inbound_s(pattern: _Pattern, legs: _Legs, inbound_time_s: float) -> float | None:
    """The straight leg after which the inbound turn rolls out the wanted time short of the fix."""
    wanted_nm = -pattern.inbound.groundspeed_kt * inbound_time_s / 3600.0
    turned_nm = _seen(pattern, PlanePoint(*legs.first[:2])).along_nm
    turned_nm += _seen(pattern, PlanePoint(*legs.second[:2])).along_nm
    rate_nm = _seen(pattern, _per_second(legs, 1.0)).along_nm
    if rate_nm >= 0.0:
        return None
    straight_s = (wanted_nm - turned_nm) / rate_nm
    return straight_s if straight_s >= 0.0 else None


def _abeam_s(pattern: _Pattern, legs: _Legs) -> float:
    """Seconds from wings level outbound to abeam the fix; 0 where abeam came first or never comes."""
    along_nm = _seen(pattern, PlanePoint(*legs.first[:2])).along_nm
    rate_nm = _seen(pattern, _per_second(legs, 1.0)).along_nm
    return max(0.0, -along_nm / rate_nm) if rate_nm < 0.0 else 0.0


def _straight_from_timed_s(pattern: _Pattern, legs: _Legs, timed_s: float) -> float:
    return _abeam_s(pattern, legs) + timed_s


def _straight_to_range_s(legs: _Legs, limit: RangeLimit) -> float | None:
    """The straight leg that ends where the range opens, or closes, to the limit; the first time it does."""
    crossings_nm = line_range_crossings(
        PlanePoint(legs.first.east_nm - limit.station.east_nm, legs.first.north_nm - limit.station.north_nm),
        legs.outbound.track_deg,
        limit.ground_nm,
    )
    ahead_nm = [crossing_nm for crossing_nm in crossings_nm if crossing_nm >= 0.0]
    return min(ahead_nm) * 3600.0 / legs.outbound.groundspeed_kt if ahead_nm else None


def _outcome(pattern: _Pattern, legs: _Legs, straight_s: float) -> Outbound:
    step = _per_second(legs, straight_s)
    end = PlanePoint(legs.first.east_nm + step.east_nm, legs.first.north_nm + step.north_nm)
    rolled_out = _seen(
        pattern, PlanePoint(end.east_nm + legs.second.east_nm, end.north_nm + legs.second.north_nm)
    )
    return Outbound(
        heading_deg=legs.outbound.heading_deg,
        time_s=straight_s - _abeam_s(pattern, legs),
        straight_s=straight_s,
        drift_correction_deg=difference_deg(reciprocal_deg(pattern.course_deg), legs.outbound.heading_deg),
        across_error_nm=rolled_out.across_nm,
        inbound_time_s=-rolled_out.along_nm * 3600.0 / pattern.inbound.groundspeed_kt,
        roll_out_nm=-rolled_out.along_nm,
        inbound_heading_deg=pattern.inbound.heading_deg,
        end=end,
    )
