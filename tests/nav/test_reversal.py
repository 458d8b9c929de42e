"""Base turns and procedure turns, flown on an integrated trajectory in wind."""

import flown
import pytest

from assistant.nav import reversal, turns, wind
from assistant.nav.errors import NoSolution, OutsideValidity

WINDS = [(from_deg, wind_kt) for from_deg in range(0, 360, 60) for wind_kt in (10.0, 30.0)]


@pytest.mark.parametrize(("wind_from_deg", "wind_kt"), WINDS)
def test_solved_base_turn_rolls_out_on_the_inbound_course(wind_from_deg, wind_kt) -> None:
    """Outbound 090, a right turn back on 288: 18 degrees of divergence, about two minutes in still air."""
    air = flown.Air(150.0, 22.4, wind_from_deg, wind_kt)

    turn = reversal.base_turn(90.0, 288.0, "right", *air)

    out_deg, back_deg = turn.headings_deg
    end = flown.straight(air, flown.start(0.0, 0.0, out_deg), turn.time_s)
    assert flown.across_nm(end, 90.0) == pytest.approx(0.0, abs=1e-6)
    assert end.place_nm == pytest.approx(tuple(turn.end), abs=1e-6)
    back = flown.turn(air, end, back_deg, "right")
    assert flown.across_nm(back, 288.0) == pytest.approx(0.0, abs=1e-4)
    assert -flown.along_nm(back, 288.0) == pytest.approx(turn.roll_out_nm, abs=1e-4)
    assert back.t_s == pytest.approx(turn.total_time_s, abs=0.01)


def test_a_timed_base_turn_states_its_error() -> None:
    """Two minutes with 25 kt behind run on too long: the courses have diverged by more than the turn."""
    air = flown.Air(150.0, 22.4, 270.0, 25.0)

    turn = reversal.base_turn(90.0, 288.0, "right", *air, outbound_time_s=120.0)

    end = flown.straight(air, flown.start(0.0, 0.0, turn.headings_deg[0]), 120.0)
    back = flown.turn(air, end, turn.headings_deg[1], "right")
    assert flown.across_nm(back, 288.0) == pytest.approx(turn.across_error_nm, abs=1e-4)
    assert abs(turn.across_error_nm) > 0.1


def test_still_air_time_and_angle_agree() -> None:
    """The divergence for two minutes, flown for two minutes, closes: both by 2 atan(r / L)."""
    bank_deg = turns.bank_in_use_deg(150.0)
    angle_deg = reversal.base_turn_angle_deg(150.0, 120.0, bank_deg)

    turn = reversal.base_turn(90.0, 270.0 + angle_deg, "right", 150.0, bank_deg, 0.0, 0.0)

    assert turn.time_s == pytest.approx(120.0, abs=0.01)
    assert reversal.teardrop_length_nm(150.0, bank_deg, angle_deg) == pytest.approx(5.0, abs=1e-6)


@pytest.mark.parametrize(("wind_from_deg", "wind_kt"), WINDS)
@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("leg_time_s", [60.0, None])
def test_procedure_turn_ends_where_it_says(leg_time_s, side, wind_from_deg, wind_kt) -> None:
    air = flown.Air(120.0, 18.24, wind_from_deg, wind_kt)

    turn = reversal.procedure_turn(40.0, side, *air, outbound_time_s=90.0, leg_time_s=leg_time_s)

    out_deg, away_deg, back_deg = turn.headings_deg
    other = "left" if side == "right" else "right"
    begin = flown.straight(air, flown.start(0.0, 0.0, out_deg), 90.0)
    first = flown.turn(air, begin, away_deg, side)
    leg = flown.straight(air, first, turn.time_s - (first.t_s - begin.t_s))
    back = flown.turn(air, leg, back_deg, other)
    assert flown.across_nm(back, 220.0) == pytest.approx(turn.across_error_nm, abs=1e-4)
    assert -flown.along_nm(back, 220.0) == pytest.approx(turn.roll_out_nm, abs=1e-4)
    assert leg.place_nm == pytest.approx(tuple(turn.end), abs=1e-4)
    if leg_time_s is None:
        assert turn.across_error_nm == pytest.approx(0.0, abs=1e-6)


def test_80_260_turn_comes_back_near_the_course_without_a_leg() -> None:
    """In still air it ends a third of a radius off the course: two arcs, by hand below."""
    radius_nm = turns.turn_radius_nm(120.0, 18.24)

    turn = reversal.procedure_turn(
        0.0, "right", 120.0, 18.24, 0.0, 0.0, outbound_time_s=60.0, leg_time_s=0.0, away_deg=80.0
    )

    # Right 80: x = r (1 - cos 80). The second turn's centre lies left of heading 080, at x - r cos 80; at its
    # end, heading 180 with the centre on the left (east), the aircraft is r west of that.
    x_nm = radius_nm * (1.0 - 0.173648) - radius_nm * 0.173648 - radius_nm
    assert -turn.across_error_nm == pytest.approx(x_nm, abs=1e-4)


def test_where_no_time_serves_it_is_refused() -> None:
    with pytest.raises(NoSolution, match="No outbound time"):
        reversal.base_turn(90.0, 270.0, "right", 120.0, 18.0, 0.0, 0.0)
    with pytest.raises(NoSolution, match="takes longer"):
        reversal.procedure_turn_offset_nm(120.0, 18.24, 10.0)
    with pytest.raises(OutsideValidity):
        reversal.base_turn_angle_deg(120.0, 0.0, 18.0)
    with pytest.raises(OutsideValidity):
        reversal.teardrop_length_nm(120.0, 18.0, 0.0)
    with pytest.raises(wind.NoSolution):
        reversal.base_turn(90.0, 288.0, "right", 60.0, 20.0, 90.0, 60.0)
