"""What pilots write and say, and what it must mean; what must be refused instead of guessed at."""

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.engine.events import (
    Asked,
    ConditionsGiven,
    Datum,
    NotUnderstood,
    PositionReport,
    Request,
    Said,
    Statement,
)
from assistant.language.hearing import LONGEST_LINE, Names, hear
from assistant.language.transcript import Transcript

NAMES = Names(fixes=("BELIM", "NORTA", "D12X"), frequencies=("Tower", "Ramsey Approach"))


def heard(text, confidence=1.0):
    """What a line means that the pilot began at 10 s and that was understood at 12 s."""
    return hear(Transcript(text=text, started_t_s=10, ended_t_s=11.5, confidence=confidence), NAMES, 12)


def report(**fields):
    return PositionReport(t_s=12, observed_t_s=10, **fields)


def said(what):
    return Statement(t_s=12, said=what)


def asked(what, **fields):
    return Request(t_s=12, asked=what, **fields)


def given_conditions(**fields):
    return ConditionsGiven(t_s=12, **fields)


RANGE = report(dme_nm=16.4)
BOTH = report(dme_nm=16.4, indicated_ft=4800)
ALTITUDE = report(indicated_ft=4800)
LEVEL_80 = report(indicated_ft=8000, datum=Datum.STANDARD)
RADIAL = report(radial_deg=42)
HEADING = report(heading_mag_deg=90)

READINGS = {
    "16.4 4800": BOTH,
    "16.4/4800": BOTH,
    "16.4, 4800": BOTH,
    "16.4 - 4800": BOTH,
    "16.4-4800": BOTH,
    "16.4,4800": BOTH,
    "4800 16.4": BOTH,
    "range one six decimal four": RANGE,
    "sixteen point four": RANGE,
    "one six decimal four DME": RANGE,
    "DME 16.4": RANGE,
    "D16.4": RANGE,
    "16.4nm": RANGE,
    "1 6 decimal 4 miles": RANGE,
    "Range: 16.4.": RANGE,
    "one six decimal four four thousand eight hundred": BOTH,
    "one six decimal four four eight hundred": BOTH,
    "er, sixteen uh point four, and we are passing four thousand eight hundred feet": BOTH,
    "two and a half miles": report(dme_nm=2.5),
    "half past": None,
    "range zero decimal five": report(dme_nm=0.5),
    "one oh point two": report(dme_nm=10.2),
    "sixteen": report(dme_nm=16),
    "ten miles": report(dme_nm=10),
    "passing four thousand eight hundred": ALTITUDE,
    "four thousand eight hundred": ALTITUDE,
    "four eight hundred": ALTITUDE,
    "forty eight hundred": ALTITUDE,
    "fower ait hundred": ALTITUDE,
    "four eight zero zero": ALTITUDE,
    "4 thousand 800": ALTITUDE,
    "48 hundred": ALTITUDE,
    "4800": ALTITUDE,
    "4,800": ALTITUDE,
    "4800ft": ALTITUDE,
    "leaving four thousand eight hundred": ALTITUDE,
    "altitude four eight zero zero feet": ALTITUDE,
    "one zero thousand": report(indicated_ft=10_000),
    "one two thousand": report(indicated_ft=12_000),
    "twelve thousand five hundred": report(indicated_ft=12_500),
    "520": report(indicated_ft=520),
    "five two zero feet": report(indicated_ft=520),
    "altitude fourteen eighty": report(indicated_ft=1480),
    "330 feet": report(indicated_ft=330),
    "two thousand QFE": report(indicated_ft=2000, datum=Datum.QFE),
    "4800 on QNH": report(indicated_ft=4800, datum=Datum.QNH),
    "flight level eight zero": LEVEL_80,
    "passing flight level eighty": LEVEL_80,
    "FL80": LEVEL_80,
    "FL080": LEVEL_80,
    "fl 80": LEVEL_80,
    "flight level one hundred": report(indicated_ft=10_000, datum=Datum.STANDARD),
    "radial zero four two": RADIAL,
    "passing radial oh four two": RADIAL,
    "radial forty two": RADIAL,
    "R042": RADIAL,
    "R-042": RADIAL,
    "r 42": RADIAL,
    "042 radial": RADIAL,
    "on the zero four two radial": RADIAL,
    "042": RADIAL,
    "radial 000": report(radial_deg=360),
    "heading 090": HEADING,
    "hdg 090": HEADING,
    "HDG090°": HEADING,
    "heading zero niner zero": HEADING,
    "heading ninety": HEADING,
    "heading two fifty five": report(heading_mag_deg=255),
    "groundspeed one four zero": report(groundspeed_kt=140),
    "speed 140": report(groundspeed_kt=140),
    "ground speed one forty knots": report(groundspeed_kt=140),
    "passing BELIM": report(fix="BELIM"),
    "belim": report(fix="BELIM"),
    "overhead Belim": report(fix="BELIM"),
    "D12X": report(fix="D12X"),
    "BELIM 4800": report(fix="BELIM", indicated_ft=4800),
    "R042 16.4 4800 heading 090": report(radial_deg=42, dme_nm=16.4, indicated_ft=4800, heading_mag_deg=90),
    "radial zero four two one six decimal four passing four thousand eight hundred": report(
        radial_deg=42, dme_nm=16.4, indicated_ft=4800
    ),
    "5 800": report(dme_nm=5, indicated_ft=800),
    "Tower, 16.4 4800": BOTH,
    "16.4 4800 over": BOTH,
}


@pytest.mark.parametrize(("text", "meant"), [(text, meant) for text, meant in READINGS.items() if meant])
def test_reading(text, meant):
    assert heard(text) == (meant,)


STATEMENTS = {
    "established": Said.ESTABLISHED,
    "established on final": Said.ESTABLISHED,
    "established inbound": Said.ESTABLISHED,
    "established on the final approach course": Said.ESTABLISHED,
    "established on the arc": Said.ON_ARC,
    "on the arc": Said.ON_ARC,
    "visual": Said.VISUAL,
    "runway in sight": Said.VISUAL,
    "approach lights in sight": Said.VISUAL,
    "lights in sight!": Said.VISUAL,
    "not visual": Said.NOT_VISUAL,
    "no contact": Said.NOT_VISUAL,
    "negative contact": Said.NOT_VISUAL,
    "no lights in sight": Said.NOT_VISUAL,
    "runway not in sight": Said.NOT_VISUAL,
    "going around": Said.GOING_AROUND,
    "Going missed.": Said.GOING_AROUND,
    "entering hold": Said.ENTERING_HOLD,
    "entering the holding pattern": Said.ENTERING_HOLD,
    "one more": Said.ONE_MORE,
    "one more turn": Said.ONE_MORE,
    "leaving": Said.LEAVING,
    "leaving the hold": Said.LEAVING,
    "outbound": Said.OUTBOUND,
    "inbound": Said.INBOUND,
    "inbound to BELIM": Said.INBOUND,
    "turning": Said.TURNING,
    "turning left heading two one five": Said.TURNING,
    "turning inbound": Said.TURNING,
    "needle moving": Said.NEEDLE_MOVING,
    "the needle is alive": Said.NEEDLE_MOVING,
    "level": Said.LEVEL,
    "descending": Said.DESCENDING,
    "descending to four thousand": Said.DESCENDING,
    "landed": Said.LANDED,
    "affirm": Said.AFFIRM,
    "negative": Said.NEGATIVE,
    "disregard": Said.DISREGARD,
    "Disregard my last.": Said.DISREGARD,
}


@pytest.mark.parametrize(("text", "meant"), STATEMENTS.items())
def test_statement(text, meant):
    assert heard(text) == (said(meant),)


def test_every_statement_can_be_said():
    assert set(STATEMENTS.values()) == set(Said)


REQUESTS = {
    "next": asked(Asked.NEXT),
    "what's next?": asked(Asked.NEXT),
    "say again": asked(Asked.SAY_AGAIN),
    "altitude at four miles": asked(Asked.ALTITUDE_DUE, dme_nm=4),
    "altitude due": asked(Asked.ALTITUDE_DUE),
    "height due at 3": asked(Asked.ALTITUDE_DUE, dme_nm=3),
    "minimum": asked(Asked.MINIMUM),
    "minima?": asked(Asked.MINIMUM),
    "what is the minimum": asked(Asked.MINIMUM),
    "floor": asked(Asked.FLOOR),
    "missed approach?": asked(Asked.MISSED_APPROACH),
    "say missed approach": asked(Asked.MISSED_APPROACH),
    "missed approach": asked(Asked.MISSED_APPROACH),
    "tower frequency": asked(Asked.FREQUENCY, name="Tower"),
    "frequency for Ramsey approach": asked(Asked.FREQUENCY, name="Ramsey Approach"),
    "heading?": asked(Asked.HEADING),
    "say rate of descent": asked(Asked.RATE),
    "sector altitude": asked(Asked.SECTOR_ALTITUDE),
    "say position": asked(Asked.POSITION),
    "altimeter": asked(Asked.ALTIMETER),
    "what's the QNH": asked(Asked.ALTIMETER),
    "wind": asked(Asked.WIND),
    "notes": asked(Asked.NOTES),
}


@pytest.mark.parametrize(("text", "meant"), REQUESTS.items())
def test_request(text, meant):
    assert heard(text) == (meant,)


def test_every_question_can_be_asked():
    assert {request.asked for request in REQUESTS.values()} == set(Asked)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("wind two five zero at one five", given_conditions(wind_from_mag_deg=250, wind_kt=15)),
        ("wind 250/15", given_conditions(wind_from_mag_deg=250, wind_kt=15)),
        (
            "wind two five zero degrees one five knots gusting two five",
            given_conditions(wind_from_mag_deg=250, wind_kt=15),
        ),
        ("wind calm", given_conditions(wind_from_mag_deg=360, wind_kt=0)),
        ("set QNH niner niner six", given_conditions(qnh_hpa=996, datum=Datum.QNH)),
        ("QNH 996", given_conditions(qnh_hpa=996)),
        ("QNH nine ninety six set", given_conditions(qnh_hpa=996, datum=Datum.QNH)),
        ("QFE 987", given_conditions(qfe_hpa=987)),
        ("set QFE niner eight seven", given_conditions(qfe_hpa=987, datum=Datum.QFE)),
        # 29.92 inHg is 1013.2 hPa (ICAO standard atmosphere, 1013.25 hPa = 29.921 inHg)
        ("altimeter two niner niner two", given_conditions(qnh_hpa=1013.2)),
        ("altimeter 29.92", given_conditions(qnh_hpa=1013.2)),
        ("set standard", given_conditions(datum=Datum.STANDARD)),
        ("set QFE", given_conditions(datum=Datum.QFE)),
        ("temperature minus five", given_conditions(temperature_c=-5)),
        ("temp -12", given_conditions(temperature_c=-12)),
        ("OAT-5", given_conditions(temperature_c=-5)),
        ("temperature one five degrees", given_conditions(temperature_c=15)),
    ],
)
def test_conditions(text, meant):
    assert heard(text) == (meant,)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("established, 9 DME, 4800", (report(dme_nm=9, indicated_ft=4800), said(Said.ESTABLISHED))),
        ("4800 QNH 996", (given_conditions(qnh_hpa=996), ALTITUDE)),
        ("4800 QNH 1010", (given_conditions(qnh_hpa=1010), ALTITUDE)),
        ("level four thousand eight hundred", (ALTITUDE, said(Said.LEVEL))),
        ("leaving BELIM", (report(fix="BELIM"), said(Said.LEAVING))),
        ("16.4 next", (RANGE, asked(Asked.NEXT))),
        ("disregard, range 16.4", (said(Said.DISREGARD), RANGE)),
        ("not visual, going around", (said(Said.NOT_VISUAL), said(Said.GOING_AROUND))),
        ("16.4 16.4", (RANGE,)),
    ],
)
def test_several_things_in_one_line(text, meant):
    """Settings first, then the position, then statements, then questions."""
    assert heard(text) == meant


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("15.4 correction 16.4 4800", (BOTH,)),
        ("range one wibble correction range one six decimal four", (RANGE,)),
        ("15.4 disregard", ()),
        ("15.4 disregard 16.4", (RANGE,)),
        ("radial 042, disregard that", ()),
    ],
)
def test_correction_and_disregard_void_what_precedes_them(text, meant):
    assert heard(text) == meant


@pytest.mark.parametrize("text", ["", " ", "\t\n", "...", "er", "roger", "okay, thank you"])
def test_what_says_nothing_means_nothing(text):
    assert heard(text) == ()


@pytest.mark.parametrize(
    "text",
    [
        # bare numbers that could be more than one thing
        "215",
        "two one five",
        "330",
        "1013",
        "75",
        "four thousand five",
        "three zero five two thousand",
        "range one one two thousand",
        "range seven two seventy radial",
        "passing six eight nine zero ninety five radial",
        "forty radial twenty eight",
        "seventy one heading fifty four",
        "sixteen thousand and eighteen",
        "forty two thousand",
        "radial ninety one three eight point three",
        # numbers with a digit too few, too many, or out of sense
        "radial zero four",
        "radial 4",
        "radial 361",
        "radial three six one",
        "heading two five",
        "heading is now two five",
        "heading 400",
        "QNH 96",
        "QNH 1150",
        "flight level eight",
        "range 250",
        "range one six decimal",
        "one six decimal two five",
        "rate 650",
        "minimum 520",
        "altitude 75000",
        "temperature 75",
        "temp --5",
        "temp - 5",
        # a word that changes the sense, or that we do not know
        "not established",
        "negative established",
        "approaching BELIM",
        "established until 5",
        "one to thousand",
        "16.4 wibble 4800",
        "visual approach",
        "abeam BELIM",
        "overhead",
        "descending four thousand",
        "set 996",
        "five miles to run",
        "traffic in sight",
        "half past",
        # a reading with two values, statements that contradict each other
        "16.4 4800 15.2",
        "042 radial 043",
        "heading 090 heading 100",
        "visual, not visual",
        "affirm negative",
        "range 1, 25000",
        "16.4 correction",
        # not our alphabet
        "16²",
        "16½",
        "\N{FULLWIDTH DIGIT ONE}6.4",
        "1.2.3",
        "16.4\x0048",
        "\x1b[2J",
        "🛩",
    ],
)
def test_what_could_be_wrong_is_refused_whole(text):
    (event,) = heard(text)

    assert isinstance(event, NotUnderstood)
    assert event.text == text
    assert event.reason


def test_a_reading_is_dated_by_the_start_of_speech_and_keeps_the_recognisers_confidence():
    (event,) = heard("16.4", confidence=0.7)

    assert (event.observed_t_s, event.t_s, event.confidence) == (10, 12, 0.7)


def test_names_are_known_only_from_the_procedure():
    (event,) = hear(Transcript(text="passing BELIM", started_t_s=0, ended_t_s=1), Names(), 1)

    assert isinstance(event, NotUnderstood)


def test_an_overlong_line_is_refused():
    (event,) = heard("4800 " * 2000)

    assert isinstance(event, NotUnderstood)
    assert str(LONGEST_LINE) in event.reason


@pytest.mark.parametrize(
    "piece", ["one ", "5 ", "4800 ", "ten thousand ", "one six decimal four ", "range ", "042", ", ", "next "]
)
def test_the_longest_line_takes_no_time(piece):
    """Well under the tenth of a second that a pilot would notice, on any machine that runs the tests."""
    line = (piece * LONGEST_LINE)[:LONGEST_LINE]
    before = time.perf_counter()
    heard(line)

    assert time.perf_counter() - before < 0.1


# fmt: off
WORDS = st.sampled_from((
    "range", "radial", "altitude", "heading", "wind", "set", "QNH", "one", "two", "zero", "decimal",
    "thousand", "hundred", "16.4", "4800", "042", ",", "/", "-", "and", "half", "minus", "flight", "level",
    "established", "correction", "disregard", "BELIM", "tower", "frequency", "at", "due", "not", "5",
))
# fmt: on


@given(st.text(max_size=400) | st.lists(WORDS, max_size=30).map(" ".join))
def test_no_text_is_an_error(text):
    events = heard(text)

    assert all(not isinstance(event, NotUnderstood) for event in events) or len(events) == 1
