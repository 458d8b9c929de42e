"""A stage flown on paper; every expected value is a division or a triangle of 30 degrees."""

import pytest

from assistant.engine.nominal_flight import NominalFlight
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import ArcDirection


def flight(heading_deg=360.0, **more):
    known = {"point": PlanePoint(0.0, 0.0), "wind_from_deg": 360.0, "wind_kt": 0.0, "height_ft": 0.0}
    return NominalFlight(heading_deg=heading_deg, **known | more)


def test_a_flight_that_takes_no_time_gets_two_seconds_straight_on_at_120_kt():
    timeline = flight(heading_deg=90.0).timeline()

    # 2 s at 120 kt: a fifteenth of a mile.
    assert timeline.duration_s == pytest.approx(2.0)
    assert timeline.points[-1].east_nm == pytest.approx(1.0 / 15.0)
    assert timeline.groundspeeds_kt == (pytest.approx(120.0),)


def test_a_course_is_followed_to_before_or_past_its_anchor_from_the_place_abeam():
    for to_along_nm, north_nm, time_s in ((0.0, 10.0, 240.0), (-2.0, 8.0, 180.0), (1.0, 11.0, 270.0)):
        along = flight(point=PlanePoint(0.05, 2.0))
        along.follow_course(PlanePoint(0.0, 10.0), 360.0, 120.0, to_along_nm=to_along_nm)

        # Put on the line two miles up it, then two miles a minute.
        assert along.point.north_nm == pytest.approx(north_nm)
        assert along.point.east_nm == pytest.approx(0.0, abs=1e-9)
        assert along.time_s == pytest.approx(time_s)


def test_a_course_that_a_turn_ended_beside_is_joined_by_a_cut_of_thirty_degrees():
    for across_nm in (0.5, -0.5):
        joining = flight(point=PlanePoint(across_nm, 2.0))
        joining.follow_course(PlanePoint(0.0, 10.0), 360.0, 120.0)
        timeline = joining.timeline()

        # Half a mile across: a mile of cut brings it 0.866 miles up the course, 7.134 are left; two a minute.
        assert joining.time_s == pytest.approx((1.0 + 7.134) / 2.0 * 60.0, abs=0.01)
        assert timeline.tracks_deg[0] == pytest.approx(330.0 if across_nm > 0.0 else 30.0)
        assert timeline.points[-1] == pytest.approx((0.0, 10.0), abs=1e-9)
        assert timeline.at(30.0).point == pytest.approx((0.0, 2.866), abs=0.001)


def test_a_course_that_is_too_far_for_that_is_joined_at_its_end():
    joining = flight(point=PlanePoint(3.0, 6.0))
    joining.follow_course(PlanePoint(0.0, 10.0), 360.0, 120.0)

    assert joining.point == pytest.approx((0.0, 10.0))
    assert joining.time_s == pytest.approx(5.0 / 2.0 * 60.0)


def test_no_aircraft_is_faster_on_paper_beside_its_course_than_on_it():
    for across_nm in (0.11, 0.5, 3.0, 8.0):
        beside = flight(point=PlanePoint(across_nm, 2.0))
        beside.follow_course(PlanePoint(0.0, 10.0), 360.0, 120.0)

        assert max(beside.timeline().groundspeeds_kt) == pytest.approx(120.0)


def test_a_course_whose_end_is_behind_takes_no_time():
    past = flight(point=PlanePoint(0.0, 12.0))
    past.follow_course(PlanePoint(0.0, 10.0), 360.0, 120.0)

    assert past.time_s == 0.0


def test_samples_lie_two_seconds_apart_and_no_turn_was_flown():
    turning = flight()
    turning.hold_heading(360.0, 180.0, 10.0)
    timeline = turning.timeline()

    assert timeline.times_s == pytest.approx((0.0, 2.0, 4.0, 6.0, 8.0, 10.0))
    assert turning.turn_end_s == 0.0


def test_an_arc_is_sampled_every_two_degrees_and_its_headings_are_square_to_the_radial():
    arc = flight(heading_deg=90.0, point=PlanePoint(0.0, 10.0))
    arc.follow_arc(10.0, ArcDirection.CLOCKWISE, 20.0, 180.0)
    timeline = arc.timeline()

    assert timeline.radials_deg == pytest.approx([2.0 * number for number in range(11)], abs=1e-6)
    assert timeline.headings_deg[5] == pytest.approx(100.0, abs=0.01)
    # 20 degrees of 10 NM are 3.4907 miles: at 180 kt 69.8 s. Sampled at their chords, no longer.
    assert timeline.duration_s == pytest.approx(69.81, abs=0.01)
