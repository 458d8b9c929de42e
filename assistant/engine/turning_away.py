"""From the end of a reversal's outbound leg to the inbound heading: a turn, or a procedure turn's parts."""

from typing import NamedTuple

from assistant.engine.today import Today
from assistant.nav.geometry import PlanePoint, move, normalize_deg
from assistant.nav.turns import TurnPath, turn_displacement
from assistant.nav.wind import heading_for_track, track_for_heading
from assistant.procedure.model import Category, ReversalLeg, Turn

# The straight part of a 45°/180° turn, from the start of the turn: 1 min for categories A and B, 1 min 15 s
# for the others (ICAO Doc 8168 Vol I, procedure turn).
_OFFSET_LEG_S = {Category.A: 60.0, Category.B: 60.0}
_OFFSET_LEG_FAST_S = 75.0
_LEAST_STRAIGHT_S = 5.0


class TurnAway(NamedTuple):
    """The heading away from the outbound course; how long it is flown from the start of the turn to it, s."""

    heading_mag_deg: float
    leg_s: float | None

    def straight_s(self, turned_s: float) -> float:
        """How long straight on after a turn of that time: not at all in the 80 degree turn."""
        return 0.0 if self.leg_s is None else max(self.leg_s - turned_s, _LEAST_STRAIGHT_S)


def turn_away(today: Today, leg: ReversalLeg, tas_kt: float, altitude_ft: float) -> TurnAway:
    """45 degrees and a timed leg, or 80 degrees and straight back, in today's wind."""
    is_45 = leg.pattern == "procedure_turn_45"
    sign = 1.0 if leg.turn is Turn.RIGHT else -1.0
    track_deg = normalize_deg(leg.inbound_course_mag_deg + 180.0 + sign * (45.0 if is_45 else 80.0))
    wind = today.wind(altitude_ft)
    heading_deg = heading_for_track(track_deg, tas_kt, wind.from_deg, wind.speed_kt).heading_deg
    leg_s = _OFFSET_LEG_S.get(today.conditions.category, _OFFSET_LEG_FAST_S)
    return TurnAway(heading_deg, leg_s if is_45 else None)


def inbound_turn(leg: ReversalLeg) -> Turn:
    """The way of the turn to the inbound course: a procedure turn first turns the other way."""
    if not leg.pattern.startswith("procedure_turn"):
        return leg.turn
    return Turn.RIGHT if leg.turn is Turn.LEFT else Turn.LEFT


def path_in(
    today: Today, leg: ReversalLeg, tas_kt: float, altitude_ft: float, from_deg: float, to_deg: float
) -> TurnPath:
    """Where the aircraft is led to from the end of the outbound leg, on a heading, to the one inbound."""
    wind, bank_deg = today.wind(altitude_ft), today.bank_deg(tas_kt)
    parts: list[TurnPath] = []
    if leg.pattern.startswith("procedure_turn"):
        away = turn_away(today, leg, tas_kt, altitude_ft)
        parts.append(
            turn_displacement(from_deg, away.heading_mag_deg, leg.turn.value, tas_kt, bank_deg, *wind)
        )
        flown = track_for_heading(away.heading_mag_deg, tas_kt, *wind)
        straight_s = away.straight_s(parts[0].time_s)
        gone = move(PlanePoint(0.0, 0.0), flown.track_deg, flown.groundspeed_kt * straight_s / 3600.0)
        parts.append(TurnPath(gone.east_nm, gone.north_nm, straight_s))
        from_deg = away.heading_mag_deg
    parts.append(turn_displacement(from_deg, to_deg, inbound_turn(leg).value, tas_kt, bank_deg, *wind))
    east_nm, north_nm, time_s = (sum(values) for values in zip(*parts, strict=True))
    return TurnPath(east_nm, north_nm, time_s)
