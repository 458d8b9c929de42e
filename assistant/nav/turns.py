"""
Turns at a fixed bank: radius, rate and time, and the path over the ground in a steady wind.

Through the air a level turn at constant airspeed and bank is a circle; the wind moves the whole circle with
the aircraft in it. So the displacement over the ground is exact and closed: chord of the circle plus wind
times time. Left out, as in the sources: the seconds of rolling in and out (about 5 at 25 degrees), which
stretch a turn by some tenths of a mile at jet speeds. Sources: PANS-OPS Vol II (Doc 8168) Part I Section 2
Chapter 3, 3.1.2.2; working rules as named. Bank is true from above 0 to 60 degrees; airspeed from above 0 to
600 kt.
"""

from math import atan, cos, degrees, pi, radians, sin, tan
from typing import NamedTuple

from assistant.nav.errors import OutsideValidity
from assistant.nav.geometry import Turn, turn_through_deg

G_M_S2 = 9.80665
G_NM_H2 = G_M_S2 * 3600.0**2 / 1852.0  # 68625, as PANS-OPS prints it
RATE_ONE_DEG_S = 3.0
PROCEDURE_BANK_DEG = 25.0  # initial to final; PANS-OPS Vol II Table I-2-3-1
MISSED_APPROACH_BANK_DEG = 15.0
CIRCLING_BANK_DEG = 20.0


class TurnPath(NamedTuple):
    """Displacement over the ground during a turn, and how long it takes."""

    east_nm: float
    north_nm: float
    time_s: float


def turn_radius_nm(tas_kt: float, bank_deg: float) -> float:
    """Radius through the air: V^2 / (g tan bank)."""
    _check(tas_kt, bank_deg)
    return tas_kt**2 / (G_NM_H2 * tan(radians(bank_deg)))


def turn_rate_deg_s(tas_kt: float, bank_deg: float) -> float:
    """Rate of turn: g tan bank / V; PANS-OPS prints 3431 tan bank / (pi V)."""
    _check(tas_kt, bank_deg)
    return degrees(G_NM_H2 * tan(radians(bank_deg)) / tas_kt) / 3600.0


def radius_from_rate_nm(tas_kt: float, rate_deg_s: float) -> float:
    """Radius through the air from a rate of turn: V / (20 pi R)."""
    if rate_deg_s <= 0.0:
        raise OutsideValidity(f"A rate of turn of {rate_deg_s} degrees a second is not above zero.")
    return tas_kt / (20.0 * pi * rate_deg_s)


def bank_for_rate_deg(tas_kt: float, rate_deg_s: float) -> float:
    """The bank that gives a rate of turn: atan(rate V / g)."""
    if tas_kt <= 0.0 or rate_deg_s < 0.0:
        raise OutsideValidity(f"No bank gives {rate_deg_s} degrees a second at {tas_kt} kt.")
    return degrees(atan(radians(rate_deg_s) * 3600.0 * tas_kt / G_NM_H2))


def bank_in_use_deg(tas_kt: float, bank_limit_deg: float = 25.0, rate_limit_deg_s: float = 3.0) -> float:
    """
    The bank flown: the limit, or the one for the greatest rate if that is less.

    25 degrees and rate one are the ICAO values for holding and approach. The FAA gives 30 degrees, or 25 with
    a flight director, for holding (AIM 5-3-8).
    """
    return min(bank_limit_deg, bank_for_rate_deg(tas_kt, rate_limit_deg_s))


def speed_at_bank_and_rate_kt(bank_deg: float, rate_deg_s: float) -> float:
    """The airspeed at which a bank gives exactly a rate: 170 kt for 25 degrees and rate one."""
    if rate_deg_s <= 0.0:
        raise OutsideValidity(f"A rate of turn of {rate_deg_s} degrees a second is not above zero.")
    return G_NM_H2 * tan(radians(bank_deg)) / (radians(rate_deg_s) * 3600.0)


def turn_time_s(angle_deg: float, tas_kt: float, bank_deg: float) -> float:
    """How long a turn through an angle takes; wind changes the path and not the time."""
    return abs(angle_deg) / turn_rate_deg_s(tas_kt, bank_deg)


def load_factor_g(bank_deg: float) -> float:
    """Load factor in a level turn: 1 / cos bank."""
    if not 0.0 <= bank_deg < 90.0:
        raise OutsideValidity(f"A bank of {bank_deg} degrees has no level turn.")
    return 1.0 / cos(radians(bank_deg))


def turn_displacement(
    heading_from_deg: float,
    heading_to_deg: float,
    turn: Turn,
    tas_kt: float,
    bank_deg: float,
    wind_from_deg: float,
    wind_kt: float,
) -> TurnPath:
    """
    The path over the ground from one heading to another by the side named.

    At a fixed bank in a steady wind.
    """
    side = 1.0 if turn == "right" else -1.0
    radius_nm = turn_radius_nm(tas_kt, bank_deg)
    time_s = turn_time_s(turn_through_deg(heading_from_deg, heading_to_deg, turn), tas_kt, bank_deg)
    start_rad, stop_rad, wind_rad = radians(heading_from_deg), radians(heading_to_deg), radians(wind_from_deg)
    blown_nm = wind_kt * time_s / 3600.0
    return TurnPath(
        side * radius_nm * (cos(start_rad) - cos(stop_rad)) - blown_nm * sin(wind_rad),
        side * radius_nm * (sin(stop_rad) - sin(start_rad)) - blown_nm * cos(wind_rad),
        time_s,
    )


def bank_for_rate_one_15_percent_deg(tas_kt: float) -> float:
    """
    Working rule: bank for rate one is 15 % of the airspeed (FAA handbook).

    0.4 short at 100 kt, 1.2 over at 200.
    """
    return 0.15 * tas_kt


def bank_for_rate_one_tenth_plus_7_deg(tas_kt: float) -> float:
    """
    Working rule: bank for rate one is a tenth of the airspeed and 7.

    Within 2 degrees from 95 to 200 kt.
    """
    return tas_kt / 10.0 + 7.0


def radius_half_percent_nm(speed_kt: float) -> float:
    """
    Working rule: rate-one radius is half of one percent of the speed (US Navy).

    6 % short at every speed.
    """
    return 0.005 * speed_kt


def radius_one_percent_nm(speed_kt: float) -> float:
    """Working rule: radius at half of rate one is one percent of the speed (US Navy); 6 % short."""
    return 0.01 * speed_kt


def radius_square_tenth_nm(tas_kt: float) -> float:
    """
    Working rule for 30 degrees of bank: (NM a minute)^2 / 10 (US Air Force).

    10 % over, which allows for roll-in.
    """
    return (tas_kt / 60.0) ** 2 / 10.0


def radius_square_ninth_nm(tas_kt: float) -> float:
    """Working rule for 25 degrees of bank: (NM a minute)^2 / 9; 1 % short."""
    return (tas_kt / 60.0) ** 2 / 9.0


def _check(tas_kt: float, bank_deg: float) -> None:
    if not 0.0 < bank_deg <= 60.0:
        raise OutsideValidity(f"A bank of {bank_deg} degrees is outside 0 to 60.")
    if not 0.0 < tas_kt <= 600.0:
        raise OutsideValidity(f"A true airspeed of {tas_kt} kt is outside 0 to 600.")
