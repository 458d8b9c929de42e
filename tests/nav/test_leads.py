"""Lead points, flown on an integrated trajectory in wind, and against the tangent circles of still air."""

from math import asin, atan2, degrees, hypot, radians, sqrt, tan

import flown
import pytest

from assistant.nav import arcs, leads, turns, wind
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import move, plane_from_polar

TAS_KT, BANK_DEG = 150.0, 22.0
WINDS = [(from_deg, wind_kt) for from_deg in range(0, 360, 45) for wind_kt in (15.0, 40.0)]


def _side(*, right: bool) -> str:
    return "right" if right else "left"


@pytest.mark.parametrize(("wind_from_deg", "wind_kt"), WINDS)
@pytest.mark.parametrize("direction", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("sense", ["inbound", "outbound"])
def test_turn_at_the_lead_radial_rolls_out_on_the_course(direction, sense, wind_from_deg, wind_kt) -> None:
    air = flown.Air(TAS_KT, BANK_DEG, wind_from_deg, wind_kt)
    course_deg = 215.0

    lead = leads.lead_radial_from_arc(12.0, direction, course_deg, *air, sense)

    begin = plane_from_polar(lead.radial_deg, 12.0)
    on_arc = arcs.arc_heading(lead.radial_deg, direction, TAS_KT, wind_from_deg, wind_kt)
    right = (direction == "clockwise") == (sense == "inbound")
    end = flown.turn(air, flown.start(*begin, on_arc.heading_deg), lead.heading_deg, _side(right=right))
    assert flown.across_nm(end, course_deg) == pytest.approx(0.0, abs=1e-4)
    assert end.range_nm == pytest.approx(lead.roll_out_ground_nm, abs=1e-4)
    # And on the right side of the station: before it inbound, beyond it outbound.
    assert (flown.along_nm(end, course_deg) < 0.0) == (sense == "inbound")
    # It then stays on the course.
    later = flown.straight(air, end, 60.0)
    assert flown.across_nm(later, course_deg) == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize(("wind_from_deg", "wind_kt"), WINDS[::3])
@pytest.mark.parametrize("station_across_nm", [-1.5, 2.0])
def test_lead_on_to_a_course_beside_the_station(station_across_nm, wind_from_deg, wind_kt) -> None:
    """An offset final: the course passes the station by some miles."""
    air = flown.Air(TAS_KT, BANK_DEG, wind_from_deg, wind_kt)

    lead = leads.lead_radial_from_arc(
        12.0, "clockwise", 90.0, *air, "inbound", station_across_nm=station_across_nm
    )

    begin = plane_from_polar(lead.radial_deg, 12.0)
    heading_deg = arcs.arc_heading(lead.radial_deg, "clockwise", TAS_KT, wind_from_deg, wind_kt).heading_deg
    end = flown.turn(air, flown.start(*begin, heading_deg), lead.heading_deg, "right")
    # The station lies right of the course by that much, so the aircraft is left of the station by it.
    assert flown.across_nm(end, 90.0) == pytest.approx(-station_across_nm, abs=1e-4)


@pytest.mark.parametrize(("wind_from_deg", "wind_kt"), WINDS)
@pytest.mark.parametrize("direction", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("sense", ["inbound", "outbound"])
def test_turn_at_the_lead_range_rolls_out_on_the_arc(direction, sense, wind_from_deg, wind_kt) -> None:
    air = flown.Air(TAS_KT, BANK_DEG, wind_from_deg, wind_kt)

    lead = leads.lead_range_to_arc(14.0, 40.0, sense, direction, *air)

    track_deg = 40.0 if sense == "outbound" else 220.0
    heading_deg = wind.heading_for_track(track_deg, TAS_KT, wind_from_deg, wind_kt).heading_deg
    begin = flown.start(*plane_from_polar(40.0, lead.start_ground_nm), heading_deg)
    right = (direction == "clockwise") == (sense == "outbound")
    end = flown.turn(air, begin, lead.heading_deg, _side(right=right))
    assert end.range_nm == pytest.approx(14.0, abs=1e-4)
    # Tangent: a second later the range has not changed.
    assert flown.straight(air, end, 1.0).range_nm == pytest.approx(14.0, abs=2e-4)


@pytest.mark.parametrize(("wind_from_deg", "wind_kt"), WINDS)
@pytest.mark.parametrize("direction", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("track_deg", [180.0, 165.0, 230.0])
def test_turn_from_any_track_rolls_out_on_the_arc(track_deg, direction, wind_from_deg, wind_kt) -> None:
    """From 20 NM out on radial 020, on tracks that pass the station by up to 11 NM."""
    air = flown.Air(TAS_KT, BANK_DEG, wind_from_deg, wind_kt)
    point = plane_from_polar(20.0, 20.0)

    lead = leads.lead_to_arc(point, track_deg, 14.0, direction, *air)

    heading_deg = wind.heading_for_track(track_deg, TAS_KT, wind_from_deg, wind_kt).heading_deg
    begin = flown.start(*move(point, track_deg, lead.along_nm), heading_deg)
    crossing = move(point, track_deg, lead.along_nm + lead.lead_nm)
    assert hypot(*crossing) == pytest.approx(14.0, abs=1e-6)
    arc_track_deg = arcs.arc_track_deg(degrees(atan2(*crossing)), direction)
    right = (arc_track_deg - track_deg) % 360.0 <= 180.0
    end = flown.turn(air, begin, lead.heading_deg, _side(right=right))
    assert end.range_nm == pytest.approx(14.0, abs=1e-4)
    # Tangent: a second later the range has not changed.
    assert flown.straight(air, end, 1.0).range_nm == pytest.approx(14.0, abs=2e-4)


def test_a_track_that_passes_outside_never_joins_the_arc() -> None:
    with pytest.raises(NoSolution, match="does not meet"):
        leads.lead_to_arc(plane_from_polar(90.0, 20.0), 0.0, 14.0, "clockwise", 120.0, 20.0, 0.0, 0.0)


@pytest.mark.parametrize(("wind_from_deg", "wind_kt"), WINDS)
@pytest.mark.parametrize("track_deg", [10.0, 45.0, 300.0, 200.0])
def test_turn_at_the_lead_distance_rolls_out_on_the_course(track_deg, wind_from_deg, wind_kt) -> None:
    air = flown.Air(TAS_KT, BANK_DEG, wind_from_deg, wind_kt)
    course_deg = 90.0

    lead = leads.lead_to_course(track_deg, course_deg, *air)

    heading_deg = wind.heading_for_track(track_deg, TAS_KT, wind_from_deg, wind_kt).heading_deg
    begin = flown.start(*plane_from_polar(track_deg + 180.0, lead.lead_nm), heading_deg)
    right = (course_deg - track_deg) % 360.0 <= 180.0
    end = flown.turn(air, begin, lead.heading_deg, _side(right=right))
    assert flown.across_nm(end, course_deg) == pytest.approx(0.0, abs=1e-4)
    assert flown.along_nm(end, course_deg) == pytest.approx(lead.roll_out_along_nm, abs=1e-4)
    assert abs(flown.across_nm(begin, course_deg)) == pytest.approx(abs(lead.across_nm), abs=1e-6)


@pytest.mark.parametrize("arc_nm", [7.0, 10.0, 15.0, 25.0])
def test_still_air_leads_are_the_tangent_circles(arc_nm) -> None:
    radius_nm = turns.turn_radius_nm(TAS_KT, BANK_DEG)
    still = (TAS_KT, BANK_DEG, 0.0, 0.0)

    inbound = leads.lead_radial_from_arc(arc_nm, "clockwise", 90.0, *still)
    outbound = leads.lead_radial_from_arc(arc_nm, "clockwise", 90.0, *still, "outbound")
    onto = leads.lead_range_to_arc(arc_nm, 90.0, "inbound", "clockwise", *still)
    cut = leads.lead_to_course(0.0, 60.0, *still)

    assert inbound.lead_deg == pytest.approx(degrees(asin(radius_nm / (arc_nm - radius_nm))), abs=1e-5)
    assert outbound.lead_deg == pytest.approx(degrees(asin(radius_nm / (arc_nm + radius_nm))), abs=1e-5)
    assert onto.start_ground_nm == pytest.approx(sqrt((arc_nm + radius_nm) ** 2 - radius_nm**2), abs=1e-6)
    assert cut.lead_nm == pytest.approx(radius_nm * tan(radians(30.0)), abs=1e-9)
    assert inbound.radial_deg == pytest.approx(270.0 - inbound.lead_deg)


def test_wind_moves_the_lead_radial_by_what_it_blows_in_the_turn() -> None:
    """Tail wind along the arc: 20 kt for the 30 s of the turn is 0.17 NM more, 0.8 degrees at 12 NM."""
    still = leads.lead_radial_from_arc(12.0, "clockwise", 180.0, 150.0, 22.39, 0.0, 0.0)
    pushed = leads.lead_radial_from_arc(12.0, "clockwise", 180.0, 150.0, 22.39, 270.0, 20.0)

    assert pushed.lead_deg - still.lead_deg == pytest.approx(0.8, abs=0.35)


def test_a_turn_wider_than_half_the_arc_has_no_lead_radial() -> None:
    with pytest.raises(NoSolution, match="rolls out on the course"):
        leads.lead_radial_from_arc(2.0, "clockwise", 90.0, 250.0, 25.0, 0.0, 0.0)
    with pytest.raises(NoSolution, match="rolls out on the 2"):
        leads.lead_range_to_arc(2.0, 90.0, "outbound", "clockwise", 250.0, 25.0, 0.0, 0.0)


def test_a_parallel_track_never_crosses_the_course() -> None:
    with pytest.raises(NoSolution, match="parallel"):
        leads.lead_to_course(90.0, 270.0, 120.0, 20.0, 0.0, 0.0)


def test_an_arc_must_have_a_size_and_the_course_cross_it() -> None:
    with pytest.raises(OutsideValidity, match="no size"):
        leads.lead_deg_60_to_1(1.0, 0.0)
    with pytest.raises(OutsideValidity, match="outside the arc"):
        leads.lead_radial_from_arc(10.0, "clockwise", 90.0, 120.0, 20.0, 0.0, 0.0, station_across_nm=11.0)


@pytest.mark.parametrize(("direction", "sign"), [("clockwise", 1.0), ("anticlockwise", -1.0)])
def test_the_lead_is_counted_from_where_a_course_beside_the_station_meets_the_arc(direction, sign) -> None:
    """Northward 3 NM west of the station a 12 mile arc is met at (-3, -sqrt(144 - 9)): radial 194.48."""
    found = leads.lead_radial_from_arc(12.0, direction, 360.0, 150.0, 25.0, 0.0, 0.0, "inbound", 3.0)

    assert found.radial_deg + sign * found.lead_deg == pytest.approx(
        180.0 + degrees(asin(3.0 / 12.0)), abs=1e-6
    )
