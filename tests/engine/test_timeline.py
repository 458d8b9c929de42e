"""A timeline turns where into when and back. Expected values are worked out by hand beside each claim."""

from math import pi

import pytest

from assistant.engine.nominal_flight import NominalFlight
from assistant.engine.triggers import AltitudeCrossed, DmeReached, RadialReached, TimeElapsed
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import ArcDirection, Turn

START = PlanePoint(0.0, 20.0)


def flight(point=START, heading_deg=180.0, wind=(360.0, 0.0), height_ft=0.0):
    return NominalFlight(
        point=point, heading_deg=heading_deg, wind_from_deg=wind[0], wind_kt=wind[1], height_ft=height_ft
    )


def test_a_straight_leg_toward_the_station_takes_distance_over_groundspeed():
    inbound = flight()
    inbound.follow_course(PlanePoint(0.0, 10.0), 180.0, 120.0)

    # 10 NM at 120 kt: five minutes.
    assert inbound.timeline().duration_s == pytest.approx(300.0)


def test_a_head_wind_makes_it_longer():
    inbound = flight(wind=(180.0, 20.0))
    inbound.follow_course(PlanePoint(0.0, 10.0), 180.0, 120.0)

    # 10 NM at 120 - 20 kt: six minutes.
    assert inbound.timeline().duration_s == pytest.approx(360.0)


def test_a_range_is_reached_where_distance_over_speed_says():
    inbound = flight()
    inbound.follow_course(PlanePoint(0.0, 10.0), 180.0, 120.0)

    # From 20 to 15 NM at two miles a minute: 150 s.
    assert inbound.timeline().when(DmeReached(dme_nm=15.0, closing=True)) == pytest.approx(150.0, abs=0.1)


def test_range_is_read_on_the_slant():
    overhead = flight(point=PlanePoint(0.0, 8.0), height_ft=6076.115 * 6.0)
    overhead.follow_course(PlanePoint(0.0, 4.0), 180.0, 120.0)

    # Six miles up and eight out: a 6-8-10 triangle.
    assert overhead.timeline().dmes_nm[0] == pytest.approx(10.0, abs=1e-6)


def test_an_arc_takes_its_length_over_speed():
    arc = flight(point=PlanePoint(0.0, 10.0), heading_deg=90.0)
    arc.follow_arc(10.0, ArcDirection.CLOCKWISE, 90.0, 180.0)

    # A quarter of 2 pi 10 NM at three miles a minute.
    assert arc.timeline().duration_s == pytest.approx(pi / 2.0 * 10.0 / 3.0 * 60.0, rel=1e-3)


def test_a_radial_on_an_arc_is_reached_in_proportion():
    arc = flight(point=PlanePoint(0.0, 10.0), heading_deg=90.0)
    arc.follow_arc(10.0, ArcDirection.CLOCKWISE, 90.0, 180.0)
    timeline = arc.timeline()

    assert timeline.when(RadialReached(radial_deg=30.0)) == pytest.approx(timeline.duration_s / 3.0, abs=0.5)


def test_an_anticlockwise_arc_runs_down_the_radials():
    arc = flight(point=PlanePoint(0.0, 10.0), heading_deg=270.0)
    arc.follow_arc(10.0, ArcDirection.ANTICLOCKWISE, 300.0, 180.0)

    assert arc.timeline().radials_deg[-1] == pytest.approx(300.0)


def test_a_turn_of_180_degrees_ends_two_radii_abeam():
    turning = flight(point=PlanePoint(0.0, 0.0), heading_deg=360.0)
    turning.turn(180.0, Turn.RIGHT, 210.0, 25.0)
    end = turning.timeline().points[-1]

    # r = V^2 / (g tan bank): 210 kt = 108.03 m/s, 9.80665 tan 25 = 4.5729 m/s2, 2552 m = 1.378 NM.
    assert end.east_nm == pytest.approx(2.0 * 1.378, abs=0.003)
    assert end.north_nm == pytest.approx(0.0, abs=0.003)


def test_progress_by_range_finds_the_crossing_nearest_in_time():
    past = flight(point=PlanePoint(0.0, 5.0))
    past.follow_course(PlanePoint(0.0, -5.0), 180.0, 120.0)
    timeline = past.timeline()

    # Three miles is read twice: at 2 NM flown (60 s) and at 8 NM (240 s).
    assert timeline.progress_by_dme(3.0, 70.0) == pytest.approx(60.0, abs=0.5)
    assert timeline.progress_by_dme(3.0, 230.0) == pytest.approx(240.0, abs=0.5)


def test_range_tells_nothing_on_an_arc():
    arc = flight(point=PlanePoint(0.0, 10.0), heading_deg=90.0)
    arc.follow_arc(10.0, ArcDirection.CLOCKWISE, 90.0, 180.0)

    assert arc.timeline().progress_by_dme(10.2, 50.0) is None


def test_a_radial_tells_nothing_on_a_leg_along_it():
    inbound = flight()
    inbound.follow_course(PlanePoint(0.0, 10.0), 180.0, 120.0)

    assert inbound.timeline().progress_by_radial(2.0, 50.0) is None


def test_a_place_beside_the_leg_is_abeam_its_progress():
    inbound = flight()
    inbound.follow_course(PlanePoint(0.0, 10.0), 180.0, 120.0)
    progress_s, off_nm = inbound.timeline().progress_at(PlanePoint(0.5, 15.0), 150.0)

    assert progress_s == pytest.approx(150.0, abs=0.5)
    assert off_nm == pytest.approx(0.5, abs=1e-6)


def test_time_is_its_own_progress_and_altitude_has_none():
    inbound = flight()
    inbound.follow_course(PlanePoint(0.0, 10.0), 180.0, 120.0)
    timeline = inbound.timeline()

    assert timeline.when(TimeElapsed(time_s=42.0)) == 42.0
    assert timeline.when(AltitudeCrossed(altitude_ft=2000.0, descending=True)) is None


def test_past_its_end_a_timeline_runs_on_straight():
    inbound = flight()
    inbound.follow_course(PlanePoint(0.0, 10.0), 180.0, 120.0)

    # A minute past 10 NM at two miles a minute.
    assert inbound.timeline().at(360.0).dme_nm == pytest.approx(8.0, abs=1e-6)


def test_cutting_takes_back_what_was_flown_after():
    inbound = flight()
    inbound.follow_course(PlanePoint(0.0, 10.0), 180.0, 120.0)
    inbound.cut(100.0)

    assert inbound.timeline().duration_s == pytest.approx(100.0)
    assert inbound.point.north_nm == pytest.approx(20.0 - 100.0 / 30.0)


def test_drift_carries_a_heading_downwind():
    drifting = flight(point=PlanePoint(0.0, 0.0), heading_deg=360.0, wind=(270.0, 30.0))
    drifting.hold_heading(360.0, 120.0, 60.0)

    # A minute: two miles north in the air, half a mile east with the wind.
    assert drifting.point.north_nm == pytest.approx(2.0)
    assert drifting.point.east_nm == pytest.approx(0.5)


def test_the_start_of_a_turn_in_wind_is_tangent_to_the_track():
    turning = flight(point=PlanePoint(0.0, 0.0), heading_deg=360.0)
    turning.turn(30.0, Turn.RIGHT, 180.0, 25.0)
    first = turning.timeline().points[1]

    # After about 2 s the heading is a few degrees right: nearly all of the way is north.
    assert first.north_nm > 10.0 * first.east_nm
