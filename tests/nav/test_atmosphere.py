"""The standard atmosphere against a published implementation, which knows nothing of ours."""

import pytest
from ambiance import Atmosphere
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import atmosphere
from assistant.nav.errors import OutsideValidity

ALTITUDES = st.floats(-2000.0, 65000.0)


@pytest.mark.parametrize("altitude_ft", [-1500, 0, 100, 5000, 12345, 30000, 36000, 36200, 45000, 64000])
def test_pressure_and_temperature_are_the_published_ones(altitude_ft) -> None:
    """That one takes geometric height, and its layers start from pressures rounded to 2e-6."""
    geometric_m = Atmosphere.geop2geom_height(altitude_ft * 0.3048)
    published = Atmosphere(geometric_m)

    assert atmosphere.pressure_at_altitude_hpa(altitude_ft) == pytest.approx(
        float(published.pressure[0]) / 100.0, rel=5e-6
    )
    assert atmosphere.isa_temperature_c(altitude_ft) == pytest.approx(
        float(published.temperature_in_celsius[0]), abs=1e-6
    )


@given(ALTITUDES)
def test_altitude_is_found_again_from_its_pressure(altitude_ft) -> None:
    pressure_hpa = atmosphere.pressure_at_altitude_hpa(altitude_ft)

    assert atmosphere.altitude_at_pressure_ft(pressure_hpa) == pytest.approx(altitude_ft, abs=0.01)


@given(st.floats(-1900.0, 64000.0))
def test_feet_for_a_hectopascal_is_the_slope_of_the_pressure(altitude_ft) -> None:
    """By the difference of two pressures 20 ft apart."""
    fall_hpa = atmosphere.pressure_at_altitude_hpa(altitude_ft - 10.0) - atmosphere.pressure_at_altitude_hpa(
        altitude_ft + 10.0
    )

    assert 20.0 / fall_hpa == pytest.approx(atmosphere.ft_per_hpa(altitude_ft), rel=1e-4)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: atmosphere.isa_temperature_c(-2001.0),
        lambda: atmosphere.pressure_at_altitude_hpa(65001.0),
        lambda: atmosphere.altitude_at_pressure_ft(54.0),
        lambda: atmosphere.altitude_at_pressure_ft(1091.0),
    ],
)
def test_beyond_its_layers_it_refuses(ask) -> None:
    with pytest.raises(OutsideValidity, match="outside"):
        ask()
