"""Numbers as they are said, and that they survive being spoken and heard."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.engine.events import Datum
from assistant.language.hearing import Names, hear
from assistant.language.numbers import (
    spoken_altitude,
    spoken_bearing,
    spoken_flight_level,
    spoken_tenths,
    spoken_time,
    spoken_whole,
    value,
)
from assistant.language.transcript import Transcript


def heard(text):
    """The one input that a line means."""
    (event,) = hear(Transcript(text=text, started_t_s=0, ended_t_s=1), Names(), 1)
    return event


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("one six decimal four", 16.4),
        ("sixteen point four", 16.4),
        ("two and a half", 2.5),
        ("forty eight hundred", 4800),
        ("four eight hundred", 4800),
        ("four thousand eight hundred", 4800),
        ("one zero thousand", 10_000),
        ("two thousand four hundred and twenty", 2420),
        ("one tree fower fife niner", 13_459),
        ("two fifty five", 255),
        ("oh ninety", 90),
        ("ten thirteen", 1013),
        ("fourteen eighty", 1480),
        ("minus one two", -12),
        ("point five", 0.5),
    ],
)
def test_words_add_up_to_the_number(said, meant):
    assert value(tuple(said.split())) == meant


def test_a_word_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="to"):
        value(("one", "to"))


@pytest.mark.parametrize(
    ("altitude_ft", "said"),
    [
        (1480, "one four eight zero"),
        (520, "five two zero"),
        (2400, "two thousand four hundred"),
        (3000, "three thousand"),
        (10_000, "one zero thousand"),
        (900, "niner hundred"),
        (0, "zero"),
        (-50, "minus five zero"),
    ],
)
def test_only_whole_hundreds_are_said_as_such(altitude_ft, said):
    assert spoken_altitude(altitude_ft) == said


@pytest.mark.parametrize(
    ("time_s", "said"),
    [
        (20, "two zero seconds"),
        (1, "one second"),
        (60, "one minute"),
        (90, "one minute three zero seconds"),
        (120, "two minutes"),
        (0.2, "zero seconds"),
    ],
)
def test_time_is_said_in_minutes_and_seconds(time_s, said):
    assert spoken_time(time_s) == said


def test_nought_has_no_sign():
    assert spoken_whole(-0.3) == "zero"


@given(st.integers(1, 1999))
def test_a_range_survives_being_spoken_and_heard(tenths):
    dme_nm = tenths / 10

    assert heard(f"range {spoken_tenths(dme_nm)}").dme_nm == dme_nm


@given(st.integers(1, 360))
def test_a_radial_and_a_heading_survive(bearing_deg):
    assert heard(f"radial {spoken_bearing(bearing_deg)}").radial_deg == bearing_deg
    assert heard(f"heading {spoken_bearing(bearing_deg)}").heading_mag_deg == bearing_deg


@given(st.integers(100, 59_999))
def test_an_altitude_survives(altitude_ft):
    assert heard(f"passing {spoken_altitude(altitude_ft)}").indicated_ft == altitude_ft


@given(st.integers(10, 599))
def test_a_flight_level_survives(level):
    event = heard(spoken_flight_level(level))

    assert (event.indicated_ft, event.datum) == (level * 100, Datum.STANDARD)


@given(st.integers(800, 1099))
def test_a_setting_survives(qnh_hpa):
    assert heard(f"QNH {spoken_whole(qnh_hpa)}").qnh_hpa == qnh_hpa


@given(st.integers(1, 360), st.integers(0, 199))
def test_a_wind_survives(wind_from_mag_deg, wind_kt):
    event = heard(f"wind {spoken_bearing(wind_from_mag_deg)} at {spoken_whole(wind_kt)}")

    assert (event.wind_from_mag_deg, event.wind_kt) == (wind_from_mag_deg, wind_kt)


@given(st.integers(-59, 59))
def test_a_temperature_survives(temperature_c):
    assert heard(f"temperature {spoken_whole(temperature_c)}").temperature_c == temperature_c


@given(st.integers(10, 999).filter(lambda tenths: tenths % 10), st.integers(10, 400), st.integers(1, 360))
def test_a_whole_report_survives(tenths, tens_ft, radial_deg):
    """An altitude said digit by digit right behind a range may be refused, never heard as other numbers."""
    dme_nm, altitude_ft = tenths / 10, tens_ft * 10
    event = heard(
        f"radial {spoken_bearing(radial_deg)} {spoken_tenths(dme_nm)} {spoken_altitude(altitude_ft)}"
    )

    if hasattr(event, "reason"):
        assert altitude_ft % 100
    else:
        assert (event.radial_deg, event.dme_nm, event.indicated_ft) == (radial_deg, dme_nm, altitude_ft)


@given(st.integers(1, 199), st.integers(1, 299))
def test_whole_miles_named_or_set_apart_survive(dme_nm, hundreds_ft):
    """Without either, "one two thousand" is twelve thousand: one number is preferred to two."""
    dme, altitude = spoken_tenths(dme_nm), spoken_altitude(hundreds_ft * 100)
    named, set_apart = heard(f"{dme} DME {altitude}"), heard(f"range {dme}, {altitude}")

    for event in (named, set_apart):
        if not (hasattr(event, "reason") and hundreds_ft * 100 - 10_000 > dme_nm * 6076):
            assert (event.dme_nm, event.indicated_ft) == (dme_nm, hundreds_ft * 100)


@given(st.integers(1, 60), st.integers(1, 100))
def test_whole_miles_run_into_an_altitude_are_never_another_range(dme_nm, hundreds_ft):
    event = heard(f"range {spoken_tenths(dme_nm)} {spoken_altitude(hundreds_ft * 100)}")

    if not hasattr(event, "reason"):
        assert (event.dme_nm, event.indicated_ft) == (dme_nm, hundreds_ft * 100)
