"""Cold-temperature corrections: three forms against each other and against the layer integrated by SciPy."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from assistant.nav import cold
from assistant.nav.errors import OutsideValidity


@pytest.mark.parametrize("temperature_c", [-45.0, -20.0, 0.0])
@pytest.mark.parametrize("elevation_ft", [0.0, 3200.0])
@pytest.mark.parametrize("height_ft", [500.0, 2000.0, 5000.0])
def test_integral_is_the_layer_integrated(height_ft, elevation_ft, temperature_c) -> None:
    """Each foot of indicated height is T actual / T standard of a foot: summed by SciPy."""
    deviation_c = temperature_c - (15.0 - 0.00198 * elevation_ft)

    def true_share(height: float) -> float:
        standard_k = 288.15 - 0.00198 * (elevation_ft + height)
        return (standard_k + deviation_c) / standard_k

    true_ft, _ = quad(true_share, 0.0, height_ft)

    ours_ft = cold.integral_correction_ft(height_ft, temperature_c, elevation_ft)
    assert ours_ft == pytest.approx(height_ft - true_ft, abs=1e-6)


@given(st.floats(200.0, 5000.0), st.floats(-50.0, 15.0), st.floats(0.0, 6000.0))
def test_closed_form_asks_for_the_height_that_the_integral_gives(
    height_ft, temperature_c, elevation_ft
) -> None:
    """Fly the wanted height and the closed form's correction: within 1 % of the wanted height."""
    correction_ft = cold.formula_correction_ft(height_ft, temperature_c, elevation_ft)

    below_ft = cold.integral_correction_ft(height_ft + correction_ft, temperature_c, elevation_ft)

    assert below_ft == pytest.approx(correction_ft, abs=0.01 * height_ft)


@given(st.floats(200.0, 5000.0), st.floats(-50.0, 10.0))
def test_interpolated_table_is_never_below_the_closed_form_by_more_than_its_rounding(
    height_ft, temperature_c
) -> None:
    table_ft = cold.table_correction_ft(height_ft, temperature_c)

    formula_ft = cold.formula_correction_ft(height_ft, temperature_c, 0.0)

    assert -3.0 <= table_ft - formula_ft <= 15.0


@given(st.floats(0.0, 12000.0), st.floats(-50.0, 40.0), st.floats(0.0, 6000.0))
def test_a_corrected_altitude_is_never_lower(height_ft, temperature_c, elevation_ft) -> None:
    altitude_ft = elevation_ft + height_ft

    corrected_ft = cold.corrected_altitude_ft(altitude_ft, elevation_ft, temperature_c)

    assert corrected_ft - altitude_ft >= cold.table_correction_ft(height_ft, temperature_c) - 1e-3


def test_beyond_the_last_column_the_last_column_serves() -> None:
    assert cold.table_correction_ft(9000.0, -20.0) == cold.table_correction_ft(5000.0, -20.0) == 710.0
    assert cold.table_correction_ft(50.0, -20.0) == cold.table_correction_ft(200.0, -20.0) == 30.0


def test_interpolation_goes_both_ways() -> None:
    """Half way between 0 and -10 C (90, 150) and between 1,500 and 2,000 ft (120, 200): their mean, 140."""
    assert cold.table_correction_ft(1750.0, -5.0) == pytest.approx(140.0)


def test_warm_air_takes_nothing_off() -> None:
    assert cold.table_correction_ft(2000.0, 15.0) == 0.0
    assert cold.integral_correction_ft(2000.0, 35.0, 0.0) == 0.0
    assert cold.rule_correction_ft(2000.0, 10.0) == 0.0


def test_outside_the_table_it_refuses() -> None:
    with pytest.raises(OutsideValidity, match="below the table"):
        cold.table_correction_ft(1000.0, -51.0)
    with pytest.raises(OutsideValidity, match="below the airport"):
        cold.corrected_altitude_ft(400.0, 500.0, -10.0)


@pytest.mark.parametrize(
    ("height_ft", "at_ten_ft"),
    # FAA AIM table 7-3-1, row 10 C.
    [
        (200.0, 10.0),
        (300.0, 10.0),
        (400.0, 10.0),
        (500.0, 10.0),
        (600.0, 20.0),
        (700.0, 20.0),
        (800.0, 20.0),
        (900.0, 20.0),
        (1000.0, 20.0),
        (1500.0, 30.0),
        (2000.0, 40.0),
        (3000.0, 60.0),
        (4000.0, 80.0),
        (5000.0, 90.0),
    ],
)
def test_half_way_to_the_standard_temperature_it_is_half_of_the_last_row(
    height_ft: float, at_ten_ft: float
) -> None:
    assert cold.table_correction_ft(height_ft, 12.5) == pytest.approx(at_ten_ft / 2.0)
