"""Speed limits by level and category: what the published tables do not already show."""

from math import radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import speed_limits
from assistant.nav.airspeed import tas_kt_from_ias
from assistant.nav.errors import OutsideValidity


@given(st.floats(0.0, 45000.0), st.sampled_from("ABCDE"))
def test_turbulence_never_slows_the_icao_hold(altitude_ft, category) -> None:
    calm_kt = speed_limits.maximum_holding_speed_kt("icao", altitude_ft, category)

    assert speed_limits.maximum_holding_speed_kt("icao", altitude_ft, category, turbulence=True) >= calm_kt


def test_circling_slower_keeps_ones_own_minima() -> None:
    assert speed_limits.circling_category("C", 100.0) == "C"
    assert speed_limits.circling_category("B", 150.0) == "D"
    assert speed_limits.circling_category("A", 200.0) == "E"


def test_a_hold_above_the_tables_is_refused() -> None:
    with pytest.raises(OutsideValidity):
        speed_limits.maximum_holding_speed_kt("faa", 61000.0)


def test_the_circling_area_of_the_fastest_has_the_longest_straight() -> None:
    """
    Category E circles at 240 kt where D does at 205, with 0.7 NM of straight where D has 0.6.

    By two turn radii and the straight: V^2 / (g tan b) at 20 degrees, V true at ISA + 15 and 25 kt more.
    """
    for category, ias_kt, straight_nm in (("D", 205.0, 0.6), ("E", 240.0, 0.7)):
        v_m_s = (tas_kt_from_ias(ias_kt, 1000.0, isa_deviation_c=15.0) + 25.0) * 1852.0 / 3600.0
        radius_nm = v_m_s**2 / (9.80665 * tan(radians(20.0))) / 1852.0
        assert speed_limits.circling_radius_nm(category, 1000.0) == pytest.approx(
            2.0 * radius_nm + straight_nm, abs=1e-3
        )
