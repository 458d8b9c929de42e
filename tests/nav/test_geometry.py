"""Angles, the flat frame and positions: round trips, hand figures, and the ellipsoid as the second method."""

from math import hypot

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import geometry
from assistant.nav.errors import OutsideValidity
from assistant.nav.geometry import PlanePoint

ANGLES = st.floats(-1000.0, 1000.0)
RANGES = st.floats(0.1, 60.0)
ORIGIN = PlanePoint(0.0, 0.0)


@given(ANGLES)
def test_normalized_angle_is_the_same_direction(angle_deg) -> None:
    normal_deg = geometry.normalize_deg(angle_deg)

    assert 0.0 <= normal_deg < 360.0
    assert geometry.difference_deg(normal_deg, angle_deg) == pytest.approx(0.0, abs=1e-9)


def test_a_hair_below_zero_is_not_360() -> None:
    assert geometry.normalize_deg(-1e-17) == 0.0


@pytest.mark.parametrize(
    ("angle_deg", "spoken"),
    [(0.0, 360), (360.0, 360), (359.6, 360), (0.4, 360), (0.5, 1), (89.5, 90), (-10, 350)],
)
def test_north_is_spoken_360(angle_deg, spoken) -> None:
    assert geometry.spoken_deg(angle_deg) == spoken


@pytest.mark.parametrize(
    ("from_deg", "to_deg", "difference_deg"),
    [(350, 10, 20), (10, 350, -20), (90, 270, 180), (270, 90, 180), (45, 45, 0)],
)
def test_difference_is_the_shorter_way(from_deg, to_deg, difference_deg) -> None:
    assert geometry.difference_deg(from_deg, to_deg) == difference_deg


@given(ANGLES, ANGLES)
def test_left_and_right_turns_make_a_full_one_or_none(from_deg, to_deg) -> None:
    right_deg = geometry.turn_through_deg(from_deg, to_deg, "right")
    left_deg = geometry.turn_through_deg(from_deg, to_deg, "left")

    assert right_deg + left_deg == pytest.approx(360.0) or right_deg + left_deg == pytest.approx(
        0.0, abs=1e-9
    )
    shorter = {"left": left_deg, "right": right_deg}[geometry.shorter_turn(from_deg, to_deg)]
    assert shorter <= 180.0 + 1e-9


def test_reciprocal() -> None:
    assert geometry.reciprocal_deg(25.0) == 205.0
    assert geometry.reciprocal_deg(205.0) == 25.0


@given(st.floats(0.0, 359.99), RANGES)
def test_radial_and_range_survive_the_flat_frame(radial_deg, ground_nm) -> None:
    polar = geometry.polar_from_plane(geometry.plane_from_polar(radial_deg, ground_nm))

    assert polar.ground_nm == pytest.approx(ground_nm)
    assert geometry.difference_deg(radial_deg, polar.radial_deg) == pytest.approx(0.0, abs=1e-9)


def test_axes_are_east_and_north_and_across_is_right() -> None:
    """Radial 090 is east; a point east of a northbound course is right of it."""
    assert geometry.plane_from_polar(90.0, 5.0) == pytest.approx((5.0, 0.0))
    seen = geometry.along_and_across_nm(PlanePoint(2.0, 3.0), ORIGIN, 0.0)
    assert seen == pytest.approx((3.0, 2.0))
    assert geometry.bearing_deg(ORIGIN, PlanePoint(-1.0, 0.0)) == pytest.approx(270.0)
    assert geometry.distance_nm(PlanePoint(1.0, 1.0), PlanePoint(4.0, 5.0)) == pytest.approx(5.0)
    assert geometry.move(PlanePoint(1.0, 1.0), 180.0, 2.0) == pytest.approx((1.0, -1.0))


@given(RANGES, st.floats(0.0, 40000.0))
def test_slant_range_goes_there_and_back(ground_nm, height_ft) -> None:
    slant_nm = geometry.slant_nm_from_ground(ground_nm, height_ft)

    assert slant_nm >= ground_nm
    assert geometry.ground_nm_from_slant(slant_nm, height_ft) == pytest.approx(ground_nm, abs=1e-6)


def test_overhead_the_ground_range_is_zero() -> None:
    """6,076 ft is one mile: a reading of 0.9 cannot be more than the height."""
    assert geometry.ground_nm_from_slant(0.9, 6076.0) == 0.0
    with pytest.raises(OutsideValidity):
        geometry.ground_nm_from_slant(-0.1, 100.0)
    with pytest.raises(OutsideValidity):
        geometry.slant_nm_from_ground(-0.1, 100.0)


@given(
    st.floats(-70.0, 70.0), st.floats(-179.0, 179.0), st.floats(-30.0, 30.0), st.floats(0.0, 359.0), RANGES
)
def test_position_and_radial_are_inverse(
    latitude_deg, longitude_deg, declination_deg, radial_deg, ground_nm
) -> None:
    station = (latitude_deg, longitude_deg, declination_deg)

    place = geometry.position_from_radial_dme(*station, radial_deg, ground_nm)
    back = geometry.radial_dme_from_position(*station, *place)

    assert back.ground_nm == pytest.approx(ground_nm, abs=1e-6)
    assert geometry.difference_deg(radial_deg, back.radial_deg) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("latitude_deg", [-35.0, 0.0, 52.0, 66.0])
def test_flat_frame_is_true_to_a_few_hundredths_within_60_nm(latitude_deg) -> None:
    """Distances between two points 90 degrees apart at 60 NM, against the geodesic between them."""
    one = geometry.position_from_radial_dme(latitude_deg, 10.0, 0.0, 20.0, 60.0)
    two = geometry.position_from_radial_dme(latitude_deg, 10.0, 0.0, 110.0, 60.0)

    flat_nm = geometry.distance_nm(
        geometry.plane_from_polar(20.0, 60.0), geometry.plane_from_polar(110.0, 60.0)
    )

    geodesic_m = Geodesic.WGS84.Inverse(*one, *two)["s12"]
    assert flat_nm == pytest.approx(geodesic_m / 1852.0, abs=0.05)


def test_declination_east_turns_the_radials_clockwise() -> None:
    """Radial 350 of a station with 10 east points true north: the longitude stays."""
    place = geometry.position_from_radial_dme(50.0, 8.0, 10.0, 350.0, 60.0)

    assert place.longitude_deg == pytest.approx(8.0, abs=1e-9)
    assert place.latitude_deg == pytest.approx(51.0, abs=0.01)


@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(0.0, 359.0), st.floats(0.5, 40.0))
def test_range_crossings_are_at_that_range(east_nm, north_nm, course_deg, ground_nm) -> None:
    anchor = PlanePoint(east_nm, north_nm)

    crossings_nm = geometry.line_range_crossings(anchor, course_deg, ground_nm)

    assert list(crossings_nm) == sorted(crossings_nm)
    for along_nm in crossings_nm:
        assert hypot(*geometry.move(anchor, course_deg, along_nm)) == pytest.approx(ground_nm, abs=1e-6)
    nearest_nm = abs(geometry.along_and_across_nm(ORIGIN, anchor, course_deg).across_nm)
    assert bool(crossings_nm) == (nearest_nm <= ground_nm)


def test_a_line_that_touches_the_circle_crosses_once() -> None:
    assert geometry.line_range_crossings(PlanePoint(5.0, 0.0), 0.0, 5.0) == (0.0,)


@given(st.floats(-20, 20), st.floats(-20, 20), st.floats(0.0, 359.0), st.floats(0.0, 359.0))
def test_radial_crossing_is_on_the_ray(east_nm, north_nm, course_deg, radial_deg) -> None:
    anchor = PlanePoint(east_nm, north_nm)

    along_nm = geometry.line_radial_crossing(anchor, course_deg, radial_deg)

    if along_nm is not None and abs(along_nm) < 1000.0:
        there = geometry.move(anchor, course_deg, along_nm)
        seen = geometry.along_and_across_nm(there, ORIGIN, radial_deg)
        assert seen.across_nm == pytest.approx(0.0, abs=1e-6)
        assert seen.along_nm >= -1e-6


def test_the_reciprocal_of_a_radial_is_not_crossed() -> None:
    """Northbound 5 NM east of the station: radials of the east are crossed, those of the west never."""
    anchor = PlanePoint(5.0, -5.0)

    assert geometry.line_radial_crossing(anchor, 0.0, 90.0) == pytest.approx(5.0)
    assert geometry.line_radial_crossing(anchor, 0.0, 270.0) is None
    assert geometry.line_radial_crossing(anchor, 0.0, 0.0) is None
