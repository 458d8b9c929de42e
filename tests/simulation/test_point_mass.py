"""
The point mass turns, climbs and drifts as the formulas say, and as the fleet of arrays does.

Second methods: the closed formulas of `assistant.nav.turns` (steady turn) and the wind triangle; and `fleet`,
written separately with NumPy.
"""

from math import hypot

import numpy as np
import pytest

from assistant.engine.conditions import WindAtLevel
from assistant.nav.geometry import PlanePoint
from assistant.nav.turns import bank_in_use_deg, turn_radius_nm, turn_time_s
from assistant.nav.wind import track_for_heading
from assistant.simulation.air import Air
from assistant.simulation.aircraft import Controls, Motion
from assistant.simulation.fleet import Fleet
from assistant.simulation.point_mass import PointMass


def still_air():
    return Air((), gust_share=0.0, seed=1)


def motion(heading=0.0, altitude=3000.0, ias=150.0):
    return Motion(
        point=PlanePoint(0.0, 0.0),
        altitude_ft=altitude,
        heading_mag_deg=heading,
        bank_deg=0.0,
        vertical_fpm=0.0,
        ias_kt=ias,
        groundspeed_kt=ias,
    )


def controls(heading=0.0, turn=None, altitude=3000.0, fpm=-1000.0, ias=150.0):
    return Controls(
        heading_mag_deg=heading, turn=turn, bank_deg=25.0, altitude_ft=altitude, vertical_fpm=fpm, ias_kt=ias
    )


def test_a_half_turn_takes_the_time_and_room_of_a_steady_one_and_a_little_for_the_roll():
    air = still_air()
    aircraft, wanted = PointMass(air, motion()), controls(heading=180.0, turn="right")
    tas_kt = air.tas_kt(150.0, 3000.0)
    bank_deg = bank_in_use_deg(tas_kt, 25.0)
    seconds = 0
    while abs(aircraft.motion.heading_mag_deg - 180.0) > 5.0:
        aircraft.advance(wanted, 1.0)
        seconds += 1

    steady_s = turn_time_s(175.0, tas_kt, bank_deg)
    assert steady_s < seconds < steady_s + 10.0
    assert aircraft.motion.point.east_nm == pytest.approx(2 * turn_radius_nm(tas_kt, bank_deg), abs=0.15)


def test_straight_flight_drifts_by_the_wind_triangle():
    wind = (WindAtLevel(wind_from_mag_deg=250.0, wind_kt=30.0),)
    air = Air(wind, gust_share=0.0, seed=1)
    aircraft = PointMass(air, motion(heading=10.0))
    for _ in range(600):
        aircraft.advance(controls(heading=10.0), 1.0)

    flown = track_for_heading(10.0, air.tas_kt(150.0, 3000.0), 250.0, 30.0)
    east_nm, north_nm = aircraft.motion.point
    assert hypot(east_nm, north_nm) == pytest.approx(flown.groundspeed_kt / 6.0, rel=0.005)
    assert np.degrees(np.arctan2(east_nm, north_nm)) % 360.0 == pytest.approx(flown.track_deg, abs=0.2)


@pytest.mark.parametrize("fpm", [500.0, 1500.0, 3700.0])
def test_a_descent_levels_off_without_going_through(fpm):
    aircraft, lowest_ft = PointMass(still_air(), motion(altitude=9000.0)), 9000.0
    for _ in range(900):
        aircraft.advance(controls(altitude=3000.0, fpm=-fpm), 1.0)
        lowest_ft = min(lowest_ft, aircraft.motion.altitude_ft)

    assert lowest_ft >= 3000.0 - 15.0
    assert aircraft.motion.altitude_ft == pytest.approx(3000.0, abs=5.0)


def test_the_same_seed_gives_the_same_gusts_and_another_other_ones():
    wind = (WindAtLevel(wind_from_mag_deg=250.0, wind_kt=30.0),)

    def gusts(seed):
        air = Air(wind, gust_share=0.2, seed=seed)
        return [air.wind_toward_kt(3000.0, float(second)) for second in range(20)]

    assert gusts(3) == gusts(3)
    assert gusts(3) != gusts(4)


def test_the_fleet_flies_as_the_single_aircraft_does():
    headings = [170.0, 90.0, 300.0]
    altitudes = [2000.0, 3000.0, 5000.0]
    fleet = Fleet(
        east_nm=np.zeros(3),
        north_nm=np.zeros(3),
        altitude_ft=np.full(3, 3000.0),
        heading_mag_deg=np.zeros(3),
        ias_kt=np.full(3, 150.0),
    )
    singles = [PointMass(still_air(), motion()) for _ in range(3)]
    calm = np.zeros(3)
    for _ in range(240):
        fleet.advance(
            heading_mag_deg=np.array(headings),
            bank_deg=np.full(3, 25.0),
            to_altitude_ft=np.array(altitudes),
            vertical_fpm=np.full(3, 1000.0),
            to_ias_kt=np.full(3, 150.0),
            wind_east_kt=calm,
            wind_north_kt=calm,
            step_s=0.5,
        )
    for single, heading, altitude in zip(singles, headings, altitudes, strict=True):
        for _ in range(120):
            single.advance(controls(heading=heading, altitude=altitude), 1.0)

    for number, single in enumerate(singles):
        assert fleet.east_nm[number] == pytest.approx(single.motion.point.east_nm, abs=0.03)
        assert fleet.north_nm[number] == pytest.approx(single.motion.point.north_nm, abs=0.03)
        assert fleet.altitude_ft[number] == pytest.approx(single.motion.altitude_ft, abs=5.0)
