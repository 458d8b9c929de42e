"""The wind triangle closes in all its cases; rules stand near the exact values; winds aloft interpolate."""

from math import cos, radians, sin

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.nav import wind
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import difference_deg

DEGREES = st.floats(0.0, 359.9)


@given(DEGREES, st.floats(60.0, 400.0), DEGREES, st.floats(0.0, 59.0))
def test_heading_flown_makes_the_track_good(track_deg, tas_kt, from_deg, wind_kt) -> None:
    planned = wind.heading_for_track(track_deg, tas_kt, from_deg, wind_kt)

    made = wind.track_for_heading(planned.heading_deg, tas_kt, from_deg, wind_kt)

    assert difference_deg(track_deg, made.track_deg) == pytest.approx(0.0, abs=1e-6)
    assert made.groundspeed_kt == pytest.approx(planned.groundspeed_kt)
    assert made.drift_deg == pytest.approx(planned.drift_deg, abs=1e-6)
    assert difference_deg(planned.heading_deg, planned.track_deg) == pytest.approx(
        planned.drift_deg, abs=1e-6
    )


@given(DEGREES, st.floats(60.0, 400.0), DEGREES, st.floats(0.0, 59.0))
def test_vectors_close(heading_deg, tas_kt, from_deg, wind_kt) -> None:
    """Air vector plus wind vector is the ground vector, component by component."""
    made = wind.track_for_heading(heading_deg, tas_kt, from_deg, wind_kt)

    for part in (sin, cos):
        air_kt = tas_kt * part(radians(heading_deg)) - wind_kt * part(radians(from_deg))
        assert made.groundspeed_kt * part(radians(made.track_deg)) == pytest.approx(air_kt, abs=1e-6)


@given(DEGREES, st.floats(60.0, 400.0), DEGREES, st.floats(1.0, 59.0))
def test_the_wind_is_found_again(heading_deg, tas_kt, from_deg, wind_kt) -> None:
    made = wind.track_for_heading(heading_deg, tas_kt, from_deg, wind_kt)

    found = wind.wind_from_two(heading_deg, tas_kt, made.track_deg, made.groundspeed_kt)

    assert found.speed_kt == pytest.approx(wind_kt, abs=1e-6)
    assert difference_deg(from_deg, found.from_deg) == pytest.approx(0.0, abs=1e-5)


@given(DEGREES, st.floats(60.0, 300.0), DEGREES, st.floats(0.0, 59.0))
def test_required_airspeed_gives_the_groundspeed(track_deg, groundspeed_kt, from_deg, wind_kt) -> None:
    needed = wind.required_tas(track_deg, groundspeed_kt, from_deg, wind_kt)
    assume(needed.tas_kt > wind_kt)

    planned = wind.heading_for_track(track_deg, needed.tas_kt, from_deg, wind_kt)

    assert planned.groundspeed_kt == pytest.approx(groundspeed_kt, abs=1e-6)
    assert difference_deg(needed.heading_deg, planned.heading_deg) == pytest.approx(0.0, abs=1e-6)


def test_drift_is_positive_to_the_right() -> None:
    """Wind from the left (270 on a northbound track) drifts right and is corrected left."""
    planned = wind.heading_for_track(0.0, 100.0, 270.0, 20.0)

    assert planned.drift_deg == pytest.approx(11.54, abs=0.01)
    assert planned.heading_deg == pytest.approx(348.46, abs=0.01)


@pytest.mark.parametrize(
    ("tas_kt", "from_deg", "wind_kt", "says"),
    [(50.0, 90.0, 51.0, "crosswind"), (50.0, 0.0, 50.0, "headwind"), (50.0, 10.0, 70.0, "headwind")],
)
def test_no_heading_makes_the_track_good(tas_kt, from_deg, wind_kt, says) -> None:
    with pytest.raises(NoSolution, match=says):
        wind.heading_for_track(0.0, tas_kt, from_deg, wind_kt)


def test_standing_still_there_is_no_track() -> None:
    with pytest.raises(NoSolution, match="no track"):
        wind.track_for_heading(0.0, 50.0, 0.0, 50.0)
    with pytest.raises(NoSolution):
        wind.maximum_drift_deg(50.0, 51.0)


def test_speeds_must_make_sense() -> None:
    for tas_kt, wind_kt in ((0.0, 10.0), (100.0, -1.0)):
        with pytest.raises(OutsideValidity):
            wind.heading_for_track(0.0, tas_kt, 0.0, wind_kt)
    with pytest.raises(OutsideValidity):
        wind.required_tas(0.0, 0.0, 0.0, 10.0)


@given(DEGREES, st.floats(100.0, 300.0), DEGREES, st.floats(0.0, 25.0))
def test_working_rules_are_near_the_exact_drift(track_deg, tas_kt, from_deg, wind_kt) -> None:
    exact_deg = wind.heading_for_track(track_deg, tas_kt, from_deg, wind_kt).drift_deg

    rule_deg = wind.clock_code_drift_deg(track_deg, tas_kt, from_deg, wind_kt)

    assert rule_deg == pytest.approx(exact_deg, abs=3.0)
    assert wind.maximum_drift_rule_deg(tas_kt, wind_kt) == pytest.approx(
        wind.maximum_drift_deg(tas_kt, wind_kt), abs=1.0
    )


def test_clock_code_takes_quarters() -> None:
    """40 kt at 120: maximum 20. Wind 30 off the nose on the right: half, to the left."""
    assert wind.clock_code_drift_deg(0.0, 120.0, 30.0, 40.0) == pytest.approx(-10.0)
    assert wind.clock_code_drift_deg(0.0, 120.0, 345.0, 40.0) == pytest.approx(5.0)
    assert wind.clock_code_drift_deg(0.0, 120.0, 100.0, 40.0) == pytest.approx(-20.0)
    assert wind.clock_code_drift_deg(0.0, 120.0, 150.0, 40.0) == pytest.approx(-10.0)


def test_components_are_head_and_right_positive() -> None:
    assert wind.components(270.0, 300.0, 20.0) == pytest.approx((17.32, 10.0), abs=0.005)


LEVELS = [(5000.0, 10.0, 20.0), (1000.0, 350.0, 20.0)]


def test_wind_between_levels_goes_through_north_and_not_south() -> None:
    """Half way between 350 and 010 at 20 kt: 360 at 20 cos 10 = 19.7."""
    middle = wind.wind_at_level(LEVELS, 3000.0)

    assert difference_deg(0.0, middle.from_deg) == pytest.approx(0.0, abs=1e-9)
    assert middle.speed_kt == pytest.approx(19.696, abs=1e-3)


@pytest.mark.parametrize(
    ("altitude_ft", "from_deg"), [(0.0, 350.0), (1000.0, 350.0), (5000.0, 10.0), (9000.0, 10.0)]
)
def test_beyond_the_levels_the_nearest_holds(altitude_ft, from_deg) -> None:
    assert wind.wind_at_level(LEVELS, altitude_ft) == pytest.approx((from_deg, 20.0))


def test_one_level_serves_all_and_none_is_refused() -> None:
    assert wind.wind_at_level([(2000.0, 240.0, 15.0)], 7000.0) == pytest.approx((240.0, 15.0))
    with pytest.raises(OutsideValidity):
        wind.wind_at_level([], 1000.0)
