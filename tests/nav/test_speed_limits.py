"""Speed limits by level and category: what the published tables do not already show."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import speed_limits
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
