"""
How late a turn was begun, from readings alone.

Method. Up to the event the aircraft flew the leg before it, after the turn it flies the next. A pilot who
turns late flies the old leg on for that long, and then the same turn and heading, displaced. So the flight is
laid on paper for every delay (the plan's own nominal legs, in the day's wind, from where the track stood at
the event), and the delay is taken for which the readings during the turn and shortly after it lie nearest, in
range and in radial, each as far as it was read. Where no delay fits clearly better than none, the turn was on
time; with no reading in that time, nothing is known.

Where a feed gives the track made good every few seconds, the turn is seen directly: it begins where the track
first changes at half the rate that the turn needs.
"""

from collections.abc import Iterable
from itertools import pairwise
from math import radians, sqrt

from assistant.debrief.flown import Flown, Reading
from assistant.engine.plan import Phase, Stage
from assistant.engine.timeline import Timeline
from assistant.engine.today import Today
from assistant.nav.geometry import PlanePoint, difference_deg, polar_from_plane, slant_nm_from_ground

LATEST_S = 60
# After the roll-out the pilot steers for the course and no longer shows when the turn was begun.
AFTER_ROLL_OUT_S = 12.0
# Readings come to a tenth of a mile and a degree, and pilots bank as they bank: a fit must be better than
# none by this much to be taken, and must itself come this near.
_CLEARLY_NM = 0.25
_NEAR_NM = 0.6
_SHORTEST_TURN_S = 10.0
_OFTEN_S = 10.0


def turn_late_s(flown: Flown, before: Stage, after: Stage, due_s: float, at_s: float) -> float | None:
    """
    How long after the event the turn was begun, s; 0 for on time, None where no reading tells.

    `at_s`: where on the timeline of the stage before the event lies.
    """
    old, new = before.timeline, after.timeline
    if old is None or new is None or before.phase is Phase.ARRIVAL or new.turn_end_s < _SHORTEST_TURN_S:
        return None
    seen_s = _seen_late_s(flown, new, due_s)
    if seen_s is not None:
        return seen_s
    place = flown.state_at(due_s - 0.01).place(due_s)
    if place is None:
        return None
    start = _start(flown, due_s) or place.point
    fits: list[tuple[float, int]] = []
    for late_s in range(LATEST_S + 1):
        within_s = due_s + late_s + new.turn_end_s + AFTER_ROLL_OUT_S
        told = [
            reading for reading in flown.accepted if due_s + 3.0 < reading.t_s <= within_s and _tells(reading)
        ]
        off_nm = [
            _off_nm(flown, reading, _laid(old, new, start, at_s, reading.t_s - due_s, late_s))
            for reading in told
        ]
        if off_nm:
            fits.append((sqrt(sum(off * off for off in off_nm) / len(off_nm)), late_s))
    if not fits:
        return None
    least_nm, late_s = min(fits)
    on_time_nm = next(off for off, late in fits if late == 0) if fits[0][1] == 0 else float("inf")
    if on_time_nm - least_nm < _CLEARLY_NM:
        return 0.0
    return float(late_s) if least_nm <= _NEAR_NM else None


def _seen_late_s(flown: Flown, new: Timeline, due_s: float) -> float | None:
    """By the tracks of a feed; None where there are too few."""
    samples = [
        (reading.t_s, reading.report.heading_mag_deg)
        for reading in flown.accepted
        if reading.is_sample
        and reading.report.heading_mag_deg is not None
        and due_s - _OFTEN_S <= reading.t_s <= due_s + LATEST_S + _OFTEN_S
    ]
    often = [(a, b) for a, b in pairwise(samples) if 0.0 < b[0] - a[0] <= _OFTEN_S]
    if len(often) < LATEST_S / _OFTEN_S / 2.0:
        return None
    turned_deg = sum(abs(difference_deg(a, b)) for a, b in pairwise(new.headings_deg) if a != b)
    needed_deg_s = turned_deg / new.turn_end_s
    for (a_s, a_deg), (b_s, b_deg) in often:
        if abs(difference_deg(a_deg, b_deg)) >= needed_deg_s / 2.0 * (b_s - a_s):
            # It began somewhere between the two: the whole of the change at the rate that is needed.
            began_s = b_s - abs(difference_deg(a_deg, b_deg)) / needed_deg_s
            return max(max(began_s, a_s) - due_s, 0.0)
    return None


def _start(flown: Flown, due_s: float) -> PlanePoint | None:
    """Where the aircraft was at the event, by the last reading before it and its own drift since."""
    earlier = [reading for reading in flown.accepted if reading.t_s <= due_s and reading.point is not None]
    if not earlier:
        return None
    last = earlier[-1]
    then, now = flown.state_at(due_s - 0.01).place(last.t_s), flown.state_at(due_s - 0.01).place(due_s)
    if last.point is None or then is None or now is None or due_s - last.t_s > LATEST_S:
        return None
    return PlanePoint(
        last.point.east_nm + now.point.east_nm - then.point.east_nm,
        last.point.north_nm + now.point.north_nm - then.point.north_nm,
    )


def _tells(reading: Reading) -> bool:
    return reading.report.dme_nm is not None or reading.report.radial_deg is not None


def _laid(
    old: Timeline, new: Timeline, start: PlanePoint, at_s: float, since_s: float, late_s: float
) -> PlanePoint:
    """Where a pilot who turned so late is after a time, on paper."""
    on_s = min(since_s, late_s)
    from_old, to_old = old.at(at_s).point, old.at(at_s + on_s).point
    east_nm = start.east_nm + to_old.east_nm - from_old.east_nm
    north_nm = start.north_nm + to_old.north_nm - from_old.north_nm
    if since_s > late_s:
        from_new, to_new = new.at(0.0).point, new.at(since_s - late_s).point
        east_nm += to_new.east_nm - from_new.east_nm
        north_nm += to_new.north_nm - from_new.north_nm
    return PlanePoint(east_nm, north_nm)


def _off_nm(flown: Flown, reading: Reading, laid: PlanePoint) -> float:
    """How far a reading is from a place, in what was read of it."""
    polar = polar_from_plane(laid)
    today = Today(procedure=flown.plan.procedure, conditions=flown.plan.conditions)
    height_ft = today.height_above_station_ft(reading.altitude_ft or reading.after.stage.target_ft or 0.0)
    off: list[float] = []
    if reading.report.dme_nm is not None:
        off.append(reading.report.dme_nm - slant_nm_from_ground(polar.ground_nm, height_ft))
    if reading.report.radial_deg is not None:
        off.append(polar.ground_nm * radians(difference_deg(polar.radial_deg, reading.report.radial_deg)))
    return _length(off)


def _length(sides: Iterable[float]) -> float:
    return sqrt(sum(side * side for side in sides))
