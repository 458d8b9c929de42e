"""What flights made by hand are measured to: every figure from the geometry alone (see `hand_made`)."""

from math import cos, radians, sin, tan

import pytest
from hand_made import arc_and_course, around, flown, straight_legs

from assistant.engine.events import Callout, CalloutKind, Figures, Priority
from assistant.flight_log import NotSpoken, Spoken
from assistant.language.phraseology import spoken_duration_s
from assistant.simulation.measures import measure
from assistant.simulation.pilot import Slip

LENGTH_S = 290
HIGH = [3000.0] * LENGTH_S


def toward_station(off_deg):
    """Inbound on a radial so far off the approach, from ten miles."""
    angle = radians(270.0 + off_deg)
    return [
        ((10.0 - t_s / 30.0) * sin(angle), (10.0 - t_s / 30.0) * cos(angle)) for t_s in range(1, LENGTH_S + 1)
    ]


def measured(flight):
    return measure(flight, seed=1, wind=(360.0, 10.0))


def established(points=None, altitudes_ft=HIGH, *more):
    legs = straight_legs(floor_until_established_ft=2000.0)
    return flown(legs, points or toward_station(0.0), altitudes_ft, (150, "final"), *more)


@pytest.mark.parametrize("off_deg", [2.0, -4.0])
def test_two_degrees_off_is_a_fifth_of_full_scale_on_either_side(off_deg):
    # Off by r sin d, where half scale is r tan 5 of ground distance r.
    share = sin(radians(abs(off_deg))) / tan(radians(5.0)) / 2.0

    assert measured(established(toward_station(off_deg))).lateral_share == pytest.approx(share, rel=1e-6)


def test_what_lies_past_the_missed_approach_point_counts_no_more():
    on_course = toward_station(0.0)
    swerves = on_course[:272] + [(east, 0.8) for east, _ in on_course[272:]]  # the point is passed at 270 s

    assert measured(established(swerves)).lateral_share == pytest.approx(0.0, abs=1e-9)


def test_what_lies_past_a_go_around_before_that_point_counts_no_more():
    on_course = toward_station(0.0)
    swerves = on_course[:250] + [(east, 0.8) for east, _ in on_course[250:]]

    away = measured(established(swerves, HIGH, (248, "missed")))
    on = measured(established(swerves))
    assert away.lateral_share == pytest.approx(0.0, abs=1e-9)
    assert on.lateral_share > 0.5


def test_height_over_the_final_fix_is_above_the_floor_before_it():
    # Down from 3,000 ft at 10 ft/s from 56 s: 2,060 ft at 150 s, over the fix whose floor is 2,000.
    altitudes_ft = [3000.0 - max(t_s - 56.0, 0.0) * 10.0 for t_s in range(1, LENGTH_S + 1)]

    assert measured(established(None, altitudes_ft)).above_faf_ft == pytest.approx(60.0, abs=10.0)


def test_the_minimum_is_reached_where_its_altitude_is_first_flown():
    # 650 ft, at which it is called, is reached at 240 s: two miles out. The range is slant: 2 NM and 650 ft.
    altitudes_ft = [1600.0] * 239 + [650.0] * (LENGTH_S - 239)

    reached = measured(established(None, altitudes_ft))
    assert reached.minimum_dme_nm == pytest.approx((2.0**2 + (650.0 / 6076.1) ** 2) ** 0.5, abs=0.001)
    assert reached.map_above_minimum_ft == pytest.approx(50.0)  # 650 at the point, over a minimum of 600


def test_an_arc_is_measured_by_slant_range_between_its_turns():
    # Round ten miles at 6,076 ft above the station: the range reads sqrt(101), 0.05 more.
    arc_s, points = around(266.0, 60)
    flight = flown(
        (*arc_and_course(266.0), *straight_legs()), points, [6076.1] * len(points), (arc_s, "course")
    )

    assert measured(flight).arc_nm == pytest.approx(101.0**0.5 - 10.0, abs=0.001)


def callout(kind, altitude_ft, t_s, text="Descend one thousand."):
    figures = Figures(altitude_ft=altitude_ft)
    made = Callout(
        t_s=t_s, expires_t_s=t_s + 8.0, kind=kind, priority=Priority.ACTION, cue="descend", figures=figures
    )
    return Spoken(t_s=t_s, text=text, callout=made)


# The quickest pilot obeys half a second after the last word; the floor of 2,000 ft ends at 150 s.
SAID_S = spoken_duration_s("Descend one thousand.") + 0.5


@pytest.mark.parametrize(
    ("kind", "altitude_ft", "said_s", "counted"),
    [
        (CalloutKind.DESCEND, 1000.0, 148.0 - SAID_S, 1),
        (CalloutKind.DESCEND, 1000.0, 151.5 - SAID_S, 0),
        (CalloutKind.DESCEND, 2000.0, 100.0, 0),  # to the floor itself
        (CalloutKind.FINAL_DESCENT, 1000.0, 100.0, 1),
        (CalloutKind.FLOOR, 1999.5, 100.0, 0),  # rounding
        (CalloutKind.BELOW_FLOOR, 1000.0, 100.0, 1),  # "climb", to who is above it
        (CalloutKind.BELOW_FLOOR, 2000.0, 100.0, 0),
        (CalloutKind.MINIMUM, 600.0, 100.0, 0),  # asks, and lowers nothing
    ],
)
def test_a_callout_counts_by_the_floor_when_it_can_first_be_obeyed(kind, altitude_ft, said_s, counted):
    flight = established()
    flight.records.append(callout(kind, altitude_ft, said_s))

    assert measured(flight).below_floor == counted


def test_talk_and_slips_are_counted():
    flight = established()
    spoken = [callout(CalloutKind.DESCEND, 2000.0, t_s) for t_s in (20.0, 80.0)]
    unsaid = NotSpoken(t_s=90.0, callout=spoken[0].callout, reason="its moment had passed")
    flight.records += [*spoken, unsaid]
    flight.slips += [Slip(t_s=5.0, what="misread the range"), Slip(t_s=9.0, what="forgot to report")]

    found = measured(flight)
    assert found.callouts_per_min == pytest.approx(2 / (LENGTH_S / 60.0))
    assert found.longest_silence_s == LENGTH_S - 80.0
    assert found.unspoken == {"descend: its moment had passed": 1}
    assert found.slips == {"misread the range": 1, "forgot to report": 1}
    assert found.erred
