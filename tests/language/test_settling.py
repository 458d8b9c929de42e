"""Numbers that can be parted in two ways are parted as only one way can be meant; else they stay unclear."""

import pytest

from assistant.engine.events import NotUnderstood, PositionReport
from assistant.language.choice import expectation_around
from assistant.language.grammar import Names
from assistant.language.hearing import hear
from assistant.language.settling import beginning, settled
from assistant.language.transcript import Transcript

NAMES = Names(fixes=("TARNO",))


def meaning(text, expected):
    said = settled(text, NAMES, expected)
    (event,) = hear(Transcript(text=said, started_t_s=0.0, ended_t_s=0.0), NAMES, 0.0)
    return event


@pytest.mark.parametrize("said", ["range two four eight hundred", "two four eight hundred"])
@pytest.mark.parametrize(("dme_nm", "indicated_ft"), [(24.0, 800.0), (2.0, 4800.0)])
def test_the_way_that_lies_in_the_windows_is_taken(said, dme_nm, indicated_ft):
    expected = expectation_around(dme_nm=dme_nm + 0.4, indicated_ft=indicated_ft - 150.0)

    report = meaning(said, expected)

    assert (report.dme_nm, report.indicated_ft) == (dme_nm, indicated_ft)


@pytest.mark.parametrize(
    "expected", [None, expectation_around(dme_nm=12.0), expectation_around(radial_deg=8.0)]
)
def test_what_no_window_settles_stays_unclear(expected):
    assert isinstance(meaning("range two four eight hundred", expected), NotUnderstood)


def test_digits_by_themselves_are_settled_too():
    report = meaning("one six four", expectation_around(radial_deg=160.0))
    assert report == PositionReport(t_s=0.0, observed_t_s=0.0, radial_deg=164.0)


@pytest.mark.parametrize("said", ["tarno tarno", "range sixteen", "", "three three"])
def test_nothing_else_is_touched(said):
    assert settled(said, NAMES, expectation_around(dme_nm=16.0, radial_deg=3.0)) == said


@pytest.mark.parametrize(
    ("text", "start"),
    [
        # The end is no heading: an altitude is given twice.
        (
            "radial two eight three two zero decimal five dme three five four zero level three five nine",
            "radial two eight three two zero decimal five dme three five four zero",
        ),
        # 35405 ft lies outside the window.
        (
            "range two zero decimal six passing three five four zero five and three four nine feet",
            "range two zero decimal six passing three five four zero",
        ),
        # One measure is too little to ask about, and what is no report at all has no beginning.
        ("range two zero decimal six range five decimal six", ""),
        ("minimum minimum three five nine", ""),
        ("", ""),
    ],
)
def test_of_a_report_whose_end_makes_no_sense_the_longest_sensible_beginning_is_kept(text, start):
    assert beginning(text, NAMES, expectation_around(dme_nm=20.5, indicated_ft=3500.0)) == start
