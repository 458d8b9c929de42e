"""Airspeeds: a second derivation of the pitot relation, inverse pairs, and the designers' form beside it."""

import pytest
from ambiance import Atmosphere
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import airspeed
from assistant.nav.errors import OutsideValidity


@pytest.mark.parametrize(
    ("ias_kt", "altitude_ft"), [(100, 0), (150, 5000), (210, 12000), (250, 10000), (280, 30000)]
)
def test_true_airspeed_by_bernoullis_compressible_equation(ias_kt, altitude_ft) -> None:
    """Second method in SI: V^2 = 7 p/rho ((qc/p + 1)^(2/7) - 1), air from a published atmosphere."""
    air = Atmosphere(Atmosphere.geop2geom_height(altitude_ft * 0.3048))
    sea = Atmosphere(0.0)
    p, rho, p0, rho0 = (float(x[0]) for x in (air.pressure, air.density, sea.pressure, sea.density))
    calibrated_m_s = ias_kt * 1852.0 / 3600.0
    impact_pa = p0 * ((calibrated_m_s**2 * rho0 / (7.0 * p0) + 1.0) ** 3.5 - 1.0)
    true_m_s = (7.0 * p / rho * ((impact_pa / p + 1.0) ** (2.0 / 7.0) - 1.0)) ** 0.5

    assert airspeed.tas_kt_from_ias(ias_kt, altitude_ft) == pytest.approx(
        true_m_s * 3600.0 / 1852.0, rel=1e-5
    )


@given(st.floats(60.0, 350.0), st.floats(0.0, 40000.0), st.floats(-30.0, 30.0))
def test_indicated_and_true_are_inverse(ias_kt, altitude_ft, deviation_c) -> None:
    try:
        tas_kt = airspeed.tas_kt_from_ias(ias_kt, altitude_ft, isa_deviation_c=deviation_c)
    except OutsideValidity:
        assert airspeed.ias_kt_from_mach(0.999, altitude_ft) < ias_kt + 1.0
        return

    assert airspeed.ias_kt_from_tas(tas_kt, altitude_ft, isa_deviation_c=deviation_c) == pytest.approx(ias_kt)


@given(st.floats(60.0, 250.0), st.floats(0.0, 30000.0))
def test_designers_form_is_never_below_ours_by_more_than_rounding(ias_kt, altitude_ft) -> None:
    """Incompressible, so higher; its constants (288 K, 0.00198) are rounded to 0.1 %."""
    ours_kt = airspeed.tas_kt_from_ias(ias_kt, altitude_ft, isa_deviation_c=15.0)

    designers_kt = airspeed.tas_kt_pansops(ias_kt, altitude_ft)

    assert -0.001 < designers_kt / ours_kt - 1.0 < 0.045


@given(st.floats(80.0, 250.0), st.floats(0.0, 20000.0))
def test_two_percent_rule_is_near(ias_kt, altitude_ft) -> None:
    ours_kt = airspeed.tas_kt_from_ias(ias_kt, altitude_ft)

    assert airspeed.tas_rule_kt(ias_kt, altitude_ft) == pytest.approx(ours_kt, rel=0.05)


def test_measured_temperature_replaces_the_standard_one() -> None:
    """ISA at 10,000 ft is -4.8 C: measured 10.2 C is ISA + 15."""
    by_deviation_kt = airspeed.tas_kt_from_ias(150.0, 10000.0, isa_deviation_c=15.0)

    assert airspeed.tas_kt_from_ias(150.0, 10000.0, 10.188) == pytest.approx(by_deviation_kt, abs=0.01)


def test_at_sea_level_standard_indicated_is_true() -> None:
    assert airspeed.tas_kt_from_ias(120.0, 0.0) == pytest.approx(120.0, abs=1e-3)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: airspeed.tas_kt_from_ias(0.0, 0.0),
        lambda: airspeed.tas_kt_from_ias(400.0, 45000.0),
        lambda: airspeed.ias_kt_from_mach(1.0, 0.0),
        lambda: airspeed.tas_kt_pansops(200.0, 40000.0),
        lambda: airspeed.category_for_speed(0.0),
        lambda: airspeed.tas_kt_from_ias(120.0, 0.0, -100.0),
    ],
)
def test_outside_its_range_it_refuses(ask) -> None:
    with pytest.raises(OutsideValidity, match=r"\.$"):
        ask()
