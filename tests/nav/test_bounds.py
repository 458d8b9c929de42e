"""
Every bound that a message names is the bound that holds: inside it there is an answer, outside it none.

Mutation testing found these untold: a bound moved by one, or `<` for `<=`, went unnoticed.
"""

from math import asin, degrees, radians, tan

import pytest

from assistant.nav import (
    airspeed,
    altimetry,
    arcs,
    atmosphere,
    closing,
    cold,
    geometry,
    holding,
    leads,
    reversal,
    speed_limits,
    turns,
    vertical,
    visual,
    wind,
)
from assistant.nav.errors import NoSolution, OutsideValidity
from assistant.nav.geometry import PlanePoint
from assistant.nav.roots import sign_changes

INSIDE = {
    "half a knot of airspeed": lambda: airspeed.mach_from_ias(0.5, 0.0),
    "no rate of turn": lambda: turns.bank_for_rate_deg(100.0, 0.0),
    "half a knot in a turn": lambda: turns.bank_for_rate_deg(0.5, 3.0),
    "half a degree a second": lambda: turns.speed_at_bank_and_rate_kt(25.0, 0.5),
    "a bank of half a degree": lambda: turns.turn_radius_nm(100.0, 0.5),
    "a bank of 60 degrees": lambda: turns.turn_radius_nm(100.0, 60.0),
    "half a knot in a circle": lambda: turns.turn_radius_nm(0.5, 25.0),
    "a setting of 1085": lambda: altimetry.ft_per_hpa_at_setting(1085.0),
    "a setting of 650": lambda: altimetry.ft_per_hpa_at_setting(650.0),
    "a cone of no angle": lambda: closing.cone_radius_nm(1000.0, 0.0),
    "half a knot to a range": lambda: closing.time_to_range_s(PlanePoint(0.0, -2.0), 0.0, 0.5, 1.0),
    "half a mile of arc": lambda: arcs.tangent_gain_nm(0.5, 10.0),
    "a threshold speed of half a knot": lambda: airspeed.category_for_speed(0.5),
    "a hair of groundspeed": lambda: wind.heading_for_track(360.0, 100.0, 360.0, 99.5),
    "a divergence of half a degree": lambda: reversal.teardrop_length_nm(100.0, 25.0, 0.5),
    "the speed of sound": lambda: airspeed.ias_kt_from_mach(0.999, 0.0),
    "Mach nought": lambda: airspeed.ias_kt_from_mach(0.0, 0.0),
    "661 kt at 2,000 ft below the sea": lambda: airspeed.mach_from_ias(airspeed.SOUND_SEA_LEVEL_KT, -1999.0),
    "2,000 ft below the sea": lambda: airspeed.tas_kt_pansops(150.0, -2000.0),
    "the tropopause": lambda: airspeed.tas_kt_pansops(150.0, 36089.0),
    "air of 60 degrees": lambda: airspeed.tas_kt_from_ias(150.0, 0.0, temperature_c=60.0),
    "air of 90 degrees below": lambda: airspeed.tas_kt_from_ias(150.0, 0.0, temperature_c=-90.0),
    "a pressure of 1090": lambda: atmosphere.altitude_at_pressure_ft(1090.0),
    "a pressure of 55": lambda: atmosphere.altitude_at_pressure_ft(55.0),
    "65,000 ft": lambda: atmosphere.pressure_at_altitude_hpa(65000.0),
    "half a degree of bearing": lambda: closing.time_to_station_s(60.0, 0.5),
    "a cone on the ground": lambda: closing.cone_radius_nm(0.0),
    "half a mile of a leg": lambda: closing.regain(10.0, 0.5, 1.0),
    "nearly all of a leg": lambda: closing.regain(10.0, 9.5, 1.0),
    "a time of half a second": lambda: reversal.base_turn_angle_deg(100.0, 0.5, 25.0),
    "half a degree a second of radius": lambda: turns.radius_from_rate_nm(100.0, 0.5),
    "a turn at 600 kt": lambda: turns.turn_radius_nm(600.0, 25.0),
    "no bank": lambda: turns.load_factor_g(0.0),
    "a bank of 89 degrees": lambda: turns.load_factor_g(89.5),
    "no add-on": lambda: vertical.derived_minimum_ft(500.0, 0.0),
    "a slope of half a degree": lambda: vertical.gradient_ft_per_nm(0.5),
    "a slope of 44 degrees": lambda: vertical.gradient_ft_per_nm(44.5),
    "a step of half a foot": lambda: visual.rounded_minimum_ft(500.0, 0.5),
    "no visibility": lambda: visual.visibility_lights_out_m(0.0, 800.0),
    "no increment": lambda: visual.visibility_lights_out_m(800.0, 0.0),
    "a knot over the ground": lambda: wind.required_tas(360.0, 0.5, 360.0, 10.0),
    "half a knot of air": lambda: wind.heading_for_track(360.0, 0.5, 360.0, 0.0),
    "a hold at the sea": lambda: speed_limits.maximum_holding_speed_kt("icao", 0.0),
    "a hold at 60,000 ft": lambda: speed_limits.maximum_holding_speed_kt("icao", 60000.0),
    "a chord nearly to the station": lambda: arcs.chord_radials_deg(10.0, 9.9),
    "a chord of 179 radials": lambda: arcs.chord_depth_nm(10.0, 179.0),
    "a height at the airport": lambda: cold.table_correction_ft(0.0, -10.0),
    "the coldest row": lambda: cold.table_correction_ft(1000.0, -50.0),
}
OUTSIDE = {
    "air past 60 degrees": lambda: airspeed.tas_kt_from_ias(150.0, 0.0, temperature_c=60.5),
    "no airspeed": lambda: airspeed.mach_from_ias(0.0, 0.0),
    "a bank of none": lambda: turns.turn_radius_nm(100.0, 0.0),
    "a bank past 60 degrees": lambda: turns.turn_radius_nm(100.0, 60.5),
    "a setting past 1085": lambda: altimetry.ft_per_hpa_at_setting(1085.5),
    "a cone of a right angle": lambda: closing.cone_radius_nm(1000.0, 90.0),
    "no rate": lambda: turns.speed_at_bank_and_rate_kt(25.0, 0.0),
    "a divergence of 180 degrees": lambda: reversal.teardrop_length_nm(100.0, 25.0, 180.0),
    "a divergence of none": lambda: reversal.teardrop_length_nm(100.0, 25.0, 0.0),
    "no threshold speed": lambda: airspeed.category_for_speed(0.0),
    "wind as fast as the aircraft": lambda: wind.heading_for_track(360.0, 100.0, 360.0, 100.0),
    "no groundspeed": lambda: closing.time_to_range_s(PlanePoint(0.0, -2.0), 0.0, 0.0, 1.0),
    "sound itself": lambda: airspeed.ias_kt_from_mach(1.0, 0.0),
    "less than Mach nought": lambda: airspeed.ias_kt_from_mach(-0.5, 0.0),
    "past the speed of sound": lambda: airspeed.mach_from_ias(661.6, 0.0),
    "sound at height": lambda: airspeed.mach_from_ias(600.0, 20000.0),
    "farther below the sea": lambda: airspeed.tas_kt_pansops(150.0, -2000.5),
    "above the tropopause": lambda: airspeed.tas_kt_pansops(150.0, 36089.5),
    "air past 90 degrees below": lambda: airspeed.tas_kt_from_ias(150.0, 0.0, temperature_c=-90.5),
    "a pressure past 1090": lambda: atmosphere.altitude_at_pressure_ft(1090.5),
    "a pressure below 55": lambda: atmosphere.altitude_at_pressure_ft(54.5),
    "above 65,000 ft": lambda: atmosphere.pressure_at_altitude_hpa(65000.5),
    "a setting below 650": lambda: altimetry.ft_per_hpa_at_setting(649.5),
    "no bearing change": lambda: closing.time_to_station_s(60.0, 0.0),
    "a cone below the ground": lambda: closing.cone_radius_nm(-0.5),
    "the beginning of a leg": lambda: closing.regain(10.0, 0.0, 1.0),
    "the end of a leg": lambda: closing.regain(10.0, 10.0, 1.0),
    "no time": lambda: reversal.base_turn_angle_deg(100.0, 0.0, 25.0),
    "a radius of no rate": lambda: turns.radius_from_rate_nm(100.0, 0.0),
    "a rate backwards": lambda: turns.bank_for_rate_deg(100.0, -0.5),
    "a bank at no speed": lambda: turns.bank_for_rate_deg(0.0, 3.0),
    "a turn past 600 kt": lambda: turns.turn_radius_nm(600.5, 25.0),
    "a bank below none": lambda: turns.load_factor_g(-0.5),
    "a bank of a right angle": lambda: turns.load_factor_g(90.0),
    "an add-on that lowers": lambda: vertical.derived_minimum_ft(500.0, -0.5),
    "no slope": lambda: vertical.gradient_ft_per_nm(0.0),
    "a slope of 45 degrees": lambda: vertical.gradient_ft_per_nm(45.0),
    "no step": lambda: visual.rounded_minimum_ft(500.0, 0.0),
    "less than no visibility": lambda: visual.visibility_lights_out_m(-0.5, 800.0),
    "less than no increment": lambda: visual.visibility_lights_out_m(800.0, -0.5),
    "nothing over the ground": lambda: wind.required_tas(360.0, 0.0, 360.0, 10.0),
    "no air": lambda: wind.heading_for_track(360.0, 0.0, 360.0, 0.0),
    "a wind below none": lambda: wind.heading_for_track(360.0, 100.0, 360.0, -0.5),
    "no wind given": lambda: wind.wind_at_level([], 3000.0),
    "a hold below the sea": lambda: speed_limits.maximum_holding_speed_kt("icao", -0.5),
    "a hold past 60,000 ft": lambda: speed_limits.maximum_holding_speed_kt("icao", 60000.5),
    "a chord to the station": lambda: arcs.chord_radials_deg(10.0, 10.0),
    "a chord of half a circle": lambda: arcs.chord_depth_nm(10.0, 180.0),
    "a tangent of a right angle": lambda: arcs.tangent_gain_nm(10.0, 90.0),
    "a height below the airport": lambda: cold.table_correction_ft(-0.5, -10.0),
    "colder than the table": lambda: cold.table_correction_ft(1000.0, -50.5),
}


@pytest.mark.parametrize("answer", INSIDE.values(), ids=INSIDE)
def test_inside_the_bounds_there_is_an_answer(answer):
    assert answer() is not None


@pytest.mark.parametrize("answer", OUTSIDE.values(), ids=OUTSIDE)
def test_outside_the_bounds_there_is_none(answer):
    with pytest.raises((OutsideValidity, NoSolution)):
        answer()


def test_a_speed_for_bank_and_rate_is_the_turns_own_physics():
    # V = g tan(bank) / rate: 9.80665 x tan 25 / (3 degrees a second) = 87.337 m/s = 169.77 kt.
    expected_kt = 9.80665 * tan(radians(25.0)) / radians(3.0) / 1852.0 * 3600.0

    assert turns.speed_at_bank_and_rate_kt(25.0, 3.0) == pytest.approx(expected_kt, rel=1e-6)


@pytest.mark.parametrize(
    ("angle_deg", "spoken"), [(0.0, 360), (0.4, 360), (0.5, 1), (359.4, 359), (359.5, 360), (720.0, 360)]
)
def test_a_direction_is_spoken_from_1_to_360(angle_deg, spoken):
    assert geometry.spoken_deg(angle_deg) == spoken


@pytest.mark.parametrize(
    ("heading_deg", "sector"),
    [
        (180.0, "parallel"),
        (179.5, "offset"),
        (110.0, "offset"),
        (109.5, "direct"),
        (290.0, "parallel"),
        (290.5, "direct"),
    ],
)
def test_on_a_boundary_the_first_sector_named_holds(heading_deg, sector):
    # Inbound 360, right turns: outbound 180; the boundaries are 180, 180 - 70 = 110 and 180 + 110 = 290.
    assert holding.entry_sector(heading_deg, 360.0, "right").sector == sector


@pytest.mark.parametrize(("speed_kt", "category"), [(90.5, "A"), (91.0, "B"), (91.5, "B"), (121.0, "C")])
def test_a_circling_speed_belongs_to_the_band_that_begins_at_it(speed_kt, category):
    # FAA Pilot/Controller Glossary: B is 91 knots or more but less than 121.
    assert speed_limits.circling_category("A", speed_kt) == category


def test_a_course_through_the_station_crosses_its_radials_there():
    # Along 090 through the station: radial 360 is met at the station itself, 5 NM ahead.
    assert geometry.line_radial_crossing(PlanePoint(-5.0, 0.0), 90.0, 360.0) == pytest.approx(5.0)


def test_a_course_crosses_a_slanting_radial_where_geometry_has_it():
    # From 1 NM south, 1 NM west of the station along 090: radial 150 is met where east is tan(30) = 0.57735,
    # so 1.57735 NM ahead; a northern radial never.
    anchor = PlanePoint(-1.0, -1.0)

    assert geometry.line_radial_crossing(anchor, 90.0, 150.0) == pytest.approx(1.0 + tan(radians(30.0)))
    assert geometry.line_radial_crossing(anchor, 90.0, 30.0) is None
    assert geometry.line_radial_crossing(PlanePoint(-1.0, -0.5), 90.0, 330.0) is None


def test_a_scan_finds_zeros_as_near_as_its_step():
    # Zeros at 1 and 3: a step of 1.9 over 0 to 4 parts them, one bracket of 4 would hold both and find none.
    def bent(at_deg):
        return (at_deg - 1.0) * (at_deg - 3.0)

    assert list(sign_changes(bent, 0.0, 4.0, 1.9)) == pytest.approx([1.0, 3.0], abs=1e-5)
    assert list(sign_changes(bent, 0.0, 4.0, 4.0)) == []


def test_a_scan_takes_at_least_one_step():
    assert list(sign_changes(lambda at_deg: at_deg - 0.2, 0.0, 1.0, 9.0)) == pytest.approx([0.2], abs=1e-5)


@pytest.mark.parametrize("at", [0.0, 1.0])
def test_a_scan_sees_a_zero_on_its_own_grid_once(at):
    assert list(sign_changes(lambda at_deg: at_deg - at, 0.0, 1.0, 0.25)) == pytest.approx([at], abs=1e-5)


@pytest.mark.parametrize(("direction", "side"), [("clockwise", 1.0), ("anticlockwise", -1.0)])
def test_a_turn_on_to_an_arc_rolls_out_on_the_side_it_turns_to(direction, side):
    # Outbound along radial 360, still air: the turn's centre lies r to the side, and 10 - r from the station,
    # so the aircraft rolls out on the radial whose sine is r / (10 - r). r = V^2 / (g tan bank).
    speed_m_s = 150.0 * 1852.0 / 3600.0
    radius_nm = speed_m_s**2 / (9.80665 * tan(radians(25.0))) / 1852.0
    expected_deg = side * degrees(asin(radius_nm / (10.0 - radius_nm)))

    lead = leads.lead_to_arc(PlanePoint(0.0, 5.0), 360.0, 10.0, direction, 150.0, 25.0, 0.0, 0.0)

    assert geometry.difference_deg(0.0, lead.roll_out_radial_deg) == pytest.approx(expected_deg, abs=0.01)


@pytest.mark.parametrize(
    ("point", "track_deg", "closing_kt"),
    [
        ((0.0, 0.0), 90.0, -100.0),
        ((1.0, 0.0), 270.0, 100.0),
        ((0.0, 1.0), 180.0, 100.0),
        ((0.0, 1.0), 90.0, 0.0),
    ],
)
def test_only_over_the_station_itself_every_track_opens(point, track_deg, closing_kt):
    assert closing.closing_kt(PlanePoint(*point), track_deg, 100.0) == pytest.approx(closing_kt, abs=1e-9)
