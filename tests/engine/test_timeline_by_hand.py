"""Progress along a flight of a few drawn points; every expected value is a division."""

import pytest
from on_paper import drawn, straight

from assistant.engine.triggers import DmeReached, RadialReached
from assistant.nav.geometry import PlanePoint

# Along the line three miles north of the station, from west to east, half a mile in 10 s: 180 kt.
ABEAM = [(-2.0 + 0.5 * number, 3.0) for number in range(9)]


@pytest.fixture
def inbound():
    """From 20 miles along radial 360 at 120 kt: a third of a mile in 10 s, for 200 s, to 13 1/3."""
    return straight()


@pytest.mark.parametrize(
    ("dme_nm", "progress_s"),
    # 30 s a mile: at 20 miles 0 s; before the start and past the end straight on.
    [(20.0, 0.0), (19.5, 15.0), (18.9, 33.0), (13.5, 195.0), (21.0, -30.0), (12.0, 240.0), (39.0, -570.0)],
)
def test_a_range_tells_progress_by_division(inbound, dme_nm, progress_s):
    assert inbound.progress_by_dme(dme_nm, 100.0) == pytest.approx(progress_s)


@pytest.mark.parametrize(
    ("dme_nm", "known"),
    # Sixty pieces of a third of a mile: up to 20 NM before the start.
    [(39.9, True), (40.1, False)],
)
def test_a_range_too_far_before_the_start_tells_nothing(inbound, dme_nm, known):
    assert (inbound.progress_by_dme(dme_nm, 0.0) is not None) is known


def test_of_two_readings_of_a_range_the_one_nearer_in_time_counts():
    abeam = drawn(ABEAM)

    # sqrt(3.25^2 - 3^2) = 1.25: read at -1.25 and +1.25 miles, 15 s and 65 s after the start. The range bends
    # between samples, so within a second.
    assert abeam.progress_by_dme(3.25, 39.0) == pytest.approx(15.0, abs=1.0)
    assert abeam.progress_by_dme(3.25, 41.0) == pytest.approx(65.0, abs=1.0)


def test_where_the_range_hardly_changes_it_tells_nothing():
    # Around the point abeam: 3.00 to 3.04 in half a mile is less than a quarter of the way.
    assert drawn(ABEAM[4:6]).progress_by_dme(3.02, 5.0) is None
    # From 1.5 to 2 miles beside it: 3.354 to 3.606, a half of the way.
    assert drawn([*ABEAM[7:9], (2.5, 3.0)]).progress_by_dme(3.5, 5.0) == pytest.approx(5.8, abs=0.1)


@pytest.mark.parametrize(
    ("radial_deg", "progress_s"),
    # tan = east / 3: 0.5/3 is 9.46 degrees, at 50 s; 359.999 at 40 s; half-way between samples 4.73 at 45 s.
    [(9.462, 50.0), (360.0, 40.0), (4.731, 45.0), (350.538, 30.0)],
)
def test_a_radial_abeam_tells_progress(radial_deg, progress_s):
    abeam = drawn(ABEAM)

    assert abeam.progress_by_radial(radial_deg, 40.0) == pytest.approx(progress_s, abs=0.05)
    assert abeam.when(RadialReached(radial_deg=radial_deg)) == pytest.approx(progress_s, abs=0.05)


def test_a_radial_runs_on_ten_pieces_and_no_more():
    abeam = drawn(ABEAM)

    # The last piece turns from atan(1.5/3) = 26.57 to atan(2/3) = 33.69 degrees: 7.12 in 10 s. Nine pieces
    # more are 26.57 + 9 * 7.12 = 90.7 at 160 s; eleven, 104.9, are too many.
    assert abeam.progress_by_radial(90.7, 100.0) == pytest.approx(160.0, abs=0.2)
    assert abeam.progress_by_radial(104.9, 100.0) is None


def test_a_radial_is_reached_only_after_the_moment_asked_from():
    abeam = drawn(ABEAM)

    assert abeam.when(RadialReached(radial_deg=360.0), from_s=60.0) is None
    assert abeam.when(RadialReached(radial_deg=9.462), from_s=45.0) == pytest.approx(50.0, abs=0.05)


def test_the_reciprocal_radial_is_not_reached():
    assert drawn(ABEAM).when(RadialReached(radial_deg=180.0)) is None
    assert drawn(ABEAM).progress_by_radial(180.0, 40.0) is None


@pytest.mark.parametrize(
    ("dme_nm", "closing", "from_s", "at_s"),
    [
        (19.0, True, 0.0, 30.0),
        (19.0, True, 25.0, 30.0),  # between the samples at 20 and 40 s still found by division
        (19.0, True, 60.0, 60.0),  # already past: reached at once
        (21.0, True, 0.0, 0.0),
        (12.0, True, 0.0, None),
        (21.0, False, 0.0, None),
        (19.0, False, 0.0, 0.0),
    ],
)
def test_a_range_is_reached_from_a_moment_on(inbound, dme_nm, closing, from_s, at_s):
    found = inbound.when(DmeReached(dme_nm=dme_nm, closing=closing), from_s=from_s)

    assert found == (None if at_s is None else pytest.approx(at_s))


@pytest.mark.parametrize("progress_s", [-30.0, 0.0, 15.0, 100.0, 200.0, 260.0])
def test_the_place_at_a_moment_is_on_the_straight_line(inbound, progress_s):
    place = inbound.at(progress_s)

    assert place.point.north_nm == pytest.approx(20.0 - progress_s / 30.0)
    assert place.point.east_nm == pytest.approx(0.0)
    assert place.dme_nm == pytest.approx(20.0 - progress_s / 30.0)
    assert place.track_deg == pytest.approx(180.0)
    assert place.groundspeed_kt == pytest.approx(120.0)
    assert place.radial_deg % 360.0 == pytest.approx(0.0, abs=1e-9)


def test_a_range_is_never_less_than_nothing(inbound):
    assert inbound.at(700.0).dme_nm == 0.0


@pytest.mark.parametrize(
    ("point", "progress_s", "off_nm"),
    [
        ((0.4, 19.0), 30.0, 0.4),
        ((-0.3, 15.5), 135.0, 0.3),
        ((0.0, 22.0), -60.0, 0.0),
        ((0.5, 12.0), 240.0, 0.5),
        ((0.3, 20.0), 0.0, 0.3),
    ],
)
def test_a_point_is_mapped_to_the_place_abeam(inbound, point, progress_s, off_nm):
    found_s, found_nm = inbound.progress_at(PlanePoint(*point), 100.0)

    assert found_s == pytest.approx(progress_s)
    assert found_nm == pytest.approx(off_nm)


def test_beyond_the_run_on_a_point_is_as_far_off_as_it_lies_past_its_end(inbound):
    # Sixty pieces of a third of a mile before the start end at 40 miles; 41.5 is one and a half farther.
    found_s, off_nm = inbound.progress_at(PlanePoint(0.0, 41.5), 0.0)

    assert found_s == pytest.approx(-600.0)
    assert off_nm == pytest.approx(1.5)


def test_the_nearer_piece_of_a_corner_counts():
    corner = drawn([(0.0, 0.0), (0.0, 1.0), (1.0, 1.0)])

    assert corner.progress_at(PlanePoint(0.1, 0.8), 5.0) == (pytest.approx(8.0), pytest.approx(0.1))
    assert corner.progress_at(PlanePoint(0.4, 0.9), 15.0) == (pytest.approx(14.0), pytest.approx(0.1))


def test_on_a_path_flown_twice_time_decides():
    # Out and back over the same mile, a hair apart.
    there_and_back = drawn([(0.0, 0.0), (0.0, 1.0), (0.0, 2.0), (0.01, 2.0), (0.01, 1.0), (0.01, 0.0)])

    assert there_and_back.progress_at(PlanePoint(0.005, 1.0), 12.0)[0] == pytest.approx(10.0)
    assert there_and_back.progress_at(PlanePoint(0.005, 1.0), 38.0)[0] == pytest.approx(40.0)
