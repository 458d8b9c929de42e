"""Turns against an integrated trajectory, and where their formulas end."""

import flown
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import turns
from assistant.nav.errors import OutsideValidity

DEGREES = st.floats(0.0, 359.9)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("wind_from_deg", range(0, 360, 45))
@pytest.mark.parametrize("to_deg", [10.0, 135.0, 300.0])
def test_displacement_is_the_integrated_one(side, wind_from_deg, to_deg) -> None:
    air = flown.Air(180.0, 25.0, wind_from_deg, 35.0)

    ours = turns.turn_displacement(70.0, to_deg, side, 180.0, 25.0, wind_from_deg, 35.0)

    end = flown.turn(air, flown.start(0.0, 0.0, 70.0), to_deg, side)
    assert (ours.east_nm, ours.north_nm) == pytest.approx(end.place_nm, abs=1e-5)
    assert ours.time_s == pytest.approx(end.t_s, abs=1e-3)


@given(DEGREES, DEGREES, DEGREES, st.floats(60.0, 400.0), st.floats(5.0, 45.0))
def test_a_turn_there_and_a_turn_back_close_the_circle(
    one_deg, other_deg, from_deg, tas_kt, bank_deg
) -> None:
    """In still air the turn there and the turn back close the circle; together they take a full turn."""
    flown_with = (tas_kt, bank_deg, from_deg, 0.0)

    there = turns.turn_displacement(one_deg, other_deg, "right", *flown_with)
    back = turns.turn_displacement(other_deg, one_deg, "right", *flown_with)

    assert there.east_nm + back.east_nm == pytest.approx(0.0, abs=1e-9)
    assert there.north_nm + back.north_nm == pytest.approx(0.0, abs=1e-9)
    whole_s = turns.turn_time_s(360.0, tas_kt, bank_deg)
    assert there.time_s + back.time_s == pytest.approx(whole_s) or one_deg == pytest.approx(other_deg)


def test_a_full_minute_of_rate_one_is_180_degrees() -> None:
    bank_deg = turns.bank_for_rate_deg(140.0, 3.0)

    assert turns.turn_time_s(180.0, 140.0, bank_deg) == pytest.approx(60.0)


@given(st.floats(60.0, 500.0))
def test_bank_in_use_breaks_neither_limit(tas_kt) -> None:
    bank_deg = turns.bank_in_use_deg(tas_kt)

    assert bank_deg <= 25.0
    assert turns.turn_rate_deg_s(tas_kt, bank_deg) <= 3.0 + 1e-9
    assert bank_deg == 25.0 or turns.turn_rate_deg_s(tas_kt, bank_deg) == pytest.approx(3.0)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: turns.turn_radius_nm(120.0, 0.0),
        lambda: turns.turn_radius_nm(120.0, 61.0),
        lambda: turns.turn_rate_deg_s(0.0, 20.0),
        lambda: turns.radius_from_rate_nm(120.0, 0.0),
        lambda: turns.bank_for_rate_deg(-1.0, 3.0),
        lambda: turns.load_factor_g(90.0),
        lambda: turns.speed_at_bank_and_rate_kt(25.0, 0.0),
    ],
)
def test_outside_its_range_a_formula_refuses(ask) -> None:
    with pytest.raises(OutsideValidity, match=r"\.$"):
        ask()
