"""Where the runway appears, and visibilities with lights out: hand figures and mirror images."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import visual, wind
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import PlanePoint


def test_straight_in_and_calm_it_is_ahead() -> None:
    """1 NM out at 318 ft on 3 degrees: dead ahead, 3 degrees down."""
    point = visual.point_on_final(240.0, 240.0, 0.0, 1.0)

    view = visual.runway_view(point, 240.0, 240.0, 318.4)

    assert view.side == "ahead"
    assert view.angle_deg == pytest.approx(0.0, abs=1e-9)
    assert view.below_deg == pytest.approx(3.0, abs=0.01)
    assert view.ground_nm == pytest.approx(1.0)


def test_crab_to_the_left_shows_the_runway_on_the_right() -> None:
    """Wind from the left, 15 kt at 90: the nose asin(1/6) = 9.6 degrees left, the runway right by that."""
    heading_deg = wind.heading_for_track(240.0, 90.0, 150.0, 15.0).heading_deg

    view = visual.runway_view(visual.point_on_final(240.0, 240.0, 0.0, 1.0), heading_deg, 240.0, 318.0)

    assert view.side == "right"
    assert view.angle_deg == pytest.approx(9.59, abs=0.01)
    assert view.runway_deg == pytest.approx(9.59, abs=0.01)


def test_offset_final_to_a_point_on_the_centre_line() -> None:
    """
    Final 225 on runway 240 that crosses the centre line 1 NM out, seen 2 NM out.

    By hand: law of sines, angle at the crossing 165, sides 1 and 2: at the aircraft asin(sin 165 / 2) = 7.43.
    The course points left of the runway's, so the runway stands right of the nose.
    """
    view = visual.runway_view(visual.point_on_final(225.0, 240.0, 1.0, 2.0), 225.0, 240.0, 600.0)

    assert view.side == "right"
    assert view.angle_deg == pytest.approx(7.43, abs=0.01)
    assert view.runway_deg == pytest.approx(15.0)


@given(st.floats(-30.0, 30.0), st.floats(-1.0, 1.0), st.floats(1.5, 4.0), st.floats(-20.0, 20.0))
def test_the_mirror_image_is_on_the_other_side(offset_deg, crossing_nm, ground_nm, drift_deg) -> None:
    one = visual.runway_view(
        visual.point_on_final(offset_deg, 0.0, crossing_nm, ground_nm), offset_deg - drift_deg, 0.0, 500.0
    )
    other = visual.runway_view(
        visual.point_on_final(-offset_deg, 0.0, crossing_nm, ground_nm), -offset_deg + drift_deg, 0.0, 500.0
    )

    assert one.angle_deg == pytest.approx(-other.angle_deg, abs=1e-6)


def test_a_final_that_passes_wide_is_refused() -> None:
    with pytest.raises(NoSolution, match="never comes within"):
        visual.point_on_final(90.0, 0.0, 3.0, 2.0)
    assert visual.runway_view(PlanePoint(0.0, -1.0), 0.0, 0.0, 0.0).side == "ahead"


def test_lights_out_add_the_charts_increment() -> None:
    """Half a statute mile is 805 m; a quarter 402."""
    assert visual.visibility_lights_out_m(1600.0, 800.0) == 2400.0
    assert visual.lights_out_increment_m("full", "D") == pytest.approx(804.7, abs=0.1)
    assert visual.lights_out_increment_m("medium", "B") == pytest.approx(402.3, abs=0.1)
    assert visual.lights_out_increment_m("medium", "D") == 0.0
    with pytest.raises(OutsideValidity):
        visual.visibility_lights_out_m(1600.0, -1.0)
    with pytest.raises(OutsideValidity):
        visual.rounded_minimum_ft(400.0, 0.0)
