"""Settings: what the needle shows under each, there and back, and never a constant 30 ft."""

import pytest
from ambiance import Atmosphere
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import altimetry
from assistant.nav.errors import OutsideValidity

SETTINGS = st.floats(940.0, 1050.0)
ELEVATIONS = st.floats(-500.0, 8000.0)


@given(SETTINGS, ELEVATIONS)
def test_qfe_and_qnh_are_inverse(qnh_hpa, elevation_ft) -> None:
    qfe_hpa = altimetry.qfe_from_qnh_hpa(qnh_hpa, elevation_ft)

    assert altimetry.qnh_from_qfe_hpa(qfe_hpa, elevation_ft) == pytest.approx(qnh_hpa, abs=1e-6)
    # On the ground QFE shows zero and QNH the elevation.
    assert altimetry.altitude_from_qfe_height_ft(0.0, qfe_hpa, qnh_hpa) == pytest.approx(
        elevation_ft, abs=0.01
    )


@given(SETTINGS, st.floats(0.0, 20000.0), ELEVATIONS)
def test_heights_convert_there_and_back(qnh_hpa, altitude_ft, elevation_ft) -> None:
    qfe_hpa = altimetry.qfe_from_qnh_hpa(qnh_hpa, elevation_ft)

    height_ft = altimetry.qfe_height_from_altitude_ft(altitude_ft, qnh_hpa, qfe_hpa)

    assert height_ft == pytest.approx(altitude_ft - elevation_ft, abs=0.01)
    assert altimetry.altitude_from_qfe_height_ft(height_ft, qfe_hpa, qnh_hpa) == pytest.approx(altitude_ft)


@given(SETTINGS, st.floats(10.0, 400.0))
def test_flight_levels_convert_there_and_back(qnh_hpa, flight_level) -> None:
    altitude_ft = altimetry.altitude_from_flight_level_ft(flight_level, qnh_hpa)

    assert altimetry.flight_level_from_altitude(altitude_ft, qnh_hpa) == pytest.approx(flight_level)


def test_low_pressure_puts_a_flight_level_lower() -> None:
    assert altimetry.altitude_from_flight_level_ft(60.0, 980.0) < 6000.0 - 27.0 * 33.0
    assert altimetry.altitude_from_flight_level_ft(60.0, 1013.25) == pytest.approx(6000.0)


@pytest.mark.parametrize("qnh_hpa", [960.0, 990.0, 1030.0])
def test_setting_shift_is_the_published_atmospheres(qnh_hpa) -> None:
    """Second method: the height of the setting's pressure in a published implementation."""
    geometric_m = Atmosphere.from_pressure(qnh_hpa * 100.0).h
    height_ft = float(Atmosphere.geom2geop_height(geometric_m)[0]) / 0.3048

    assert altimetry.pressure_altitude_ft(0.0, qnh_hpa) == pytest.approx(height_ft, abs=0.2)


def test_feet_for_a_hectopascal_near_a_setting() -> None:
    """The atmosphere's own step: 27.3 ft at 1013, more where the air is thinner (table: 28.1 at 977)."""
    assert altimetry.ft_per_hpa_at_setting(1013.25) == pytest.approx(27.31, abs=0.01)
    assert altimetry.ft_per_hpa_at_setting(977.17) == pytest.approx(28.12, abs=0.01)


def test_units_of_pressure() -> None:
    """760 mmHg and 29.92 inHg are the standard atmosphere."""
    assert altimetry.hpa_from_mmhg(760.0) == pytest.approx(1013.25, abs=0.01)
    assert altimetry.mmhg_from_hpa(1013.25) == pytest.approx(760.0, abs=0.01)
    assert altimetry.inhg_from_hpa(altimetry.hpa_from_inhg(30.05)) == pytest.approx(30.05)


@given(st.floats(3000.0, 18000.0), SETTINGS)
def test_transition_level_is_the_lowest_above_the_altitude(transition_ft, qnh_hpa) -> None:
    level = altimetry.transition_level(transition_ft, qnh_hpa)

    assert altimetry.altitude_from_flight_level_ft(level, qnh_hpa) >= transition_ft - 0.01
    assert altimetry.altitude_from_flight_level_ft(level - 5, qnh_hpa) < transition_ft
    assert altimetry.transition_level(transition_ft, qnh_hpa, 500.0) == level + 5


def test_a_setting_that_is_none_is_refused() -> None:
    with pytest.raises(OutsideValidity, match="altimeter setting"):
        altimetry.pressure_altitude_ft(0.0, 29.92)
