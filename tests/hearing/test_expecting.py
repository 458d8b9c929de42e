"""What is expected of the next report follows the flight, and grows wider with the age of what is known."""

import pytest
from driver import ROOT, Flight

from assistant.adapters.transcript_file import read_transcript
from assistant.conversation import play
from assistant.engine.events import Said
from assistant.expecting import expectation


@pytest.fixture
def flight():
    return Flight("procedures/skarrow-tacan-24.yaml")


def test_nothing_is_expected_of_a_place_before_the_first_report(flight):
    expected = flight.conversation.dialogue.expectation(0.0)

    assert expected.dme_nm is None
    assert expected.radial_deg is None
    assert expected.indicated_ft is None


def test_what_was_just_reported_lies_inside_and_a_misheard_number_outside(flight):
    flight.pilot("radial 345, 26 DME, 4400, heading 165")
    expected = flight.conversation.dialogue.expectation(flight.now_s)

    assert expected.dme_nm[0] < 26.0 < expected.dme_nm[1]
    assert expected.radial_deg[0] < 345.0 < expected.radial_deg[1]
    assert expected.indicated_ft[0] < 4400.0 < expected.indicated_ft[1]
    assert expected.dme_nm[1] < 36.0
    assert expected.indicated_ft[1] < 5400.0


def test_the_way_down_to_the_altitude_of_the_leg_is_expected_before_it_is_called(flight):
    """The leg to the hold ends at 4000 ft: half a minute after 4400, 4020 is the best report of all."""
    flight.pilot("radial 338, 26.6 DME, 4400, heading 145")
    flight.wait_s(28.0)
    low_ft, high_ft = flight.conversation.dialogue.expectation(flight.now_s).indicated_ft

    assert 3500.0 < low_ft < 4020.0
    assert high_ft > 4400.0


def test_on_final_an_altitude_that_only_a_dive_could_reach_is_not_expected(flight):
    """
    The calm golden flight, 20 s after 1900 ft was reported and past the final approach fix.

    Twenty seconds at 1500 ft/min from there come to 1400; 250 ft more is the slack.
    """
    golden = (ROOT / "tests" / "golden" / "skarrow-calm.txt").read_text(encoding="utf-8")
    said = [each for each in read_transcript(golden, "skarrow-calm.txt").heard if each.ended_t_s <= 1345.0]
    assert said[-1].text == "range 6.3 passing 1900"
    list(play(flight.conversation, said, 1365.0))
    low_ft, high_ft = flight.conversation.dialogue.expectation(1365.0).indicated_ft

    assert 1140.0 <= low_ft < 1800.0
    assert high_ft > 1800.0


def test_windows_grow_with_time_and_end_with_knowledge(flight):
    flight.pilot("radial 345, 26 DME, 4400, heading 165")
    widths = []
    for later_s in (0.0, 60.0):
        low, high = flight.conversation.dialogue.expectation(flight.now_s + later_s).dme_nm
        widths.append(high - low)

    assert widths[0] < widths[1]
    assert flight.conversation.dialogue.expectation(flight.now_s + 1000.0).dme_nm is None


def test_landing_is_not_expected_before_the_final_approach(flight):
    flight.pilot("radial 345, 26 DME, 4400, heading 165")

    assert Said.LANDED not in flight.conversation.dialogue.expectation(flight.now_s).statements
    assert Said.GOING_AROUND in flight.conversation.dialogue.expectation(flight.now_s).statements


def test_in_the_hold_leaving_is_awaited_and_before_it_is_not(flight):
    flight.pilot("radial 345, 26 DME, 4400, heading 165")
    assert Said.LEAVING not in flight.conversation.dialogue.expectation(flight.now_s).awaited
    flight.pilot("entering hold")

    assert Said.LEAVING in flight.conversation.dialogue.expectation(flight.now_s).awaited


def test_a_challenge_makes_yes_and_no_awaited(flight):
    flight.pilot("radial 345, 26 DME, 4400, heading 165")
    assert Said.AFFIRM not in flight.conversation.dialogue.expectation(flight.now_s).awaited
    flight.wait_s(20.0)
    flight.pilot("range 12.3")  # fourteen miles in twenty seconds

    assert {Said.AFFIRM, Said.NEGATIVE} <= flight.conversation.dialogue.expectation(flight.now_s).awaited


@pytest.mark.parametrize("asked", ["minimum", "visual"])
def test_asked_for_the_runway_yes_and_no_are_awaited(flight, asked):
    golden = (ROOT / "tests" / "golden" / "skarrow-calm.txt").read_text(encoding="utf-8")
    said = [each for each in read_transcript(golden, "skarrow-calm.txt").heard if each.ended_t_s <= 1440.0]
    list(play(flight.conversation, said, 1440.0))
    state = flight.conversation.dialogue.engine.state.but(asked=frozenset())

    assert Said.AFFIRM not in expectation(state, 1440.0).awaited
    assert {Said.AFFIRM, Said.NEGATIVE} <= expectation(state.but(asked=frozenset({asked})), 1440.0).awaited


@pytest.mark.parametrize(
    ("until_s", "awaited"),
    [
        # The calm golden flight: on final, and between "visual" at 24:17 and "landed" at 24:48.
        (1440.0, {Said.VISUAL, Said.GOING_AROUND}),
        (1470.0, {Said.LANDED, Said.GOING_AROUND}),
    ],
)
def test_near_the_end_what_ends_the_flight_is_awaited(flight, until_s, awaited):
    golden = (ROOT / "tests" / "golden" / "skarrow-calm.txt").read_text(encoding="utf-8")
    said = [each for each in read_transcript(golden, "skarrow-calm.txt").heard if each.ended_t_s <= until_s]
    list(play(flight.conversation, said, until_s))

    expected = flight.conversation.dialogue.expectation(until_s)
    assert awaited <= expected.awaited
    # A landing pilot has no arc to join any more.
    assert (Said.ON_ARC in expected.statements) == (Said.LANDED not in awaited)
