"""The day's figures for a chart: datums, speeds, winds, places; standard atmosphere and the chart's own."""

import pytest

from assistant.engine.conditions import Conditions, WindAtLevel
from assistant.engine.today import Today, altitude_from_indicated_ft, indicated_ft, published_ft, spoken_ft
from assistant.nav.geometry import PlanePoint
from assistant.procedure.model import Altitude, AltitudeKind, Datum


@pytest.fixture
def skarrow(procedure):
    """Aerodrome 102 ft, threshold (QFE datum) 96 ft, station 80 ft."""
    return procedure("skarrow-tacan-24")


def today(procedure, **conditions):
    return Today(procedure=procedure, conditions=Conditions(**conditions))


@pytest.mark.parametrize(
    ("altitude_ft", "datum", "shown_ft"),
    # 30 hPa below standard the altimeter on standard shows some 27.3 * 30 = 819 ft more near the ground.
    [(1900.0, Datum.QNH, 1900.0), (1900.0, Datum.QFE, 1804.0), (1900.0, Datum.STANDARD, 2738.0)],
)
def test_the_altimeter_shows_an_altitude_on_its_datum(skarrow, altitude_ft, datum, shown_ft):
    day = {"procedure": skarrow, "qnh_hpa": 983.25}

    assert indicated_ft(altitude_ft, datum, **day) == pytest.approx(shown_ft, abs=20.0)
    shown = indicated_ft(altitude_ft, datum, **day)
    assert altitude_from_indicated_ft(shown, datum, **day) == pytest.approx(altitude_ft, abs=0.01)


PRINTED = frozenset({(Datum.QNH, 1565.0), (Datum.QFE, 404.0)})


@pytest.mark.parametrize(
    ("shown_ft", "datum", "said_ft"),
    [
        (1565.0, Datum.QNH, 1565.0),
        (1565.4, Datum.QNH, 1565.0),
        (1565.0, Datum.QFE, 1570.0),
        (404.0, Datum.QFE, 404.0),
        (404.0, Datum.QNH, 410.0),
        (1570.0, Datum.QNH, 1570.0),
        (1570.0004, Datum.QNH, 1570.0),  # rounding of the sums
        (1570.1, Datum.QNH, 1580.0),
        (8000.0, Datum.STANDARD, 8000.0),
        (8001.0, Datum.STANDARD, 8100.0),
    ],
)
def test_a_printed_number_is_said_as_printed_and_any_other_up_to_the_next_ten(shown_ft, datum, said_ft):
    assert spoken_ft(shown_ft, datum, PRINTED) == said_ft


def test_every_number_that_the_chart_prints_is_known_with_its_datum(procedure):
    printed = published_ft(procedure("skarrow-tacan-24"))

    # The hold, legs, step-downs, minima of C on both datums, the table of heights, the missed approach.
    assert {4000.0, 3500.0, 3000.0, 2500.0, 1900.0, 1000.0, 500.0, 1570.0, 1250.0, 930.0, 600.0} <= {
        altitude_ft for datum, altitude_ft in printed if datum is Datum.QNH
    }
    assert (Datum.QFE, 404.0) in printed
    assert (Datum.QNH, 404.0) not in printed
    # Of a base turn the altitudes of the turn and the way back as well.
    assert {(Datum.QNH, 2400.0), (Datum.QNH, 1900.0), (Datum.QNH, 3000.0)} <= published_ft(
        procedure("lunmar-vor-dme-10")
    )


def charted(value_ft, datum):
    field = {Datum.QNH: "altitude_ft", Datum.QFE: "height_ft", Datum.STANDARD: "flight_level"}[datum]
    value = value_ft / 100.0 if datum is Datum.STANDARD else value_ft
    return Altitude(kind=AltitudeKind.AT_OR_ABOVE, **{field: value})


@pytest.mark.parametrize(
    ("value_ft", "datum", "altitude_ft"),
    [(1900.0, Datum.QNH, 1900.0), (1804.0, Datum.QFE, 1900.0), (8000.0, Datum.STANDARD, 8000.0)],
)
def test_a_charted_value_is_an_altitude_on_todays_setting(skarrow, value_ft, datum, altitude_ft):
    assert today(skarrow).altitude_ft(charted(value_ft, datum)) == pytest.approx(altitude_ft, abs=0.5)


@pytest.mark.parametrize(
    ("charted_ft", "corrected_ft"),
    # FAA AIM table 7-3-1, row -10 C: 100 ft for 1,000 ft above the aerodrome, 200 for 2,000. Skarrow lies at
    # 102 ft. Nothing is added at the aerodrome's height and below.
    [(1102.0, 1202.0), (2102.0, 2302.0), (102.0, 102.0), (60.0, 60.0)],
)
def test_cold_adds_what_the_published_table_says(skarrow, charted_ft, corrected_ft):
    cold = today(skarrow, temperature_c=-10.0, cold_corrections=True)

    assert cold.in_cold_ft(charted_ft) == pytest.approx(corrected_ft, abs=8.0 if charted_ft > 102.0 else 0.0)
    assert today(skarrow, temperature_c=-10.0).in_cold_ft(charted_ft) == charted_ft


def test_no_level_by_pressure_is_corrected_for_cold(skarrow):
    cold = today(skarrow, temperature_c=-10.0, cold_corrections=True)

    assert cold.altitude_ft(charted(8000.0, Datum.STANDARD)) == pytest.approx(8000.0, abs=0.5)
    assert cold.altitude_ft(charted(2000.0, Datum.QNH)) > 2100.0


@pytest.mark.parametrize(
    ("temperature_c", "tas_kt"),
    # At 5,000 ft the standard density ratio is 0.8617: 140 / sqrt 0.8617 = 150.8. The aerodrome 20 C above
    # standard (14.8 C at 102 ft): 278.2 K become 298.2, the root of the ratio 1.0353: 156.1.
    [(None, 150.8), (14.8, 150.8), (34.8, 156.1), (-5.2, 145.3)],
)
def test_true_airspeed_follows_the_air(skarrow, temperature_c, tas_kt):
    assert today(skarrow, temperature_c=temperature_c).tas_kt(140.0, 5000.0) == pytest.approx(tas_kt, abs=0.4)


def test_without_a_wind_it_is_calm_and_between_levels_it_is_between_them(skarrow):
    assert today(skarrow).wind(3000.0).speed_kt == 0.0
    levels = tuple(
        WindAtLevel(wind_from_mag_deg=250.0, wind_kt=kt, altitude_ft=ft)
        for ft, kt in ((2000, 10), (4000, 30))
    )
    assert today(skarrow, wind=levels).wind(3000.0) == pytest.approx((250.0, 20.0))


@pytest.mark.parametrize(("tas_kt", "bank_deg"), [(210.0, 25.0), (100.0, 15.4)])
def test_turns_are_at_rate_one_or_the_pilots_bank(skarrow, tas_kt, bank_deg):
    # Rate one at 100 kt: tan = 3 deg/s * 51.44 m/s / 9.807: 15.4 degrees.
    assert today(skarrow).bank_deg(tas_kt) == pytest.approx(bank_deg, abs=0.05)


def test_places_are_on_the_ground_below_their_slant_ranges(skarrow, procedure):
    day = today(skarrow)

    # 3-4-5: four nautical miles above the station at 80 ft.
    assert day.ground_nm(5.0, 80.0 + 4.0 * 6076.115) == pytest.approx(3.0, abs=1e-3)
    assert day.height_above_station_ft(1080.0) == 1000.0
    assert day.height_above_station_ft(10.0) == 0.0
    point = day.point(skarrow.fix("BESKA"), 80.0)
    assert (point.east_nm, point.north_nm) == pytest.approx((5.346, 2.724), abs=1e-3)
    lunmar = procedure("lunmar-vor-dme-10")
    assert today(lunmar).point(lunmar.fix("LMR"), 3500.0) == PlanePoint(0.0, 0.0)
