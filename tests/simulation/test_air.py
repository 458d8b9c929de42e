"""The air: wind by level, gusts by a seed, true airspeed by the standard atmosphere."""

from statistics import fmean, stdev

import pytest

from assistant.engine.conditions import WindAtLevel
from assistant.simulation.air import Air


def test_wind_blows_toward_where_it_does_not_come_from():
    west = Air((WindAtLevel(wind_from_mag_deg=270.0, wind_kt=20.0),), gust_share=0.0, seed=1)

    assert west.wind_toward_kt(3000.0, 1.0) == pytest.approx((20.0, 0.0), abs=1e-9)


def test_between_two_levels_it_is_between_their_winds():
    levels = (
        WindAtLevel(altitude_ft=0.0, wind_from_mag_deg=180.0, wind_kt=10.0),
        WindAtLevel(altitude_ft=10_000.0, wind_from_mag_deg=180.0, wind_kt=30.0),
    )
    air = Air(levels, gust_share=0.0, seed=1)

    # Half-way up it is half-way between, to the layer of 500 ft that is worked out: a knot.
    assert air.wind_toward_kt(5000.0, 1.0)[1] == pytest.approx(20.0, abs=1.0)


def test_gusts_are_a_tenth_of_the_wind_about_its_mean_and_the_same_by_the_same_seed():
    def blown(seed):
        air = Air((WindAtLevel(wind_from_mag_deg=180.0, wind_kt=30.0),), gust_share=0.1, seed=seed)
        return [air.wind_toward_kt(3000.0, float(t_s))[1] for t_s in range(1, 4001)]

    north_kt = blown(1)
    # A tenth of 30 kt; 4,000 s are some 100 gusts of 20 s each way, so the mean is good to 0.3 kt.
    assert fmean(north_kt) == pytest.approx(30.0, abs=1.0)
    assert stdev(north_kt) == pytest.approx(3.0, rel=0.25)
    assert blown(1) == north_kt
    assert blown(2) != north_kt


def test_calm_has_no_gusts():
    air = Air((), gust_share=0.1, seed=1)

    assert {air.wind_toward_kt(3000.0, float(t_s)) for t_s in range(1, 50)} == {(0.0, 0.0)}


@pytest.mark.parametrize(
    ("altitude_ft", "tas_kt"),
    # ICAO Doc 7488: relative density 0.7385 at 10,000 ft and 0.5328 at 20,000; 1 / sqrt of it times 150 kt.
    [(10_000.0, 150.0 * 1.1637), (20_000.0, 150.0 * 1.3700)],
)
def test_true_airspeed_by_the_standard_atmosphere(altitude_ft, tas_kt):
    # A layer of 500 ft and compressibility are worth a percent together.
    assert Air((), gust_share=0.0, seed=1).tas_kt(150.0, altitude_ft) == pytest.approx(tas_kt, rel=0.012)
