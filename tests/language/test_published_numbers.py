"""Spoken numbers against the examples printed in ICAO Annex 10, UK CAP 413, FAA AIM and JO 7110.65."""

from pathlib import Path

import pytest
import yaml

from assistant.engine.events import Callout, CalloutKind, Datum, Figures, Priority
from assistant.language.numbers import (
    DIGITS,
    FAA,
    ICAO,
    SCALES,
    UK,
    Dialect,
    spoken_altitude,
    spoken_bearing,
    spoken_digits,
    spoken_flight_level,
    spoken_frequency,
    spoken_minimum,
    spoken_whole,
)
from assistant.language.phraseology import words

PUBLISHED = {
    entry["id"]: entry for entry in yaml.safe_load(Path(__file__).with_name("check_values.yaml").read_text())
}

SPOKEN = {
    "rt.icao.alt_800": lambda given: spoken_altitude(given["altitude_ft"]),
    "rt.icao.alt_12000": lambda given: spoken_altitude(given["altitude_ft"]),
    "rt.icao.hdg_080": lambda given: f"heading {spoken_bearing(given['heading_deg'])}",
    "rt.icao.qnh_1010": lambda given: f"QNH {spoken_whole(given['qnh_hpa'])}",
    "rt.icao.qnh_1000": lambda given: f"QNH {spoken_whole(given['qnh_hpa'])}",
    "rt.icao.fl200": lambda given: spoken_flight_level(given["flight_level"]),
    "rt.icao.squawk": lambda given: f"squawk {spoken_digits(given['code'])}",
    "rt.icao.decimal_100_3": lambda given: spoken_digits(given["number"]),
    "rt.uk.fl100": lambda given: spoken_flight_level(given["flight_level"], UK),
    "rt.uk.freq": lambda given: spoken_frequency(float(given["frequency"]), UK),
    "rt.uk.deg": lambda given: f"{spoken_bearing(given['degrees'])} degrees",
    "rt.faa.13500": lambda given: spoken_altitude(given["altitude_ft"], FAA),
    "rt.faa.12500": lambda given: spoken_altitude(given["altitude_ft"], FAA),
    "rt.faa.freq": lambda given: spoken_frequency(float(given["frequency"]), FAA),
    "rt.faa.hdg_360": lambda given: spoken_bearing(given["bearing_deg"]),
    "rt.faa.speed": lambda given: f"{spoken_whole(given['speed_kt'])} knots",
    "rt.faa.true_050": lambda given: f"{spoken_bearing(given['true_course_deg'])} true",
    "rt.faa.dh_486": lambda given: f"decision height, {spoken_minimum(given['dh_ft'], FAA)}",
    "rt.faa.17900": lambda given: spoken_altitude(given["altitude_ft"], FAA),
}
TESTED_BELOW = {
    "rt.table.digits",
    "rt.icao.wind",
    "rt.icao.time_1643",
    "rt.disagreements",
    "rt.headings_magnetic",
}


def test_every_published_entry_is_tested():
    assert set(SPOKEN) | TESTED_BELOW == set(PUBLISHED)


@pytest.mark.parametrize("ident", SPOKEN)
def test_number_is_spoken_as_published(ident):
    entry = PUBLISHED[ident]

    assert SPOKEN[ident](entry["inputs"]) == entry["expected"]["spoken"]


def test_wind_is_called_out_as_published():
    entry = PUBLISHED["rt.icao.wind"]
    wind_from_mag_deg, wind_kt = map(float, entry["inputs"]["wind"].split("/"))
    callout = Callout(
        t_s=0,
        expires_t_s=1,
        kind=CalloutKind.WIND,
        priority=Priority.ANSWER,
        cue="wind",
        figures=Figures(wind_from_mag_deg=wind_from_mag_deg, wind_kt=wind_kt),
    )

    assert words(callout).rstrip(".").lower() == entry["expected"]["spoken"]


def test_a_time_of_day_is_minutes_or_all_four_digits():
    entry = PUBLISHED["rt.icao.time_1643"]
    minutes_only, whole = entry["expected"]["spoken"].split(" or ")
    time = entry["inputs"]["time"]

    assert (spoken_digits(time[2:]), spoken_digits(time)) == (minutes_only, whole)


def test_spelt_out_pronunciations_are_understood():
    """ICAO's respellings that make a word of their own, except TOO, which is an everyday word too."""
    table = PUBLISHED["rt.table.digits"]["expected"]["icao"]
    respelt = {said.replace("-", "").lower(): meant for meant, said in table.items()}
    del respelt["too"]
    del respelt["dayseemal"]  # three syllables to sound, not a word that anyone types

    for word, meant in respelt.items():
        scale = {"hundred": 100, "thousand": 1000}.get(meant)
        assert (SCALES[word] == scale) if scale else (DIGITS[word] == int(meant)), word


def test_where_the_standards_differ_each_has_its_form_and_icao_is_the_default():
    differing = PUBLISHED["rt.disagreements"]["expected"]

    assert differing["decimal"] == {"icao": ICAO.decimal, "faa": FAA.decimal}
    levels = {
        "icao_annex10_older": spoken_flight_level(200, ICAO),
        "uk_cap413": spoken_flight_level(200, UK),
    }
    assert {
        by: f"flight level {said}" for by, said in differing["whole_hundred_flight_levels"].items()
    } == levels
    # "digit by digit" and "hundreds and thousands as an altitude", on a minimum of 1,200 ft
    assert spoken_minimum(1200, FAA) == "one two zero zero"
    assert spoken_minimum(1200, ICAO) == "one thousand two hundred"
    assert Dialect() == ICAO


def test_north_is_three_six_zero():
    fact = PUBLISHED["rt.headings_magnetic"]["expected"]

    assert spoken_bearing(0) == spoken_bearing(359.6) == spoken_bearing(360) == fact["north"]
    assert {len(spoken_bearing(bearing_deg).split()) for bearing_deg in range(361)} == {fact["digits"]}


def test_a_callout_uses_icao_by_default():
    callout = Callout(
        t_s=0,
        expires_t_s=1,
        kind=CalloutKind.MINIMUM,
        priority=Priority.SAFETY,
        cue="minimum",
        figures=Figures(indicated_ft=1200, datum=Datum.QNH),
    )

    assert words(callout) == "Minimum, one thousand two hundred QNH. Visual?"
