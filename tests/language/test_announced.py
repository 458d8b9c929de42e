"""Bare digits are what they can only be where something is expected; without that, or with two, unclear."""

import pytest

from assistant.engine.events import NotUnderstood, PositionReport
from assistant.language.announced import announced
from assistant.language.choice import Expectation, expectation_around
from assistant.language.grammar import Names
from assistant.language.hearing import hear
from assistant.language.transcript import Transcript

RADIAL_164 = expectation_around(radial_deg=164)
RANGE_16_4 = expectation_around(dme_nm=16.4)


def meaning(text, expected):
    said = announced(text, expected)
    return hear(Transcript(text=said, started_t_s=0.0, ended_t_s=0.0), Names(), 0.0)


@pytest.mark.parametrize(
    ("text", "expected", "reading"),
    [
        ("one six four", RADIAL_164, {"radial_deg": 164.0}),
        ("one six four", RANGE_16_4, {"dme_nm": 16.4}),
        ("one five seven", RANGE_16_4, {"dme_nm": 15.7}),
        ("four nine niner", expectation_around(dme_nm=49.7), {"dme_nm": 49.9}),
        ("three five eight", expectation_around(radial_deg=2), {"radial_deg": 358.0}),
        ("two zero five zero", expectation_around(indicated_ft=2000), {"indicated_ft": 2050.0}),
        ("one zero six five", expectation_around(indicated_ft=1000), {"indicated_ft": 1065.0}),
    ],
)
def test_digits_that_one_window_fits_are_a_reading(text, expected, reading):
    assert meaning(text, expected) == (PositionReport(t_s=0.0, observed_t_s=0.0, **reading),)


@pytest.mark.parametrize(
    "expected",
    [
        None,
        Expectation(),
        expectation_around(radial_deg=180),
        expectation_around(dme_nm=17.2),
        expectation_around(radial_deg=164, dme_nm=16.4),
    ],
)
def test_otherwise_they_stay_unclear(expected):
    (event,) = meaning("one six four", expected)
    assert isinstance(event, NotUnderstood)


@pytest.mark.parametrize("text", ["", "one six", "one six decimal four", "radial one six four", "a b c"])
def test_anything_else_stays_as_it_was_said(text):
    assert announced(text, RADIAL_164) == text
