"""Arcs in wind, against an integrated flight round the station."""

from math import atan2, degrees, hypot

import flown
import pytest

from assistant.nav import arcs
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import plane_from_polar


def _around(direction: str, air: flown.Air, start_nm: float, seconds: float) -> flown.State:
    def heading_at(east_nm: float, north_nm: float) -> float:
        radial_deg = degrees(atan2(east_nm, north_nm))
        offset_nm = hypot(east_nm, north_nm) - 10.0
        return arcs.arc_heading(
            radial_deg, direction, air.tas_kt, air.wind_from_deg, air.wind_kt, offset_nm
        ).heading_deg

    return flown.steer(air, flown.start(*plane_from_polar(300.0, start_nm), 0.0), heading_at, seconds)


@pytest.mark.parametrize("direction", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("wind_from_deg", range(0, 360, 60))
def test_reference_heading_holds_the_range_all_the_way_round(direction, wind_from_deg) -> None:
    air = flown.Air(140.0, 20.0, wind_from_deg, 35.0)

    end = _around(direction, air, 10.0, 500.0)

    assert end.range_nm == pytest.approx(10.0, abs=1e-3)
    # And it went the way it should, a long way: about 19 NM of arc is over 100 degrees.
    turned_deg = (degrees(atan2(*end.place_nm)) - 300.0) % 360.0
    assert (turned_deg > 60.0) if direction == "clockwise" else (turned_deg < 300.0)


@pytest.mark.parametrize("direction", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("start_nm", [9.0, 11.0])
def test_corrections_lead_back_to_the_arc(direction, start_nm) -> None:
    air = flown.Air(140.0, 20.0, 250.0, 30.0)

    end = _around(direction, air, start_nm, 400.0)

    assert abs(end.range_nm - 10.0) < 0.25 * abs(start_nm - 10.0)


def test_correction_turns_toward_the_arc_by_the_rule() -> None:
    """Clockwise the station is right. P-871: 10 degrees toward it a half mile outside, 5 away inside."""
    on_deg = arcs.arc_heading(40.0, "clockwise", 120.0, 0.0, 0.0).heading_deg

    assert on_deg == pytest.approx(130.0)
    assert arcs.arc_heading(40.0, "clockwise", 120.0, 0.0, 0.0, 0.5).heading_deg == pytest.approx(140.0)
    assert arcs.arc_heading(40.0, "clockwise", 120.0, 0.0, 0.0, -0.5).heading_deg == pytest.approx(125.0)
    assert arcs.arc_heading(40.0, "anticlockwise", 120.0, 0.0, 0.0, 0.5).heading_deg == pytest.approx(300.0)
    assert arcs.arc_correction_deg(9.0) == 45.0
    assert arcs.arc_correction_deg(-9.0) == -45.0


def test_pointer_stands_ahead_of_the_wing_tip_to_close() -> None:
    """Clockwise, radial 040, station 220: on 130 at the tip, on 140 ten ahead, on 120 ten behind."""
    assert arcs.pointer_on_arc(40.0, "clockwise", 130.0) == pytest.approx((90.0, 0.0))
    assert arcs.pointer_on_arc(40.0, "clockwise", 140.0) == pytest.approx((80.0, 10.0))
    assert arcs.pointer_on_arc(40.0, "anticlockwise", 310.0) == pytest.approx((-90.0, 0.0))
    assert arcs.pointer_on_arc(40.0, "anticlockwise", 300.0) == pytest.approx((-80.0, 10.0))


def test_wind_from_the_station_puts_the_reference_ahead_of_the_tip() -> None:
    """40 kt from the station at 120 kt is asin(1/3) = 19.5 degrees of crab toward it."""
    flown_with = arcs.arc_heading(40.0, "clockwise", 120.0, 220.0, 40.0)

    pointer = arcs.pointer_on_arc(40.0, "clockwise", flown_with.heading_deg)

    assert pointer.ahead_deg == pytest.approx(19.47, abs=0.01)


def test_straight_legs_leave_the_arc_by_the_versed_sine() -> None:
    """By hand at 10 NM: tangent 10 (1/cos 10 - 1) = 0.154; chord over 20, 10 (1 - cos 10) = 0.152."""
    assert arcs.tangent_gain_nm(10.0, 10.0) == pytest.approx(0.1543, abs=1e-4)
    assert arcs.chord_depth_nm(10.0, 20.0) == pytest.approx(0.1519, abs=1e-4)
    assert arcs.chord_radials_deg(10.0, 0.1519) == pytest.approx(20.0, abs=0.01)


def test_what_cannot_be_flown_is_refused() -> None:
    with pytest.raises(NoSolution):
        arcs.arc_heading(0.0, "clockwise", 60.0, 0.0, 70.0)
    with pytest.raises(OutsideValidity):
        arcs.tangent_gain_nm(10.0, 90.0)
    with pytest.raises(OutsideValidity):
        arcs.chord_radials_deg(10.0, 0.0)


def test_an_arc_may_be_as_near_as_it_likes_but_not_at_the_station() -> None:
    """Half a mile out: 0.5 (1/cos 10 - 1) = 0.0077."""
    assert arcs.tangent_gain_nm(0.5, 10.0) == pytest.approx(0.00771, abs=1e-5)
    with pytest.raises(OutsideValidity):
        arcs.tangent_gain_nm(0.0, 10.0)
