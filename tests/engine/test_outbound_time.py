"""How long a timed outbound leg is flown today; Pellow's base turn and Quorrel's procedure turn, by hand."""

from dataclasses import replace

import pytest

from assistant.engine.compiler import compile_plan
from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.procedure.model import Altitude, AltitudeKind, Category


def time_s(procedure, category, *, wind=None):
    levels = () if wind is None else (WindAtLevel(wind_from_mag_deg=wind[0], wind_kt=wind[1]),)
    plan = compile_plan(procedure, Conditions(wind=levels).for_category(category))
    return plan.stage("outbound_0").exits[0].trigger.time_s


@pytest.fixture
def pellow(procedure):
    """Out on 107 from overhead PEL for 180 s (A, B), left back on 275 to WENTA at 4.8 DME."""
    return procedure("pellow-vor-dme-28")


@pytest.fixture
def quorrel(procedure):
    """Out on 020 for 75 s (A, B), 158.1 kt true in category B."""
    return procedure("quorrel-vor-dme-20")


def turning_at(procedure, altitude_ft):
    """The procedure with its turn flown at another altitude."""
    first, *others = procedure.legs
    turned = replace(first, turn_altitude=Altitude(kind=AltitudeKind.AT_OR_ABOVE, altitude_ft=altitude_ft))
    return replace(procedure, legs=(turned, *others))


@pytest.mark.parametrize(
    ("wind", "flown_s"),
    [
        (None, 75.0),
        # As far over the ground as in still air: 158.1 / 138.1 of 75 s are 85.9, to 5 s.
        ((20, 20), 85.0),
        ((200, 20), 65.0),  # 158.1 / 178.1: 66.6
        # Within 0.7 and 1.6 of the charted time: 52.5 (to the even five) and 120 s.
        ((200, 90), 50.0),
        ((20, 80), 120.0),
    ],
)
def test_a_time_outbound_is_a_distance_over_the_ground(quorrel, wind, flown_s):
    # With nothing to lose inbound, so that room is no question.
    assert time_s(turning_at(quorrel, 2400.0), Category.B, wind=wind) == flown_s


@pytest.mark.parametrize(
    ("turn_ft", "flown_s"),
    [
        # Category A, 115.9 kt true, radius 0.615 NM. Begun d miles out, 45 degrees left lead 0.435 on and
        # 0.180 aside, 45 s at 335 another 1.025 and 1.025, and the turn of 225 degrees right ends 1.895
        # beyond d, 0.155 beside the course: d + 1.627 NM of room. 600 ft at 655 ft/min and 20 s are 75 s,
        # 2.195 NM at 105.4 kt: the charted time gives 4.04.
        (3000.0, 75.0),
        # 1,500 ft: 157.4 s, 4.609 NM: d must be 2.982. 90 s are 2.899, 95 s 3.060.
        (3900.0, 95.0),
        # 2,100 ft would want 4.59; category B flies 158.1 kt for 75 s, 3.294 NM: 100 s are 3.221, 105 3.382.
        (4500.0, 100.0),
    ],
)
def test_a_procedure_turn_too_is_flown_on_until_there_is_room_to_descend(quorrel, turn_ft, flown_s):
    assert time_s(turning_at(quorrel, turn_ft), Category.A) == flown_s


def test_a_slow_aircraft_flies_on_until_its_turn_ends_with_room_to_descend(pellow):
    # Category A, 114.1 kt true. From 2,000 ft in the turn to 1,600 at the fix at 655 ft/min are 36.6 s, with
    # 20 s to settle 56.6 s; at 103.7 kt 1.63 NM. The turn of 192 degrees (radius 0.605 NM) leads 0.230 east
    # and 1.182 north. Begun d miles out it ends 0.978 d - 4.658 before WENTA and 0.208 d - 1.197 beside the
    # course, which costs 1.73 of that again: 1.628 NM of room after 215 s, 1.726 after 220.
    assert time_s(pellow, Category.A) == 220.0


def test_with_less_to_descend_it_turns_earlier(pellow):
    # 1,800 ft in the turn: 200 ft are 18.3 s; 38.3 s at 103.7 kt are 1.10 NM: 0.904 NM of room after 180 s,
    # 1.012 after 185, 1.119 after 190.
    first, *others = pellow.legs
    lower = replace(first, turn_altitude=Altitude(kind=AltitudeKind.AT_OR_ABOVE, altitude_ft=1800.0))

    assert time_s(replace(pellow, legs=(lower, *others)), Category.A) == 190.0


def test_nobody_flies_farther_than_the_fastest_aircraft_of_the_track(pellow):
    # Category B flies 155.5 kt true, 7.775 NM in 180 s: that is the farthest for both.
    assert time_s(pellow, Category.B) == 180.0
    first, *others = pellow.legs
    high = replace(first, turn_altitude=Altitude(kind=AltitudeKind.AT_OR_ABOVE, altitude_ft=2500.0))
    # Category A with 900 ft to lose would want 3.2 NM of room; at 114.1 kt 245 s are 7.765 NM, 250 s 7.92.
    assert time_s(replace(pellow, legs=(high, *others)), Category.A) == 245.0
    # Within the chart's limit of speed: at 120 kt for all the farthest is 124.4 kt for 180 s, 6.22 NM: 195 s.
    slow = replace(high, speed_limit_kt=120.0)
    assert time_s(replace(pellow, legs=(slow, *others)), Category.A) == 195.0


def test_no_time_is_more_than_two_and_a_half_of_the_charted_one(pellow):
    # Against 60 kt on the nose outbound 54 kt are made good: 450 s are 6.8 NM, and still no room.
    assert time_s(pellow, Category.A, wind=(107, 60)) == 450.0


def test_a_procedure_turn_with_room_is_flown_as_charted(procedure):
    assert time_s(procedure("sarnet-tacan-25"), Category.C) == 60.0
