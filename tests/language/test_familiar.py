"""How strange a reading may sound: anything that is expected, little that may be a cough."""

import math

import pytest

from assistant.engine.events import Asked, PositionReport, Request, Said, Statement
from assistant.language.choice import Expectation, expectation_around
from assistant.language.familiar import is_inside, is_supported, strangeness_limit

EXPECTED = expectation_around(dme_nm=16.4, radial_deg=359.0)


def report(**readings):
    return (PositionReport(t_s=0.0, observed_t_s=0.0, **readings),)


@pytest.mark.parametrize(
    ("readings", "inside", "supported"),
    [
        ({"dme_nm": 16.4}, True, True),
        ({"dme_nm": 17.1}, True, True),
        ({"dme_nm": 17.2}, False, False),
        ({"radial_deg": 7.0}, True, True),
        ({"radial_deg": 8.0}, False, False),
        ({"dme_nm": 16.4, "radial_deg": 180.0}, False, False),
        ({"indicated_ft": 3000.0}, True, False),
        ({"heading_mag_deg": 16.0}, True, False),
    ],
)
def test_windows_are_seven_tenths_of_a_mile_and_eight_degrees_either_way(readings, inside, supported):
    assert is_inside(report(**readings), EXPECTED) is inside
    assert is_supported(report(**readings), EXPECTED) is supported


def test_what_is_expected_may_sound_as_strange_as_it_likes():
    assert strangeness_limit("range one six", report(dme_nm=16.0), EXPECTED) == math.inf


@pytest.mark.parametrize("text", ["two and and and no", "two now okay", "affirm and two"])
def test_fillers_and_coughs_beside_an_expected_number_do_not_make_it_a_report(text):
    assert strangeness_limit(text, report(dme_nm=2.0), expectation_around(dme_nm=2.0)) < math.inf


def test_a_number_by_itself_must_sound_better_than_words_and_the_better_the_shorter_it_is():
    ordered = [
        strangeness_limit("five", report(dme_nm=5.0), EXPECTED),
        strangeness_limit("one five", report(dme_nm=15.0), EXPECTED),
        strangeness_limit("one five miles", report(dme_nm=15.0), EXPECTED),
        strangeness_limit("on the arc", (), EXPECTED),
    ]
    assert ordered == sorted(set(ordered))


def test_a_word_or_two_are_weighed_even_where_they_are_expected():
    assert strangeness_limit("sixteen", report(dme_nm=16.0), EXPECTED) < math.inf


def test_a_word_by_itself_may_be_a_cough_as_a_number_may():
    assert strangeness_limit("no", statement(Said.NEGATIVE), EXPECTED) == strangeness_limit(
        "five", (), EXPECTED
    )


def statement(said):
    return (Statement(t_s=0.0, said=said),)


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("established", statement(Said.ESTABLISHED)),
        ("minimum", (Request(t_s=0.0, asked=Asked.MINIMUM),)),
    ],
)
def test_a_statement_or_question_of_one_word_is_no_cough_where_something_is_expected(text, events):
    expected = strangeness_limit(text, events, Expectation())

    assert strangeness_limit("five", report(dme_nm=5.0), Expectation()) < expected
    assert expected < strangeness_limit("where are we", events, Expectation())
    assert strangeness_limit(text, events, None) == strangeness_limit("five", report(dme_nm=5.0), None)


@pytest.mark.parametrize(
    ("text", "events"),
    [
        ("yes", statement(Said.AFFIRM)),
        ("no", statement(Said.NEGATIVE)),
        ("tarno", report(fix="TARNO")),
    ],
)
def test_what_coughs_become_may_sound_no_stranger_for_being_a_statement(text, events):
    assert strangeness_limit(text, events, Expectation()) == strangeness_limit(
        "five", report(dme_nm=5.0), Expectation()
    )


def test_where_nothing_is_expected_less_is_let_through():
    assert strangeness_limit("say wind", (), None) < strangeness_limit("say wind", (), Expectation())
