"""Slopes, rates and minima: hand figures, inverse pairs, and slant range solved against Pythagoras."""

from math import hypot, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import vertical
from assistant.nav.errors import NoSolution, OutsideValidity

ANGLES = st.floats(1.0, 10.0)


@given(ANGLES, st.floats(0.5, 30.0), st.floats(0.0, 5000.0))
def test_altitude_angle_and_distance_belong_together(angle_deg, ground_nm, anchor_ft) -> None:
    due_ft = vertical.altitude_on_slope_ft(ground_nm, anchor_ft, angle_deg)

    assert vertical.angle_deg_from(due_ft, anchor_ft, ground_nm) == pytest.approx(angle_deg)
    assert vertical.top_of_descent_nm(due_ft, anchor_ft, angle_deg) == pytest.approx(ground_nm)
    assert vertical.angle_deg_from_gradient(vertical.gradient_ft_per_nm(angle_deg)) == pytest.approx(
        angle_deg
    )


@given(ANGLES, st.floats(60.0, 200.0), st.floats(0.5, 12.0))
def test_rate_for_the_time_of_the_leg_loses_its_height(angle_deg, groundspeed_kt, ground_nm) -> None:
    minutes = vertical.leg_time_s(ground_nm, groundspeed_kt) / 60.0

    lost_ft = vertical.descent_fpm(groundspeed_kt, angle_deg) * minutes

    assert lost_ft == pytest.approx(vertical.altitude_on_slope_ft(ground_nm, 0.0, angle_deg))


@given(
    st.floats(3.0, 25.0),
    st.floats(-1.0, 1.0),
    st.floats(2.5, 4.0),
    st.floats(0.0, 1500.0),
    st.floats(-2.0, 2.0),
)
def test_altitude_due_at_a_slant_range_is_on_the_slope_at_that_reading(
    dme_nm, station_to_anchor_nm, angle_deg, station_ft, across_nm
) -> None:
    """Backwards: altitude to the slope's ground distance, and that with the height to the reading."""
    anchor_ft = station_ft + 50.0

    due_ft = vertical.altitude_due_at_slant_ft(
        dme_nm, station_to_anchor_nm, anchor_ft, angle_deg, station_ft, across_nm
    )

    from_station_nm = (due_ft - anchor_ft) / (6076.115 * tan(radians(angle_deg))) + station_to_anchor_nm
    reading_nm = hypot(from_station_nm, across_nm, (due_ft - station_ft) / 6076.115)
    assert reading_nm == pytest.approx(dme_nm, abs=1e-4)


def test_slant_range_costs_some_feet_near_a_high_station_only() -> None:
    """At 5 DME on 3 degrees, 1,642 ft: ground 4.993; 0.007 NM is 2 ft."""
    due_ft = vertical.altitude_due_at_slant_ft(5.0, 0.0, 50.0, 3.0, 0.0)

    assert vertical.altitude_on_slope_ft(5.0, 50.0, 3.0) - due_ft == pytest.approx(2.3, abs=0.3)


def test_continuous_descent_from_the_final_fix() -> None:
    """By hand: 2,000 - 500 - 50 = 1,450 ft in 4.6 NM is 315 ft a mile, 2.97 degrees; 120 kt: 630 ft/min."""
    assert vertical.continuous_angle_deg(2000.0, 500.0, 50.0, 4.6) == pytest.approx(2.97, abs=0.005)
    assert vertical.continuous_descent_fpm(2000.0, 500.0, 50.0, 4.6, 120.0) == pytest.approx(630.4, abs=0.5)


def test_later_than_the_descent_point_it_is_steeper() -> None:
    """From 900 ft (400 above 500) to cross at 50: 350 ft; over 1.1 NM 3.0 degrees, over 0.5 NM 6.57."""
    point_nm = vertical.visual_descent_point_nm(900.0, 500.0, 50.0, 3.0)

    assert point_nm == pytest.approx(1.099, abs=0.001)
    assert vertical.slope_from_minimum_deg(900.0, 500.0, 50.0, point_nm) == pytest.approx(3.0)
    assert vertical.slope_from_minimum_deg(900.0, 500.0, 50.0, 0.5) == pytest.approx(6.57, abs=0.01)


def test_the_usual_add_on_covers_a_quick_decision() -> None:
    """640 ft/min is 10.7 ft/s: 2.5 s are 26.7 ft, then 10.7^2 / (2 x 0.1 x 32.2) = 17.7 ft; together 44."""
    assert vertical.sink_in_decision_ft(640.0, 2.5) == pytest.approx(44.3, abs=0.2)
    assert vertical.sink_in_decision_ft(640.0, 2.5) < vertical.USUAL_ADD_ON_FT


def test_a_minimum_is_never_lowered() -> None:
    with pytest.raises(OutsideValidity, match="lower the minimum"):
        vertical.derived_minimum_ft(500.0, -10.0)


@pytest.mark.parametrize(
    ("ask", "error"),
    [
        (lambda: vertical.gradient_ft_per_nm(0.0), OutsideValidity),
        (lambda: vertical.gradient_percent(45.0), OutsideValidity),
        (lambda: vertical.angle_deg_from(100.0, 0.0, 0.0), NoSolution),
        (lambda: vertical.top_of_descent_nm(100.0, 200.0, 3.0), NoSolution),
        (lambda: vertical.leg_time_s(5.0, 0.0), NoSolution),
    ],
)
def test_what_has_no_answer_is_refused(ask, error) -> None:
    with pytest.raises(error, match=r"\.$"):
        ask()
