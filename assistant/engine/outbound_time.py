"""
How long the timed outbound leg of a reversal is flown today.

Theory. A time on the chart means a distance in still air. It is flown as far over the ground (ICAO Doc 8168
Vol I: timing is to be corrected for wind). But the turn drifts as well, in a procedure turn the leg away too,
and a slow aircraft turns so near to the final approach fix that no room is left to lose the height that waits
for "established". So the leg is made longer until the turn ends with that room, at the rates of descent the
turn is designed for. It is never carried farther than the fastest aircraft of the same track flies in still
air: for that one the protected area is drawn.

Left out: that a turn which misses the course is led back to it at a cut of 30 degrees, only roughly counted.
"""

from math import radians, tan

from assistant.engine.conditions import CATEGORY_SPEEDS
from assistant.engine.draft import Draft
from assistant.engine.turning_away import path_in
from assistant.nav.geometry import PlanePoint, along_and_across_nm, move
from assistant.nav.wind import heading_for_track
from assistant.procedure.check_reversal import MOST_DESCENT_FPM
from assistant.procedure.model import CourseLeg, OutboundTrack, ReversalLeg

# As charted is corrected for wind within these shares; only the fastest aircraft's distance bounds the rest.
_TIME_LIMITS = (0.7, 1.6)
_STEP_S, _LONGEST_SHARE = 5.0, 2.5
# From the end of the turn to the first foot lost: the needle is seen, the report made, the call heard.
SETTLING_S = 20.0
_CUT_DEG = 30.0


def outbound_time_s(
    draft: Draft,
    leg: ReversalLeg,
    following: CourseLeg | None,
    track: OutboundTrack,
    tas_kt: float,
    altitude_ft: float,
) -> float:
    """The time of an outbound track that has one, as it is flown today, to 5 s."""
    if track.time_s is None:
        raise ValueError("only a timed outbound track has a time")
    wind = draft.today.wind(altitude_ft)
    out = heading_for_track(track.course_mag_deg, tas_kt, wind.from_deg, wind.speed_kt)
    share = min(max(tas_kt / out.groundspeed_kt, _TIME_LIMITS[0]), _TIME_LIMITS[1])
    time_s = round(track.time_s * share / _STEP_S) * _STEP_S
    if following is None or leg.pattern == "penetration":
        return time_s
    turn = _TurnIn(draft, leg, following, tas_kt, altitude_ft, out.heading_deg)
    start = draft.today.point(draft.today.procedure.fix(leg.fix), altitude_ft)
    farthest_nm = _fastest_tas_kt(draft, leg, track, altitude_ft) * track.time_s / 3600.0
    while time_s + _STEP_S <= _LONGEST_SHARE * track.time_s:
        begun = move(start, track.course_mag_deg, out.groundspeed_kt * time_s / 3600.0)
        next_nm = out.groundspeed_kt * (time_s + _STEP_S) / 3600.0
        if turn.room_nm(begun) >= turn.needed_nm or next_nm > farthest_nm:
            break
        time_s += _STEP_S
    return time_s


def _fastest_tas_kt(draft: Draft, leg: ReversalLeg, track: OutboundTrack, altitude_ft: float) -> float:
    """True airspeed of the fastest aircraft that flies this track, within the chart's limit of speed."""
    fastest_kt = max(CATEGORY_SPEEDS[category].initial_kt for category in track.categories)
    return draft.today.tas_kt(min(fastest_kt, leg.speed_limit_kt or fastest_kt), altitude_ft)


class _TurnIn:
    """The way back in: where it ends from where it begins, and how much room is needed after it."""

    def __init__(
        self,
        draft: Draft,
        leg: ReversalLeg,
        following: CourseLeg,
        tas_kt: float,
        altitude_ft: float,
        heading_deg: float,
    ) -> None:
        today = draft.today
        wind = today.wind(altitude_ft)
        inbound_kt = today.tas_kt(today.conditions.speeds.intermediate_kt, altitude_ft)
        inbound = heading_for_track(following.course_mag_deg, inbound_kt, wind.from_deg, wind.speed_kt)
        self._path = path_in(today, leg, tas_kt, altitude_ft, heading_deg, inbound.heading_deg)
        self._course_mag_deg = following.course_mag_deg
        self._fix = today.point(today.procedure.fix(following.to_fix), altitude_ft)
        lost_ft = today.altitude_ft(leg.turn_altitude or leg.altitude) - today.altitude_ft(following.altitude)
        most_fpm = MOST_DESCENT_FPM["inbound"][today.conditions.category.value]
        needed_s = SETTLING_S + max(lost_ft, 0.0) / most_fpm * 60.0
        self.needed_nm = inbound.groundspeed_kt * needed_s / 3600.0

    def room_nm(self, begun: PlanePoint) -> float:
        """How far before the fix the course is flown, where the turn begins here."""
        ended = PlanePoint(begun.east_nm + self._path.east_nm, begun.north_nm + self._path.north_nm)
        left = along_and_across_nm(ended, self._fix, self._course_mag_deg)
        return -left.along_nm - abs(left.across_nm) / tan(radians(_CUT_DEG))
