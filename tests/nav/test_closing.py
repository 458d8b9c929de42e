"""Closing: rates and times by a small step along the track, and the rules beside exact angles."""

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import closing
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import PlanePoint, move


@given(st.floats(1.0, 40.0), st.floats(1.0, 40.0), st.floats(0.0, 359.0), st.floats(60.0, 300.0))
def test_closing_speed_is_the_fall_of_the_range(east_nm, north_nm, track_deg, groundspeed_kt) -> None:
    """By the difference over a fifth of a second, centred."""
    here = PlanePoint(east_nm, north_nm)
    step_nm = groundspeed_kt / 36000.0

    fall_nm = hypot(*move(here, track_deg, -step_nm)) - hypot(*move(here, track_deg, step_nm))

    assert closing.closing_kt(here, track_deg, groundspeed_kt) == pytest.approx(fall_nm * 18000.0, abs=0.05)


@given(st.floats(5.0, 40.0), st.floats(0.0, 359.0), st.floats(60.0, 300.0), st.floats(1.0, 60.0))
def test_after_the_time_the_range_is_reached(east_nm, track_deg, groundspeed_kt, ground_nm) -> None:
    here = PlanePoint(east_nm, 0.0)

    time_s = closing.time_to_range_s(here, track_deg, groundspeed_kt, ground_nm)

    if time_s is not None:
        assert hypot(*move(here, track_deg, groundspeed_kt * time_s / 3600.0)) == pytest.approx(
            ground_nm, abs=1e-6
        )
    else:
        # Outbound past it, or passing wide: no smaller step along the track is at that range either.
        ahead = [hypot(*move(here, track_deg, tenth / 10.0)) - ground_nm for tenth in range(1000)]
        assert all(gap > -1e-6 for gap in ahead)


def test_straight_in_at_120_kt_ten_miles_take_five_minutes() -> None:
    assert closing.time_to_range_s(PlanePoint(0.0, 10.0), 180.0, 120.0, 0.0) == pytest.approx(300.0)
    assert closing.closing_kt(PlanePoint(0.0, 10.0), 180.0, 120.0) == pytest.approx(120.0)
    assert closing.closing_kt(PlanePoint(0.0, 0.0), 180.0, 120.0) == -120.0


def test_bearing_change_tells_the_time_to_the_station() -> None:
    """Ten degrees in 60 s: 6 minutes by the rule. Exact: distance flown / tan 10 = 5.67 of it, so 340 s."""
    assert closing.time_to_station_s(60.0, 10.0) == pytest.approx(360.0)
    assert closing.time_to_station_s(60.0, 10.0) == pytest.approx(60.0 / 0.176327, rel=0.06)


def test_what_tells_nothing_is_refused() -> None:
    with pytest.raises(OutsideValidity):
        closing.time_to_station_s(60.0, 0.0)
    with pytest.raises(OutsideValidity):
        closing.regain(50.0, 50.0, 1.0)
    with pytest.raises(OutsideValidity):
        closing.cone_radius_nm(1000.0, 90.0)
    with pytest.raises(NoSolution):
        closing.time_to_range_s(PlanePoint(1.0, 1.0), 0.0, 0.0, 5.0)
