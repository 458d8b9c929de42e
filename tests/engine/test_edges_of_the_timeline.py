"""Where and when on a timeline, to its very edges; drawn flights, every expected value a division."""

from dataclasses import replace
from math import radians, tan

import pytest
from on_paper import binary, drawn, in_plan, stage
from placed import NOW_S, placed, said

from assistant.engine.answers import answer
from assistant.engine.events import Asked, Request
from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.triggers import DmeReached, RadialReached
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import ArcDirection, Turn

# Along the line three miles north of the station, from west to east, half a mile in 10 s: 180 kt.
ABEAM = [(-2.0 + 0.5 * number, 3.0) for number in range(9)]


def flight(heading_deg=360.0, **more):
    known = {"point": PlanePoint(0.0, 0.0), "wind_from_deg": 360.0, "wind_kt": 0.0, "height_ft": 0.0}
    return NominalFlight(heading_deg=heading_deg, **known | more)


def test_a_range_is_reached_at_the_very_end_of_a_leg():
    # 480 s at a 32nd of a mile: from 20 to 5 DME.
    assert binary().when(DmeReached(dme_nm=5.0, closing=True)) == 480.0
    assert binary().when(DmeReached(dme_nm=4.984375, closing=True)) is None
    assert binary().when(DmeReached(dme_nm=15.0, closing=True)) == 160.0


def test_from_the_first_second_on_a_range_is_reached_where_it_is():
    # Twenty samples a second apart by halves: two miles in ten seconds.
    quick = drawn([(0.0, 20.0 - 0.125 * number) for number in range(21)], step_s=0.5)

    assert quick.when(DmeReached(dme_nm=19.9375, closing=True)) == 0.25
    assert quick.when(DmeReached(dme_nm=20.0, closing=True)) == 0.0


def abeam_deg(at_s):
    """The radial half-way along a piece: between those of its ends."""
    timeline = drawn(ABEAM)
    i = int(at_s // 10)
    first_deg, second_deg = timeline.radials_deg[i], timeline.radials_deg[i + 1]
    turned_deg = (second_deg - first_deg + 180.0) % 360.0 - 180.0
    return (first_deg + (at_s / 10.0 - i) * turned_deg) % 360.0


@pytest.mark.parametrize(
    ("radial_at_s", "from_s", "found_s"),
    [
        (5.0, 0.0, 5.0),  # in the first piece
        (15.0, 0.0, 15.0),
        (75.0, 0.0, 75.0),  # in the last
        (45.0, 55.0, None),  # one piece before the moment asked from
        (55.0, 52.0, 55.0),
    ],
)
def test_a_radial_is_crossed_in_whichever_piece_it_lies(radial_at_s, from_s, found_s):
    found = drawn(ABEAM).when(RadialReached(radial_deg=abeam_deg(radial_at_s)), from_s=from_s)

    assert found == (None if found_s is None else pytest.approx(found_s))


@pytest.mark.parametrize(("turned_deg", "reached"), [(89.9, True), (90.1, False)])
def test_a_needle_that_swings_by_a_right_angle_in_one_piece_crosses_nothing(turned_deg, reached):
    # From radial 045, (1, 1), straight south to a mile east of it on radial 45 + so much.
    beside = drawn([(1.0, 1.0), (1.0, 1.0 / tan(radians(45.0 + turned_deg))), (1.0, -5.0)])

    assert (beside.when(RadialReached(radial_deg=100.0)) is not None) is reached
    assert (beside.progress_by_radial(100.0, 5.0) is not None) is reached


def test_on_a_leg_along_it_a_radial_is_reached_at_once():
    outbound = drawn([(0.0, 3.0), (0.0, 4.0), (0.0, 5.0)])

    assert outbound.when(RadialReached(radial_deg=360.0)) == 0.0
    assert outbound.when(RadialReached(radial_deg=360.0), from_s=10.0) == 10.0


def test_a_place_held_for_a_moment_does_not_confuse_the_way():
    halting = drawn([(0.0, 0.0), (0.0, 1.0), (0.0, 1.0), (0.0, 2.0)])

    assert halting.progress_at(PlanePoint(0.0, 1.5), 25.0) == (pytest.approx(25.0), pytest.approx(0.0))
    assert halting.progress_at(PlanePoint(0.0, 0.25), 5.0) == (pytest.approx(2.5), pytest.approx(0.0))
    # On short pieces the share of a piece is still told: sixteenths of a mile.
    short = drawn([(0.0, 0.0625 * number) for number in range(9)])
    assert short.progress_at(PlanePoint(0.0, 0.21875), 35.0)[0] == pytest.approx(35.0)


def test_a_range_read_at_a_sample_is_found_there():
    for at_s in (10.0, 160.0, 470.0):
        assert binary().progress_by_dme(20.0 - at_s / 32.0, 300.0) == at_s


def test_headings_are_from_north_all_the_way_round_and_ranges_no_less_than_on_the_ground():
    assert flight(heading_deg=400.0).heading_deg == 40.0
    assert flight(heading_deg=360.0).heading_deg == 0.0
    straight = flight(heading_deg=540.0)
    straight.hold_heading(540.0, 180.0, 4.0)
    assert straight.timeline().headings_deg == (180.0, 180.0, 180.0)
    # Below the station's height a range is that on the ground.
    below = flight(point=PlanePoint(0.0, 5.0), height_ft=-500.0)
    assert below.timeline().dmes_nm[0] == 5.0
    assert flight(point=PlanePoint(0.0, 5.0), height_ft=0.0).timeline().dmes_nm[0] == 5.0


def test_what_takes_less_than_a_sample_is_one_sample():
    # Two degrees at 180 kt and 25 degrees of bank: under a second.
    turning = flight()
    turning.turn(2.0, Turn.RIGHT, 180.0, 25.0)
    assert turning.timeline().headings_deg == (0.0, 2.0)
    assert 0.5 < turning.timeline().duration_s < 1.0
    assert turning.turn_end_s == turning.timeline().duration_s

    ahead = flight()
    ahead.hold_heading(360.0, 180.0, 0.5)
    assert ahead.timeline().times_s == (0.0, 0.5)
    around = flight(point=PlanePoint(0.0, 10.0), heading_deg=90.0)
    around.follow_arc(10.0, ArcDirection.CLOCKWISE, 0.5, 180.0)
    assert len(around.timeline().times_s) == 2


@pytest.mark.parametrize(("sample_s", "samples"), [(2.0, 11), (4.0, 6), (20.0, 2)])
def test_turns_and_straight_legs_are_sampled_as_often_as_asked(sample_s, samples):
    ahead = flight(sample_s=sample_s)
    ahead.hold_heading(360.0, 180.0, 20.0)
    assert len(ahead.timeline().times_s) == samples
    # 56.6 degrees at 180 kt and 25 of bank, 2.83 a second: 20 s as well.
    turning = flight(sample_s=sample_s)
    turning.turn(56.6, Turn.RIGHT, 180.0, 25.0)
    assert len(turning.timeline().times_s) == samples


def test_a_course_of_less_than_a_mile_is_flown_too():
    short = flight(point=PlanePoint(0.0, 9.5))
    short.follow_course(PlanePoint(0.0, 10.0), 360.0, 120.0)

    assert (short.time_s, short.point.north_nm) == (pytest.approx(15.0), pytest.approx(10.0))


def test_a_flight_frozen_once_goes_on_from_there():
    there = flight()
    there.hold_heading(360.0, 180.0, 10.0)
    assert there.timeline().duration_s == 10.0
    there.hold_heading(360.0, 180.0, 10.0)
    assert there.timeline().duration_s == 20.0
    there.turn(90.0, Turn.RIGHT, 180.0, 25.0)
    assert there.timeline().headings_deg[-1] == pytest.approx(90.0)
    assert there.timeline().turn_end_s == there.time_s
    there.cut(20.0)
    assert there.timeline().duration_s == 20.0
    assert there.timeline() is there.timeline()


@pytest.mark.parametrize(
    ("progress_s", "heading_deg"), [(10.0, 20.0), (10.25, 30.0), (19.0, 30.0), (99.0, 30.0), (-5.0, 10.0)]
)
def test_the_heading_here_is_that_of_the_sample_to_come(plan, progress_s, heading_deg):
    leg = drawn([(0.0, 20.0), (0.0, 19.0), (0.0, 18.0)])
    leg = replace(leg, headings_deg=(10.0, 20.0, 30.0))
    compiled = in_plan(plan("skarrow-tacan-24"), stage(name="course_2", timeline=leg))
    state = placed(compiled, "course_2", 19.0, progress_s=progress_s)
    (callout,) = said(answer, state, Request(t_s=NOW_S, asked=Asked.HEADING))

    assert callout.figures.heading_mag_deg == heading_deg


@pytest.mark.parametrize(
    ("progress_s", "place", "track_deg"),
    # North for 10 s, then east, then north again: each piece is its own, the first and last run on.
    [
        (5.0, (0.0, 0.5), 0.0),
        (-5.0, (0.0, -0.5), 0.0),
        (10.0, (0.0, 1.0), 90.0),
        (15.0, (0.5, 1.0), 90.0),
        (25.0, (1.0, 1.5), 0.0),
        (35.0, (1.0, 2.5), 0.0),
    ],
)
def test_each_piece_of_a_bent_way_is_flown_in_its_own_time(progress_s, place, track_deg):
    bent = drawn([(0.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, 2.0)])

    assert bent.at(progress_s).point == pytest.approx(place)
    assert bent.at(progress_s).track_deg == pytest.approx(track_deg)
    assert bent.groundspeed_kt(progress_s) == pytest.approx(360.0)


def test_a_radial_tells_by_how_much_of_its_own_piece_is_flown_across_it():
    # Five miles out along radial 360, then a twentieth of a mile square to it: that tells, the long way out
    # does not, whichever piece comes before.
    out_and_across = drawn([(0.0, 5.0), (0.0, 10.0), (0.05, 10.0), (0.1, 10.0)])
    half_way_deg = out_and_across.radials_deg[2] / 2.0

    assert out_and_across.progress_by_radial(half_way_deg, 15.0) == pytest.approx(15.0, abs=0.01)
    across_and_out = drawn([(-0.1, 5.0), (-0.05, 5.0), (0.05, 10.0), (0.1, 15.0)])
    assert across_and_out.progress_by_radial(359.99, 15.0) is None


@pytest.mark.parametrize("last_s", [2.0, 0.05])
def test_past_its_end_a_leg_runs_on_for_two_minutes_however_short_its_last_piece(last_s):
    # North from 20 miles south at 180 kt, a mile in 20 s, over after some 100 s and five miles.
    leg = flight(point=PlanePoint(0.0, -20.0), heading_deg=0.0)
    leg.hold_heading(0.0, 180.0, 110.0)
    leg.cut(98.0 + last_s)
    cut = leg.timeline()
    assert cut.times_s[-1] - cut.times_s[-2] == pytest.approx(last_s, abs=1e-6)

    assert cut.progress_by_dme(10.0, 100.0) == pytest.approx(200.0, abs=0.01)
    assert cut.progress_at(PlanePoint(0.0, -10.0), 100.0)[0] == pytest.approx(200.0, abs=0.01)
    assert cut.progress_by_dme(20.0 - 224.0 / 20.0, 100.0) is None
