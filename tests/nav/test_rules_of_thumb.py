"""What each working rule's docstring says of its accuracy, against the exact figure beside it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import airspeed, altimetry, arcs, closing, cold, turns, vertical


@given(st.floats(95.0, 200.0))
def test_bank_rules_for_rate_one(tas_kt) -> None:
    exact_deg = turns.bank_for_rate_deg(tas_kt, 3.0)

    assert turns.bank_for_rate_one_tenth_plus_7_deg(tas_kt) == pytest.approx(exact_deg, abs=2.0)
    assert -0.5 <= turns.bank_for_rate_one_15_percent_deg(tas_kt) - exact_deg <= 1.25


@given(st.floats(60.0, 400.0))
def test_radius_rules(tas_kt) -> None:
    """6 % short at rate one and half of it, 10 % over at 30 degrees, 1 % short at 25."""
    ratios = (
        (turns.radius_half_percent_nm(tas_kt) / turns.radius_from_rate_nm(tas_kt, 3.0), 0.942),
        (turns.radius_one_percent_nm(tas_kt) / turns.radius_from_rate_nm(tas_kt, 1.5), 0.942),
        (turns.radius_square_tenth_nm(tas_kt) / turns.turn_radius_nm(tas_kt, 30.0), 1.10),
        (turns.radius_square_ninth_nm(tas_kt) / turns.turn_radius_nm(tas_kt, 25.0), 0.988),
    )

    for ratio, stated in ratios:
        assert ratio == pytest.approx(stated, abs=0.002)


@given(st.floats(80.0, 250.0), st.floats(0.0, 20000.0))
def test_two_percent_a_thousand_feet_is_never_low(ias_kt, altitude_ft) -> None:
    ratio = airspeed.tas_rule_kt(ias_kt, altitude_ft) / airspeed.tas_kt_from_ias(ias_kt, altitude_ft)

    assert -1e-6 <= ratio - 1.0 <= 0.045


def test_sixty_to_one_is_four_and_a_half_percent_short() -> None:
    """60 / 57.3 = 1.047; upward, 100 / 106 is 6 % short."""
    assert arcs.radial_spacing_rule_nm(12.0) / arcs.radial_spacing_nm(12.0) == pytest.approx(0.955, abs=0.001)
    assert closing.offset_rule_nm(60.0, 1.0) / arcs.radial_spacing_nm(60.0) == pytest.approx(0.955, abs=0.001)
    exact_ft = vertical.altitude_on_slope_ft(1.0, 0.0, 3.0)
    assert vertical.height_rule_ft(3.0, 1.0) / exact_ft == pytest.approx(0.94, abs=0.003)


def test_pressure_rules() -> None:
    """1,000 ft an inch is 8 % too much near sea level; 27 ft a hectopascal is 2 hPa wrong at 1,500 ft."""
    rule_ft = altimetry.pressure_altitude_rule_ft(0.0, 29.42)
    exact_ft = altimetry.pressure_altitude_ft(0.0, altimetry.hpa_from_inhg(29.42))

    assert rule_ft / exact_ft == pytest.approx(1.08, abs=0.01)
    wrong_hpa = altimetry.qfe_from_qnh_hpa(1013.25, 1500.0) - altimetry.qfe_rule_hpa(1013.25, 1500.0)
    assert wrong_hpa == pytest.approx(2.0, abs=0.3)


def test_visual_descent_point_rules() -> None:
    """The rule lies 0.2 NM further out; its seconds are right near 113 kt: 600 ft/min on 3 degrees."""
    further_nm = vertical.visual_descent_point_rule_nm(400.0) - vertical.visual_descent_point_nm(
        400.0, 0.0, 50.0, 3.0
    )

    assert further_nm == pytest.approx(0.2, abs=0.05)
    assert vertical.descent_fpm(113.0, 3.0) == pytest.approx(600.0, abs=1.0)


@given(st.floats(200.0, 5000.0), st.floats(-50.0, 10.0), st.floats(0.0, 6000.0))
def test_closed_cold_form_is_at_most_3_percent_short(height_ft, temperature_c, elevation_ft) -> None:
    correction_ft = cold.formula_correction_ft(height_ft, temperature_c, elevation_ft)

    needed_ft = cold.integral_correction_ft(height_ft + correction_ft, temperature_c, elevation_ft)

    assert correction_ft >= 0.97 * needed_ft - 1e-9
