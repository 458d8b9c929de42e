"""Holds flown on an integrated trajectory, the drift rule beside the solved heading; entries all round."""

import flown
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.nav import holding, turns
from assistant.nav.errors import NoSolution
from assistant.nav.geometry import PlanePoint, reciprocal_deg

COURSE_DEG = 130.0


def fly(air: flown.Air, side: str, outbound: holding.Outbound) -> flown.State:
    """Once round from the fix as advised, by the integrated trajectory, to the end of the inbound turn."""
    over = flown.start(0.0, 0.0, outbound.inbound_heading_deg)
    out = flown.turn(air, over, outbound.heading_deg, side)
    end = flown.straight(air, out, outbound.straight_s)
    return flown.turn(air, end, outbound.inbound_heading_deg, side)


@pytest.mark.parametrize("wind_kt", [5.0, 20.0, 40.0])
@pytest.mark.parametrize("tas_kt", [100.0, 150.0, 230.0])
@pytest.mark.parametrize("side", ["left", "right"])
def test_solved_hold_rolls_out_on_course_from_36_wind_directions(side, tas_kt, wind_kt) -> None:
    """Within 0.1 NM wherever there is a solution, else a sentence. All winds: benchmarks/holds.py."""
    bank_deg = turns.bank_in_use_deg(tas_kt)
    unsolved, rule_errors_nm = [], []
    for wind_from_deg in range(0, 360, 10):
        air = flown.Air(tas_kt, bank_deg, wind_from_deg, wind_kt)
        by_rule = holding.outbound_by_rule(COURSE_DEG, side, *air)
        flown_by_rule = fly(air, side, by_rule)
        rule_errors_nm.append(abs(flown.across_nm(flown_by_rule, COURSE_DEG)))
        # The rule's own error is stated truly.
        assert flown.across_nm(flown_by_rule, COURSE_DEG) == pytest.approx(by_rule.across_error_nm, abs=1e-3)
        try:
            solved = holding.outbound_solved(COURSE_DEG, side, *air)
        except NoSolution as refused:
            unsolved.append((wind_from_deg, str(refused)))
            continue
        end = fly(air, side, solved)
        assert abs(flown.across_nm(end, COURSE_DEG)) < 0.1
        assert abs(flown.across_nm(end, COURSE_DEG)) < 0.002
        # And the inbound leg takes the minute that was asked for.
        over = flown.straight(air, end, 60.0)
        assert flown.along_nm(over, COURSE_DEG) == pytest.approx(0.0, abs=0.01)
    assert all("No outbound heading" in sentence for _, sentence in unsolved)
    # At 100 kt, 40 kt from ahead leave no room for two turns inside a minute inbound; else there is a
    # solution.
    assert len(unsolved) < 36
    assert not unsolved or wind_kt / tas_kt > 0.25
    assert max(rule_errors_nm) > 0.0


def test_where_none_is_found_none_exists() -> None:
    """Every outbound heading and length on a grid: nothing comes within 0.1 NM and 5 s of what was asked."""
    air = flown.Air(90.0, turns.bank_in_use_deg(90.0), COURSE_DEG, 40.0)
    with pytest.raises(NoSolution):
        holding.outbound_solved(COURSE_DEG, "right", *air)
    # Wind straight down the inbound course: no drift, so the inbound heading is the course itself, at 50 kt.
    over = flown.start(0.0, 0.0, COURSE_DEG)

    for heading_deg in range(int(COURSE_DEG) + 90, int(COURSE_DEG) + 271, 2):
        out = flown.turn(air, over, heading_deg, "right")
        for seconds in range(0, 120, 2):
            end = flown.turn(air, flown.straight(air, out, seconds), COURSE_DEG, "right")
            inbound_s = -flown.along_nm(end, COURSE_DEG) * 3600.0 / 50.0
            assert abs(flown.across_nm(end, COURSE_DEG)) > 0.1 or abs(inbound_s - 60.0) > 5.0


@pytest.mark.parametrize("wind_from_deg", range(0, 360, 30))
def test_timed_outbound_leg_is_solved_as_it_is_timed(wind_from_deg) -> None:
    air = flown.Air(140.0, 21.0, wind_from_deg, 25.0)

    solved = holding.outbound_solved(COURSE_DEG, "right", *air, outbound_time_s=60.0)

    assert solved.time_s == pytest.approx(60.0)
    assert abs(flown.across_nm(fly(air, "right", solved), COURSE_DEG)) < 0.002
    # The pilot's watch starts abeam or wings level, whichever is later.
    wings_level = flown.turn(
        air, flown.start(0.0, 0.0, solved.inbound_heading_deg), solved.heading_deg, "right"
    )
    begin = flown.straight(air, wings_level, solved.straight_s - solved.time_s)
    assert flown.along_nm(begin, COURSE_DEG) <= 1e-6


@pytest.mark.parametrize("wind_from_deg", range(0, 360, 30))
@pytest.mark.parametrize("toward_station", [True, False])
def test_range_limit_ends_the_outbound_leg_at_the_range(toward_station, wind_from_deg) -> None:
    """A fix 12 NM from the station: outbound to 16 (holding toward it) or to 8 (away from it)."""
    air = flown.Air(150.0, 22.0, wind_from_deg, 30.0)
    ahead_nm = 12.0 if toward_station else -12.0
    station = PlanePoint(*plane(COURSE_DEG, ahead_nm))
    limit = holding.RangeLimit(station, 16.0 if toward_station else 8.0)

    solved = holding.outbound_solved(COURSE_DEG, "left", *air, range_limit=limit)

    out = flown.turn(air, flown.start(0.0, 0.0, solved.inbound_heading_deg), solved.heading_deg, "left")
    end = flown.straight(air, out, solved.straight_s)
    east_nm, north_nm = end.place_nm
    assert ((east_nm - station.east_nm) ** 2 + (north_nm - station.north_nm) ** 2) ** 0.5 == pytest.approx(
        limit.ground_nm, abs=1e-4
    )
    assert abs(flown.across_nm(fly(air, "left", solved), COURSE_DEG)) < 0.002
    assert (end.place_nm) == pytest.approx(tuple(solved.end), abs=1e-4)


def plane(course_deg: float, along_nm: float) -> tuple[float, float]:
    state = flown.straight(flown.Air(3600.0, 1.0, 0.0, 0.0), flown.start(0.0, 0.0, course_deg), along_nm)
    return state.place_nm


def test_rule_leaves_an_error_that_the_solved_heading_does_not() -> None:
    """45 degrees off the inbound course, 40 kt at 150: half a mile by the rule."""
    air = (150.0, 22.4, 45.0, 40.0)

    assert abs(holding.outbound_by_rule(360.0, "right", *air).across_error_nm) > 0.4
    assert abs(holding.outbound_solved(360.0, "right", *air).across_error_nm) < 0.001


def test_a_wind_that_stops_the_aircraft_is_refused_in_a_sentence() -> None:
    with pytest.raises(NoSolution, match=r"^A headwind of 95 kt"):
        holding.outbound_solved(0.0, "right", 90.0, 14.0, 0.0, 95.0)
    with pytest.raises(NoSolution, match=r"ask for a longer leg"):
        holding.outbound_solved(0.0, "right", 90.0, 14.0, 30.0, 60.0)


def test_a_range_that_is_never_met_is_refused() -> None:
    limit = holding.RangeLimit(PlanePoint(0.0, 40.0), 2.0)

    with pytest.raises(NoSolution):
        holding.outbound_by_rule(0.0, "right", 120.0, 18.0, 0.0, 0.0, range_limit=limit)
    with pytest.raises(NoSolution):
        holding.outbound_solved(0.0, "right", 120.0, 18.0, 0.0, 0.0, range_limit=limit)


@given(st.floats(0.0, 360.0), st.floats(0.0, 360.0))
def test_left_hold_is_the_mirror_image_of_a_right_one(heading_deg, course_deg) -> None:
    right = holding.entry_sector(heading_deg, course_deg, "right")
    left = holding.entry_sector(-heading_deg, -course_deg, "left")

    # On the very boundary, rounding may fall to either side: then the two sectors change places.
    assert {right.sector, right.also} == {left.sector, left.also}


def test_sectors_cover_70_110_and_180_degrees() -> None:
    """ICAO Doc 8168 Vol I I-6-1: sector 1 (parallel) is 110, sector 2 (offset) 70, sector 3 180 degrees."""
    made = [holding.entry_sector(tenth / 10.0, 90.0, "right").sector for tenth in range(3600)]

    assert made.count("parallel") == pytest.approx(1100, abs=1)
    assert made.count("offset") == pytest.approx(700, abs=1)
    assert made.count("direct") == pytest.approx(1800, abs=1)


def test_within_5_degrees_of_a_boundary_both_entries_are_offered() -> None:
    """Inbound 090 right: outbound 270. Boundaries at headings 270, 200 (70 right) and 020 (110 left)."""
    for boundary_deg, pair in (
        (270, {"offset", "parallel"}),
        (200, {"offset", "direct"}),
        (20, {"parallel", "direct"}),
    ):
        for off_deg in (-4.9, 4.9):
            assert (
                set(holding.permitted_entries(holding.entry_sector(boundary_deg + off_deg, 90.0, "right")))
                == pair
            )
        for off_deg in (-5.1, 5.1):
            assert holding.entry_sector(boundary_deg + off_deg, 90.0, "right").also is None


def test_chart_restrictions_take_entries_away() -> None:
    entry = holding.Entry("parallel", "direct")

    assert holding.permitted_entries(entry, {"parallel"}) == ("direct",)
    assert holding.permitted_entries(entry, {"parallel", "direct"}) == ()
    assert holding.entry_heading_deg("parallel", 40.0, "right") == reciprocal_deg(40.0)
