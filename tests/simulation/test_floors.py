"""
The floor truly in force, on tracks made by hand: by where the aircraft was, whatever the assistant thought.

The straight approach is that of `hand_made`: the final fix is passed at 150 s, the step-down at 210 s.
"""

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest
from hand_made import EAST, arc_and_course, around, eastward, flown, leg, straight_legs

from assistant.engine.plan import CourseFacts, Floor, Phase, Stage
from assistant.engine.triggers import DmeReached, TimeElapsed
from assistant.nav.geometry import PlanePoint
from assistant.simulation.floors import floors_ft, spans
from assistant.simulation.track import track_of


def floor_at(flight):
    """The floor at a time in seconds."""
    track = track_of(flight.samples)
    floor_ft = floors_ft(track, spans(flight, track))
    return lambda t_s: float(floor_ft[t_s - 1])


LENGTH_S = 260
ALONG = [(-10.0 + t_s / 30.0, 0.0) for t_s in range(1, LENGTH_S + 1)]
HIGH = [3000.0] * LENGTH_S


@pytest.mark.parametrize("thought_s", [150, 130, 170, 61, 239])
def test_a_leg_ends_where_its_fix_was_truly_passed_whenever_the_engine_thought_so(thought_s):
    floor_ft = floor_at(flown(straight_legs(), ALONG, HIGH, (thought_s, "final")))

    assert [floor_ft(t_s) for t_s in (148, 152)] == [2000.0, 1000.0]


def test_a_fix_thought_passed_two_minutes_too_soon_lets_no_floor_go():
    floor_ft = floor_at(flown(straight_legs(), ALONG, HIGH, (30, "final")))

    assert {floor_ft(t_s) for t_s in range(1, 149)} == {2000.0}


def test_five_feet_below_a_step_down_a_second_before_it_are_seen():
    descending = [3000.0] * 208 + [995.0] + [600.0] * (LENGTH_S - 209)  # 995 ft at 209 s, passed at 210
    flight = flown(straight_legs(), ALONG, descending, (150, "final"))
    track = track_of(flight.samples)
    margin_ft = track.altitude_ft - floors_ft(track, spans(flight, track))

    assert margin_ft.min() == pytest.approx(-5.0)
    assert int(np.argmin(margin_ft)) + 1 == 209


def test_the_same_level_two_seconds_later_is_above_the_floor():
    descending = [3000.0] * 211 + [995.0] + [600.0] * (LENGTH_S - 212)
    flight = flown(straight_legs(), ALONG, descending, (150, "final"))
    track = track_of(flight.samples)

    assert (track.altitude_ft - floors_ft(track, spans(flight, track))).min() > 0.0


def test_a_leg_begun_too_early_and_taken_back_was_not_flown():
    flight = flown(straight_legs(), ALONG, HIGH, (100, "final"), (110, "intermediate"), (155, "final"))
    track = track_of(flight.samples)

    # Passed at 150 s, which is position 149; the engine's last thought of it was 155 s, position 154.
    parts = [(part.stage.name, part.begin, part.called) for part in spans(flight, track)]
    assert parts == [("intermediate", 0, 0), ("final", 149, 154)]
    floor_ft = floor_at(flight)
    assert [floor_ft(t_s) for t_s in (105, 148, 152)] == [2000.0, 2000.0, 1000.0]


def test_a_floor_that_waits_for_established_holds_past_the_fix_until_half_scale():
    """Off by 0.6 NM at the fix, closing from there by ten degrees."""
    offset = [(east, -max(0.6 - max(t_s - 150, 0) * sin(radians(10.0)) / 30.0, 0.0))
              for t_s, (east, _) in enumerate(ALONG, start=1)]  # fmt: skip
    stages = straight_legs(floor_until_established_ft=2000.0)
    floor_ft = floor_at(flown(stages, offset, HIGH, (150, "final")))

    # By hand: 0.6 - (t - 150) 0.00579 = (10 - t / 30) tan 5: 1.468 - 0.00579 t = 0.875 - 0.00292 t, t = 207.
    assert [floor_ft(t_s) for t_s in (180, 204)] == [2000.0, 2000.0]
    assert floor_ft(209) == 1000.0


def hold_inbound(from_nm, to_nm, to, *, at_s):
    """3,500 ft on the way in on 090, to so far west of the station."""
    return leg(
        "hold_inbound",
        Phase.HOLD,
        eastward(from_nm, to_nm),
        Floor(altitude_ft=3500.0),
        to=to,
        trigger=DmeReached(dme_nm=-to_nm, closing=True),
        at_s=at_s,
        course=EAST,
    )


def hold_and_out():
    """Inbound in a hold at 3,500 ft to its fix, ten miles out at 60 s; beyond it the straight approach."""
    inbound = hold_inbound(-12.0, -10.0, "intermediate", at_s=60.0)
    return (inbound, *straight_legs())


FROM_HOLD = [(-12.0 + t_s / 30.0, 0.0) for t_s in range(1, LENGTH_S + 1)]


def test_the_floor_of_a_hold_holds_to_its_fix_though_the_turn_out_of_it_was_called_before():
    floor_ft = floor_at(flown(hold_and_out(), FROM_HOLD, HIGH, (48, "intermediate")))

    assert [floor_ft(t_s) for t_s in (50, 58, 62)] == [3500.0, 3500.0, 2000.0]


def test_who_flies_past_the_fix_of_a_hold_untold_is_in_the_hold_until_told():
    floor_ft = floor_at(flown(hold_and_out(), FROM_HOLD, HIGH, (80, "intermediate")))

    assert [floor_ft(t_s) for t_s in (62, 78, 82)] == [3500.0, 3500.0, 2000.0]


def test_a_leg_out_of_a_hold_that_was_taken_back_lets_its_floor_go_at_no_moment():
    entered = (40, "intermediate"), (44, "hold_inbound"), (60, "intermediate")
    floor_ft = floor_at(flown(hold_and_out(), FROM_HOLD, HIGH, *entered))

    assert {floor_ft(t_s) for t_s in range(1, 59)} == {3500.0}


def test_a_leg_out_of_a_hold_that_had_begun_and_was_taken_back_by_mistake_was_flown():
    """The fix is passed at 60 s, told at 62; a range misread has it taken back from 70 to 85 s."""
    entered = (62, "intermediate"), (70, "hold_inbound"), (85, "intermediate")
    floor_ft = floor_at(flown(hold_and_out(), FROM_HOLD, HIGH, *entered))

    assert [floor_ft(t_s) for t_s in (58, 61, 64, 80)] == [3500.0, 3500.0, 2000.0, 2000.0]


def test_an_arc_left_short_of_its_lead_radial_ends_when_established_on_the_course():
    """Three degrees before the course and half a degree short of the lead radial: within half scale of it."""
    arc_s, points = around(266.5, 60)
    high = [4000.0] * len(points)
    floor_ft = floor_at(flown(arc_and_course(267.0), points, high, (arc_s, "course")))

    assert [floor_ft(t_s) for t_s in (arc_s - 2, arc_s + 3)] == [2500.0, 1500.0]


def test_an_arc_left_ten_degrees_short_keeps_its_floor_beside_the_course():
    """Due east 2.6 NM south of the course: far outside half scale, and the lead radial is never passed."""
    arc_s, points = around(255.0, 120)
    high = [4000.0] * len(points)
    floor_ft = floor_at(flown(arc_and_course(265.0), points, high, (arc_s, "course")))

    assert {floor_ft(t_s) for t_s in range(1, len(points))} == {2500.0}


def test_a_floor_that_waits_for_the_arc_holds_until_within_a_mile_of_it():
    """From twelve miles north-eastward to the arc: its mile begins at 30 s."""
    arc, course = arc_and_course(265.0)
    waiting = Stage(**{name: getattr(arc, name) for name in arc.__dataclass_fields__}
                    | {"floor_until_established_ft": 5000.0})  # fmt: skip
    side = sin(radians(45.0))
    points = [((-12.0 + t_s / 30.0) * side, (-12.0 + t_s / 30.0) * side) for t_s in range(1, 61)]
    floor_ft = floor_at(flown((waiting, course), points, [6000.0] * 60))

    assert [floor_ft(t_s) for t_s in (28, 32)] == [5000.0, 2500.0]


@pytest.mark.parametrize(
    ("trigger", "floor_after_ft"),
    [(TimeElapsed(time_s=150.0), 1000.0), (DmeReached(dme_nm=5.0, closing=True), 2000.0)],
)
def test_a_leg_by_time_is_over_by_the_clock_and_one_by_range_only_at_its_range(trigger, floor_after_ft):
    # Half a mile before the place where 150 s lead on paper the aircraft turns north, and never comes to it.
    outbound, final, missed = straight_legs()
    outbound = replace(outbound, exits=(replace(outbound.exits[0], trigger=trigger),))
    turned = [
        (-10.0 + t_s / 30.0, 0.0) if t_s <= 135 else (-5.5, (t_s - 135) / 30.0) for t_s in range(1, 261)
    ]
    floor_ft = floor_at(flown((outbound, final, missed), turned, HIGH, (150, "final")))

    assert [floor_ft(t_s) for t_s in (148, 152)] == [2000.0, floor_after_ft]


def arc_from_hold():
    """In on 090 in a hold, left at eleven miles for an arc of ten, clockwise from radial 225."""
    inbound = hold_inbound(-16.0, -11.0, "arc", at_s=150.0)
    arc, course = arc_and_course(330.0)
    return inbound, arc, course


def test_who_cuts_to_an_arc_from_beside_the_hold_has_left_it_once_the_arc_is_flown():
    """North-east to the arc at radial 240, then round it: four miles and more beside the hold's end."""
    side = sin(radians(45.0)) / 30.0
    east, north = 10.0 * sin(radians(240.0)), 10.0 * cos(radians(240.0))
    cut = [(east - (291 - t_s) * side, north - (291 - t_s) * side) for t_s in range(1, 291)]
    angles = [radians(240.0 + t_s / 5.236) for t_s in range(60)]
    points = [*cut, *((10.0 * sin(angle), 10.0 * cos(angle)) for angle in angles)]
    floor_ft = floor_at(flown(arc_from_hold(), points, [4000.0] * len(points), (100, "arc")))

    # Within a mile of it from 260 s on, but nearly straight at the station; along it from 291 s.
    assert [floor_ft(t_s) for t_s in (200, 265, 288, 294)] == [3500.0, 3500.0, 3500.0, 2500.0]


def test_a_hold_left_over_its_end_is_left_there_though_the_arc_lies_ahead():
    """In on 090 straight on to the station, the arc never flown: the hold is over at eleven miles, 150 s."""
    points = [(-16.0 + t_s / 30.0, 0.0) for t_s in range(1, 261)]
    floor_ft = floor_at(flown(arc_from_hold(), points, HIGH, (140, "arc")))

    assert [floor_ft(t_s) for t_s in (148, 152)] == [3500.0, 2500.0]


def test_a_leg_whose_turn_ends_beyond_its_fix_ends_at_the_fix():
    """The final fix is five miles west; on paper the turn on to the course is over half a mile beyond it."""
    outbound, final, missed = straight_legs()
    beyond = replace(eastward(-10.0, -4.5).timeline(), turn_end_s=165.0)
    fix = CourseFacts(course_mag_deg=90.0, anchor=PlanePoint(-5.0, 0.0))
    turning = replace(outbound, timeline=beyond, course=fix, exits=(replace(outbound.exits[0], at_s=165.0),))
    floor_ft = floor_at(flown((turning, final, missed), ALONG, HIGH, (150, "final")))

    assert [floor_ft(t_s) for t_s in (148, 152)] == [2000.0, 1000.0]
